"""`print tag|recharge|collar|label|red`: marks that state work, from job sheets that are finished, or finished but for their marks."""

from __future__ import annotations

from typing import Any

import click

from pinseal.cli.options import json_option, named_shop, shop_option
from pinseal.cli.print_files import form_option, out_options, stock_options, tell_printed, write_files

_LABELS = {"six-year": "six-year-label", "test": "test-label", "hose": "hose-label"}


def _print(app: Any, mark: str, *, shop: str | None, out: str, preview: str | None, as_json: bool, **asked: Any) -> None:
    from pinseal.service.marks import PrintAsked

    printed = app.print_marks(named_shop(shop), PrintAsked(mark=mark, **asked))
    files, notes = write_files(printed.draw, out, preview)
    tell_printed(printed, files, notes, what=printed.marks[0].title.capitalize(), as_json=as_json)


def _options(command: Any) -> Any:
    command = json_option(shop_option(out_options(stock_options(form_option(command)))))
    command = click.option(
        "--years", type=int, metavar="N", help="For how many years it is made out. The most that the form allows unless said."
    )(command)
    command = click.option(
        "--owner",
        default="",
        metavar="TEXT",
        help="The owner's name and address, where the form asks for them. That of the address book unless said.",
    )(command)
    command = click.option("--sheet", metavar="UID", help="The job sheet. The newest of the unit unless said.")(command)
    return click.argument("units", nargs=-1, required=True, metavar="UNIT…")(command)


def _verb(name: str, mark: str, help_text: str) -> click.Command:
    @click.command(name, help=help_text)
    @_options
    @click.pass_obj
    def verb(app: Any, /, **said: Any) -> None:
        _print(app, mark, **said)

    assert isinstance(verb, click.Command)
    return verb


@click.command()
@click.option("--kind", type=click.Choice(list(_LABELS)), required=True, help="Which label.")
@_options
@click.pass_obj
def label(app: Any, /, kind: str, **said: Any) -> None:
    """Six-year labels, labels of the pressure test, hose labels.

    Example: pinseal print label PC-9 --kind test --out test.pdf --shop shop.pinseal
    """
    _print(app, _LABELS[kind], **said)


COMMANDS = {
    "tag": _verb("tag", "tag", "Service tags for units whose job sheet ended with the tag, or is finished but for its marks.\n\n"
                 'Example: pinseal print tag PC-9 --form us-tx --owner "Pier Café, 1 Long Quay" --out pc-9.pdf --shop shop.pinseal'),
    "recharge": _verb("recharge", "recharge-tag", "Recharge tags for units that were filled.\n\n"
                      "Example: pinseal print recharge PC-9 --out pc-9.pdf --shop shop.pinseal"),
    "collar": _verb("collar", "collar", "Rings for the neck: the valve was out, and the inside was examined.\n\n"
                    "Example: pinseal print collar PC-9 --out ring.pdf --shop shop.pinseal"),
    "label": label,
    "red": _verb("red", "red-tag", "Red tags for units that are out of order, with what is wrong.\n\n"
                 "Example: pinseal print red PC-9 --out red.pdf --shop shop.pinseal"),
}  # fmt: skip
