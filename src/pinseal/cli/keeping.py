"""`verify`, `backup`, `restore`, `export`: that nothing is lost, and that anyone can leave with everything."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import busy, json_option, named_shop, print_json, say, shop_option
from pinseal.reasons import ShopUnusable


@click.command()
@click.argument("path", metavar="SHOP", required=False)
@shop_option
@json_option
@click.pass_obj
def verify(app: Any, /, path: str | None, shop: str | None, as_json: bool) -> None:
    """Check every chain of records and the state that is derived from it. Prints each chain's length and head.

    Example: pinseal verify --shop shop.pinseal
    """
    where = named_shop(path or shop)
    with busy("Verifying"):
        found = app.verify(where)
    if as_json and found.holds:
        print_json(found.as_json())
        return
    for line in found.lines() if not as_json else ():
        say(line)
    if not found.holds:
        raise ShopUnusable(
            what="the shop does not verify",
            rule="chains, receipts, state and files must agree",
            got="; ".join(found.problems),
            do="keep the file as it is and restore a backup beside it",
        )


@click.command()
@click.argument("dest", metavar="DEST")
@shop_option
@json_option
@click.pass_obj
def backup(app: Any, /, dest: str, shop: str | None, as_json: bool) -> None:
    """Copy a shop while it is in use, restore the copy and verify it before saying that it worked.

    Example: pinseal backup /media/stick/shop-2026-11-24.pinseal --shop shop.pinseal
    """
    with busy("Backing up and proving the copy"):
        made = app.backup(named_shop(shop), Path(dest))
    _say_copy("Backup", made, as_json)


@click.command()
@click.argument("source", metavar="BACKUP")
@click.argument("dest", metavar="SHOP", required=False)
@shop_option
@json_option
@click.pass_obj
def restore(app: Any, /, source: str, dest: str | None, shop: str | None, as_json: bool) -> None:
    """Make a shop from a backup, and verify it. Never takes the place of a shop that is there.

    Example: pinseal restore shop-2026-11-24.pinseal restored.pinseal
    """
    with busy("Restoring and verifying"):
        made = app.restore(Path(source), named_shop(dest or shop))
    _say_copy("Restored", made, as_json)


def _say_copy(word: str, made: Any, as_json: bool) -> None:
    if as_json:
        print_json(made.as_json())
        return
    say(f"{word}: {made.path} ({made.size:,} bytes)")
    for line in made.proof.lines():
        say(line)


@click.command()
@click.argument("folder", metavar="FOLDER")
@shop_option
@json_option
@click.pass_obj
def export(app: Any, /, folder: str, shop: str | None, as_json: bool) -> None:
    """Write everything that a shop holds as plain CSV and JSON, into a folder that is new or empty.

    Example: pinseal export out/ --shop shop.pinseal
    """
    with busy("Writing"):
        written = app.export(named_shop(shop), Path(folder))
    if as_json:
        print_json({"folder": folder, "files": written})
        return
    for name, rows in written.items():
        say(f"{name:<28} {rows:>8} rows")


COMMANDS = {"verify": verify, "backup": backup, "restore": restore, "export": export}
