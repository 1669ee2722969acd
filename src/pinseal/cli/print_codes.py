"""`print codes|places`: labels that say which unit this is, and what hangs here."""

from __future__ import annotations

from typing import Any

import click

from pinseal.cli.options import json_option, named_shop, shop_option
from pinseal.cli.print_files import form_option, out_options, stock_options, tell_printed, write_files


def _print(app: Any, mark: str, what: str, *, shop: str | None, out: str, preview: str | None, as_json: bool, **asked: Any) -> None:
    from pinseal.service.marks import PrintAsked

    printed = app.print_labels(named_shop(shop), PrintAsked(mark=mark, **asked))
    files, notes = write_files(printed.draw, out, preview)
    tell_printed(printed, files, notes, what=what, as_json=as_json)


def _options(command: Any) -> Any:
    command = json_option(shop_option(out_options(stock_options(form_option(command)))))
    command = click.option("--site", metavar="NAME", help="Every unit of this site that is in use.")(command)
    return click.argument("units", nargs=-1, metavar="UNIT…")(command)


@click.command()
@_options
@click.pass_obj
def codes(app: Any, /, **said: Any) -> None:
    """Labels with the number of a unit, a code for a camera (its page) and a bar code for a hand scanner.

    Example: pinseal print codes --site "Pier Café" --stock codes-a4 --start 5 --out codes.pdf --shop shop.pinseal
    """
    _print(app, "code-label", "Unit code labels", **said)


@click.command()
@_options
@click.pass_obj
def places(app: Any, /, **said: Any) -> None:
    """Labels for the wall: which unit belongs here, what it is, and the place.

    Example: pinseal print places PC-9 --out place.pdf --shop shop.pinseal
    """
    _print(app, "place-label", "Place labels", **said)


COMMANDS = {"codes": codes, "places": places}
