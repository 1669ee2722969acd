"""`print certification`: that a unit was tested by pressure, or given its yearly maintenance."""

from __future__ import annotations

from typing import Any

import click

from pinseal.cli.options import json_option, named_shop, print_json, say, shop_option
from pinseal.cli.print_files import out_options, write_files
from pinseal.reasons import Refusal


@click.command()
@click.argument("units", nargs=-1, required=True)
@click.option(
    "--of",
    "work",
    type=click.Choice(["hydrostatic-test", "maintenance"]),
    default="hydrostatic-test",
    show_default=True,
    help="What is certified.",
)
@click.option("--record", metavar="UID", help="Which record of the unit. The newest unless said.")
@out_options
@shop_option
@json_option
@click.pass_obj
def certification(
    app: Any, /, units: tuple[str, ...], work: str, record: str | None, out: str, preview: str | None, shop: str | None, as_json: bool
) -> None:
    """The certificate of a pressure test (29 CFR 1910.157(f)(16)) or the record of a yearly maintenance (e)(3), one unit a page.

    Example: pinseal print certification PC-9 --out pc-9.pdf --shop shop.pinseal
    """
    if record is not None and len(units) > 1:
        raise Refusal(
            what="one record is of one unit",
            rule="--record goes with one unit",
            got=f"{len(units)} units",
            do="print one unit, or leave --record out",
        )
    found, paper = app.certificates(named_shop(shop), units, work, record=record)
    files, notes = write_files(paper.draw, out, preview)
    if as_json:
        print_json({"files": files, "notes": notes, "certificates": [each.as_json() for each in found]})
        return
    for line in (*(f"Wrote {file}" for file in files), *(f"note: {each}" for each in notes)):
        say(line)


COMMANDS = {"certification": certification}
