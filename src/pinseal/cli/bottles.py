"""`bottles`: the supply bottles of a shop: received, read, returned, and what each holds by its last reading."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pinseal import kinds
from pinseal.cli.options import json_option, named_shop, print_json, say, shop_option
from pinseal.cli.registers import inside, said_fields, signed, writing

if TYPE_CHECKING:
    from pinseal.service.supplies import Held


@click.group(invoke_without_command=True)
@shop_option
@json_option
@click.pass_context
def bottles(ctx: click.Context, /, shop: str | None, as_json: bool) -> None:
    """The supply bottles of a shop: gas, certificate, the last reading and what it means.

    Contents are counted from vacuum, in scf at 70 F and 14.696 psia. For what they still fill, see `pinseal supply`.

    Example: pinseal bottles --shop shop.pinseal
    """
    if ctx.invoked_subcommand:
        return
    found = ctx.obj.bottles(named_shop(shop))
    if as_json:
        print_json({"bottles": [each.as_json() for each in found]})
        return
    if not found:
        say('No supply bottle is on record. Put one in with `pinseal bottles add ID --gas nitrogen --water-capacity "49 L"`.')
    for each in found:
        _say_bottle(each)


@bottles.command("add")
@click.argument("id_", metavar="ID")
@click.option("--gas", required=True, metavar="GAS", help=f"One of {', '.join(kinds.GASES)}.")
@click.option(
    "--water-capacity", required=True, metavar="V", help='What it holds of water, stamped on it, as in "49 L"; not the volume of the gas.'
)
@click.option("--serial", metavar="TEXT", help="The number on the bottle.")
@click.option("--dew-point", metavar="T", help="The dew point of the gas, by its certificate.")
@click.option("--purity", metavar="PERCENT", help="The purity of the gas, by its certificate.")
@click.option("--certificate", metavar="TEXT", help="The number of the certificate.")
@writing
@click.pass_context
def _add(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """A bottle comes, or one that went back comes again with another filling.

    Example: pinseal bottles add N2-4 --gas nitrogen --water-capacity "49 L" --dew-point "-76 F" --certificate C-118 --shop shop.pinseal
    """
    fields = {"id": id_, **said_fields(own, "gas", "water_capacity", "serial", "dew_point", "purity", "certificate", "note")}
    _write(ctx, "receive", "", fields, own)


@bottles.command("read")
@click.argument("id_", metavar="ID")
@click.option("--shows", required=True, metavar="P", help="What its gauge shows.")
@click.option("--at", "at_temperature", required=True, metavar="T", help="How warm the bottle is. A cold one reads low and holds no less.")
@writing
@click.pass_context
def _read(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Record what the gauge of a bottle shows.

    Example: pinseal bottles read N2-4 --shows "2015 psi" --at "61 F" --shop shop.pinseal
    """
    _write(ctx, "read", id_, said_fields(own, "shows", "at_temperature", "note"), own)


@bottles.command("return")
@click.argument("id_", metavar="ID")
@click.option("--reason", required=True, metavar="TEXT", help="Why, as in empty.")
@writing
@click.pass_context
def _return(ctx: click.Context, /, id_: str, **own: Any) -> None:
    """Record that a bottle went back.

    Example: pinseal bottles return N2-4 --reason empty --shop shop.pinseal
    """
    _write(ctx, "return", id_, said_fields(own, "reason", "note"), own)


_DEEDS = {"receive": "Added", "read": "Read", "return": "Returned"}


def _write(ctx: click.Context, deed: str, name: str, fields: Mapping[str, str], own: Mapping[str, Any]) -> None:
    where, as_json = inside(ctx, own)
    path: Path = where
    found: Held = ctx.obj.keep_bottle(path, deed, name, fields, signed(own))
    if as_json:
        print_json(found.as_json())
        return
    say(f"{_DEEDS[deed]}: {found.kept.id}")
    _say_bottle(found)


def _say_bottle(held: Held) -> None:
    """What it is, its paper, the last reading, what it holds; then what is odd."""
    kept = held.kept
    paper = (("serial", kept.serial), ("dew point", kept.dew_point), ("purity", kept.purity and f"{kept.purity} %"))
    said = [kinds.GASES.get(kept.gas or "", "its receiving has not come in"), kept.water_capacity or ""]
    said += [f"{name} {value}" for name, value in paper if value]
    said.append(f"certificate {kept.certificate}" if kept.certificate else "no certificate on record")
    say(f"{kept.id or kept.uid}: {', '.join(part for part in said if part)}")
    if kept.returned:
        say(f"    went back {kept.returned.since.for_people()}: {kept.returned.reason}")
    elif kept.last and held.contents_scf is not None:
        last = kept.last
        say(f"    {last.shows} at {last.at_temperature} on {last.done.for_people()}: holds {held.contents_scf:.0f} scf")
    else:
        say(f"    not known what it holds: {held.why}")
    for mark in kept.marks:
        say(f"    {mark.text}")


COMMANDS = {"bottles": bottles}
