"""`print certificate` and `print return`: the papers of batches of agent."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import json_option, named_shop, print_json, say, shop_option
from pinseal.cli.print_files import out_options, write_files
from pinseal.cli.quantities import MASS


def _tell(files: list[str], notes: list[str]) -> None:
    for line in (*(f"Wrote {file}" for file in files), *(f"note: {each}" for each in notes)):
        say(line)


@click.command()
@click.argument("batch")
@out_options
@shop_option
@json_option
@click.pass_obj
def certificate(app: Any, /, batch: str, out: str, preview: str | None, shop: str | None, as_json: bool) -> None:
    """The certificate of a batch of recycled agent. It is printed only when nothing that it says is missing.

    Example: pinseal print certificate R-4 --out r-4.pdf --shop shop.pinseal
    """
    account, paper = app.agent_certificate(named_shop(shop), batch)
    files, notes = write_files(paper.draw, out, preview)
    if as_json:
        print_json({"files": files, "notes": notes, "batch": account.as_json()})
    else:
        _tell(files, notes)


@click.command("return")
@click.option("--year", type=int, required=True, metavar="YEAR", help="The year of the figures.")
@click.option("--scale", type=MASS, metavar="M", help="How far each weighing may be wrong (k = 2). The coarsest scale in use unless said.")
@click.option("--table", metavar="FILE", help="Also the figures as a table: .csv or .xlsx.")
@out_options
@shop_option
@json_option
@click.pass_obj
def return_(app: Any, /, year: int, scale: Any, table: str | None, out: str, preview: str | None, shop: str | None, as_json: bool) -> None:
    """The figures of a year for halogenated agents: in stock, bought, recovered, charged, sent, left, lost.

    They are for the shop's return, and are not the return itself. What does not close is said, with the entries that may be wrong.

    Example: pinseal print return --year 2026 --out 2026.pdf --shop shop.pinseal
    """
    made = app.agent_return(named_shop(shop), year, scale=scale.exact if scale else None)
    if table:
        app.write_return(made, Path(table))
    files, notes = write_files(app.return_paper(made).draw, out, preview)
    files += [table] if table else []
    if as_json:
        print_json({"files": files, "notes": notes, **made.found.as_json()})
    else:
        _tell(files, notes)


COMMANDS = {"certificate": certificate, "return": return_}
