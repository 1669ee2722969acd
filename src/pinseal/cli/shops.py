"""`init`, `settings`, `import`, `record`, `history`, `withdrawals`, `audit`: what is done with a shop's record."""

from __future__ import annotations

import sys
from typing import Any

import click

from pinseal.cli import shop_wording as wording
from pinseal.cli.options import (
    F,
    answers_options,
    busy,
    json_option,
    name_list,
    named_shop,
    on_option,
    packs_option,
    print_json,
    say,
    shop_option,
)
from pinseal.dates import parse_date
from pinseal.reasons import Refusal

_person_option = click.option("--person", envvar="PINSEAL_PERSON", metavar="NAME", help="Who did it or says so. Or set PINSEAL_PERSON.")


_SETTINGS: tuple[Any, ...] = (
    click.option("--packs", metavar="A,B", help="The rule packs that the shop works by."),
    click.option("--time-zone", metavar="ZONE", help="Decides what today is, as in Europe/Lisbon."),
    click.option("--language", metavar="TAG", help="The language of the pages, as in en or pt-BR; English where it is not held."),
    click.option("--units", type=click.Choice(["si", "us", "metric"]), help="Units of measure for people."),
    click.option("--date-order", type=click.Choice(["MDY", "DMY", "YMD"]), help="Order of day and month in the owner's lists."),
    click.option("--date-style", type=click.Choice(["words", "iso", "mdy"]), help="How pages write dates: 24 Nov 2026, ISO, 11/24/2026."),
    click.option("--currency", metavar="CODE", help="The currency of the shop's prices (ISO 4217), as in EUR."),
    click.option("--maintenance-basis", type=click.Choice(["anniversary", "tag-month", "strict-365"]), help="How the year is counted."),
    click.option("--assume", metavar="NAME=CODE,…", help="Nameplate facts to assume where a unit does not say them."),
    click.option(
        "--firm", multiple=True, metavar="NAME=TEXT", help="Who the shop is, for marks: name, address, phone, email, registration, class."
    ),
    click.option(
        "--marks", multiple=True, metavar="SITE=FORM", help="The form of marks that holds at a site; *=us-tx for every other site."
    ),
    click.option(
        "--owner-of", "sites", multiple=True, metavar="SITE=OWNER; ADDRESS", help="Whose a site is and where: for tags, notices, reports."
    ),
    click.option("--web-address", metavar="URL", help="Where the shop's pages are reached, for the codes on labels."),
)


def _settings_options(command: F) -> F:
    for option in reversed(_SETTINGS):
        command = option(command)
    return command


@click.command()
@click.argument("path", metavar="PATH", required=False)
@_settings_options
@_person_option
@shop_option
@json_option
@click.pass_obj
def init(app: Any, /, path: str | None, shop: str | None, person: str | None, as_json: bool, **settings: Any) -> None:
    """Make a new shop: one file that keeps the record, and a folder beside it for photos and papers.

    Example: pinseal init shop.pinseal --packs us-osha,us-nfpa10 --time-zone America/Chicago
    """
    where = named_shop(path or shop)
    kept = app.init(where, settings, person=person)
    if as_json:
        print_json({"shop": str(where), "settings": kept})
    else:
        say(f"Made the shop {where}.")
        say(f"Its day is that of the time zone {kept['time_zone']}.")
        if not kept["packs"]:
            say("It has no rule packs yet: choose them with `pinseal settings --packs us-osha,us-nfpa10`.")


@click.command()
@_settings_options
@_person_option
@shop_option
@json_option
@click.pass_obj
def settings(app: Any, /, shop: str | None, person: str | None, as_json: bool, **changes: Any) -> None:
    """Show or change a shop's settings: packs, time zone, units, basis of the year.

    Example: pinseal settings --shop shop.pinseal --maintenance-basis tag-month
    """
    kept = app.settings(named_shop(shop), changes, person=person)
    if as_json:
        print_json(kept)
        return
    for name, value in kept.items():
        say(f"{name.replace('_', ' '):<18} {_setting_words(value)}")


def _setting_words(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(value) or "none chosen"
    if isinstance(value, dict):
        return ", ".join(f"{k}={v}" for k, v in value.items()) or "nothing"
    return str(value) if value is not None else "not said"


@click.command("import")
@click.argument("file", metavar="FILE")
@answers_options
@click.option(
    "--date-order", type=click.Choice(["MDY", "DMY", "YMD"]), help="The order of day and month, where the list does not decide it."
)
@click.option("--dry-run", is_flag=True, help="Only show what would be taken in.")
@click.option("--yes", is_flag=True, help="Take it in without asking.")
@_person_option
@shop_option
@json_option
@click.pass_obj
def import_(app: Any, /, file: str, shop: str | None, dry_run: bool, yes: bool, person: str | None, as_json: bool, **asked: Any) -> None:
    """Take a list into a shop; shows first what it would change.

    Next year's list of the same owner is matched to the known units: the same, changed, new, vanished. On a terminal it
    asks before it writes; elsewhere it writes, unless --dry-run is said.

    Example: pinseal import list.xlsx --shop shop.pinseal --dry-run
    """
    where = named_shop(shop)
    with busy("Reading and matching the list"):
        plan = app.plan_import(where, file, answers_file=asked["answers"], answers=asked["answer"], date_order=asked["date_order"])
    if not as_json:
        wording.say_import(plan)
    if not dry_run and not as_json and not yes and sys.stdin and sys.stdin.isatty():
        click.confirm("Take this in?", abort=True)
    taken = None
    if not dry_run:
        with busy("Taking it in"):
            taken = app.take_in(where, plan, person=person)
    if as_json:
        print_json({**plan.as_json(), "taken": taken.as_json() if taken else None})
    elif taken:
        wording.say_taken(taken)
    else:
        say("Nothing was written (--dry-run).")


@click.command(context_settings={"ignore_unknown_options": True, "allow_extra_args": True})
@click.argument("kind", metavar="KIND")
@click.argument("unit", metavar="UNIT", required=False)
@click.option("--on", "done", metavar="DATE", help="When it was done: YYYY, YYYY-MM or YYYY-MM-DD. Today unless said.")
@click.option("--uid", metavar="ID", help="The record's own id (UUIDv7), so that sending it twice changes nothing.")
@click.option(
    "--writer", envvar="PINSEAL_WRITER", default="office", show_default=True, metavar="DEVICE", help="The device whose chain it is."
)
@_person_option
@shop_option
@json_option
@click.pass_context
def record(
    ctx: click.Context,
    kind: str,
    unit: str | None,
    done: str | None,
    uid: str | None,
    writer: str,
    person: str | None,
    shop: str | None,
    as_json: bool,
) -> None:
    """Record one thing that was done, found or changed. Fields are said as --field value.

    KIND is a kind of record (registered, moved, inspected, maintained, opened, tested, recharged, condemned, removed,
    corrected, noted, not-done …) or the duty that it satisfies. `pinseal record help` lists kinds and fields.

    Example: pinseal record tested T-014 --on 2026-06-10 --method proof-pressure --pressure "585 psi" --shop shop.pinseal
    """
    if kind == "help":
        wording.say_record_kinds()
        return
    if unit is None:
        raise click.MissingParameter(ctx=ctx, param_hint="'UNIT'", param_type="argument")
    fields = _fields(ctx.args)
    answer = ctx.obj.record(
        named_shop(shop),
        kind=kind,
        unit=unit,
        done=parse_date(done) if done else None,
        fields=fields,
        uid=uid,
        writer=writer,
        person=person,
    )
    if as_json:
        print_json({"record": answer.record.as_json(), "moved": [m.as_json() for m in answer.moved]})
    else:
        wording.say_recorded(answer)


def _fields(words: list[str]) -> dict[str, str]:
    """`--method proof-pressure --pressure=585psi` as fields."""
    fields: dict[str, str] = {}
    rest = list(words)
    while rest:
        word = rest.pop(0)
        name, joined, value = word.removeprefix("--").partition("=")
        if not word.startswith("--") or not name or (not joined and not rest):
            raise Refusal(
                what="a field without its value",
                rule="fields are said as --field value",
                got=word,
                do="add the value, or quote it if it has spaces",
            )
        fields[name] = value if joined else rest.pop(0)
    return fields


@click.command()
@click.argument("unit", metavar="UNIT")
@shop_option
@json_option
@click.pass_obj
def history(app: Any, /, unit: str, shop: str | None, as_json: bool) -> None:
    """Everything on record about one unit, in order: what was done, by whom, and what is odd.

    Example: pinseal history T-014 --shop shop.pinseal
    """
    found = app.history(named_shop(shop), unit)
    if as_json:
        print_json(found.as_json())
    else:
        wording.say_history(found)


@click.command()
@click.argument("file", metavar="FILE", required=False)
@_person_option
@shop_option
@json_option
@click.pass_obj
def withdrawals(app: Any, /, file: str | None, shop: str | None, person: str | None, as_json: bool) -> None:
    """Keep lists of units that are withdrawn by recall or because parts have ended (TOML); without FILE, show them.

    Example: pinseal withdrawals recall-2026.toml --shop shop.pinseal
    """
    entries = app.withdrawals(named_shop(shop), file, person=person)
    if as_json:
        print_json(
            [{"title": e.title, "source": e.source, "published": str(e.published), "action": e.action, "reason": e.reason} for e in entries]
        )
        return
    for entry in entries:
        say(f"{entry.title} ({entry.source}, {entry.published.for_people()}): {entry.action}")
    if not entries:
        say("No withdrawal list is kept.")


@click.command()
@click.argument("unit", metavar="UNIT", required=False)
@packs_option
@on_option
@click.option("--late", "only_late", is_flag=True, help="Only what was late, or may have been.")
@shop_option
@json_option
@click.pass_obj
def audit(app: Any, /, unit: str | None, packs: str | None, on: Any, only_late: bool, shop: str | None, as_json: bool) -> None:
    """Which duties on record were done late, and by how much, by the provisions in force when they were done.

    Example: pinseal audit --shop shop.pinseal --late
    """
    with busy("Going through the record"):
        findings = app.audit(named_shop(shop), unit=unit, packs=name_list(packs), on=on)
    shown = [f for f in findings if not only_late or f.verdict in ("late", "may be late")]
    if as_json:
        print_json({"findings": [wording.finding_json(f) for f in shown], "counts": wording.verdict_counts(findings)})
    else:
        wording.say_audit(findings, shown)


COMMANDS = {
    "init": init, "settings": settings, "import": import_, "record": record, "history": history, "withdrawals": withdrawals, "audit": audit,
}  # fmt: skip
