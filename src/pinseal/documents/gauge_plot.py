"""The picture of a reading: the dial with its printed band, the needle, and outside the scale where a full unit stands today."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pinseal.documents.dial import Dial
from pinseal.documents.svg import picture, shape, text

_WIDTH, _HEIGHT = 900, 470
_X, _Y, _R = 235.0, 250.0, 160.0
_WORDS_X = 548.0
_HEADS = {"pass": "Pass: the charge is there", "too-close": "Too close to call", "unknown": "Unknown by the gauge: weigh it"}
_DIAL_WORDS = {"in": "in the printed band", "below": "below the printed band: no tag", "above": "above the printed band: no tag"}

_OFF = ("below", "above")


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugePicture:
    """What the dial shows, in the unit that people read. What is not known is None.

    `full` is the least and the greatest that a full unit may show today; they differ only over water.
    """

    unit: str
    reading: float
    at: str
    verdict: str
    on_dial: str
    medium: str
    nameplate: float | None
    full: tuple[float, float] | None
    once_stirred: float | None
    referred: float | None
    uncertainty: float | None
    band: tuple[float, float] | None
    reference: str = "70 F"
    digits: int = 0


def _top(p: GaugePicture) -> float:
    """The end of the dial: a round figure with room above all that is shown."""
    far = max(value for value in (p.reading, p.nameplate, *(p.full or ()), *(p.band or ()), 1.0) if value is not None)
    power = 10.0
    while power * 10.0 < far * 1.2:
        power *= 10.0
    while power > far * 1.2:
        power /= 10.0
    return next(power * step for step in (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0) if power * step >= far * 1.2)


def _head(p: GaugePicture) -> str:
    if p.verdict != "fail":
        return _HEADS[p.verdict]
    high = p.full is not None and p.reading > p.full[1]
    return "Fail: overfilled" if high else "Fail: low"


def _words(p: GaugePicture, value: float, *, finer: int = 0) -> str:
    return f"{value:.{p.digits + finer}f} {p.unit}"


def _full_mark(p: GaugePicture, dial: Dial) -> str:
    """Where a full unit stands today, outside the scale, with the doubt of the reading as an arc."""
    if p.full is None:
        return ""
    low, high = p.full
    parts = [dial.wedge(end, _R + 6.0, _R + 24.0, "point") for end in ((low, high) if _two(p) else (high,))]
    if p.uncertainty is not None:
        ends = max(0.0, low - p.uncertainty), min(dial.top, high + p.uncertainty)
        parts.append(dial.arc(*ends, _R + 28.0, "line"))
        parts += [dial.spoke(end, _R + 23.0, _R + 33.0, "line") for end in ends]
    x, y = dial.at((low + high) / 2.0, _R + 44.0)
    anchor = "start" if x > dial.x + 20.0 else "end" if x < dial.x - 20.0 else "middle"
    parts.append(text(x, y, "full today", kind="strong", anchor=anchor))
    return "".join(parts)


def _band(p: GaugePicture, dial: Dial) -> str:
    if p.band is None:
        return ""
    low, high = p.band[0], min(p.band[1], dial.top)
    ends = "".join(dial.spoke(end, _R - 20.0, _R + 4.0, "brass") for end in (low, high))
    return dial.ring(low, high, _R - 15.0, _R, "band") + ends


def _two(p: GaugePicture) -> bool:
    return p.full is not None and p.full[1] - p.full[0] > 0.3 * 10.0**-p.digits


def _figures(p: GaugePicture) -> Iterator[tuple[str, str]]:
    if p.full is not None:
        low, high = p.full
        if _two(p):
            yield _words(p, low, finer=1), "full today, at least"
            yield _words(p, high, finer=1), "full today, at most"
        else:
            yield _words(p, high, finer=1), "full today"
        if p.once_stirred is not None and low - p.once_stirred > 0.3 * 10.0**-p.digits:
            yield _words(p, p.once_stirred, finer=1), "full today, once stirred"
        off = p.reading - min(max(p.reading, low), high)
        yield f"{'+' if off >= 0 else '−'}{_words(p, abs(off), finer=1)}", "difference"
    if p.uncertainty is not None:
        yield f"±{_words(p, p.uncertainty, finer=1)}", "doubt of the reading (k = 2)"
    if p.referred is not None:
        yield _words(p, p.referred, finer=1), f"the reading at {p.reference}"
    if p.nameplate is not None and p.full is not None:
        yield _words(p, p.nameplate, finer=1), "nameplate"


def _beside(p: GaugePicture) -> str:
    parts = [shape(p.verdict, _WORDS_X + 10.0, 66.0, 10.0), text(_WORDS_X + 32.0, 72.0, _head(p), kind="strong")]
    parts.append(text(_WORDS_X, 124.0, f"{_words(p, p.reading)} at {p.at}", kind="big"))
    parts.append(
        text(_WORDS_X, 150.0, _DIAL_WORDS.get(p.on_dial, "printed band not given"), kind="strong" if p.on_dial in _OFF else "soft")
    )
    for number, (figure, meaning) in enumerate(_figures(p)):
        y = 196.0 + 34.0 * number
        parts.append(text(_WORDS_X + 92.0, y, figure, kind="strong", anchor="end") + text(_WORDS_X + 104.0, y, meaning))
    if p.verdict == "unknown":
        parts.append(text(_WORDS_X, 196.0, "Pressure is no evidence of the charge here."))
    return "".join(parts)


def _described(p: GaugePicture) -> str:
    expected = "no expected reading" if p.full is None else f"a full unit shows {_words(p, p.full[1])} today"
    return f"{_head(p)}. The needle stands at {_words(p, p.reading)} at {p.at}; {expected}; {_DIAL_WORDS.get(p.on_dial, 'no band given')}."


def gauge_svg(p: GaugePicture) -> str:
    """The dial as SVG text."""
    dial = Dial(x=_X, y=_Y, radius=_R, top=_top(p))
    face = [
        _band(p, dial),
        dial.scale(),
        _full_mark(p, dial),
        dial.needle(p.reading),
        text(_X, _Y + 62.0, p.unit, kind="soft", anchor="middle"),
    ]
    return picture(_WIDTH, _HEIGHT, title="Reading of a gauge", description=_described(p), body=[*face, _beside(p)])
