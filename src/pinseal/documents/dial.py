"""The face of a gauge: where a value stands on it, arcs, spokes, marks, and its scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pinseal.documents.svg import text, ticks

_START_DEGREES, _SWEEP_DEGREES = 225.0, 270.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """A round face from zero at the lower left to `top` at the lower right, clockwise."""

    x: float
    y: float
    radius: float
    top: float

    def angle(self, value: float) -> float:
        """The direction of a value, counted as in mathematics [rad]; values off the scale stop a little outside its ends."""
        share = max(-0.02, min(1.02, value / self.top))
        return math.radians(_START_DEGREES - _SWEEP_DEGREES * share)

    def at(self, value: float, radius: float) -> tuple[float, float]:
        """The place of a value at some distance from the centre."""
        angle = self.angle(value)
        return self.x + radius * math.cos(angle), self.y - radius * math.sin(angle)

    def arc(self, low: float, high: float, radius: float, kind: str) -> str:
        (x1, y1), (x2, y2) = self.at(low, radius), self.at(high, radius)
        large = int((high - low) / self.top * _SWEEP_DEGREES > 180.0)
        return f'<path d="M{x1:.1f} {y1:.1f} A{radius:.1f} {radius:.1f} 0 {large} 1 {x2:.1f} {y2:.1f}" class="{kind}"/>'

    def ring(self, low: float, high: float, inner: float, outer: float, kind: str) -> str:
        """A filled part of a ring."""
        (a, b), (c, d) = self.at(low, outer), self.at(high, outer)
        (e, f), (g, h) = self.at(high, inner), self.at(low, inner)
        large = int((high - low) / self.top * _SWEEP_DEGREES > 180.0)
        out = f"M{a:.1f} {b:.1f} A{outer:.1f} {outer:.1f} 0 {large} 1 {c:.1f} {d:.1f}"
        back = f"L{e:.1f} {f:.1f} A{inner:.1f} {inner:.1f} 0 {large} 0 {g:.1f} {h:.1f} Z"
        return f'<path d="{out} {back}" class="{kind}"/>'

    def spoke(self, value: float, inner: float, outer: float, kind: str) -> str:
        (x1, y1), (x2, y2) = self.at(value, inner), self.at(value, outer)
        return f'<path d="M{x1:.1f} {y1:.1f} L{x2:.1f} {y2:.1f}" class="{kind}"/>'

    def wedge(self, value: float, tip: float, base: float, kind: str, *, half_degrees: float = 3.2) -> str:
        """A pointed mark whose tip lies at one radius and whose base at another."""
        (x0, y0), angle, half = self.at(value, tip), self.angle(value), math.radians(half_degrees)
        sides = [(self.x + base * math.cos(angle + d), self.y - base * math.sin(angle + d)) for d in (half, -half)]
        corners = " L".join(f"{a:.1f} {b:.1f}" for a, b in ((x0, y0), *sides))
        return f'<path d="M{corners} Z" class="{kind}"/>'

    def needle(self, value: float) -> str:
        """A needle with its hub, blunt behind and pointed in front."""
        angle, across = self.angle(value), math.pi / 2.0
        tip = self.at(value, self.radius - 6.0)
        tail = (self.x - 22.0 * math.cos(angle), self.y + 22.0 * math.sin(angle))
        sides = [(self.x + 5.0 * math.cos(angle + d), self.y - 5.0 * math.sin(angle + d)) for d in (across, -across)]
        corners = " L".join(f"{a:.1f} {b:.1f}" for a, b in (tip, sides[0], tail, sides[1]))
        return f'<path d="M{corners} Z" class="point"/><circle cx="{self.x:.1f}" cy="{self.y:.1f}" r="9" class="point"/>'

    def scale(self) -> str:
        """The rim with its ticks and figures."""
        parts = [self.arc(0.0, self.top, self.radius, "axis")]
        for value in ticks(0.0, self.top, 8):
            x, y = self.at(value, self.radius - 34.0)
            parts.append(
                self.spoke(value, self.radius - 16.0, self.radius, "axis") + text(x, y + 5.0, f"{value:g}", kind="soft", anchor="middle")
            )
        return "".join(parts)
