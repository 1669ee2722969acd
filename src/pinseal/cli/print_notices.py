"""`print notice`: the paper that tells an owner that a unit is out of order, or that its shell is condemned."""

from __future__ import annotations

from typing import Any

import click

from pinseal.cli.options import json_option, named_shop, print_json, say, shop_option
from pinseal.cli.print_files import out_options, write_files


@click.command()
@click.argument("unit")
@click.option("--record", metavar="UID", help="Which impairment or condemnation of the unit. The newest unless said.")
@click.option("--condemned", is_flag=True, help="The notice that its shell is condemned, instead of the one of an impairment.")
@out_options
@shop_option
@json_option
@click.pass_obj
def notice(
    app: Any, /, unit: str, record: str | None, condemned: bool, out: str, preview: str | None, shop: str | None, as_json: bool
) -> None:
    """The notice of an impairment, with the clocks of everybody who must be told; or that a shell is condemned.

    Example: pinseal print notice PC-9 --out notice.pdf --shop shop.pinseal
    """
    make = app.condemnation_notice if condemned else app.impairment_notice
    case, paper = make(named_shop(shop), unit, record=record)
    files, notes = write_files(paper.draw, out, preview)
    if as_json:
        print_json({"files": files, "notes": notes, **case.as_json()})
        return
    for line in (*(f"Wrote {file}" for file in files), *(f"note: {each}" for each in notes)):
        say(line)


COMMANDS = {"notice": notice}
