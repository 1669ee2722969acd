"""The picture of a charge: a dial with today's target, where to stop the gas, and the ceiling as a hard stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.documents.dial import Dial
from pinseal.documents.svg import picture, text, ticks

_WIDTH, _HEIGHT = 820, 470
_X, _Y, _R = 235.0, 245.0, 165.0
_LABELS_X, _LABEL_STEP = 500.0, 46.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargePicture:
    """What the dial shows, in the unit that people read: pressures are gauge values in `unit`.

    `target`, `stop_at` and `settles_at` are None where the charge is refused; `refusals` then says why.
    """

    unit: str
    nameplate: float
    ceiling: float
    at: str
    target: float | None
    stop_at: float | None
    settles_at: float | None
    top_up: bool
    refusals: Sequence[str]
    missing: Sequence[str]
    digits: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Mark:
    value: float
    word: str
    kind: str


def _dial(top: float) -> Dial:
    return Dial(x=_X, y=_Y, radius=_R, top=top)


def _scale(dial: Dial) -> str:
    parts = [dial.arc(0, dial.top, _R, "brass")]
    for value in ticks(0, dial.top, 8):
        x, y = dial.at(value, _R - 30)
        parts.append(dial.spoke(value, _R - 14, _R, "axis") + text(x, y + 5, f"{value:g}", kind="soft", anchor="middle"))
    return "".join(parts)


def _hard_stop(ceiling: float, dial: Dial) -> str:
    """The range above the ceiling, barred by strokes, so that it is read without colour."""
    strokes = [dial.spoke(ceiling + (dial.top - ceiling) * k / 9, _R + 3, _R + 17, "limit") for k in range(1, 10)]
    bar = dial.spoke(ceiling, _R - 26, _R + 30, "limit").replace('class="limit"', 'class="limit" style="stroke-width:7"')
    arcs = (dial.arc(ceiling, dial.top, radius, "limit") for radius in (_R + 3, _R + 17))
    return "".join([*arcs, *strokes, bar])


def _marks(plan: ChargePicture) -> list[_Mark]:
    def words(value: float) -> str:
        return f"{value:.{plan.digits}f} {plan.unit}"

    marks = [_Mark(value=plan.ceiling, word=f"{words(plan.ceiling)}: ceiling, a hard stop", kind="ceiling")]
    if plan.target is not None and plan.stop_at is not None:
        marks.append(_Mark(value=plan.stop_at, word=f"{words(plan.stop_at)}: stop the gas here", kind="stop"))
        marks.append(_Mark(value=plan.target, word=f"{words(plan.target)}: target at {plan.at}", kind="target"))
    marks.append(_Mark(value=plan.nameplate, word=f"{words(plan.nameplate)}: nameplate, at 70 F", kind="nameplate"))
    return sorted(marks, key=lambda mark: -mark.value)


def _labels(marks: Sequence[_Mark], dial: Dial) -> str:
    """The words beside the dial, the highest pressure lowest on the right as on the dial, each led to its mark."""
    rows, parts = list(reversed(marks)), []
    first = _Y - _LABEL_STEP * (len(rows) - 1) / 2
    for number, mark in enumerate(rows):
        y = first + number * _LABEL_STEP
        x1, y1 = dial.at(mark.value, _R + 32)
        parts.append(f'<path d="M{x1:.1f} {y1:.1f} L{_LABELS_X - 40:.1f} {y:.1f} H{_LABELS_X - 6:.1f}" class="axis"/>')
        parts.append(text(_LABELS_X, y + 5, mark.word, kind="soft" if mark.kind == "nameplate" else "strong"))
    return "".join(parts)


def _drawn(mark: _Mark, dial: Dial) -> str:
    if mark.kind == "ceiling":
        return _hard_stop(mark.value, dial)
    if mark.kind == "target":
        return dial.wedge(mark.value, _R + 2, _R + 20, "point", half_degrees=3.0)
    if mark.kind == "stop":
        return dial.spoke(mark.value, _R - 60, _R + 28, "brass dash")
    return dial.spoke(mark.value, _R - 8, _R + 30, "axis")


def _middle(plan: ChargePicture) -> str:
    if plan.target is None:
        cross = f'<path d="M{_X - 26} {_Y - 34} l52 52 m0 -52 l-52 52" class="limit" style="stroke-width:7"/>'
        return cross + text(_X, _Y + 52, "do not charge", kind="big", anchor="middle")
    words = text(_X, _Y + 4, f"{plan.target:.{plan.digits}f} {plan.unit}", kind="big", anchor="middle")
    return words + text(_X, _Y + 28, f"target at {plan.at}", kind="soft", anchor="middle")


def _notes(plan: ChargePicture) -> list[str]:
    if plan.refusals:
        return [f"Refused: {', '.join(plan.refusals)}."]
    lines = []
    if plan.settles_at is not None:
        more = ": wait, read, top up" if plan.top_up else ""
        lines.append(f"Settles at about {plan.settles_at:.{plan.digits}f} {plan.unit} when the gas has cooled{more}.")
    if plan.missing:
        lines.append(f"Do not charge yet, not known: {', '.join(plan.missing)}.")
    return [*lines, "Upright, secured, shield; nobody leans over. Read the regulator's own gauge."]


def charge_svg(plan: ChargePicture) -> str:
    """The dial as SVG text."""
    top = ticks(0, plan.ceiling * 1.12, 8)[-1]
    top = top if top >= plan.ceiling * 1.08 else plan.ceiling * 1.12
    marks, dial = _marks(plan), _dial(top)
    body = [text(24, 34, "Charge", kind="big"), _scale(dial), *(_drawn(m, dial) for m in marks), _labels(marks, dial), _middle(plan)]
    notes = _notes(plan)
    for number, line in enumerate(notes):
        kind = "strong" if line.startswith(("Refused", "Do not")) else "soft"
        body.append(text(24, _HEIGHT - 16 - 20 * (len(notes) - 1 - number), line, kind=kind))
    return picture(_WIDTH, _HEIGHT, title="Charge", description="; ".join([m.word for m in marks] + notes), body=body)
