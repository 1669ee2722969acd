"""`shell`: the condemn guide with its sources, and dents and pits judged by measure."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from pinseal.cli.bench_words import needed, say_verdict, sentences
from pinseal.cli.options import json_option, name_list, print_json, say
from pinseal.cli.quantities import LENGTH
from pinseal.measures import Measure, as_json

if TYPE_CHECKING:
    from pinseal.rules.shell_damage import DamageVerdict, Guide, GuideRow

_HEADS = {"pass": "NOT CONDEMNED", "fail": "CONDEMN IT", "too-close": "TOO CLOSE", "unknown": "UNKNOWN"}
_SAFETY = (
    "a condemned shell is emptied and proved empty of pressure before anyone stamps, cuts or drills it",
    "photograph what was found with the serial number, or have a witness sign",
    "the maker's manual and the authority come first",
)


def _exact(length: Measure | None) -> Fraction | None:
    return None if length is None else length.exact


def _judged(said: dict[str, Any]) -> dict[str, DamageVerdict]:
    """What was measured, judged: a dent, a pit, both or neither."""
    from pinseal.rules.shell_damage import judge_dent, judge_pit

    found, step = {}, _exact(said["resolution"])
    if said["dent_depth"] is not None or said["dent_width"] is not None or said["at_weld"]:
        needed(said, "dent_depth", "dent_width")
        found["dent"] = judge_dent(
            depth_m=said["dent_depth"].exact, greatest_width_m=said["dent_width"].exact, at_weld=said["at_weld"], resolution_m=step
        )
    if said["pit_depth"] is not None or said["wall"] is not None:
        needed(said, "pit_depth")
        found["pit"] = judge_pit(depth_m=said["pit_depth"].exact, wall_m=_exact(said["wall"]), resolution_m=step)
    if step is not None and not found:
        needed(said, "dent_depth", "dent_width")
    return found


@click.command()
@click.option("--packs", metavar="A,B", help="Rule packs whose lists are shown; all of the United States unless said.")
@click.option("--dent-depth", type=LENGTH, metavar="L", help="How deep a dent is.")
@click.option("--dent-width", type=LENGTH, metavar="L", help="Its greatest width.")
@click.option("--at-weld", is_flag=True, help="The dent touches a weld.")
@click.option("--pit-depth", type=LENGTH, metavar="L", help="How deep a pit is.")
@click.option("--wall", type=LENGTH, metavar="L", help="How thick the wall is.")
@click.option("--resolution", type=LENGTH, metavar="L", help="The step of the instrument that measured them.")
@json_option
def shell(packs: str | None, as_json: bool, **said: Any) -> None:
    """The condemn guide: what is never tested, what fails, what is condemned, with sources; or a dent or a pit judged by measure.

    More than the limit condemns, exactly the limit passes. What the instrument cannot tell is too close.

    Example: pinseal shell --dent-depth "3 mm" --dent-width "40 mm" --resolution "0.1 mm"
    """
    from pinseal.rules.shell_damage import guide

    shown, found = guide(name_list(packs)), _judged(said)
    if as_json:
        judged = {name: _verdict_json(found[name]) if name in found else None for name in ("dent", "pit")}
        print_json({**judged, **_guide_json(shown)})
    elif found:
        for name, verdict in found.items():
            last = name == list(found)[-1]
            say_verdict(f"The {name}, {_HEADS[verdict.verdict]}", verdict.because, shown.notes if last else (), _SAFETY if last else ())
    else:
        _say_guide(shown, named=packs is not None)


def _verdict_json(found: DamageVerdict) -> dict[str, Any]:
    return {
        "verdict": found.verdict,
        "limit": None if found.limit_m is None else as_json(float(found.limit_m), "length"),
        "uncertainty": as_json(found.expanded_m, "length"),
        "because": sentences(found.because),
        "source": found.source.as_json(),
    }


def _guide_json(shown: Guide) -> dict[str, Any]:
    return {
        "packs": list(shown.packs),
        "lists": {name: [row.as_json() for row in rows] for name, rows in shown.lists.items()},
        "measured": [row.as_json() for row in shown.measured],
        "needs": [row.as_json() for row in shown.needs],
        "notes": sentences(shown.notes),
    }


def _say_rows(title: str, rows: tuple[GuideRow, ...]) -> None:
    say(f"{title}:")
    for row in rows:
        say(f"  - {sentences([row.words])[0]}")
        say(f"      {sentences([row.from_where()])[0]}")
        if row.source.note:
            say(f"      {row.source.note}")
    if not rows:
        say("  - No list is held under these packs.")


def _say_guide(shown: Guide, *, named: bool) -> None:
    from pinseal.rules.shell_damage import LIST_TITLES

    say(f"Packs: {', '.join(shown.packs)}" + ("." if named else ", all of the United States, as none was named."))
    for name, rows in shown.lists.items():
        _say_rows(LIST_TITLES[name], rows)
    if shown.measured:
        _say_rows("Condemned by measure (exactly the limit passes)", shown.measured)
    _say_rows("What condemning needs", shown.needs)
    for line in sentences(shown.notes):
        say(f"  Mind: {line}")
    for line in sentences(_SAFETY):
        say(f"! {line}")


COMMANDS = {"shell": shell}
