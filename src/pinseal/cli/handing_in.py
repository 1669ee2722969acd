"""`take-in`: what a phone saved to a file because it could not send it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import busy, json_option, named_shop, print_json, say, shop_option
from pinseal.reasons import Refusal


@click.command("take-in")
@click.argument("file", metavar="FILE")
@shop_option
@click.option("--person", envvar="PINSEAL_PERSON", metavar="NAME", help="Who takes it in. Or set PINSEAL_PERSON.")
@json_option
@click.pass_obj
def take_in(app: Any, /, file: str, shop: str | None, person: str | None, as_json: bool) -> None:
    """Take in what a phone saved to a file because it could not send it.

    Every item is checked as if the phone had sent it, and answered by itself. Taking the same file in again, or sending
    from the phone afterwards, changes nothing.

    Example: pinseal take-in pinseal-unsent-2026-11-24T1630.json --shop shop.pinseal --person "A. Quay"
    """
    with busy("Taking in"):
        found = app.take_in_unsent(named_shop(shop), Path(file), person=person)
    if as_json:
        print_json(found.as_json())
    else:
        for what, words in found.counts().items():
            say(f"{what:<10} {words['kept']:>5} kept, {words['known']} known already, {words['refused']} not taken")
        for each in found.refused:
            why = each.refusal or {}
            say(f"not taken: {each.what} {each.uid} {each.subject}: {why.get('what', '')}. {why.get('do', '')}")
    if found.refused and not as_json:
        raise Refusal(
            what=f"{len(found.refused)} of {len(found.items)} items were not taken",
            rule="each item is answered by itself; the others are kept",
            got=file,
            do="put right what the lines above name, and take the file in again: what is kept stays as it is",
        )


COMMANDS = {"take-in": take_in}
