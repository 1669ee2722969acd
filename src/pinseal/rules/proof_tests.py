"""The verdict of a proof pressure test: which pressure it needs, how long, with what, and what makes it no test at all.

The factory test pressure on the nameplate wins. It is never derived: labels run from two to three times the charging
pressure. Gas is never the medium.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from pinseal.measures import PSI_PA
from pinseal.reasons import Refusal
from pinseal.rules.bench_instruments import Finding, TestGauge, gauge_findings, psi, pump_finding
from pinseal.rules.pressure_tests import Marking, checked_test_pa, in_force, least_test_pa, limit_of, set_psi
from pinseal.standards.pressure_tests import Hold, Proof, pressure_tests

KINDS = ("shell", "cylinder", "co2-hose", "powder-hose", "au-shell")
# What bars a shell from being tested at all (29 CFR 1910.157(f)(2), public copy).
NEVER_TESTED: Mapping[str, str] = {
    "repaired": "it was repaired by soldering, welding, brazing or a patch",
    "threads": "its threads are damaged",
    "pitting": "corrosion has pitted it, also under a removable nameplate",
    "burned": "it has been in a fire",
    "calcium-chloride": "calcium chloride was used in a stainless steel shell",
}
# Specifications that are tested by volume, never by proof pressure (49 CFR 180.205(g)(1), 180.209(j)(2), public copies).
BY_VOLUME_ALONE = ("3A", "3AA", "3AX", "3AAX", "3AL", "3HT", "3")
_MPA = Fraction(10**6)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofTest:
    """What was done and seen. Pressures above the air [Pa], times [s]; None is not said."""

    kind: str
    test_pa: Fraction
    on: date
    factory_pa: Fraction | None = None
    service_pa: Fraction | None = None
    marking: Marking | None = None
    held_s: Fraction | None = None
    reached_s: Fraction | None = None
    gas: bool = False
    leak: bool = False
    distortion: bool = False
    drop_pa: Fraction = Fraction(0)
    found: tuple[str, ...] = ()
    gauge: TestGauge = field(default_factory=TestGauge)
    pump_pa: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Required:
    """The pressure a proof test needs [Pa], None where nothing says it; where it comes from, and what is odd about it."""

    pa: Fraction | None
    because: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofVerdict:
    """pass, fail, too-close or unknown, with the refusals that make it unknown."""

    verdict: str
    required: Required
    holds: tuple[Hold, ...]
    refusals: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]
    because: tuple[str, ...]
    cautions: tuple[str, ...]


def _proof_row(kind: str, on: date) -> Proof:
    rows = tuple(row for row in pressure_tests().proofs if row.kind == kind)
    return in_force(rows, on, what=f"a proof test of a {kind}")


def cap_warning(*, factory_pa: Fraction, service_pa: Fraction) -> str | None:
    """The warning where a nameplate's test pressure is above twice the service pressure: it is a warning, the nameplate wins."""
    cap = 2 * service_pa
    if factory_pa <= cap:
        return None
    return (
        f"29 CFR 1910.157(f)(11) asks for the factory test pressure but not above twice the service pressure, {psi(cap)}; "
        f"the nameplate says {psi(factory_pa)}. The nameplate wins here; ask the maker or the authority if it is in doubt"
    )


def _of_shell(test: ProofTest) -> Required:
    if test.factory_pa is None:
        return Required(
            pa=None,
            because="no factory test pressure was given: it is on the nameplate or in the maker's manual, never derived from the charge",
        )
    warning = cap_warning(factory_pa=test.factory_pa, service_pa=test.service_pa) if test.service_pa else None
    words = f"the factory test pressure is {psi(test.factory_pa)}; the nameplate wins"
    return Required(pa=test.factory_pa, because=words, cautions=(warning,) if warning else ())


def _of_cylinder(test: ProofTest) -> Required:
    if test.marking is None:
        raise Refusal(
            what="a stamped cylinder needs its specification",
            rule="its smallest test pressure follows from specification and service pressure",
            got="no --spec",
            do="type the stamp, for example 4BW240, or use --kind shell for a shell without a specification",
        )
    limit_of(test.marking, test.on)
    least, source = least_test_pa(test.marking, test.on)
    if least is None:
        return _of_shell(test)
    words = f"{test.marking.text} needs at least {psi(least)} (set {set_psi(least)} psi; {source.for_people()})"
    if test.factory_pa is not None and test.factory_pa > least:
        return Required(pa=test.factory_pa, because=f"the nameplate says {psi(test.factory_pa)}, which wins; {words}")
    if test.factory_pa is not None and test.factory_pa < least:
        caution = f"the nameplate says {psi(test.factory_pa)}, less than the stamp asks; a stamped cylinder is not tested below its stamp"
        return Required(pa=least, because=words, cautions=(caution,))
    return Required(pa=least, because=words)


def _of_hose(test: ProofTest, row: Proof) -> Required:
    assert row.psig is not None and row.printed_kpa is not None, "the data file gives a hose its figure"
    fixed = row.psig * PSI_PA
    words = f"a hose of this kind is tested at {int(row.psig)} psi ({int(row.printed_kpa)} kPa as printed; {row.source.for_people()})"
    if test.service_pa is not None and test.service_pa > fixed:
        return Required(
            pa=test.service_pa, because=f"the service pressure {psi(test.service_pa)} is higher (NFPA 10, from memory); {words}"
        )
    return Required(pa=fixed, because=words)


def _of_au_shell(test: ProofTest, row: Proof) -> Required:
    assert row.working_ratio is not None and row.least_mpa is not None, "the data file gives ratio and floor"
    if test.service_pa is None:
        return Required(pa=None, because="no working pressure was given, and the Australian test pressure starts from it")
    candidates = [row.working_ratio * test.service_pa, row.least_mpa * _MPA, *([test.factory_pa] if test.factory_pa else [])]
    greatest = max(candidates)
    return Required(
        pa=greatest,
        because=f"the greatest of 1.5 times the working pressure, the marked pressure and 2 MPa is {float(greatest / _MPA):g} MPa "
        f"({row.source.for_people()})",
    )


def required_pressure(test: ProofTest) -> Required:
    """The pressure the test needs, from nameplate, stamp or rule, in that order."""
    row = _proof_row(test.kind, test.on)
    if row.rule == "factory":
        return _of_shell(test)
    if row.rule == "specification":
        return _of_cylinder(test)
    return _of_hose(test, row) if row.rule == "psig" else _of_au_shell(test, row)


def holds_of(test: ProofTest) -> tuple[Hold, ...]:
    """The readings of how long the pressure is held, the shortest first."""
    row = _proof_row(test.kind, test.on)
    # A stamped cylinder of the 4-series is a low-pressure shell; its rule and the shop's readings both apply.
    wanted = {row.hold, "low-pressure"} if test.kind == "cylinder" else {row.hold}
    found = [hold for hold in pressure_tests().holds if hold.test in wanted and hold.source.holds_on(test.on)]
    return tuple(sorted(found, key=lambda hold: (hold.hold_s, hold.id)))


def _hold_words(hold: Hold) -> str:
    return f"{hold.hold_s} s ({hold.source.for_people()})"


def _no_test(test: ProofTest, required: Required, findings: tuple[Finding, ...]) -> list[tuple[str, str]]:
    """What makes this no test at all, each with its code."""
    refusals = []
    if test.gas:
        refusals.append(
            (
                "gas-medium",
                "gas is never the test medium: a burst would let go hundreds to thousands of times the energy (29 CFR 1910.157(f)(13))",
            )
        )
    if test.marking is not None and test.kind == "cylinder" and test.marking.code in BY_VOLUME_ALONE:
        refusals.append(("not-by-proof", f"{test.marking.code} is tested by volume, in a water jacket or directly, not by proof pressure"))
    if required.pa is None:
        refusals.append(("no-test-pressure", required.because))
    elif test.test_pa < required.pa:
        refusals.append(("below-pressure", f"the test pressure {psi(test.test_pa)} is below the {psi(required.pa)} that is needed"))
    refusals += [(finding.code, finding.text) for finding in findings if not finding.met]
    return refusals


def _hold_state(test: ProofTest, holds: tuple[Hold, ...]) -> tuple[str, str]:
    """(state, sentence): enough for every reading, for some, for none, or not said."""
    readings = " and ".join(_hold_words(hold) for hold in holds)
    if test.held_s is None:
        return "unknown", f"how long the pressure was held is not said; the readings are {readings}"
    met = [hold for hold in holds if test.held_s >= hold.hold_s]
    words = f"held {float(test.held_s):g} s; the readings are {readings}"
    if len(met) == len(holds):
        return "pass", words
    return ("too-close", f"{words}: hold again for {holds[-1].hold_s} s, which satisfies every one") if met else ("unknown", words)


def _failures(test: ProofTest) -> list[str]:
    seen = ["it leaked"] if test.leak else []
    seen += ["it bulged or lost its shape"] if test.distortion else []
    seen += [f"the pressure fell by {psi(test.drop_pa)} while it was held"] if test.drop_pa > 0 else []
    return [f"{what}: it fails, out of service and out of the workplace (29 CFR 1910.157(f)(14))" for what in seen]


def _cautions(test: ProofTest, required: Required, holds: tuple[Hold, ...]) -> tuple[str, ...]:
    found = list(required.cautions)
    if required.pa is not None and test.test_pa > required.pa * Fraction(11, 10):
        found.append(f"the test pressure is over 110 % of the {psi(required.pa)} that is needed: was it meant?")
    for hold in holds:
        if test.reached_s is not None and hold.reach_s_least is not None and test.reached_s < hold.reach_s_least:
            found.append(f"the pressure was reached in {float(test.reached_s):g} s; one reading asks for at least {hold.reach_s_least} s")
        if test.reached_s is not None and hold.reach_s_most is not None and test.reached_s > hold.reach_s_most:
            found.append(
                f"the pressure was reached in {float(test.reached_s):g} s; one reading asks for about {hold.reach_s_most} s at most"
            )
    return tuple(found)


def judge_proof(test: ProofTest) -> ProofVerdict:
    """Judge a proof test. What bars a shell, and a leak, fail it; what makes it no test leaves it unknown."""
    checked_test_pa(test.test_pa)
    required, holds = required_pressure(test), holds_of(test)
    findings = gauge_findings(test.gauge, test_pa=test.test_pa, tested_on=test.on)
    if test.pump_pa is not None:
        findings += (pump_finding(test_pa=test.test_pa, pump_pa=test.pump_pa),)
    refusals = _no_test(test, required, findings)
    barred = [f"it must never be tested: {NEVER_TESTED[code]} (29 CFR 1910.157(f)(2)); take it out of service" for code in test.found]
    state, hold_words = _hold_state(test, holds)
    failures = barred + _failures(test)
    if failures:
        verdict, reasons = "fail", [*failures, hold_words]
    elif refusals:
        verdict, reasons = "unknown", [text for _, text in refusals] + [hold_words]
    else:
        verdict, reasons = state, [hold_words]
        if state == "unknown":
            refusals.append(("hold-not-said" if test.held_s is None else "hold-too-short", hold_words))
    if barred:
        refusals = [("never-test", text) for text in barred] + refusals
    if required.because not in reasons:
        reasons.append(required.because)
    if verdict == "pass":
        reasons.insert(0, f"no leak, no lost shape and no fall of pressure at {psi(test.test_pa)}")
        reasons.append("a proof test gives no volume: it shows that the shell held once, not how near its limit it was")
    return ProofVerdict(
        verdict=verdict, required=required, holds=holds, refusals=tuple(refusals), findings=findings, because=tuple(reasons),
        cautions=_cautions(test, required, holds),
    )  # fmt: skip
