"""`serve` and `demo`: the pages on this machine, and the invented shop."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pinseal.cli import wording
from pinseal.cli.options import Day, busy, json_option, print_json, say, shop_option
from pinseal.reasons import Refusal


@click.command()
@click.argument("path", metavar="SHOP", required=False)
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen on; 0.0.0.0 for every device on the network.")
@click.option("--port", type=click.IntRange(1, 65535), default=8000, show_default=True)
@click.option("--tls", is_flag=True, help="Serve over TLS with a small certificate authority of the shop's own; needs the next port too.")
@shop_option
@click.pass_obj
def serve(app: Any, /, path: str | None, host: str, port: int, tls: bool, shop: str | None) -> None:
    """Serve a shop's pages on this machine. The first start of a shop prints a link by which its first supervisor comes in.

    Example: pinseal serve shop.pinseal --host 0.0.0.0 --tls
    """
    where = path or shop
    if not where:
        raise Refusal(
            what="no shop is named",
            rule="pages belong to a shop",
            got="nothing",
            do="say pinseal serve SHOP, or make one with pinseal init",
        )
    app.serve(Path(where), host=host, port=port, tls=tls)


@click.command()
@click.option("--on", type=Day(), metavar="DATE", help="The day asked; the demo's own last day unless said.")
@click.option("--top", type=click.IntRange(1), default=12, show_default=True, help="How many dues to print.")
@shop_option
@json_option
@click.pass_obj
def demo(app: Any, /, on: Any, top: int, shop: str | None, as_json: bool) -> None:
    """Make the invented demo shop (if it is not there yet) and print its most urgent dues with reasons.

    Everything in it is invented: town, sites, people, makers, numbers, dates.

    Example: pinseal demo --shop demo.pinseal
    """
    where = Path(shop or "demo.pinseal")
    with busy("Making the invented shop"):
        found = app.demo(where, on=on)
    if as_json:
        print_json(found.as_json())
        return
    say(f"The shop {where}: invented throughout, from a fixed seed.")
    wording.say_summary(found)
    wording.say_urgent(found, top)


COMMANDS = {"serve": serve, "demo": demo}
