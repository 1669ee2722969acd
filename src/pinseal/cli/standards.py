"""`pinseal standards`: the packs and provisions held, what is only remembered, and where packs differ."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from pinseal import kinds
from pinseal.cli.options import json_option, name_list, on_option, packs_option, print_json, say
from pinseal.standards.model import Chosen, Provision

_REMEMBERED = ("memory", "unsure")


@click.command()
@packs_option
@on_option
@click.option("--remembered", is_flag=True, help="Only provisions that rest on memory.")
@click.option("--differences", "show_differences", is_flag=True, help="Only where the packs differ.")
@json_option
@click.pass_obj
def standards(app: Any, /, packs: str | None, on: date | None, remembered: bool, show_differences: bool, as_json: bool) -> None:
    """The rule packs held: provisions, sources, what is only remembered, where packs differ.

    Example: pinseal standards --packs us-nfpa10 --remembered
    """
    from pinseal.rules.conflicts import differences
    from pinseal.standards import choose_packs, held_packs

    chosen = choose_packs(name_list(packs) or list(held_packs()))
    differing = differences(chosen, on or app.today())
    if as_json:
        print_json({"packs": [_pack_json(c, remembered) for c in chosen], "differences": [_difference_json(d) for d in differing]})
        return
    if not show_differences:
        for pick in chosen:
            _say_pack(pick, remembered)
    if not remembered:
        _say_differences(differing)


def _shown(pick: Chosen, remembered: bool) -> list[Provision]:
    return [p for p in pick.provisions if not remembered or p.checked in _REMEMBERED]


def _say_pack(pick: Chosen, remembered: bool) -> None:
    editions = ", ".join(e.id for e in pick.pack.editions)
    say(f"{pick.pack.id}: {pick.pack.title}. {pick.pack.document}, edition {pick.edition} (held: {editions})")
    for provision in _shown(pick, remembered):
        say(f"  {kinds.DUTIES[provision.duty]:<24} {provision.title}")
        say(f"  {'':<24} {provision.clause}; {kinds.CHECKED[provision.checked]}; checked {provision.checked_on.isoformat()}")
    for note in () if remembered else pick.pack.notes:
        say(f"  Note: {note}")
    say()


def _say_differences(differing: list[Any]) -> None:
    say("Where these packs differ (the stricter governs; both are shown):")
    for d in differing:
        say(f"  {kinds.DUTIES[d.duty]}: {'; '.join(d.units)}")
        say("    " + "; ".join(f"{pack} {interval}" for pack, interval in d.intervals.items()))


def _pack_json(pick: Chosen, remembered: bool) -> dict[str, Any]:
    return {
        "pack": pick.pack.id,
        "title": pick.pack.title,
        "document": pick.pack.document,
        "jurisdiction": pick.pack.jurisdiction,
        "edition": pick.edition,
        "editions": [e.id for e in pick.pack.editions],
        "notes": list(pick.pack.notes),
        "provisions": [_provision_json(p) for p in _shown(pick, remembered)],
    }


def _provision_json(p: Provision) -> dict[str, Any]:
    from pinseal.rules.conflicts import clock_words

    return {
        "provision": p.id,
        "title": p.title,
        "duty": p.duty,
        "effect": p.effect,
        "clause": p.clause,
        "in_force_from": p.in_force_from.isoformat(),
        "in_force_to": p.in_force_to.isoformat() if p.in_force_to else "open",
        "applies": {name: sorted(codes) for name, codes in p.applies.items()},
        "interval": clock_words(p.clock) if p.clock else None,
        "counted_from": [s.fact for s in p.clock.first] if p.clock else [],
        "restarted_by": list(p.clock.after) if p.clock else [],
        "by": p.by,
        "checked": p.checked,
        "checked_on": p.checked_on.isoformat(),
        "source": p.source,
        "note": p.note,
    }


def _difference_json(d: Any) -> dict[str, Any]:
    return {"duty": d.duty, "units": list(d.units), "intervals": dict(d.intervals)}


COMMANDS = {"standards": standards}
