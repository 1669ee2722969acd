"""`print quote|invoice-figures`: what work at a site comes to, planned or done, as a paper, as CSV and as JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import Day, busy, json_option, named_shop, print_json, say, shop_option
from pinseal.cli.price_wording import say_figures
from pinseal.cli.prices import person_option
from pinseal.cli.print_files import write_files
from pinseal.reasons import Refusal

_out = click.option("--out", metavar="FILE", help="Where to write the paper: .pdf (archivable), .svg or .png.")
_preview = click.option("--preview", metavar="FILE.png", help="Also a picture of each page, at 200 dots an inch.")
_csv = click.option("--csv", "csv_file", metavar="FILE.csv", help="The lines for the shop's accounts, as a new CSV file.")


@click.command()
@click.argument("site", required=False)
@click.option("--quote", "name", metavar="NUMBER", help="A quote that was kept, by its number or uid, instead of a new one.")
@click.option("--until", type=Day(), metavar="DATE", help="Also what falls due up to this day.")
@click.option("--keep", is_flag=True, help="Keep it: it gets a number, and the owner can answer it.")
@click.option("--valid-until", type=Day(), metavar="DATE", help="With --keep: the last day on which it holds.")
@click.option("--number", metavar="TEXT", help="With --keep: its number. The next of the year unless said.")
@_out
@_preview
@_csv
@person_option
@shop_option
@json_option
@click.pass_obj
def quote(app: Any, /, site: str | None, name: str | None, shop: str | None, as_json: bool, **asked: Any) -> None:
    """What the work that is due at a site comes to today, by the price book, with the reason and the price of each line.

    Example: pinseal print quote "Pier Café" --keep --valid-until 2026-12-31 --out quote.pdf --shop shop.pinseal
    """
    where = named_shop(shop)
    with busy("Looking up prices"):
        found = _quote(app, where, site, name, asked)
    paper = app.quote_paper(where, found)
    label = found.kept.number if found.kept else "draft"
    files, notes = _write(app, asked, paper, found.figures, site=found.site, day=found.on.isoformat(), label=f"quote {label}")
    if as_json:
        print_json({"files": files, "notes": notes, **found.as_json()})
        return
    kept = f"quote {found.kept.number}, kept (uid {found.kept.uid})" if found.kept else "a draft; --keep keeps it and gives it a number"
    say(f"{found.site}, {found.on.isoformat()}: {kept}")
    say_figures(found.figures)
    _say_files(files, notes)


def _quote(app: Any, where: Path, site: str | None, name: str | None, asked: dict[str, Any]) -> Any:
    if name is not None:
        return app.quote(where, name)
    if not site:
        raise Refusal(what="no site is named", rule="a quote is of a site", got="nothing", do="name it, or say --quote NUMBER")
    if not asked["keep"]:
        _only_with_keep(asked)
        return app.draft_quote(where, site, until=asked["until"])
    said = {key: asked[key] for key in ("until", "valid_until", "number", "person")}
    return app.keep_quote(where, site, writer="cli", **said)


def _only_with_keep(asked: dict[str, Any]) -> None:
    for key in ("valid_until", "number"):
        if asked[key] is not None:
            option = f"--{key.replace('_', '-')}"
            raise Refusal(what=f"{option} is of a quote that is kept", rule="a draft has neither", got=str(asked[key]), do="say --keep too")


@click.command("invoice-figures")
@click.argument("site")
@click.option("--on", "first", type=Day(), required=True, metavar="DATE", help="The day of the visit.")
@click.option("--to", "last", type=Day(), metavar="DATE", help="The last day, of a visit of several days.")
@_out
@_preview
@_csv
@shop_option
@json_option
@click.pass_obj
def invoice_figures(app: Any, /, site: str, first: Any, last: Any, shop: str | None, as_json: bool, **asked: Any) -> None:
    """What was done at a site on a day: only work on record, with the agent that was used. Figures for the accounts, no invoice.

    Example: pinseal print invoice-figures "Pier Café" --on 2026-11-20 --csv figures.csv --shop shop.pinseal
    """
    where = named_shop(shop)
    with busy("Going through the records"):
        found = app.invoice_figures(where, site, first=first, last=last)
    days = first.isoformat() if found.last == first else f"{first.isoformat()} to {found.last.isoformat()}"
    paper = app.invoice_paper(where, found)
    files, notes = _write(app, asked, paper, found.figures, site=site, day=days, label="invoice figures")
    if as_json:
        print_json({"files": files, "notes": notes, **found.as_json()})
        return
    say(f"{site}, {days}: figures for an invoice")
    say_figures(found.figures)
    _say_files(files, notes)


def _write(app: Any, asked: dict[str, Any], paper: Any, found: Any, *, site: str, day: str, label: str) -> tuple[list[str], list[str]]:
    files, notes = write_files(paper.draw, asked["out"], asked["preview"]) if asked["out"] else ([], [])
    if asked["csv_file"]:
        app.write_accounts(Path(asked["csv_file"]), found, site=site, day=day, paper=label)
        files.append(asked["csv_file"])
    return files, notes


def _say_files(files: list[str], notes: list[str]) -> None:
    for line in (*(f"Wrote {file}" for file in files), *(f"note: {each}" for each in notes)):
        say(line)


COMMANDS = {"quote": quote, "invoice-figures": invoice_figures}
