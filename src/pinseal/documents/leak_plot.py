"""The picture of a leak: the band, the readings at 70 F, the line with its interval, the limit, and one sentence."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pinseal.documents.svg import Plane, picture, shape, text

_WIDTH, _HEIGHT, _LEFT, _TOP, _WIDE, _TALL = 860, 520, 74.0, 132.0, 740.0, 290.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakPicture:
    """What is drawn: days as ordinals and values in `unit`. `line` and its ends hold (day, value) pairs; `odd` marks readings far off."""

    unit_name: str
    verdict: str
    verdict_words: str
    sentence: str
    unit: str
    value_words: str
    days: Sequence[int]
    values: Sequence[float]
    gauges: Sequence[str]
    odd: Sequence[int]
    line: Sequence[tuple[float, float]]
    lower: Sequence[tuple[float, float]]
    upper: Sequence[tuple[float, float]]
    limit: float | None
    limit_words: str = "limit"
    crossing: tuple[int, int] | None = None


def _range(about: LeakPicture) -> tuple[float, float]:
    heights = [*about.values, *(v for _, v in about.lower), *(v for _, v in about.upper)]
    if about.limit is not None:
        heights.append(about.limit)
    low, high = min(heights), max(heights)
    room = max((high - low) * 0.08, abs(high) * 0.01, 1e-6)
    return low - room, high + room


def _dates(plane: Plane) -> str:
    """Ticks of the time axis at starts of years or quarters."""
    first, last = date.fromordinal(int(plane.x_low)), date.fromordinal(int(plane.x_high))
    months = (last.year - first.year) * 12 + last.month - first.month
    step = next(s for s in (1, 2, 3, 6, 12, 24, 60, 120, 600) if months / s <= 8)
    bottom, parts = plane.top + plane.height, []
    for count in range(first.year * 12, last.year * 12 + 13):
        day = date(min(count // 12, 9999), count % 12 + 1, 1)
        if count % step or not first <= day <= last:
            continue
        at = plane.x(day.toordinal())
        words = f"{day:%b %Y}" if step < 12 else f"{day:%Y}"
        parts.append(f'<path d="M{at:.1f} {plane.top:.1f} V{bottom:.1f}" class="grid"/>')
        parts.append(text(at, bottom + 20, words, kind="soft", anchor="middle"))
    return "".join(parts)


def _heights(plane: Plane, title: str) -> str:
    from pinseal.documents.svg import ticks

    right, bottom = plane.left + plane.width, plane.top + plane.height
    parts = [text(plane.left, plane.top - 12, title, kind="soft")]
    for value in ticks(plane.y_low, plane.y_high, 5):
        at = plane.y(value)
        parts.append(f'<path d="M{plane.left:.1f} {at:.1f} H{right:.1f}" class="grid"/>')
        parts.append(text(plane.left - 8, at + 5, f"{value:g}", kind="soft", anchor="end"))
    parts.append(f'<path d="M{plane.left:.1f} {plane.top:.1f} V{bottom:.1f} H{right:.1f}" class="axis"/>')
    return "".join(parts)


def _mark(x: float, y: float, gauge: int, odd: bool) -> str:
    """A reading: a dot for the last gauge, open marks for the others, a cross for one that is far off."""
    if odd:
        return f'<path d="M{x - 6:.1f} {y - 6:.1f} l12 12 m-12 0 l12 -12" class="limit"/>'
    if gauge == 0:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5" class="point"/>'
    if gauge == 1:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4.5" class="hollow"/>'
    return f'<rect x="{x - 4:.1f}" y="{y - 4:.1f}" width="8" height="8" class="hollow"/>'


def _points(plane: Plane, about: LeakPicture) -> list[str]:
    names = list(dict.fromkeys(reversed(about.gauges)))
    return [
        _mark(plane.x(day), plane.y(value), names.index(gauge), number in about.odd)
        for number, (day, value, gauge) in enumerate(zip(about.days, about.values, about.gauges, strict=True))
    ]


def _limit(plane: Plane, about: LeakPicture) -> list[str]:
    if about.limit is None:
        return []
    at, right = plane.y(about.limit), plane.left + plane.width
    parts = [
        f'<rect x="{plane.left:.1f}" y="{plane.top:.1f}" width="{plane.width:.1f}" height="{max(at - plane.top, 0):.1f}" class="band" '
        'style="stroke:none"/>',
        f'<path d="M{plane.left:.1f} {at:.1f} H{right:.1f}" class="limit dash"/>',
        text(plane.left + 8, at + 18 if at + 22 < plane.top + plane.height else at - 8, about.limit_words, kind="strong"),
    ]
    if about.crossing and about.crossing[0] < plane.x_high:
        early, late = (min(max(plane.x(day), plane.left), right) for day in about.crossing)
        parts.append(f'<path d="M{early:.1f} {at:.1f} H{late:.1f}" class="limit" style="stroke-width:7;stroke-opacity:.55"/>')
    return parts


def leak_svg(about: LeakPicture) -> str:
    """The picture as SVG text."""
    low, high = _range(about)
    ends = [*about.days, *(day for day, _ in about.line)]
    first, last = min(ends), max(ends)
    room = max((last - first) * 0.02, 5)
    plane = Plane(
        left=_LEFT, top=_TOP, width=_WIDE, height=_TALL, x_low=first - room, x_high=last + room, y_low=low, y_high=high
    )  # fmt: skip
    sentence = textwrap.wrap(about.sentence, 98)[:2]
    body = [
        shape(about.verdict, 36, 32, 11),
        text(60, 41, f"{about.unit_name}: {about.verdict_words}", kind="big"),
        *(text(24, 68 + 20 * number, part) for number, part in enumerate(sentence)),
        *_limit(plane, about),
        _heights(plane, about.value_words),
        _dates(plane),
    ]
    if about.line:
        body += [plane.between(about.lower, about.upper), plane.line(about.line)]
    body += [*_points(plane, about), *_legend(about)]
    words = f"{about.sentence}. {len(about.values)} readings."
    return picture(_WIDTH, _HEIGHT, title=f"{about.unit_name}: {about.verdict_words}", description=words, body=body)


def _legend(about: LeakPicture) -> list[str]:
    y, x, parts = _HEIGHT - 36.0, 34.0, []
    names = list(dict.fromkeys(reversed(about.gauges)))
    for number, name in enumerate(names[:3]):
        said = name or "unit's own gauge"
        parts += [_mark(x, y - 5, number, odd=False), text(x + 12, y, said, kind="soft")]
        x += 34 + 7.2 * len(said)
    if about.odd:
        parts += [_mark(x, y - 5, 0, odd=True), text(x + 12, y, "far off", kind="soft")]
        x += 84
    if about.line:
        parts += [f'<path d="M{x:.1f} {y - 5:.1f} h26" class="line"/>', text(x + 34, y, "line with 95 % interval", kind="soft")]
        x += 198
    if about.crossing:
        parts += [
            f'<path d="M{x:.1f} {y - 5:.1f} h26" class="limit" style="stroke-width:7;stroke-opacity:.55"/>',
            text(x + 34, y, "days on which the limit may be met", kind="soft"),
        ]
    return parts
