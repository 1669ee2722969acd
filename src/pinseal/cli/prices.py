"""`prices`, `quotes`, `repair-or-replace`: the price book, the quotes that were made, and whether a unit is worth its keep."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pinseal.cli.options import Day, busy, json_option, name_list, named_shop, on_option, print_json, say, shop_option
from pinseal.cli.price_wording import say_answer, say_book, say_figures
from pinseal.cli.registers import inside

person_option = click.option("--person", envvar="PINSEAL_PERSON", metavar="NAME", help="Who says so. Or set PINSEAL_PERSON.")


@click.group(invoke_without_command=True)
@on_option
@shop_option
@json_option
@click.pass_context
def prices(ctx: click.Context, /, on: Any, shop: str | None, as_json: bool) -> None:
    """The price book that holds today (or on a day), and from when the others hold.

    Example: pinseal prices --shop shop.pinseal
    """
    if ctx.invoked_subcommand:
        return
    held = ctx.obj.prices(named_shop(shop), on=on)
    kept = [
        {"title": e.title, "from": e.from_day.isoformat(), "currency": e.currency, "record": e.record, "kept": str(e.kept)}
        for e in held.kept
    ]
    if as_json:
        print_json({"on": held.on.isoformat(), "in_force": held.holds.record if held.holds else None, "book": held.said, "kept": kept})
        return
    if held.book is None:
        say("No price book holds on this day. Keep one: pinseal prices import FILE")
    else:
        say_book(held.book)
    for each in kept if len(kept) > 1 or held.book is None else ():
        say(f"kept: {each['title']}, from {each['from']} (record {each['record']})")


@prices.command("import")
@click.argument("file", metavar="FILE")
@click.option("--terms", metavar="FILE.toml", help="With a CSV of prices: where the terms stand. Those of the book in force unless said.")
@click.option("--from", "from_day", type=Day(), metavar="DATE", help="The first day on which the prices hold, instead of the file's.")
@person_option
@shop_option
@json_option
@click.pass_context
def _import(
    ctx: click.Context, /, file: str, terms: str | None, from_day: Any, person: str | None, shop: str | None, as_json: bool
) -> None:
    """Keep a price book: a TOML file with its terms, or a CSV with prices alone. Books that were kept before hold for the days before.

    Example: pinseal prices import prices.toml --shop shop.pinseal
    """
    where, as_json = inside(ctx, {"shop": shop, "as_json": as_json})
    other = Path(terms) if terms else None
    book, record = ctx.obj.import_prices(where, Path(file), terms=other, from_day=from_day, person=person, writer="cli")
    if as_json:
        print_json({"title": book.title, "from": book.from_day.isoformat(), "prices": len(book.entries), "record": record})
        return
    say(f"Kept {book.title}: {len(book.entries)} prices in {book.currency}, from {book.from_day.isoformat()} on.")


@click.group(invoke_without_command=True)
@click.option("--site", metavar="NAME", help="Only of this site.")
@shop_option
@json_option
@click.pass_context
def quotes(ctx: click.Context, /, site: str | None, shop: str | None, as_json: bool) -> None:
    """The quotes that were kept, the newest first, with how far each is answered. `print quote --keep` makes one.

    Example: pinseal quotes --shop shop.pinseal
    """
    if ctx.invoked_subcommand:
        return
    found = ctx.obj.quotes(named_shop(shop), site=site)
    if as_json:
        print_json({"quotes": [each.as_json() for each in found]})
        return
    if not found:
        say("No quote was kept yet.")
    for each in found:
        until = f", holds until {each.kept.valid_until.isoformat()}" if each.kept.valid_until else ""
        say(f"{each.kept.number}  {each.on.isoformat()}  {each.site}: {each.figures.total}, {each.state()}{until}")


@quotes.command("show")
@click.argument("quote", metavar="NUMBER")
@shop_option
@json_option
@click.pass_context
def _show(ctx: click.Context, /, quote: str, shop: str | None, as_json: bool) -> None:
    """One quote with its lines and what was answered.

    Example: pinseal quotes show 26-0001 --shop shop.pinseal
    """
    where, as_json = inside(ctx, {"shop": shop, "as_json": as_json})
    _tell(ctx.obj.quote(where, quote), as_json)


@quotes.command("answer")
@click.argument("quote", metavar="NUMBER")
@click.option("--agreed", "agreed", is_flag=True, help="The owner agreed.")
@click.option("--declined", "declined", is_flag=True, help="The owner declined.")
@click.option("--lines", metavar="1,4,7", help="Only to these lines. All of them unless said.")
@click.option("--by", "by", required=True, metavar="NAME", help="Who answered for the owner.")
@click.option("--reason", default="", metavar="TEXT", help="Why.")
@person_option
@shop_option
@json_option
@click.pass_context
def _answer(ctx: click.Context, /, quote: str, agreed: bool, declined: bool, lines: str | None, by: str, reason: str, **own: Any) -> None:
    """Record what the owner answered, with the name and the time; a later answer takes the place of an earlier one.

    Example: pinseal quotes answer 26-0001 --agreed --lines 1,2 --by "Merrin Oakshaw" --shop shop.pinseal
    """
    from pinseal.service.quotes import Answered

    if agreed == declined:
        raise click.UsageError("say --agreed or --declined, one of them")
    where, as_json = inside(ctx, own)
    said = Answered(lines=tuple(name_list(lines) or ()), answer="agreed" if agreed else "declined", by=by, reason=reason)
    _tell(ctx.obj.answer_quote(where, quote, [said], person=own["person"], writer="cli"), as_json)


def _tell(found: Any, as_json: bool) -> None:
    from pinseal.service.quotes import line_words

    if as_json:
        print_json(found.as_json())
        return
    say(f"{found.kept.number}, {found.site}, {found.on.isoformat()}: {found.state()}")
    say_figures(found.figures)
    for each in found.kept.answers:
        lines = f"lines {line_words(each.lines)}" if each.lines else "all lines"
        say(f"{each.by} {each.answer} {lines}, {each.at.isoformat(timespec='minutes')}" + (f": {each.reason}" if each.reason else ""))


@click.command("repair-or-replace")
@click.argument("unit")
@click.option("--years", default=12, show_default=True, metavar="N", help="Over how many years both ways are counted, 1 to 40.")
@shop_option
@json_option
@click.pass_obj
def repair_or_replace(app: Any, /, unit: str, years: int, shop: str | None, as_json: bool) -> None:
    """Whether to keep a unit or to hang a new one in its place: what both come to over the same years, by the clocks and the price book.

    Example: pinseal repair-or-replace PC-9 --years 12 --shop shop.pinseal
    """
    with busy("Counting both ways"):
        found = app.repair_or_replace(named_shop(shop), unit, years=years)
    if as_json:
        print_json(found.as_json())
    else:
        say_answer(found)


COMMANDS = {"prices": prices, "quotes": quotes, "repair-or-replace": repair_or_replace}
