"""Cases for the live figures of a jacket test, each with what the real judge says.

`python tests/vectors/jacket_cases.py` writes the file anew.

The readings lie around every border: exactly the limit and a hair beside it, nothing stayed, all stayed, the ends of what can be
judged, a marked rejection limit, and units whose factors are no short decimals.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

from pinseal.measures import FACTORS, PSI_PA, parse_measure, parse_pressure
from pinseal.physics.expansion import CM3, cm3_words, expansion
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import daily_check
from pinseal.rules.pressure_tests import judge_expansion, least_test_pa, limit_of, parse_specification, percent_words

FILE = Path(__file__).parent / "jacket_figures.json"
ON = date(2026, 11, 24)
LEAST, MOST = "1/100", "100000"  # cm3: the range of `physics.expansion.expansion`
_REFUSED = {
    "the permanent expansion is below zero": "below-zero",
    "this is not a total expansion that can be judged": "no-total",
    "the permanent expansion is larger than the total": "exchanged",
}
_READINGS = (
    ("180", "18"), ("180", "18.000001"), ("180.0", "17.999999"), ("92.0", "8.4"), ("92,0", "8,4"), ("300", "30.01"), ("1", "1"), ("1", "0"),
    ("0.01", "0.001"), ("0.009", "0.001"), ("100000", "1"), ("100000.1", "1"), ("18", "180"), ("18", "-1"), ("250", "30"),
    ("250", "30.0001"),
    ("160", "16.0000000000001"), (".5", ".05"), ("56.3", "0.3"), ("33", "1"), ("333", "33.3"), ("800", "73"), ("640", "6.5"),
)  # fmt: skip
_PRESSURES = ("3000", "2999.9", "3358", "3359", "3358.3333333", "3358.3333334", "3000.0000001", "206.8", "206.9", "20684", "20685")


def _jacket(stamp: str, total: str, permanent: str, unit: str, rejection: str = "") -> dict[str, Any]:
    marking = parse_specification(stamp)
    case = {"total": total, "permanent": permanent, "rejection": rejection, "limit": str(limit_of(marking, ON).percent)}
    case["factor"] = str(FACTORS["volume"][unit] / CM3)
    try:
        total_m3, permanent_m3 = (parse_measure("volume", f"{text} {unit}", negative=True).exact for text in (total, permanent))
        found = judge_expansion(
            expansion(total_m3=total_m3, permanent_m3=permanent_m3),
            marking=marking,
            test_pa=3000 * PSI_PA,
            on=ON,
            rejection_m3=parse_measure("volume", f"{rejection} {unit}").exact if rejection else None,
        )
    except Refusal as refused:
        if refused.what not in _REFUSED:  # an instrument as wide as the reading: the shop says that when the form is sent
            raise
        return case | {"word": _REFUSED[refused.what]}
    over = found.expansion.percent_permanent > found.limit.percent
    return case | {
        "word": "over" if over else "within" if found.passed else "elastic-over",
        "elastic": cm3_words(found.expansion.elastic_m3),
        "percent": percent_words(found.expansion.percent_permanent, found.limit.percent),
    }


def _jackets() -> Iterator[dict[str, Any]]:
    for stamp in ("DOT-3AA1800", "4E240"):
        for total, permanent in _READINGS:
            try:
                yield _jacket(stamp, total, permanent, "mL")
            except Refusal:
                continue
    for unit in ("gal", "in3", "L"):
        yield _jacket("DOT-3AA1800", "0.02", "0.002", unit)
        yield _jacket("DOT-3AA1800", "0.03", "0.0031", unit)
    for rejection in ("56.0", "55.9", "56.000001", "66.3"):
        yield _jacket("DOT-3AA2400", "56.3", "0.3", "mL", rejection)


def _pressures() -> Iterator[dict[str, Any]]:
    for stamp in ("DOT-3AA1800", "DOT-3AA2015"):
        marking = parse_specification(stamp)
        least, _ = least_test_pa(marking, ON)
        assert least is not None, "the stamp says its service pressure"
        for unit in ("psi", "bar", "kPa"):
            for text in _PRESSURES:
                enough = parse_pressure(f"{text} {unit}").exact >= least
                yield {"text": text, "least": str(least / FACTORS["pressure"][unit]), "enough": enough}


def _dailies() -> Iterator[dict[str, Any]]:
    pairs = (("182.0", "182.0"), ("182.0", "183.82"), ("182.0", "183.8200001"), ("182", "180.18"), ("182", "180.1"), ("0.3", "0.4"))
    for certified, read in pairs:
        found = daily_check(certified_m3=Fraction(certified) * CM3, read_m3=Fraction(read) * CM3)
        percent = 100 * abs(Fraction(read) - Fraction(certified)) / Fraction(certified)
        yield {"certified": certified, "read": read, "limit": "1", "word": "within" if found.met else "over",
               "percent": percent_words(percent, Fraction(1))}  # fmt: skip


def made() -> dict[str, Any]:
    """All cases. The ranges are those of the page."""
    return {"least": LEAST, "most": MOST, "jacket": list(_jackets()), "pressure": list(_pressures()), "daily": list(_dailies())}


if __name__ == "__main__":
    FILE.write_text(json.dumps(made(), separators=(",", ":")).replace("},{", "},\n{") + "\n", encoding="utf-8")
