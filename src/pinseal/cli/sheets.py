"""`sheet`, `finish`, `sheets`: job sheets on paper, in JSON, and run in one go."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from pinseal.cli import sheet_wording as wording
from pinseal.cli.options import json_option, name_list, named_shop, on_option, packs_option, print_json, say, shop_option
from pinseal.reasons import Refusal
from pinseal.records.record import check_uid
from pinseal.service.sheet_shapes import SheetAsked, read_filled
from pinseal.sheets.entries import Entry, read_entry

person_option = click.option("--person", envvar="PINSEAL_PERSON", metavar="NAME", help="Who works. Or set PINSEAL_PERSON.")
writer_option = click.option(
    "--writer", envvar="PINSEAL_WRITER", default="office", show_default=True, metavar="DEVICE", help="The device whose chain it is."
)
duties_option = click.option(
    "--duties", metavar="A,B", help="The works: duties, and recharge. What is due unless said; what belongs together is brought along."
)
units_option = click.option("--units", type=click.Choice(["si", "us", "metric"]), help="Units of the JSON; SI unless said.")


@click.command()
@click.argument("unit", metavar="UNIT")
@duties_option
@packs_option
@on_option
@units_option
@click.option("--form", metavar="FILE", help="Write an empty form of answers to FILE, to be filled and run with `pinseal finish`.")
@shop_option
@json_option
@click.pass_obj
def sheet(
    app: Any,
    /,
    unit: str,
    duties: str | None,
    packs: str | None,
    on: Any,
    units: str | None,
    form: str | None,
    shop: str | None,
    as_json: bool,
) -> None:
    """The job sheet of a unit for a day: what to do in the safe order, what to read, within which limits.

    Example: pinseal sheet T-014 --duties maintenance --shop shop.pinseal
    """
    asked = SheetAsked(unit=unit, works=name_list(duties), on=on, packs=name_list(packs), system=units)
    made = app.sheet(named_shop(shop), asked)
    if form:
        _write_form(Path(form), wording.empty_form(made))
    if as_json:
        print_json(wording.sheet_json(made, units or "si"))
        return
    wording.say_sheet(made)
    if form:
        say(f"An empty form lies in {form}.")


def _write_form(path: Path, form: Mapping[str, Any]) -> None:
    if path.exists():
        raise Refusal(
            what="there is a file of that name", rule="a form never takes the place of a file", got=str(path), do="choose another name"
        )
    path.write_text(json.dumps(form, ensure_ascii=False, indent=2) + "\n", encoding="utf-8")


@click.command()
@click.argument("sheet", metavar="SHEET")
@click.option("--from", "source", required=True, metavar="FILE", help="The answers: a JSON file with a list of entries.")
@click.option("--dry-run", is_flag=True, help="Judge everything and show what would be recorded; write nothing.")
@duties_option
@packs_option
@on_option
@units_option
@person_option
@writer_option
@shop_option
@json_option
@click.pass_obj
def finish(app: Any, /, sheet: str, source: str, dry_run: bool, units: str | None, shop: str | None, as_json: bool, **asked: Any) -> None:
    """Run a filled sheet in one go: every gate and verdict as at work, and nothing is written unless all of it stands.

    SHEET is the JSON file that `pinseal sheet --json` printed, the uid of a kept sheet, or a unit.

    Example: pinseal finish sheet.json --from answers.json --shop shop.pinseal
    """
    entries = _entries(source)
    wanted, uid = _meant(sheet, asked)
    done = app.finish(
        named_shop(shop), wanted, sheet_uid=uid, entries=entries, person=asked["person"], writer=asked["writer"], dry_run=dry_run
    )
    if as_json:
        print_json(done.as_json(units or "si"))
    else:
        wording.say_finished(done)


def _meant(sheet: str, asked: Mapping[str, Any]) -> tuple[SheetAsked | None, str | None]:
    """What SHEET names: a file of a sheet, the uid of a kept one, or a unit."""
    works, packs = name_list(asked["duties"]), name_list(asked["packs"])
    if Path(sheet).is_file():
        said = read_filled(sheet)
        unit = said.get("unit")
        if not isinstance(unit, dict) or not unit.get("uid"):
            raise Refusal(
                what="this file holds no sheet of a shop",
                rule="a sheet says its unit with the uid",
                got=sheet,
                do="take the JSON that `pinseal sheet UNIT --json` prints",
            )
        from pinseal.dates import parse_day

        day = asked["on"] or (parse_day(str(said["on"])) if said.get("on") else None)
        own = said.get("duties")
        return (
            SheetAsked(
                unit=str(unit["uid"]),
                works=works or (list(map(str, own)) if isinstance(own, list) else None),
                on=day,
                packs=packs or (list(map(str, said["packs"])) if isinstance(said.get("packs"), list) else None),
            ),
            str(said["sheet"]) if said.get("sheet") else None,
        )
    try:
        return None, _kept_uid(sheet)
    except Refusal:
        return SheetAsked(unit=sheet, works=works, on=asked["on"], packs=packs), None


def _kept_uid(text: str) -> str:
    return check_uid(text.strip().lower())


def _entries(source: str) -> list[Entry]:
    said = read_filled(source)
    listed = said.get("entries")
    if not isinstance(listed, list):
        raise Refusal(
            what="this file holds no answers",
            rule='answers are {"entries": [ … ]}',
            got=", ".join(map(str, said)) or "an empty object",
            do="see docs/sheets.md, or `pinseal sheet UNIT --form FILE`",
        )
    found = []
    for place, each in enumerate(listed, start=1):
        if isinstance(each, dict) and each.get("answer", "") is None:
            raise Refusal(
                what=f"entry {place} is not filled in",
                rule="every entry of a form says its answer",
                got=str(each.get("step", "")),
                do="choose one of the answers of the step, or take the entry out",
            )
        try:
            found.append(read_entry(_without_blanks(each)))
        except Refusal as refused:
            raise Refusal(what=f"entry {place}: {refused.what}", rule=refused.rule, got=refused.got, do=refused.do) from refused
    return found


def _without_blanks(each: Any) -> Any:
    """A form's readings that were left empty are not given."""
    if not isinstance(each, dict) or not isinstance(each.get("readings"), dict):
        return each
    return {**each, "readings": {name: text for name, text in each["readings"].items() if text is not None}}


@click.command()
@click.argument("unit", metavar="UNIT", required=False)
@click.option("--open", "only_open", is_flag=True, help="Only those that are not closed.")
@click.option("--to-check", is_flag=True, help="Only those with a confirmation that was too quick, and that nobody has sample-checked.")
@shop_option
@json_option
@click.pass_obj
def sheets(app: Any, /, unit: str | None, only_open: bool, to_check: bool, shop: str | None, as_json: bool) -> None:
    """The job sheets that a shop keeps, in the order in which they were begun.

    Example: pinseal sheets --open --shop shop.pinseal
    """
    where = named_shop(shop)
    found = app.kept_sheets(where, unit=unit, only_open=only_open)
    if to_check:
        found = app.unchecked(where, found)
    if as_json:
        print_json({"sheets": [wording.kept_json(each) for each in found]})
    else:
        wording.say_kept(found)


@click.command()
@click.argument("unit", metavar="UNIT")
@click.option(
    "--from", "source", required=True, metavar="FILE", help="The facts: a JSON file with a list of entries, as many as are known."
)
@duties_option
@packs_option
@on_option
@person_option
@shop_option
@json_option
@click.pass_obj
def decide(app: Any, /, unit: str, source: str, person: str | None, shop: str | None, as_json: bool, **asked: Any) -> None:
    """What a unit needs by a few facts: tag, part, recharge, teardown, test, withdraw, condemn; why not less, why not more.

    The facts are entries of its job sheet, in any number. Nothing is written.

    Example: pinseal decide T-014 --from facts.json --shop shop.pinseal
    """
    wanted = SheetAsked(unit=unit, works=name_list(asked["duties"]), on=asked["on"], packs=name_list(asked["packs"]))
    found = app.decide(named_shop(shop), wanted, _entries(source), person=person)
    if as_json:
        print_json(wording.decided_json(found))
    else:
        wording.say_decided(found)


COMMANDS = {"sheet": sheet, "finish": finish, "sheets": sheets, "decide": decide}
