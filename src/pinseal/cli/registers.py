"""`instruments`, `people`, `doubt`: the registers of a shop, and the readings that an instrument puts in doubt."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from pinseal import kinds
from pinseal.cli import register_wording as wording
from pinseal.cli.options import Day, F, busy, json_option, named_shop, on_option, print_json, say, shop_option

_person = click.option("--person", envvar="PINSEAL_PERSON", metavar="NAME", help="Who says so. Or set PINSEAL_PERSON.")
_writer = click.option(
    "--writer", envvar="PINSEAL_WRITER", default="office", show_default=True, metavar="DEVICE", help="The device whose chain it is."
)
_done = click.option("--on", "done", type=Day(), metavar="DATE", help="The day of it, YYYY-MM-DD. Today in the shop unless said.")
_note = click.option("--note", metavar="TEXT", help="Anything worth keeping.")


def writing(command: F) -> F:
    """The options of every command that writes to a register."""
    for option in (json_option, shop_option, _writer, _person, _done, _note):
        command = option(command)
    return command


def inside(ctx: click.Context, own: Mapping[str, Any]) -> tuple[Path, bool]:
    """The shop and the form of the answer; what was said before the name of the command counts where it says nothing itself."""
    outer = ctx.parent.params if ctx.parent else {}
    said = ctx.get_parameter_source("shop") == click.core.ParameterSource.COMMANDLINE
    return named_shop(own["shop"] if said or not outer.get("shop") else outer["shop"]), bool(own["as_json"] or outer.get("as_json"))


def signed(own: Mapping[str, Any]) -> Any:
    from pinseal.service.registry import Signed

    return Signed(person=own["person"], device=own["writer"], on=own["done"])


def said_fields(own: Mapping[str, Any], *names: str) -> dict[str, str]:
    """The fields that were said, in the spelling of records; days as they are kept."""
    return {name.replace("_", "-").strip("-"): str(own[name]) for name in names if own.get(name) is not None}


@click.group(invoke_without_command=True)
@on_option
@shop_option
@json_option
@click.pass_context
def instruments(ctx: click.Context, /, on: Any, shop: str | None, as_json: bool) -> None:
    """The instruments of a shop: the last good check of each, until when it counts, and by which rule.

    Example: pinseal instruments --shop shop.pinseal
    """
    if ctx.invoked_subcommand:
        return
    found = ctx.obj.instruments(named_shop(shop), on=on)
    if as_json:
        listed = [each.as_json() for each in found.listed]
        print_json({"on": found.on.isoformat(), "packs": list(found.packs), "instruments": listed})
    else:
        wording.say_instruments(found)


@instruments.command("add")
@click.argument("id_", metavar="ID")
@click.option("--what", required=True, metavar="KIND", help=f"One of {', '.join(kinds.INSTRUMENTS)}.")
@click.option("--serial", metavar="TEXT", help="The maker's number on it.")
@click.option("--range", "range_", metavar="TEXT", help="From where to where it reads.")
@click.option("--resolution", metavar="QUANTITY", help='Its smallest step, as in "0.1 lb".')
@click.option("--uncertainty", metavar="QUANTITY", help="The standard uncertainty of its calibration.")
@click.option("--accuracy-percent", metavar="NUMBER", help="How far it may err, percent of its range.")
@writing
@click.pass_context
def _add_instrument(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Put an instrument into the register.

    Example: pinseal instruments add S-1 --what scale --resolution "0.1 lb" --shop shop.pinseal
    """
    where, as_json = inside(ctx, own)
    fields = {"id": id_, **said_fields(own, "what", "serial", "range_", "resolution", "uncertainty", "accuracy_percent", "note")}
    wording.tell_instrument("Added", ctx.obj.add_instrument(where, fields, signed(own)), as_json=as_json)


@instruments.command("check")
@click.argument("id_", metavar="ID")
@click.option("--result", required=True, type=click.Choice(["good", "bad"]), help="How it was found.")
@click.option("--against", metavar="TEXT", help="What it was compared with.")
@click.option("--certificate", metavar="TEXT", help="The number of the paper.")
@click.option("--until", type=Day(), metavar="DATE", help="The last day that the paper vouches for, only if the paper says one.")
@click.option("--value", metavar="TEXT", help="What was read.")
@click.option("--check-pressure", metavar="PRESSURE", help="Of a water jacket or a test gauge: the pressure of the check.")
@click.option(
    "--certified-expansion", metavar="VOLUME", help="Of a water jacket: the expansion on the certificate of the calibrated cylinder."
)
@click.option("--total-expansion", metavar="VOLUME", help="Of a water jacket: the total expansion that was read.")
@click.option("--permanent-expansion", metavar="VOLUME", help="Of a water jacket: what stayed of it.")
@writing
@click.pass_context
def _check_instrument(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Record that an instrument was compared with a better one.

    Example: pinseal instruments check S-1 --result good --against "check weights W-2" --on 2026-06-01 --shop shop.pinseal
    """
    where, as_json = inside(ctx, own)
    read = ("check_pressure", "certified_expansion", "total_expansion", "permanent_expansion")
    fields = said_fields(own, "result", "against", "certificate", "until", "value", *read, "note")
    wording.tell_instrument("Checked", ctx.obj.check_instrument(where, id_, fields, signed(own)), as_json=as_json)


@instruments.command("withdraw")
@click.argument("id_", metavar="ID")
@click.option("--reason", required=True, metavar="TEXT", help="Why.")
@writing
@click.pass_context
def _withdraw_instrument(ctx: click.Context, /, id_: str, reason: str, **own: Any) -> None:
    """Record that an instrument is not used any more.

    Example: pinseal instruments withdraw S-1 --reason "fell from the bench" --shop shop.pinseal
    """
    where, as_json = inside(ctx, own)
    found = ctx.obj.withdraw_instrument(where, id_, {"reason": reason, **said_fields(own, "note")}, signed(own))
    wording.tell_instrument("Withdrawn", found, as_json=as_json)


@click.group(invoke_without_command=True)
@on_option
@shop_option
@json_option
@click.pass_context
def people(ctx: click.Context, /, on: Any, shop: str | None, as_json: bool) -> None:
    """The people of a shop with their papers, and whether these are in date for work and for a mark.

    Example: pinseal people --shop shop.pinseal
    """
    if ctx.invoked_subcommand:
        return
    found = ctx.obj.people(named_shop(shop), on=on)
    if as_json:
        print_json({"on": found.on.isoformat(), "packs": list(found.packs), "people": [each.as_json() for each in found.listed]})
    else:
        wording.say_people(found)


@people.command("add")
@click.argument("name", metavar="NAME")
@click.option("--role", metavar="ROLE", help=f"One of {', '.join(kinds.ROLES)}.")
@click.option("--id", "id_", metavar="TEXT", help="A short name or number in the shop.")
@writing
@click.pass_context
def _add_person(ctx: click.Context, /, name: str, **own: Any) -> None:
    """Put a person into the register.

    Example: pinseal people add "Ida Quill" --role technician --shop shop.pinseal
    """
    where, as_json = inside(ctx, own)
    found = ctx.obj.add_person(where, {"name": name, **said_fields(own, "role", "id_", "note")}, signed(own))
    wording.tell_person("Added", found, as_json=as_json)


@people.command("paper")
@click.argument("name", metavar="NAME")
@click.option("--paper", required=True, metavar="TEXT", help="Which paper: licence, training, certificate of fitness.")
@click.option("--number", metavar="TEXT", required=True, help="Its number.")
@click.option("--class", "class_", metavar="TEXT", help="Its class.")
@click.option("--issued-by", metavar="TEXT", help="Who gave it out.")
@click.option("--jurisdiction", metavar="TEXT", help="Where it counts, as in California.")
@click.option("--from", "from_", type=Day(), metavar="DATE", help="The first day on which it counts.")
@click.option("--until", type=Day(), metavar="DATE", required=True, help="The last day on which it counts.")
@writing
@click.pass_context
def _give_paper(ctx: click.Context, /, name: str, **own: Any) -> None:
    """Record a paper that a person holds; a renewal is one more.

    Example: pinseal people paper "Ida Quill" --paper licence --number L-204 --until 2027-03-31 --shop shop.pinseal
    """
    where, as_json = inside(ctx, own)
    fields = said_fields(own, "paper", "number", "class_", "issued_by", "jurisdiction", "from_", "until", "note")
    wording.tell_person("Kept", ctx.obj.give_paper(where, name, fields, signed(own)), as_json=as_json)


@people.command("end")
@click.argument("name", metavar="NAME")
@click.option("--number", required=True, metavar="TEXT", help="The number of the paper.")
@click.option("--paper", metavar="TEXT", help="Which paper, where two have the number.")
@click.option("--reason", required=True, metavar="TEXT", help="Why.")
@writing
@click.pass_context
def _end_paper(ctx: click.Context, /, name: str, **own: Any) -> None:
    """Record that a paper does not count any more, before its last day.

    Example: pinseal people end "Ida Quill" --number L-204 --reason "given back" --shop shop.pinseal
    """
    where, as_json = inside(ctx, own)
    fields = said_fields(own, "number", "paper", "reason", "note")
    wording.tell_person("Ended", ctx.obj.end_paper(where, name, fields, signed(own)), as_json=as_json)


@people.command("link")
@click.argument("login", metavar="LOGIN")
@shop_option
@click.pass_context
def _link(ctx: click.Context, /, login: str, shop: str | None) -> None:
    """A one-time link by which somebody who may sign in to the pages sets a new passphrase; for whoever forgot it.

    Example: pinseal people link rosamund --shop shop.pinseal
    """
    where, _ = inside(ctx, {"shop": shop, "as_json": False})
    path = ctx.obj.new_link(where, login)
    say(f"Behind the address that `pinseal serve` prints, open once: {path}")
    say("It opens nothing any more after seven days, or when another link is made.")


@people.command("erase")
@click.argument("name", metavar="NAME")
@click.option("--yes", is_flag=True, help="Do not ask.")
@shop_option
@click.pass_context
def _erase(ctx: click.Context, /, name: str, yes: bool, shop: str | None) -> None:
    """Take a person's name out of the accounts for good, and show something else wherever records name them.

    The records themselves stay as they are: they are bound in chains, and the law asks that they are kept.

    Example: pinseal people erase "Ida Quill" --yes --shop shop.pinseal
    """
    where, _ = inside(ctx, {"shop": shop, "as_json": False})
    if not yes:
        click.confirm(f"Erase {name}? The name does not come back", abort=True)
    accounts, shown = ctx.obj.erase_person(where, name)
    say(f"Accounts emptied: {accounts}. Pages show “{shown}” where records say the name.")
    say("Backups and exports made before hold what they held; the records' own text stays in the shop's file.")


@click.command()
@click.argument("instrument", metavar="INSTRUMENT")
@click.option("--since", type=Day(), metavar="DATE", help="Not trusted from this day on; else its checks decide.")
@click.option("--until", type=Day(), metavar="DATE", help="Only readings up to this day.")
@shop_option
@json_option
@click.pass_obj
def doubt(app: Any, /, instrument: str, since: Any, until: Any, shop: str | None, as_json: bool) -> None:
    """Every reading on record that an instrument puts in doubt, because a check lapsed, was bad or was never made.

    Example: pinseal doubt G-1 --since 2026-03-01 --shop shop.pinseal
    """
    with busy("Going through the readings"):
        found = app.doubt(named_shop(shop), instrument, since=since, until=until)
    if as_json:
        print_json(wording.doubted_json(found))
    else:
        wording.say_doubted(found)


COMMANDS = {"instruments": instruments, "people": people, "doubt": doubt}
