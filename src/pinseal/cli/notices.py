"""`notices`: impaired units, who must be told of them, and by when."""

from __future__ import annotations

from typing import Any

import click

from pinseal.cli.options import json_option, named_shop, print_json, say, shop_option


@click.command()
@click.argument("unit", required=False)
@click.option("--all", "everything", is_flag=True, help="Those that are cleared and told, too.")
@shop_option
@json_option
@click.pass_obj
def notices(app: Any, /, unit: str | None, everything: bool, shop: str | None, as_json: bool) -> None:
    """Impaired units with the clocks of their notices. What is recorded: impaired, notice-given, impairment-cleared.

    Example: pinseal notices --shop shop.pinseal
    """
    found = app.impairments(named_shop(shop), unit=unit, only_open=not everything)
    if as_json:
        print_json({"impairments": [each.as_json() for each in found]})
        return
    if not found:
        say("No impairment is open." if not everything else "No impairment is on record.")
    for each in found:
        _say_one(each)


def _say_one(each: Any) -> None:
    from pinseal.rules.notices import moment_words, rule_words

    case, unit = each.impairment, each.unit
    say(f"{unit.id or unit.serial or unit.uid}  ({unit.site or 'no site'}, {unit.place or 'no place'}): {case.impairments}")
    say(f"  impaired {moment_words(case.case.at)}" + (f", cleared {moment_words(case.case.cleared)}" if case.case.cleared else ""))
    say(f"  record {case.record}")
    for due in case.dues:
        by = f"by {moment_words(due.earliest)}" if due.earliest else "not begun"
        if due.latest != due.earliest and due.latest:
            by += f" or {moment_words(due.latest)}, if holidays do not count"
        told = f", told {moment_words(due.done.at)}" if due.done else ""
        say(f"  {due.state}: {due.telling.words}; {by}{told} ({rule_words(due.telling)})")


COMMANDS = {"notices": notices}
