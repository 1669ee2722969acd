"""How `jacket` and `direct` answer: their JSON, their words and their picture."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from pinseal.cli.bench_words import level_json, needed, sentences, small_volume_json
from pinseal.measures import Measure
from pinseal.rules.cautions import STAND_CLEAR

if TYPE_CHECKING:
    from pinseal.physics.expansion import Expansion
    from pinseal.rules.bench_instruments import Finding
    from pinseal.rules.pressure_tests import ExpansionVerdict, Marking


def plausibility_of(said: dict[str, Any], expansion: Expansion, capacity: Measure | None, test_pa: Fraction) -> dict[str, Any] | None:
    """What the geometry leads one to expect, and a sentence where the reading is far from it."""
    if said["diameter"] is None and said["wall"] is None:
        return None
    needed(said | {"water_capacity": capacity}, "diameter", "wall", "water_capacity")
    assert capacity is not None, "asked for just above"
    from pinseal.measures import GaugePa
    from pinseal.physics.shells import FLAG_SHARE, MATERIALS, elastic_thick_m3, plausibility

    expected = elastic_thick_m3(
        water_capacity_m3=capacity.si, test_gauge_pa=GaugePa(float(test_pa)), outside_m=said["diameter"].si, wall_m=said["wall"].si,
        material=MATERIALS[said["material"]],
    )  # fmt: skip
    found = plausibility(elastic_m3=float(expansion.elastic_m3), expected_m3=expected)
    words = (
        f"a closed cylinder of this size should give about {expected * 1e6:.3g} cm3 elastic; the reading is {found.share:.0%} of that "
        f"({FLAG_SHARE[0]:.0%} to {FLAG_SHARE[1]:.0%} is plausible; common practice, no source)"
    )
    if found.state != "plausible":
        words += ": look for air, a wrong reading or a wall that is not as said"
    return {"expected_m3": expected, "share": found.share, "state": found.state, "words": words}


def mark_json(marking: Marking, method: str) -> list[dict[str, str]]:
    from pinseal.rules.pressure_marks import mark_of

    assert marking.code, "a parsed marking has a code"
    return mark_of(kind="cylinder", method=method).as_json()


def expansion_json(found: ExpansionVerdict, marking: Marking, findings: tuple[Finding, ...], units: str) -> dict[str, Any]:
    low, high = found.range_percent
    return {
        "elastic": small_volume_json(found.expansion.elastic_m3, units),
        "percent_permanent": float(found.expansion.percent_permanent),
        "limit": float(found.limit.percent),
        "verdict": found.verdict,
        "near": found.near,
        "because": sentences(reasons_of(found, findings)),
        "valid_test": is_valid(found, findings),
        "specification": {"code": marking.code, "service_pressure": level_json(marking.service_pa, units)},
        "test_pressure_least": level_json(found.least_pa, units),
        "test_pressure_enough": found.pressure_enough,
        "tolerance": small_volume_json(found.tolerance_m3, units),
        "percent_between": [float(low), float(high)],
        "limit_source": found.limit.source.as_json(),
        "instruments": [finding.as_json() for finding in findings],
        "cautions": sentences(found.cautions),
        "safety": list(STAND_CLEAR),
    }


def is_valid(found: ExpansionVerdict, findings: tuple[Finding, ...]) -> bool:
    """Whether pressure and instruments were such that the test counts, as far as they were said."""
    return found.pressure_enough is not False and all(finding.met for finding in findings)


def reasons_of(found: ExpansionVerdict, findings: tuple[Finding, ...]) -> list[str]:
    """The verdict's reason first, then what makes it no test, then the rest."""
    first, *rest = found.because
    return [first, *unfit_words(findings), *rest]


def head_of(found: ExpansionVerdict, findings: tuple[Finding, ...]) -> str:
    if not all(finding.met for finding in findings):
        return f"{found.verdict.upper()} on expansion, but NOT A VALID TEST, the instrument is not fit: set it aside and test again"
    if found.verdict == "fail":
        return "FAIL: condemn"
    return "PASS on expansion alone" if is_valid(found, findings) else "PASS on expansion, but NOT A VALID TEST"


def unfit_words(findings: tuple[Finding, ...]) -> list[str]:
    return [f"instrument not fit: {finding.text} ({finding.source.for_people()})" for finding in findings if not finding.met]


def draw_expansion(found: ExpansionVerdict, *, title: str, subtitle: str, rejection: Measure | None) -> str:
    from pinseal.documents.jacket_drawing import jacket_picture
    from pinseal.documents.jacket_plot import jacket_svg

    return jacket_svg(jacket_picture(found, title=title, subtitle=subtitle, rejection_m3=None if rejection is None else rejection.si))


def plausible_json(found: dict[str, Any] | None, units: str) -> dict[str, Any] | None:
    if found is None:
        return None
    expected = small_volume_json(Fraction(found["expected_m3"]), units)
    return {"expected_elastic": expected, "share": found["share"], "state": found["state"], "because": sentences([found["words"]])[0]}
