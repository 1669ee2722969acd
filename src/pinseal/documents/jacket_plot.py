"""The picture of an expansion test: what stretched and came back, what stayed, and where the limit lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinseal.documents.svg import picture, shape, text, ticks

_WIDTH, _HEIGHT = 820, 470
_LEFT, _WIDE = 40.0, 740.0
_BAR_TOP, _BAR_TALL = 122.0, 46.0
_SCALE_Y = 318.0
_WORDS = {"pass": "pass on expansion", "fail": "fail"}


@dataclass(frozen=True, slots=True, kw_only=True)
class JacketPicture:
    """Plain numbers of one test. Volumes in cm3, shares in percent of the total; `between` is what the instrument leaves open."""

    title: str
    subtitle: str
    total: float
    permanent: float
    percent: float
    limit: float
    between: tuple[float, float]
    verdict: str
    near: bool
    percent_words: str
    rejection_elastic: float | None = None
    notes: Sequence[str] = ()

    @property
    def elastic(self) -> float:
        return self.total - self.permanent


def _cm3(value: float) -> str:
    return f"{value:.6g} cm3"


def _bracket(x0: float, x1: float, y: float) -> str:
    return f'<path d="M{x0:.1f} {y + 7:.1f} V{y:.1f} H{x1:.1f} V{y + 7:.1f}" class="axis"/>'


def _volumes(test: JacketPicture) -> str:
    """One bar as long as the total: what came back from the left, what stayed at the right end."""
    right, bottom = _LEFT + _WIDE, _BAR_TOP + _BAR_TALL
    split = right - _WIDE * test.permanent / test.total
    limit = right - _WIDE * test.limit / 100
    stayed = max(right - split, 1.5)
    bar = (
        f'<rect x="{_LEFT:.1f}" y="{_BAR_TOP:.1f}" width="{_WIDE:.1f}" height="{_BAR_TALL:.1f}" class="between"/>'
        f'<rect x="{right - stayed:.1f}" y="{_BAR_TOP:.1f}" width="{stayed:.1f}" height="{_BAR_TALL:.1f}" class="point"/>'
        f'<rect x="{_LEFT:.1f}" y="{_BAR_TOP:.1f}" width="{_WIDE:.1f}" height="{_BAR_TALL:.1f}" class="axis"/>'
        f'<path d="M{limit:.1f} {_BAR_TOP - 12:.1f} V{bottom + 12:.1f}" class="limit dash"/>'
    )
    words = (
        text(_LEFT, _BAR_TOP - 32, f"total {_cm3(test.total)}", kind="strong")
        + _bracket(_LEFT, right, _BAR_TOP - 24)
        + text(_LEFT, bottom + 30, f"elastic, came back: {_cm3(test.elastic)}", kind="strong")
        + text(right, bottom + 30, f"permanent, stayed: {_cm3(test.permanent)}", kind="strong", anchor="end")
        + text(right, bottom + 50, f"left of the dashed line is over {test.limit:g} %", kind="soft", anchor="end")
    )
    return bar + words + _rejection(test)


def _rejection(test: JacketPicture) -> str:
    if test.rejection_elastic is None:
        return ""
    bottom = _BAR_TOP + _BAR_TALL
    words = f"rejection elastic {_cm3(test.rejection_elastic)}"
    if test.rejection_elastic > test.total:
        return text(_LEFT, bottom + 50, words + ", longer than this bar", kind="soft")
    at = _LEFT + _WIDE * test.rejection_elastic / test.total
    return f'<path d="M{at:.1f} {_BAR_TOP - 4:.1f} V{bottom + 8:.1f}" class="brass"/>' + text(
        _LEFT, bottom + 50, words + ", the line across the bar", kind="soft"
    )


def _percent_label(test: JacketPicture, at: float, limit: float) -> str:
    """The figure under its point, on the point's own side of the limit."""
    if at <= limit:
        return text(max(min(at + 28, limit - 8), _LEFT + 70), _SCALE_Y + 28, test.percent_words, kind="strong", anchor="end")
    return text(min(max(at - 28, limit + 8), _LEFT + _WIDE - 80), _SCALE_Y + 28, test.percent_words, kind="strong")


def _percent_scale(test: JacketPicture) -> str:
    """The percent on a scale of its own, so that a tenth shows; the allowed part is a band with a word in it."""
    top = max(2 * test.limit, min(100.0, 1.15 * test.percent))

    def x(value: float) -> float:
        return _LEFT + _WIDE * min(value, top) / top

    band = f'<rect x="{_LEFT:.1f}" y="{_SCALE_Y - 34:.1f}" width="{x(test.limit) - _LEFT:.1f}" height="68" class="band"/>'
    marks = "".join(
        f'<path d="M{x(v):.1f} {_SCALE_Y + 34:.1f} v6" class="tick"/>' + text(x(v), _SCALE_Y + 56, f"{v:g} %", kind="soft", anchor="middle")
        for v in ticks(0, top, 8)
    )
    limit = (
        f'<path d="M{x(test.limit):.1f} {_SCALE_Y - 44:.1f} V{_SCALE_Y + 34:.1f}" class="limit"/>'
        + text(x(test.limit), _SCALE_Y - 50, f"limit {test.limit:g} %", kind="strong", anchor="middle")
        + text(x(test.limit) - 10, _SCALE_Y - 18, "allowed", kind="soft", anchor="end")
        + text(x(test.limit) + 10, _SCALE_Y - 18, "condemn", kind="soft")
    )
    low, high = x(test.between[0]), x(test.between[1])
    ends = "".join(f" M{end:.1f} {_SCALE_Y - 8:.1f} v16" for end in (low, high))
    whisker = f'<path d="M{low:.1f} {_SCALE_Y:.1f} H{high:.1f}{ends}" class="line"/>'
    at = x(test.percent)
    value = shape(test.verdict, at, _SCALE_Y, 10)
    words = _percent_label(test, at, x(test.limit))
    axis = f'<path d="M{_LEFT:.1f} {_SCALE_Y + 34:.1f} H{_LEFT + _WIDE:.1f}" class="axis"/>'
    return band + axis + marks + limit + whisker + value + words


def jacket_svg(test: JacketPicture) -> str:
    """The test as SVG text: verdict in shape and word, the two volumes as parts of one bar, the percent beside its limit."""
    word = _WORDS.get(test.verdict, test.verdict) + (", near" if test.near else "")
    notes = list(test.notes)
    body = [
        text(24, 36, test.title, kind="big"),
        text(24, 60, test.subtitle, kind="soft"),
        text(_WIDTH - 58, 36, word, kind="big", anchor="end"),
        shape(test.verdict, _WIDTH - 36, 27, 12),
        _volumes(test),
        _percent_scale(test),
    ]
    body += [text(24, _HEIGHT - 18 - 22 * (len(notes) - 1 - number), line, kind="soft") for number, line in enumerate(notes)]
    description = (
        f"{word}: {test.percent_words} permanent, limit {test.limit:g} %; total {_cm3(test.total)}, permanent {_cm3(test.permanent)}, "
        f"elastic {_cm3(test.elastic)}"
    )
    return picture(_WIDTH, _HEIGHT, title=test.title, description=description, body=body)
