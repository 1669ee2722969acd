"""The picture of a bank of supply bottles: what each holds, its floor, the charges left, and which is drawn first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.documents.svg import picture, text, ticks

_PLACE_WIDTH, _TOP, _TALL, _BOTTLE = 150.0, 110.0, 250.0, 62.0
_LEFT, _HEIGHT = 78.0, 520


@dataclass(frozen=True, slots=True, kw_only=True)
class BottlePicture:
    """One bottle: pressures are gauge values in the unit of the picture; `turn` is its place in the order of drawing."""

    name: str
    reading: float
    floor: float
    charges: int
    contents_scf: float
    turn: int | None


def _level(value: float, top: float) -> float:
    return _TOP + _TALL * (1 - max(0.0, min(value, top)) / top)


def _outline(x: float) -> str:
    """Shoulder, neck and valve over straight walls."""
    left, right, bottom = x - _BOTTLE / 2, x + _BOTTLE / 2, _TOP + _TALL
    return (
        f'<path d="M{left:.1f} {bottom:.1f} V{_TOP + 10:.1f} Q{left:.1f} {_TOP - 14:.1f} {x - 9:.1f} {_TOP - 18:.1f} V{_TOP - 30:.1f} '
        f'H{x + 9:.1f} V{_TOP - 18:.1f} Q{right:.1f} {_TOP - 14:.1f} {right:.1f} {_TOP + 10:.1f} V{bottom:.1f} Z" '
        'class="axis" style="stroke-width:2.5"/>'
    )


def _bottle(number: int, bottle: BottlePicture, top: float) -> str:
    x = _LEFT + _PLACE_WIDTH * (number + 0.5)
    left, right, bottom = x - _BOTTLE / 2, x + _BOTTLE / 2, _TOP + _TALL
    surface, floor = _level(bottle.reading, top), _level(bottle.floor, top)
    parts = [
        f'<rect x="{left:.1f}" y="{surface:.1f}" width="{_BOTTLE:.1f}" height="{bottom - surface:.1f}" class="between"/>',
        f'<path d="M{left - 8:.1f} {surface:.1f} H{right + 8:.1f}" class="line"/>',
        _outline(x),
        f'<path d="M{left - 12:.1f} {floor:.1f} H{right + 12:.1f}" class="limit dash"/>',
        text(right + 14, surface + 5, f"{bottle.reading:.0f}", kind="strong"),
        text(x, bottom + 24, f"bottle {bottle.name}", anchor="middle", kind="strong"),
        text(x, bottom + 46, f"{bottle.charges} charges" if bottle.charges != 1 else "1 charge", anchor="middle"),
        text(x, bottom + 66, f"{bottle.contents_scf:.0f} scf in all", anchor="middle", kind="soft"),
        text(x, bottom + 86, f"draw {_turn(bottle.turn)}", anchor="middle", kind="soft"),
    ]
    if abs(surface - floor) > 16:
        parts.append(text(right + 14, floor + 5, f"{bottle.floor:.0f}", kind="soft"))
    return "".join(parts)


def _turn(turn: int | None) -> str:
    if turn is None:
        return "no more: swap it"
    return {1: "first", 2: "second", 3: "third"}.get(turn, f"as number {turn}")


def supply_svg(bottles: Sequence[BottlePicture], *, unit: str, charges_left: int) -> str:
    """The bank as SVG text; pressures in `unit`, gauge."""
    top = ticks(0, max(b.reading for b in bottles) * 1.1 + 1e-9, 6)[-1]
    top = max(top, max(max(b.reading, b.floor) for b in bottles) * 1.02)
    width = int(max(_LEFT + _PLACE_WIDTH * len(bottles) + 40, 560))
    grid = []
    for value in ticks(0, top, 5):
        y = _level(value, top)
        grid.append(
            f'<path d="M{_LEFT:.1f} {y:.1f} H{width - 24}" class="grid"/>' + text(_LEFT - 8, y + 5, f"{value:g}", kind="soft", anchor="end")
        )
    said = "1 charge left" if charges_left == 1 else f"{charges_left} charges left"
    body = [
        text(24, 34, said, kind="big"),
        text(24, 60, f"gauge of each bottle, {unit}", kind="soft"),
        *grid,
        *(_bottle(number, bottle, top) for number, bottle in enumerate(bottles)),
        text(24, _HEIGHT - 36, "Solid line: what the bottle shows now.", kind="soft"),
        text(24, _HEIGHT - 16, "Broken line: the floor; below it no unit can be filled to the end.", kind="soft"),
    ]
    words = "; ".join(f"bottle {b.name}: {b.reading:.0f} {unit}, floor {b.floor:.0f}, {b.charges} charges" for b in bottles)
    return picture(width, _HEIGHT, title=said, description=words, body=body)
