"""The picture of a charge: a dial with today's target, where to stop the gas, and the ceiling as a hard stop."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.documents.svg import picture, text, ticks

_WIDTH, _HEIGHT = 820, 470
_X, _Y, _R = 235.0, 245.0, 165.0
_START_DEGREES, _SWEEP_DEGREES = 225.0, 270.0
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


def _angle(value: float, top: float) -> float:
    return math.radians(_START_DEGREES - _SWEEP_DEGREES * value / top)


def _at(value: float, top: float, radius: float) -> tuple[float, float]:
    angle = _angle(value, top)
    return _X + radius * math.cos(angle), _Y - radius * math.sin(angle)


def _arc(low: float, high: float, top: float, radius: float, kind: str) -> str:
    (x1, y1), (x2, y2) = _at(low, top, radius), _at(high, top, radius)
    large = int((high - low) / top * _SWEEP_DEGREES > 180)
    return f'<path d="M{x1:.1f} {y1:.1f} A{radius:.1f} {radius:.1f} 0 {large} 1 {x2:.1f} {y2:.1f}" class="{kind}"/>'


def _spoke(value: float, top: float, inner: float, outer: float, kind: str) -> str:
    (x1, y1), (x2, y2) = _at(value, top, inner), _at(value, top, outer)
    return f'<path d="M{x1:.1f} {y1:.1f} L{x2:.1f} {y2:.1f}" class="{kind}"/>'


def _scale(top: float) -> str:
    parts = [_arc(0, top, top, _R, "brass")]
    for value in ticks(0, top, 8):
        x, y = _at(value, top, _R - 30)
        parts.append(_spoke(value, top, _R - 14, _R, "axis") + text(x, y + 5, f"{value:g}", kind="soft", anchor="middle"))
    return "".join(parts)


def _hard_stop(ceiling: float, top: float) -> str:
    """The range above the ceiling, barred by strokes, so that it is read without colour."""
    strokes = [_spoke(ceiling + (top - ceiling) * k / 9, top, _R + 3, _R + 17, "limit") for k in range(1, 10)]
    bar = _spoke(ceiling, top, _R - 26, _R + 30, "limit").replace('class="limit"', 'class="limit" style="stroke-width:7"')
    return _arc(ceiling, top, top, _R + 3, "limit") + _arc(ceiling, top, top, _R + 17, "limit") + "".join(strokes) + bar


def _target_mark(value: float, top: float) -> str:
    (x0, y0), half = _at(value, top, _R + 2), math.radians(3.0)
    angle = _angle(value, top)
    far = [(_X + (_R + 20) * math.cos(angle + d), _Y - (_R + 20) * math.sin(angle + d)) for d in (half, -half)]
    return f'<path d="M{x0:.1f} {y0:.1f} L{far[0][0]:.1f} {far[0][1]:.1f} L{far[1][0]:.1f} {far[1][1]:.1f} Z" class="point"/>'


def _marks(plan: ChargePicture) -> list[_Mark]:
    def words(value: float) -> str:
        return f"{value:.{plan.digits}f} {plan.unit}"

    marks = [_Mark(value=plan.ceiling, word=f"{words(plan.ceiling)}: ceiling, a hard stop", kind="ceiling")]
    if plan.target is not None and plan.stop_at is not None:
        marks.append(_Mark(value=plan.stop_at, word=f"{words(plan.stop_at)}: stop the gas here", kind="stop"))
        marks.append(_Mark(value=plan.target, word=f"{words(plan.target)}: target at {plan.at}", kind="target"))
    marks.append(_Mark(value=plan.nameplate, word=f"{words(plan.nameplate)}: nameplate, at 70 F", kind="nameplate"))
    return sorted(marks, key=lambda mark: -mark.value)


def _labels(marks: Sequence[_Mark], top: float) -> str:
    """The words beside the dial, the highest pressure lowest on the right as on the dial, each led to its mark."""
    rows, parts = list(reversed(marks)), []
    first = _Y - _LABEL_STEP * (len(rows) - 1) / 2
    for number, mark in enumerate(rows):
        y = first + number * _LABEL_STEP
        x1, y1 = _at(mark.value, top, _R + 32)
        parts.append(f'<path d="M{x1:.1f} {y1:.1f} L{_LABELS_X - 40:.1f} {y:.1f} H{_LABELS_X - 6:.1f}" class="axis"/>')
        parts.append(text(_LABELS_X, y + 5, mark.word, kind="soft" if mark.kind == "nameplate" else "strong"))
    return "".join(parts)


def _drawn(mark: _Mark, top: float) -> str:
    if mark.kind == "ceiling":
        return _hard_stop(mark.value, top)
    if mark.kind == "target":
        return _target_mark(mark.value, top)
    if mark.kind == "stop":
        return _spoke(mark.value, top, _R - 60, _R + 28, "brass dash")
    return _spoke(mark.value, top, _R - 8, _R + 30, "axis")


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
    marks = _marks(plan)
    body = [text(24, 34, "Charge", kind="big"), _scale(top), *(_drawn(m, top) for m in marks), _labels(marks, top), _middle(plan)]
    notes = _notes(plan)
    for number, line in enumerate(notes):
        kind = "strong" if line.startswith(("Refused", "Do not")) else "soft"
        body.append(text(24, _HEIGHT - 16 - 20 * (len(notes) - 1 - number), line, kind=kind))
    return picture(_WIDTH, _HEIGHT, title="Charge", description="; ".join([m.word for m in marks] + notes), body=body)
