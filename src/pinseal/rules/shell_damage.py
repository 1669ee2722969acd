"""The condemn guide: what is never tested, what fails, what is condemned; and dents and pits judged by measure, not by eye.

More than a limit condemns; exactly the limit passes. Where the instrument's step is said, U = 2u guards both sides of the limit:
u^2 = d^2/12 for each reading, and the limit's own reading counts by its share. The sources stand in `standards/shell_damage.toml`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pinseal.kinds import CHECKED
from pinseal.measures import INCH_M
from pinseal.reasons import Refusal
from pinseal.standards import choose_packs, held_packs
from pinseal.standards.pressure_tests import Source, pressure_tests
from pinseal.standards.shell_damage import LISTS, CondemningNeed, DamageLimit, OwnerMustNot, shell_damage

LIST_TITLES: Mapping[str, str] = {
    "never-tested": "Never tested: out of service, and out of the workplace",
    "fails": "Fails the test: destroyed, or returned as the owner directs",
    "condemned": "Condemned: never filled again, whatever is done to it",
}
PITS_BAR_A_TEST = "pitting corrosion bars a pressure test anyway (29 CFR 1910.157(f)(2), public copy): out of service, whatever its depth"
_LENGTH_M_MOST = 10
_SHELLS = {None: ("any", "specification", "none"), True: ("any", "specification"), False: ("any", "none")}
_ORDER = ("pass", "too-close", "fail")


@dataclass(frozen=True, slots=True, kw_only=True)
class DamageVerdict:
    """pass, fail (condemned), too-close or unknown. `limit_m` [m] is what may not be exceeded, `expanded_m` [m] U of the comparison."""

    verdict: str
    limit_m: Fraction | None
    expanded_m: float
    because: tuple[str, ...]
    source: Source


def _words(metres: Fraction | float) -> str:
    return f"{float(metres) * 1000:.2f} mm ({float(metres) / float(INCH_M):.3f} in)"


def _check(lengths: Mapping[str, Fraction | None], *, zero_may: tuple[str, ...]) -> None:
    for name, value in lengths.items():
        if value is None:
            continue
        if value < 0 or (value == 0 and name not in zero_may) or value > _LENGTH_M_MOST:
            raise Refusal(
                what=f"the {name} cannot be right",
                rule=f"above zero and at most {_LENGTH_M_MOST} m",
                got=f"{float(min(value, Fraction(10**6))) * 1000:g} mm",
                do="measure it again, and check the unit",
            )


def _limit_m(limit: DamageLimit, of_m: Fraction) -> Fraction:
    return limit.inches * INCH_M if limit.inches is not None else (limit.share or 0) * of_m


def _expanded_m(limit: DamageLimit, resolution_m: Fraction | None) -> float:
    """U of depth less limit [m]: both are read with the same instrument, the limit by its share."""
    return 2 * float(resolution_m or 0) * math.sqrt((1 + float(limit.share or 0) ** 2) / 12)


def _compared(depth_m: Fraction, limit: DamageLimit, of_m: Fraction, resolution_m: Fraction | None) -> tuple[str, str, float]:
    """The state, its words, and U [m]."""
    limit_m, expanded = _limit_m(limit, of_m), _expanded_m(limit, resolution_m)
    over, guard = depth_m - limit_m, Fraction(expanded)
    state = "pass" if over <= -guard else "fail" if over >= guard else "too-close"
    named = f"{limit.share} of its {limit.of} of {_words(of_m)}" if limit.share is not None else f"{limit.inches} in at a weld"
    figures = f"it is {_words(depth_m)} deep; the limit is {_words(limit_m)}, {named}"
    said = {
        "pass": "and it is reached, not exceeded: exactly the limit passes" if over == 0 else "and it is not exceeded",
        "fail": "and it is exceeded: condemned",
        "too-close": f"and the instrument, good to {_words(expanded)}, cannot tell: measure with a finer one, or condemn it",
    }
    return state, f"{figures}, {said[state]} ({limit.source.for_people()})", expanded


_NO_STEP = "nothing was said of the instrument, so nothing is allowed for it; give its resolution"


def judge_dent(*, depth_m: Fraction, greatest_width_m: Fraction, at_weld: bool, resolution_m: Fraction | None = None) -> DamageVerdict:
    """Judge a dent [m]: against a tenth of its greatest width, and at a weld against 1/4 in too.

    Source: a cylinder tester's summary of 49 CFR 180.205 and CGA C-6, second-hand. Raises `Refusal` for lengths that cannot be.

    >>> judge_dent(depth_m=Fraction(3, 1000), greatest_width_m=Fraction(40, 1000), at_weld=False).verdict
    'pass'
    """
    _check({"depth": depth_m, "greatest width": greatest_width_m, "resolution": resolution_m}, zero_may=("depth",))
    limits = [shell_damage().limits["dent"], *([shell_damage().limits["dent-at-weld"]] if at_weld else [])]
    found = [(*_compared(depth_m, limit, greatest_width_m, resolution_m), limit) for limit in limits]
    found.sort(key=lambda each: -_ORDER.index(each[0]))
    because = [text for _, text, _, _ in found] + ([] if resolution_m else [_NO_STEP])
    if found[0][0] == "pass":
        because.append("it speaks of this dent alone: a crease, a gouge, a crack or corrosion in it is judged by itself")
    state, _, expanded, limit = found[0]
    return DamageVerdict(
        verdict=state, limit_m=_limit_m(limit, greatest_width_m), expanded_m=expanded, because=tuple(because), source=limit.source
    )


def judge_pit(*, depth_m: Fraction, wall_m: Fraction | None, resolution_m: Fraction | None = None) -> DamageVerdict:
    """Judge a pit [m] against a tenth of the wall; without the wall it is unknown. Pitting bars a pressure test in any case.

    Source: a cylinder tester's summary of 49 CFR 180.205 and CGA C-6, second-hand. Raises `Refusal` for lengths that cannot be.
    """
    _check({"depth": depth_m, "wall": wall_m, "resolution": resolution_m}, zero_may=("depth",))
    limit = shell_damage().limits["pit"]
    if wall_m is None:
        words = "the wall is not said, so its loss cannot be told: take the least wall from the maker, or measure it beside the pit"
        return DamageVerdict(verdict="unknown", limit_m=None, expanded_m=0.0, because=(words, PITS_BAR_A_TEST), source=limit.source)
    if depth_m > wall_m:
        raise Refusal(
            what="the pit is deeper than the wall",
            rule="a pit ends in the wall; one that goes through leaks, and is condemned",
            got=f"{_words(depth_m)} in {_words(wall_m)}",
            do="measure both again",
        )
    state, text, expanded = _compared(depth_m, limit, wall_m, resolution_m)
    because = (text, PITS_BAR_A_TEST, *([] if resolution_m else [_NO_STEP]))
    return DamageVerdict(verdict=state, limit_m=_limit_m(limit, wall_m), expanded_m=expanded, because=because, source=limit.source)


# -- the guide, for printing


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideRow:
    """One line of a list: its code, what is found, and where that comes from."""

    id: str
    words: str
    source: Source

    def from_where(self) -> str:
        """The source in words; of common practice there is no document to name."""
        return CHECKED["practice"] if self.source.checked == "practice" else self.source.for_people()

    def as_json(self) -> dict[str, object]:
        noted = {"note": self.source.note} if self.source.note else {}
        return {"id": self.id, "words": self.words, "source": self.source.as_json(), **noted}


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """The lists (keyed by `LIST_TITLES`), what is measured, and what condemning needs, under some packs; `notes` say what is not held."""

    packs: tuple[str, ...]
    lists: Mapping[str, tuple[GuideRow, ...]]
    measured: tuple[GuideRow, ...]
    needs: tuple[GuideRow, ...]
    notes: tuple[str, ...]


def us_packs() -> tuple[str, ...]:
    """The packs of the United States, which the guide takes unless others are named."""
    return tuple(pack for pack in held_packs() if pack.startswith("us-"))


def _is_us(packs: Iterable[str]) -> bool:
    return bool(set(packs) & set(us_packs()))


def _expansion_rows() -> tuple[GuideRow, ...]:
    return tuple(
        GuideRow(
            id=f"expansion-{limit.percent}",
            words=f"its permanent expansion is over {limit.percent} % of the total: {', '.join(limit.specifications)}",
            source=limit.source,
        )
        for limit in pressure_tests().limits
    )


def _rows(name: str, packs: tuple[str, ...]) -> tuple[GuideRow, ...]:
    found = tuple(
        GuideRow(id=each.id, words=each.words, source=each.source)
        for each in shell_damage().findings
        if each.list == name and set(each.packs) & set(packs)
    )
    return found + (_expansion_rows() if name == "condemned" and _is_us(packs) else ())


def _measured(packs: tuple[str, ...]) -> tuple[GuideRow, ...]:
    if not _is_us(packs):
        return ()
    words = {
        "dent": "a dent is deeper than {share} of its greatest width",
        "dent-at-weld": "a dent at a weld is deeper than {inches} in",
        "pit": "a pit is deeper than {share} of the wall",
    }
    return tuple(
        GuideRow(id=limit.id, words=words[limit.id].format(share=limit.share, inches=limit.inches), source=limit.source)
        for limit in shell_damage().limits.values()
    )


def guide(packs: Iterable[str] | None = None) -> Guide:
    """The guide under some packs, those of the United States unless named. Raises `Refusal` for a pack that is not held."""
    chosen = us_packs() if packs is None else tuple(pick.pack.id for pick in choose_packs(packs))
    lists = {name: _rows(name, chosen) for name in LISTS}
    spoken = {pack for finding in shell_damage().findings for pack in finding.packs}
    silent = [pack for pack in chosen if pack not in spoken]
    notes = [f"no list is held for {', '.join(silent)}: read the document"] if silent else []
    if not _is_us(chosen):
        notes.append(f"no measure of a dent or a pit is held for {', '.join(chosen)}; one is judged here by that of the United States")
    return Guide(
        packs=chosen,
        lists=lists,
        measured=_measured(chosen),
        needs=tuple(GuideRow(id=need.id, words=need_words(need), source=need.source) for need in condemnation_needs()),
        notes=tuple(notes),
    )


def need_words(need: CondemningNeed) -> str:
    """A need with the shells that it is for."""
    shells = {"any": "", "specification": "a shell with a stamped specification: ", "none": "a shell without one: "}
    return shells[need.shells] + need.words


def condemnation_needs(*, stamped: bool | None = None) -> tuple[CondemningNeed, ...]:
    """What condemning needs: proof, how the shell is made unusable, who is told.

    `stamped`: whether the shell bears a specification; None lists what either needs.
    """
    return tuple(need for need in shell_damage().needs if need.shells in _SHELLS[stamped])


def owner_must_nots(*, stamped: bool | None = None) -> tuple[OwnerMustNot, ...]:
    """What the owner of a condemned shell must not do, each said once; `stamped` as in `condemnation_needs`."""
    found = [each for each in shell_damage().must_nots if each.shells in _SHELLS[stamped]]
    return tuple({each.words: each for each in reversed(found)}.values())[::-1]
