"""`print sheet`: the pressure tests of a day, checks of instruments first, with the stamp to strike."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import Day, json_option, named_shop, print_json, say, shop_option
from pinseal.cli.print_files import write_files
from pinseal.reasons import Refusal

_TABLES = (".csv", ".xlsx")


@click.command()
@click.option("--on", type=Day(), metavar="DATE", help="The day of the tests. Today in the shop's time zone unless said.")
@click.option("--from", "first", type=Day(), metavar="DATE", help="The first day of a span; each day begins on a page of its own.")
@click.option("--to", "last", type=Day(), metavar="DATE", help="The last day of a span.")
@click.option("--out", metavar="FILE", help="Where to write: .pdf, .svg, .png, or a table, .csv or .xlsx.")
@click.option("--preview", metavar="FILE.png", help="Also a picture of each page, at 200 dots an inch.")
@shop_option
@json_option
@click.pass_obj
def sheet(
    app: Any,
    /,
    on: date | None,
    first: date | None,
    last: date | None,
    out: str | None,
    preview: str | None,
    shop: str | None,
    as_json: bool,
) -> None:
    """The sheet of pressure tests of a day: checks of instruments, each test, what is not on record, the stamp to strike.

    Example: pinseal print sheet --on 2026-11-20 --out tests.pdf --shop shop.pinseal
    """
    begin, end = _span(on, first, last)
    where, files, notes = named_shop(shop), list[str](), list[str]()
    if out is None and not as_json:
        raise Refusal(
            what="nothing is asked for", rule="a sheet is written to a file, or told as JSON", got="neither", do="say --out tests.pdf"
        )
    if out is not None and Path(out).suffix.lower() in _TABLES:
        log, _ = app.write_pressure_table(where, Path(out), begin, end)
        files = [out]
    elif out is not None:
        log, paper = app.pressure_sheet(where, begin, end)
        files, notes = write_files(paper.draw, out, preview)
    else:
        log = app.pressure_log(where, begin, end)
    if as_json:
        print_json({"files": files, "notes": notes, **log.as_json()})
        return
    _tell(log, files, notes)


def _span(on: date | None, first: date | None, last: date | None) -> tuple[date | None, date | None]:
    if on is not None and (first is not None or last is not None):
        raise Refusal(
            what="a day and a span are asked for at once",
            rule="--on is one day, --from and --to are a span",
            got="both",
            do="say one of them",
        )
    if (first is None) is not (last is None):
        raise Refusal(what="half a span is asked for", rule="--from and --to go together", got="one of them", do="say both, or --on")
    return (on, on) if on is not None else (first, last)


def _tell(log: Any, files: list[str], notes: list[str]) -> None:
    say(f"Tests: {log.count}, on {len([day for day in log.days if day.tests])} days" if log.first != log.last else f"Tests: {log.count}")
    for day in log.days:
        for stamp, some in day.stamps:
            say(f"Stamp on {len(some)}: {stamp.words}")
        for each in day.tests:
            for words in each.against:
                say(f"look again: {each.name}: {words}")
            if each.must and not each.told:
                say(f"tell the owner: {each.name}: {each.values['disposition']}")
    for line in (*(f"Wrote {file}" for file in files), *(f"note: {each}" for each in notes)):
        say(line)


COMMANDS = {"sheet": sheet}
