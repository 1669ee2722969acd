"""What a fleet's failures say: survival by model and lot, and each lot beside the rest of its model, as intervals, never as verdicts.

Failures were found at inspections, so each lies between the last good day and the first bad one. Dates that are known to a month or a
year widen the interval. A lot is compared with the other lots of its model, or with all others where no model is said.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinseal.dates import PartialDate
from pinseal.physics.lot_tests import Ratio, lot_against_rest, rate_against_rest
from pinseal.physics.reliability import Floats, Masses, Weibull, expected_failures, npmle, weibull
from pinseal.reasons import Refusal

YEAR_DAYS = 365.25
AGES_YEARS = (6.0, 12.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """One unit followed from its entry into service: its last good inspection and the first bad one, None where there is none."""

    unit: str
    in_service: PartialDate
    model: str = ""
    lot: str = ""
    last_good: PartialDate | None = None
    first_bad: PartialDate | None = None


def _years(later: PartialDate, earlier: PartialDate, *, widest: bool) -> float:
    """The longest or the shortest time between two dates that may be known to a month or a year [yr]."""
    days = (later.latest - earlier.earliest).days if widest else (later.earliest - earlier.latest).days
    return days / YEAR_DAYS


def ages(unit: Followed) -> tuple[float, float] | None:
    """(last good, first bad] in years of age; None for a unit that was never looked at. Raises `Refusal` for an impossible order."""
    good, bad = unit.last_good, unit.first_bad
    if good is None and bad is None:
        return None
    left = 0.0 if good is None else max(_years(good, unit.in_service, widest=False), 0.0)
    right = math.inf if bad is None else _years(bad, unit.in_service, widest=True)
    before = good is not None and good.latest < unit.in_service.earliest
    if before or right <= 0 or (good is not None and bad is not None and bad.latest <= good.earliest):
        raise Refusal(
            what=f"the dates of unit {unit.unit} are in no possible order",
            rule="in service, then last good, then first bad",
            got=f"{unit.in_service}, {good or 'none'}, {bad or 'none'}",
            do="correct the dates, or give only the readings since the last repair",
        )
    return left, max(right, left + 1 / YEAR_DAYS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Some units with what their failures say; `law` None where no law can be fitted, and `why_no_law` says why."""

    by: str
    name: str
    units: int
    failed: int
    masses: Masses
    law: Weibull | None
    why_no_law: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotBesideRest:
    """A lot beside the rest of its model: counts, the exact odds ratio, and the ratio of failures with the ages allowed for."""

    lot: str
    model: str
    units: int
    failed: int
    rest_units: int
    rest_failed: int
    counts: Ratio
    expected: float
    rate: Ratio
    by_law: bool  # the expectation is from a Weibull law; else from the time followed alone
    chance_among_lots: float

    @property
    def stands_out(self) -> bool:
        """The 95 % interval, ages allowed for, lies above one."""
        return self.rate.low > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LotsAnswer:
    """The whole fleet, its models and lots, the comparisons (least chance first), and units that were never looked at."""

    fleet: Group
    models: tuple[Group, ...]
    lots: tuple[Group, ...]
    comparisons: tuple[LotBesideRest, ...]
    never_looked_at: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Ages:
    unit: Followed
    left: float
    right: float


def _columns(some: Sequence[_Ages]) -> tuple[Floats, Floats]:
    return np.array([one.left for one in some]), np.array([one.right for one in some])


def _failed(some: Sequence[_Ages]) -> int:
    return sum(math.isfinite(one.right) for one in some)


def _law(some: Sequence[_Ages]) -> tuple[Weibull | None, str]:
    try:
        return weibull(*_columns(some)), ""
    except Refusal as wrong:
        return None, f"{wrong.what} ({wrong.got})"


def _group(by: str, name: str, some: Sequence[_Ages]) -> Group:
    law, why = _law(some)
    return Group(by=by, name=name, units=len(some), failed=_failed(some), masses=npmle(*_columns(some)), law=law, why_no_law=why)


def learn(fleet: Sequence[Followed]) -> LotsAnswer:
    """Survival of a fleet, its models and its lots, and each lot beside the rest. Raises `Refusal` where nothing can be learned."""
    known = [(unit, ages(unit)) for unit in fleet]
    followed = [_Ages(unit, *age) for unit, age in known if age is not None]
    if not followed:
        raise Refusal(
            what="nothing can be learned from this list",
            rule="at least one unit with a last good or a first bad inspection",
            got=f"{len(fleet)} units without any",
            do="add the inspections",
        )
    models, lots = _split(followed)
    return LotsAnswer(
        fleet=_group("fleet", "all", followed),
        models=tuple(_group("model", name, some) for name, some in models.items() if name),
        lots=tuple(_group("lot", " ".join(part for part in key if part), some) for key, some in lots.items()),
        comparisons=_comparisons(models, lots),
        never_looked_at=tuple(unit.unit for unit, age in known if age is None),
    )


def _split(followed: Sequence[_Ages]) -> tuple[dict[str, list[_Ages]], dict[tuple[str, str], list[_Ages]]]:
    models: dict[str, list[_Ages]] = {}
    lots: dict[tuple[str, str], list[_Ages]] = {}
    for one in followed:
        models.setdefault(one.unit.model, []).append(one)
        if one.unit.lot:
            lots.setdefault((one.unit.model, one.unit.lot), []).append(one)
    return models, lots


def _comparisons(models: dict[str, list[_Ages]], lots: dict[tuple[str, str], list[_Ages]]) -> tuple[LotBesideRest, ...]:
    found = []
    laws = {name: _law(some)[0] for name, some in models.items()}
    comparable = {key: some for key, some in lots.items() if len(some) < len(models[key[0]])}
    for (model, lot), some in comparable.items():
        mine = {id(one) for one in some}
        rest = [one for one in models[model] if id(one) not in mine]
        found.append(_beside(model, lot, some, rest, laws[model], len(comparable)))
    return tuple(sorted(found, key=lambda one: (one.rate.chance, one.lot)))


def _beside(model: str, lot: str, some: list[_Ages], rest: list[_Ages], law: Weibull | None, lots: int) -> LotBesideRest:
    expected, expected_rest = _expected(law, some), _expected(law, rest)
    failed, failed_rest = _failed(some), _failed(rest)
    total = expected + expected_rest
    if law is None and total > 0:  # time followed, scaled to all failures
        scale = (failed + failed_rest) / total
        expected, expected_rest = expected * scale, expected_rest * scale
    tiny = 1e-9
    rate = rate_against_rest(
        failed_lot=failed, expected_lot=max(expected, tiny), failed_rest=failed_rest, expected_rest=max(expected_rest, tiny)
    )
    return LotBesideRest(
        lot=lot,
        model=model,
        units=len(some),
        failed=failed,
        rest_units=len(rest),
        rest_failed=failed_rest,
        counts=lot_against_rest(failed_lot=failed, lot=len(some), failed_rest=failed_rest, rest=len(rest)),
        expected=expected,
        rate=rate,
        by_law=law is not None,
        chance_among_lots=-math.expm1(lots * math.log1p(-min(rate.chance, 1 - 1e-15))),
    )


def _expected(law: Weibull | None, some: Sequence[_Ages]) -> float:
    if law is not None:
        return expected_failures(law, *_columns(some))
    return math.fsum(one.left if math.isinf(one.right) else (one.left + one.right) / 2 for one in some)


# -- in words


def _plain(value: float) -> str:
    """Two figures without an exponent."""
    return f"{float(f'{value:.2g}'):.10g}"


def comparison_words(one: LotBesideRest) -> str:
    """One lot in a sentence: the interval first, never a verdict."""
    name = f"lot {one.lot}" + (f" of {one.model}" if one.model else "")
    counts = f"{one.failed} of {one.units} failed, {one.rest_failed} of {one.rest_units} of the rest"
    if one.failed + one.rest_failed == 0:
        return f"{name}: {counts}; nothing failed, so nothing can be compared"
    low, high = _plain(one.rate.low), "any number of" if math.isinf(one.rate.high) else _plain(one.rate.high)
    ends = f"between {low} and {high} times the failures of the rest at the same ages (95 %)"
    if one.stands_out:
        meaning = f"chance alone gives as many with probability {one.rate.chance:.2g}, and in any of the lots {one.chance_among_lots:.2g}"
    elif one.rate.high < 1:
        meaning = "fewer than the rest, which a bad lot among the rest also brings about"
    else:
        meaning = "these counts leave both more and fewer than the rest possible"
    return f"{name}: {ends}; {counts}; {meaning}"


def group_words(group: Group, ages_years: Sequence[float] = AGES_YEARS) -> list[str]:
    """A group in sentences: counts, the steps' survival and the law."""
    said = [f"{group.by} {group.name}: {group.failed} of {group.units} units failed"]
    for age in ages_years:
        low, high = group.masses.survival(age)
        share = f"{low:.3f}" if high - low < 5e-4 else f"between {low:.3f} and {high:.3f} (the inspections do not say nearer)"
        by_law = "" if group.law is None else "; by the Weibull law {:.3f}, 95 % {:.3f} to {:.3f}".format(*group.law.survival(age))
        said.append(f"still good at {age:g} years: {share}{by_law}")
    if group.law is None:
        said.append(group.why_no_law)
    else:
        law = group.law
        said.append(
            f"Weibull scale {law.scale:.3g} years (95 % {law.scale_low:.3g} to {law.scale_high:.3g}), "
            f"shape {law.shape:.2f} ({law.shape_low:.2f} to {law.shape_high:.2f}): {_wear(law)}"
        )
    return said


def _wear(law: Weibull) -> str:
    if law.shape_low > 1:
        return "they wear out: failures come faster with age"
    if law.shape_high < 1:
        return "early failures: those that last get safer"
    return "wear and early failures cannot be told apart"
