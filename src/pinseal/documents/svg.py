"""A small kit for pictures: axes, bands, lines and points as SVG text, light and dark, readable without colour.

The tokens are those of the pages. State is a shape and a word; colour only helps. Every picture has a title and a
description for those who do not see it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

_LIGHT = "--paper:#fffdf8;--ink:#1c2024;--soft:#5b5f63;--enamel:#a8201a;--brass:#7d5f16;--band:#2c6a3f;--steel:#23516b;--shade:#ebe6da"
_DARK = "--paper:#1d2327;--ink:#efebe2;--soft:#a9aeb2;--enamel:#ff8d7d;--brass:#e0bb66;--band:#83cb96;--steel:#9cc4dd;--shade:#252c31"
_RULES = """
.paper{fill:var(--paper)}
.axis,.tick{stroke:var(--soft);stroke-width:1;fill:none}
.grid{stroke:var(--shade);stroke-width:1}
text{fill:var(--ink);font:15px Barlow,system-ui,sans-serif}
.soft{fill:var(--soft);font-size:13px}
.big{font-size:26px;font-weight:600}
.strong{font-weight:600}
.band{fill:var(--band);fill-opacity:.16;stroke:var(--band);stroke-width:1.5}
.line{stroke:var(--steel);stroke-width:2.5;fill:none}
.dash{stroke-dasharray:7 5}
.limit{stroke:var(--enamel);stroke-width:2.5;fill:none}
.brass{stroke:var(--brass);stroke-width:2.5;fill:none}
.point{fill:var(--ink)}
.hollow{fill:var(--paper);stroke:var(--ink);stroke-width:2}
.fail{fill:var(--enamel)}
.pass{fill:none;stroke:var(--band);stroke-width:3}
.close{fill:var(--brass)}
.between{fill:var(--steel);fill-opacity:.14;stroke:none}
"""
_STYLE = f":root{{{_LIGHT}}}@media (prefers-color-scheme:dark){{:root{{{_DARK}}}}}{_RULES}"


def text(x: float, y: float, words: str, *, kind: str = "", anchor: str = "start") -> str:
    """Words at a place; `kind` is a class of the style (`soft`, `big`, `strong`)."""
    return f'<text x="{x:.1f}" y="{y:.1f}" class="{kind}" text-anchor="{anchor}">{escape(words)}</text>'


def shape(verdict: str, x: float, y: float, size: float = 9.0) -> str:
    """The shape of a verdict: a ring for pass, a half-filled diamond for too close, a full square for fail, a broken ring for unknown."""
    if verdict == "pass":
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size}" class="pass"/>'
    if verdict == "fail":
        return f'<rect x="{x - size:.1f}" y="{y - size:.1f}" width="{2 * size}" height="{2 * size}" class="fail"/>'
    if verdict == "too-close":
        half = f"M{x:.1f} {y - size:.1f} V{y + size:.1f} L{x - size:.1f} {y:.1f} Z"
        whole = f"M{x:.1f} {y - size:.1f} L{x + size:.1f} {y:.1f} L{x:.1f} {y + size:.1f} L{x - size:.1f} {y:.1f} Z"
        return f'<path d="{half}" class="close"/><path d="{whole}" class="brass"/>'
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size}" class="axis" stroke-dasharray="4 3"/>'


def ticks(low: float, high: float, about: int = 6) -> list[float]:
    """Round numbers between two ends: steps of 1, 2 or 5 times a power of ten."""
    span = high - low
    if not span > 0:
        return [low]
    raw = span / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * m for m in (1, 2, 5, 10) if power * m >= raw)
    first = math.ceil(low / step - 1e-9) * step
    return [first + i * step for i in range(int((high - first) / step + 1e-9) + 1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """A rectangle of the picture with its two scales. `x` and `y` map values to places."""

    left: float
    top: float
    width: float
    height: float
    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        return self.left + (value - self.x_low) / (self.x_high - self.x_low) * self.width

    def y(self, value: float) -> float:
        return self.top + self.height - (value - self.y_low) / (self.y_high - self.y_low) * self.height

    def axes(
        self,
        x_title: str,
        y_title: str,
        *,
        x_label: Callable[[float], str] = lambda v: f"{v:g}",
        y_label: Callable[[float], str] = lambda v: f"{v:g}",
    ) -> str:
        """Both axes with ticks, labels and titles, over a soft grid."""
        bottom, right = self.top + self.height, self.left + self.width
        parts = []
        for value in ticks(self.x_low, self.x_high):
            at = self.x(value)
            parts.append(
                f'<path d="M{at:.1f} {self.top:.1f} V{bottom:.1f}" class="grid"/>'
                + text(at, bottom + 20, x_label(value), kind="soft", anchor="middle")
            )
        for value in ticks(self.y_low, self.y_high, 5):
            at = self.y(value)
            parts.append(
                f'<path d="M{self.left:.1f} {at:.1f} H{right:.1f}" class="grid"/>'
                + text(self.left - 8, at + 5, y_label(value), kind="soft", anchor="end")
            )
        parts.append(f'<path d="M{self.left:.1f} {self.top:.1f} V{bottom:.1f} H{right:.1f}" class="axis"/>')
        parts.append(text(right, bottom + 40, x_title, kind="soft", anchor="end") + text(self.left, self.top - 10, y_title, kind="soft"))
        return "".join(parts)

    def line(self, points: Sequence[tuple[float, float]], *, kind: str = "line") -> str:
        """A line through value pairs."""
        path = " L".join(f"{self.x(a):.1f} {self.y(b):.1f}" for a, b in points)
        return f'<path d="M{path}" class="{kind}"/>'

    def band(self, low: float, high: float, *, kind: str = "band") -> str:
        """A band of y values over the whole width."""
        tall = self.y(low) - self.y(high)
        return f'<rect x="{self.left:.1f}" y="{self.y(high):.1f}" width="{self.width:.1f}" height="{tall:.1f}" class="{kind}"/>'

    def between(self, lower: Sequence[tuple[float, float]], upper: Sequence[tuple[float, float]], *, kind: str = "between") -> str:
        """The area between two lines."""
        path = " L".join(f"{self.x(a):.1f} {self.y(b):.1f}" for a, b in (*lower, *reversed(upper)))
        return f'<path d="M{path} Z" class="{kind}"/>'


def picture(width: int, height: int, *, title: str, description: str, body: Sequence[str]) -> str:
    """The whole SVG: style, paper, title and description, then the body."""
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" aria-labelledby="t d">'
    words = f'<title id="t">{escape(title)}</title><desc id="d">{escape(description)}</desc>'
    return f'{head}{words}<style>{_STYLE}</style><rect width="{width}" height="{height}" class="paper"/>{"".join(body)}</svg>\n'
