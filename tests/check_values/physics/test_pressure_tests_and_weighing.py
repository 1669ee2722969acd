"""Published answers about pressure tests and weighing; the answers are the sources', not ours."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from pinseal.measures import PSI_PA, ZERO_C_K, GaugePa
from pinseal.physics.expansion import _IAPWS_SHARE, CM3, _polynomial, compression_share, expansion, tolerance_m3
from pinseal.physics.weighing import false_accept_max, least_water_kg, probability_within
from pinseal.rules.bench_instruments import gauge_error_pa, pump_least_pa, readable_pa, span_pa
from pinseal.rules.pressure_marks import rin_mark
from pinseal.rules.pressure_tests import judge_expansion, least_test_pa, parse_specification, set_psi
from pinseal.rules.proof_tests import ProofTest, required_pressure
from pinseal.standards.pressure_tests import pressure_tests

ON = date(2026, 11, 24)
CASES: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("pressure_tests_and_weighing.toml").read_text("utf-8"))["case"]


def _shares(table: str) -> Callable[[dict[str, Any]], None]:
    def check(case: dict[str, Any]) -> None:
        for celsius, printed in zip(case["celsius"], case["printed"], strict=True):
            got = compression_share(table=table, test_gauge_pa=GaugePa(case["mpa"] * 1e6), water_k=celsius + float(ZERO_C_K))
            assert got == pytest.approx(printed, abs=case["tolerance"])

    return check


def _compressibility(case: dict[str, Any]) -> None:
    for celsius, printed in zip(case["celsius"], case["printed"], strict=True):
        at_no_pressure = _polynomial(tuple(row[0] for row in _IAPWS_SHARE), celsius / 50)
        assert at_no_pressure * 1e5 == pytest.approx(printed, abs=case["tolerance"])


def _jacket(case: dict[str, Any]) -> None:
    volumes = expansion(total_m3=Fraction(case["total"]) * CM3, permanent_m3=Fraction(case["permanent"]) * CM3)
    found = judge_expansion(
        volumes,
        marking=parse_specification(case["spec"]),
        test_pa=Fraction(case["test_psi"]) * PSI_PA,
        on=ON,
        rejection_m3=Fraction(case["rejection"]) * CM3,
    )
    assert volumes.elastic_m3 == Fraction(case["printed_elastic"]) * CM3
    assert round(volumes.percent_permanent, 2) == Fraction(case["printed_percent"])
    assert found.verdict == case["verdict"]


def _test_pressure(case: dict[str, Any]) -> None:
    for spec, printed in zip(case["specs"], case["printed"], strict=True):
        least, _ = least_test_pa(parse_specification(spec), ON)
        assert least is not None
        assert set_psi(least) == printed


def _hoses(case: dict[str, Any]) -> None:
    rows = {row.kind: row for row in pressure_tests().proofs}
    for kind, (psi, kpa) in case["printed"].items():
        assert required_pressure(ProofTest(kind=kind, test_pa=psi * PSI_PA, on=ON)).pa == psi * PSI_PA
        assert rows[kind].printed_kpa == kpa


def _gauge(case: dict[str, Any]) -> None:
    pa, printed = Fraction(case["test_psi"]) * PSI_PA, {name: Fraction(text) * PSI_PA for name, text in case["printed"].items()}
    assert span_pa(pa) == (printed["low"], printed["high"])
    assert readable_pa(pa) == printed["readable"]
    assert pump_least_pa(pa) == printed["pump"]
    assert gauge_error_pa(printed["range"]) == printed["error"]


def _tolerance(case: dict[str, Any]) -> None:
    for total, printed in zip(case["total"], case["printed"], strict=True):
        assert tolerance_m3(Fraction(total) * CM3) == Fraction(printed) * CM3


def _rin(case: dict[str, Any]) -> None:
    volumetric = rin_mark(rin=case["rin"], year=case["year"], month=case["month"], method="water-jacket")
    assert dict(volumetric) == case["printed"] | {"suffix": ""}
    assert rin_mark(rin=case["rin"], year=case["year"], month=case["month"], method="proof-pressure")["suffix"] == "S"


def _filling(case: dict[str, Any]) -> None:
    for charge, printed in zip(case["charge"], case["printed"], strict=True):
        assert round(least_water_kg(charge_kg=Fraction(charge), filling_percent=Fraction(case["percent"])), 2) == Fraction(printed)


def _australian(case: dict[str, Any]) -> None:
    for working, printed in zip(case["working_mpa"], case["printed_mpa"], strict=True):
        test = ProofTest(kind="au-shell", test_pa=Fraction(3 * 10**6), on=ON, service_pa=Fraction(working) * 10**6)
        assert required_pressure(test).pa == Fraction(printed) * 10**6


def _probability(case: dict[str, Any]) -> None:
    got = probability_within(value=case["value"], limit=case["limit"], uncertainty=case["uncertainty"])
    assert got == pytest.approx(case["printed"], abs=case["tolerance"])


def _false_accept(case: dict[str, Any]) -> None:
    for ratio, at_most in zip(case["ratio"], case["at_most"], strict=True):
        assert at_most * 0.8 < false_accept_max(ratio) <= at_most


CHECKS: dict[str, Callable[[dict[str, Any]], None]] = {
    "gb-share": _shares("gb-t-9251"),
    "iapws-share": _shares("iapws-95"),
    "k-form-share": _shares("k-form"),
    "compressibility": _compressibility,
    "jacket": _jacket,
    "test-pressure": _test_pressure,
    "hoses": _hoses,
    "gauge": _gauge,
    "tolerance": _tolerance,
    "rin": _rin,
    "filling": _filling,
    "australian": _australian,
    "probability": _probability,
    "false-accept": _false_accept,
}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_published_answer(case: dict[str, Any]) -> None:
    assert case["source"]
    CHECKS[case["kind"]](case)
