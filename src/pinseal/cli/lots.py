"""`lots`: survival by model and lot from inspections, and each lot beside the rest."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

from pinseal.cli.options import json_option, print_json, say
from pinseal.cli.quantities import plot_option, write_plot
from pinseal.cli.reading_files import Row, read_rows
from pinseal.dates import PartialDate, parse_date
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.physics.lot_tests import Ratio
    from pinseal.rules.lots import Followed, Group, LotBesideRest, LotsAnswer

_COLUMNS = ("unit", "model", "lot", "in service", "last good", "first bad")


@click.command()
@click.argument("file", metavar="FILE")
@click.option(
    "--age", "ages", type=click.FloatRange(0.1, 100), multiple=True, metavar="YEARS", help="Survival at this age (6, 12). Repeat."
)
@plot_option
@json_option
def lots(file: str, ages: tuple[float, ...], plot: str | None, as_json: bool) -> None:
    """Failures by model and lot from inspections (CSV: unit, model, lot, in service, last good, first bad).

    A failure lies between the last good inspection and the first bad one. Each lot is compared with the rest of its model, ages
    allowed for; the answer is an interval, not a verdict, because small lots prove little.

    Example: pinseal lots fleet.csv --age 6 --age 12
    """
    from pinseal.rules.lots import AGES_YEARS, learn

    wrong = [age for age in ages if not math.isfinite(age)]
    if wrong:
        raise Refusal(what="this is not an age", rule="years, 0.1 to 100", got=str(wrong[0]), do="write it as in 6")
    answer = learn(_followed(file))
    at = ages or AGES_YEARS
    write_plot(plot, lambda: _draw(answer))
    if as_json:
        print_json(_json(answer, at))
    else:
        _say(answer, at)


def _followed(file: str) -> list[Followed]:
    from pinseal.rules.lots import Followed

    found: dict[str, Followed] = {}
    for row in read_rows(file, known=_COLUMNS, needed=("unit", "in service")):
        name = row.needed("unit")
        if name in found:
            raise Refusal(
                what=f"line {row.line}: unit {name} stands twice",
                rule="one row for each unit, from its entry into service",
                got=name,
                do="join its rows: last good before the failure, first bad after it",
            )
        row.needed("in service")
        start = _date(row, "in service")
        assert start is not None, "a needed date is there"
        found[name] = Followed(
            unit=name,
            in_service=start,
            model=row.text("model"),
            lot=row.text("lot"),
            last_good=_date(row, "last good"),
            first_bad=_date(row, "first bad"),
        )
    if not found:
        raise Refusal(what="the list is empty", rule="one row for each unit", got=file, do="add the units")
    return list(found.values())


def _date(row: Row, column: str) -> PartialDate | None:
    """A date known to the day, the month or the year, or None for an empty cell."""
    if not row.text(column):
        return None
    try:
        return parse_date(row.text(column))
    except Refusal as wrong:
        raise row.refused(column, wrong) from wrong


# -- the answer


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _ratio_json(ratio: Ratio) -> dict[str, float | None]:
    """JSON has no infinity: `high` null is no upper end."""
    return {"chance": ratio.chance, "estimate": _finite(ratio.estimate), "low": ratio.low, "high": _finite(ratio.high)}


def _group_json(group: Group, ages: tuple[float, ...]) -> dict[str, Any]:
    law = group.law
    return {
        "by": group.by,
        "name": group.name,
        "units": group.units,
        "failed": group.failed,
        "steps": [
            {"after": float(after), "by": _finite(float(by)), "share": float(mass)}
            for after, by, mass in zip(group.masses.after, group.masses.by, group.masses.mass, strict=True)
        ],
        "survival": [_survival_json(group, age) for age in ages],
        "weibull": None
        if law is None
        else {
            "scale_years": law.scale,
            "scale_low": law.scale_low,
            "scale_high": law.scale_high,
            "shape": law.shape,
            "shape_low": law.shape_low,
            "shape_high": law.shape_high,
            "log_likelihood": law.log_likelihood,
        },
        "why_no_law": group.why_no_law or None,
    }


def _survival_json(group: Group, age: float) -> dict[str, float | None]:
    least, greatest = group.masses.survival(age)
    best, low, high = group.law.survival(age) if group.law else (None, None, None)
    return {"age_years": age, "least": least, "greatest": greatest, "weibull": best, "weibull_low": low, "weibull_high": high}


def _lot_json(one: LotBesideRest) -> dict[str, Any]:
    from pinseal.rules.lots import comparison_words

    return {
        "lot": one.lot,
        "model": one.model or None,
        "units": one.units,
        "failed": one.failed,
        "rest_units": one.rest_units,
        "rest_failed": one.rest_failed,
        "expected_failures": one.expected,
        "rate_ratio": _ratio_json(one.rate),
        "odds_ratio": _ratio_json(one.counts),
        "ages_by": "weibull" if one.by_law else "time followed",
        "chance_among_lots": one.chance_among_lots,
        "because": [comparison_words(one)],
    }


def _json(answer: LotsAnswer, ages: tuple[float, ...]) -> dict[str, Any]:
    return {
        "groups": [_group_json(group, ages) for group in (answer.fleet, *answer.models, *answer.lots)],
        "lots": [_lot_json(one) for one in answer.comparisons],
        "never_looked_at": list(answer.never_looked_at),
        "because": [
            "a failure lies between the last good inspection and the first bad one",
            "each lot is compared with the rest of its model, ages allowed for; the interval is the answer",
        ],
    }


def _say(answer: LotsAnswer, ages: tuple[float, ...]) -> None:
    from pinseal.rules.lots import comparison_words, group_words

    for one in answer.comparisons:
        say(comparison_words(one))
    if not answer.comparisons:
        say("No lot can be compared: no lot is named, or a model has one lot only.")
    for group in (answer.fleet, *answer.models):
        first, *rest = group_words(group, ages)
        say(first)
        for sentence in rest:
            say(f"  {sentence}")
    if answer.never_looked_at:
        say(f"{len(answer.never_looked_at)} units were never looked at and count for nothing: {', '.join(answer.never_looked_at[:5])} …")
    say("An interval is no verdict: a small lot proves little. Ask the maker, and look at the units of a lot that stands out.")


def _draw(answer: LotsAnswer) -> str:
    from pinseal.documents.lots_plot import LotLine, LotsPicture, lots_svg

    ends = [*answer.fleet.masses.after, *answer.fleet.masses.by]
    top = max([end for end in ends if math.isfinite(end)] + [1.0])
    ages = [top * n / 120 for n in range(121)]
    law = answer.fleet.law
    return lots_svg(
        LotsPicture(
            title=f"{answer.fleet.failed} of {answer.fleet.units} units failed",
            sentence=_standing(answer),
            steps=[(age, *answer.fleet.masses.survival(age)) for age in ages],
            law=[] if law is None else [(age, *law.survival(age)) for age in ages[1:]],
            lots=[
                LotLine(
                    name=" ".join(part for part in (one.model, one.lot) if part),
                    counts=f"{one.failed} of {one.units}, rest {one.rest_failed} of {one.rest_units}",
                    estimate=one.rate.estimate,
                    low=one.rate.low,
                    high=one.rate.high,
                )
                for one in answer.comparisons
            ],
        )
    )


def _standing(answer: LotsAnswer) -> str:
    out = [one for one in answer.comparisons if one.stands_out]
    if not out:
        return "No lot stands out; small lots prove little either way."
    return f"{len(out)} of {len(answer.comparisons)} lots stand out; an interval is no verdict, look at those units."
