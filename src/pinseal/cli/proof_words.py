"""How `proof` answers: its JSON, and its words for people."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pinseal.cli.bench_words import level_json, say_verdict, sentences
from pinseal.measures import Measure
from pinseal.rules.cautions import STAND_CLEAR

if TYPE_CHECKING:
    from pinseal.rules.proof_tests import ProofTest, ProofVerdict

_HEADS = {
    "pass": "PASS of the proof test",
    "fail": "FAIL",
    "too-close": "TOO CLOSE: the readings of the hold differ",
    "unknown": "UNKNOWN: this is no valid test",
}


def _method_kind(kind: str) -> str:
    return "cylinder" if kind == "cylinder" else kind if kind.endswith("hose") else "shell"


def _gas(test: ProofTest, capacity: Measure | None) -> tuple[dict[str, float], str] | None:
    """What the same shell would store if it were tested with gas."""
    if capacity is None:
        return None
    from pinseal.measures import ATM_PA, AbsPa
    from pinseal.physics.shells import stored_energy

    stored = stored_energy(test_abs_pa=AbsPa(float(test.test_pa) + ATM_PA), volume_m3=capacity.si)
    words = (
        f"full of gas at this pressure the shell would store up to {stored.brode_j / 1000:.3g} kJ, about {stored.gas_to_water:,.0f} times "
        f"as much as full of water; {stored.distance_m:.0f} m would be the least distance (ASME PCC-2, read in a second-hand summary)"
    )
    shape = {
        "gas_energy_at_most_joule": stored.brode_j,
        "gas_energy_isentropic_joule": stored.isentropic_j,
        "water_energy_joule": stored.water_j,
        "distance_m": stored.distance_m,
    }
    return shape, words


def proof_json(test: ProofTest, found: ProofVerdict, capacity: Measure | None, units: str) -> dict[str, Any]:
    from pinseal.rules.pressure_marks import mark_of

    gas = _gas(test, capacity)
    return {
        "verdict": found.verdict,
        "required": level_json(found.required.pa, units),
        "required_because": sentences([found.required.because])[0],
        "held_s": None if test.held_s is None else float(test.held_s),
        "holds": [
            {"id": hold.id, "seconds": hold.hold_s, "reach_seconds_least": hold.reach_s_least, "reach_seconds_most": hold.reach_s_most}
            | {"source": hold.source.as_json()}
            for hold in found.holds
        ],
        "refusals": [{"code": code, "because": sentences([text])[0]} for code, text in found.refusals],
        "instruments": [finding.as_json() for finding in found.findings],
        "because": sentences(found.because),
        "cautions": sentences(found.cautions),
        "if_tested_with_gas": None if gas is None else gas[0],
        "mark": mark_of(kind=_method_kind(test.kind), method="proof-pressure").as_json(),
        "safety": list(STAND_CLEAR),
    }


def say_proof(test: ProofTest, found: ProofVerdict, capacity: Measure | None) -> None:
    from pinseal.rules.pressure_marks import mark_of

    gas = _gas(test, capacity)
    extra = [*found.cautions, *([gas[1]] if gas else [])]
    if found.verdict == "pass":
        mark = mark_of(kind=_method_kind(test.kind), method="proof-pressure")
        extra.append("the mark says: " + "; ".join(text for text, _ in mark.lines))
    say_verdict(_HEADS[found.verdict], found.because, extra, STAND_CLEAR)
