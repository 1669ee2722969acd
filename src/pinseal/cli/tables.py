"""`table`: lists of a shop as files for a spreadsheet."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import Duty, busy, json_option, named_shop, print_json, say, shop_option


@click.command()
@click.argument("what", type=click.Choice(["dues", "inventory", "deficiencies", "months"]))
@click.option("--out", required=True, metavar="FILE", help="The new file; .xlsx or .csv says which form.")
@click.option("--site", default="", metavar="SITE", help="Only this site.")
@click.option("--month", default="", metavar="MONTH", help="Of the dues: only this month, as in 2026-12; or late, or none for no date.")
@click.option("--duty", type=Duty(), default=None, metavar="DUTY", help="Of the dues: only this duty, as in hydrostatic-test.")
@click.option("--show", default="open", show_default=True, help="Of deficiencies: open, found, quoted, agreed, declined, done or all.")
@click.option(
    "--year", default="", metavar="YEAR", help="Of the monthly record: the twelve months of this year; the last twelve unless said."
)
@shop_option
@json_option
@click.pass_obj
def table(
    app: Any, /, what: str, out: str, site: str, month: str, duty: str | None, show: str, year: str, shop: str | None, as_json: bool
) -> None:
    """Write the due list, the inventory, the deficiencies or the monthly record of a site as a spreadsheet (XLSX) or CSV.

    Dates that are known to the day are true dates; one known to a month or a year stays text. No text becomes a formula.

    Example: pinseal table dues --month 2026-12 --out december.xlsx --shop shop.pinseal
    """
    with busy("Writing the table"):
        rows = app.write_table(named_shop(shop), Path(out), what=what, site=site, month=month, duty=duty or "", show=show, year=year)
    if as_json:
        print_json({"file": out, "rows": rows})
    else:
        say(f"{out}: {rows} row{'' if rows == 1 else 's'}.")


COMMANDS = {"table": table}
