"""`print report`: what was done at a site on a day."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import Day, json_option, named_shop, print_json, say, shop_option
from pinseal.cli.print_files import out_options, write_files
from pinseal.reasons import Refusal


@click.command()
@click.argument("site")
@click.option("--on", type=Day(), metavar="DATE", help="The day of the visit. The last one at the site unless said.")
@click.option("--from", "first", type=Day(), metavar="DATE", help="The first day, for a visit of several days.")
@click.option("--to", "last", type=Day(), metavar="DATE", help="The last day. That of --from unless said.")
@click.option("--proof", metavar="FILE.html", help="Also the page that shows, without a network, that the report fits its records.")
@out_options
@shop_option
@json_option
@click.pass_obj
def report(
    app: Any, /, site: str, on: date | None, first: date | None, last: date | None, proof: str | None, out: str, preview: str | None,
    shop: str | None, as_json: bool,
) -> None:  # fmt: skip
    """The report of a visit: one line, what is not as it should be, what comes next, then every unit and the photos.

    Example: pinseal print report "Town Hall" --on 2026-11-17 --out report.pdf --proof proof.html --shop shop.pinseal
    """
    if on and (first or last):
        raise Refusal(what="the days are said twice", rule="either --on, or --from and --to", got=f"--on {on}", do="leave one of them out")
    if proof and Path(proof).suffix.lower() != ".html":
        raise Refusal(what="the proof is a page", rule="its file ends in .html", got=proof, do="say --proof proof.html")
    made = app.visit_report(named_shop(shop), site, first=on or first or last, last=on or last)
    paper = made.paper()
    files, notes = write_files(paper.draw, out, preview)
    if proof:
        Path(proof).write_text(made.proof(), encoding="utf-8", newline="\n")
        files.append(proof)
    said = made.as_json()
    if as_json:
        print_json({"files": files, "drawing_notes": notes, **said})
        return
    say(said["line"])
    for line in (*(f"Wrote {file}" for file in files), *(f"note: {each}" for each in notes)):
        say(line)


COMMANDS = {"report": report}
