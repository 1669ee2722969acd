"""The picture of a fleet's failures: survival by age on the left, each lot beside the rest as an interval on the right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.documents.svg import Plane, picture, text

_WIDTH, _ROW, _TOP, _LOTS_MAX = 960, 34.0, 118.0, 12


@dataclass(frozen=True, slots=True, kw_only=True)
class LotLine:
    """One lot: ratio to the rest with its interval (high may be infinite), and its counts in words."""

    name: str
    counts: str
    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LotsPicture:
    """`steps`: (age, least, greatest) survival; `law`: (age, best, low, high) or empty; lots in order of their chance."""

    title: str
    sentence: str
    steps: Sequence[tuple[float, float, float]]
    law: Sequence[tuple[float, float, float, float]]
    lots: Sequence[LotLine]


def _survival(about: LotsPicture, tall: float) -> list[str]:
    ages = [age for age, _, _ in about.steps]
    least = min([low for _, low, _ in about.steps] + [low for _, _, low, _ in about.law])
    plane = Plane(
        left=70,
        top=_TOP,
        width=370,
        height=tall,
        x_low=0,
        x_high=max(ages) or 1.0,
        y_low=max(0.0, min(math.floor(least * 20) / 20, 0.95)),
        y_high=1.0,
    )
    parts = [plane.axes("age, years", "share still good")]
    if about.law:
        lower, upper = [(a, low) for a, _, low, _ in about.law], [(a, high) for a, _, _, high in about.law]
        parts += [plane.between(lower, upper), plane.line([(a, best) for a, best, _, _ in about.law])]
    for index, kind in ((1, "brass"), (2, "brass")):
        points: list[tuple[float, float]] = []
        for row, after in zip(about.steps, [*about.steps[1:], about.steps[-1]], strict=True):
            points += [(row[0], row[index]), (after[0], row[index])]
        parts.append(plane.line(points, kind=kind))
    return parts


def _place(value: float, low: float, high: float, left: float, wide: float) -> float:
    log = math.log(min(max(value, low), high) / low) / math.log(high / low)
    return left + wide * log


def _forest(about: LotsPicture, tall: float) -> list[str]:
    left, wide, low, high = 640.0, 290.0, 0.1, 30.0
    parts = [text(470, _TOP - 12, "lot", kind="soft"), text(left, _TOP - 12, "failures, times the rest (95 %)", kind="soft")]
    for value in (0.1, 0.3, 1, 3, 10, 30):
        at = _place(value, low, high, left, wide)
        parts.append(f'<path d="M{at:.1f} {_TOP:.1f} V{_TOP + tall:.1f}" class="{"axis" if value == 1 else "grid"}"/>')
        parts.append(text(at, _TOP + tall + 20, f"{value:g}", kind="soft", anchor="middle"))
    for number, lot in enumerate(about.lots[:_LOTS_MAX]):
        y = _TOP + 22 + number * _ROW
        kind = "limit" if lot.low > 1 else "line"
        a, b = _place(max(lot.low, low), low, high, left, wide), _place(lot.high, low, high, left, wide)
        name = lot.name if len(lot.name) <= 20 else f"{lot.name[:19]}…"
        parts += [
            text(470, y + 1, name, kind="strong" if lot.low > 1 else ""),
            text(470, y + 16, lot.counts, kind="soft"),
            f'<path d="M{a:.1f} {y:.1f} H{b:.1f}" class="{kind}"/>',
        ]
        if math.isfinite(lot.estimate) and lot.estimate > 0:
            at = _place(lot.estimate, low, high, left, wide)
            mark = f'<rect x="{at - 5:.1f}" y="{y - 5:.1f}" width="10" height="10" class="{"fail" if lot.low > 1 else "point"}"/>'
            parts.append(mark)
        if lot.high > high:
            parts.append(f'<path d="M{b - 6:.1f} {y - 6:.1f} l6 6 l-6 6" class="{kind}"/>')
        if lot.low < low:
            parts.append(f'<path d="M{a + 6:.1f} {y - 6:.1f} l-6 6 l6 6" class="{kind}"/>')
    if not about.lots:
        parts.append(text(470, _TOP + 24, "no lot can be compared with a rest", kind="soft"))
    return parts


def lots_svg(about: LotsPicture) -> str:
    """The picture as SVG text."""
    tall = max(240.0, 20 + _ROW * min(len(about.lots), _LOTS_MAX))
    height = int(_TOP + tall + 84)
    body = [
        text(24, 40, about.title, kind="big"),
        text(24, 68, about.sentence),
        *_survival(about, tall),
        *_forest(about, tall),
        text(24, height - 14, _KEY, kind="soft"),
    ]
    words = "; ".join(f"lot {lot.name}: {lot.counts}" for lot in about.lots) or "no lots"
    return picture(_WIDTH, height, title=about.title, description=f"{about.sentence}. {words}", body=body)


_KEY = "Left: two step lines hold what the inspections allow; smooth line: Weibull law with 95 %. Right: a small lot has a long line."
