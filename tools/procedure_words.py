"""The gates and the judges of the job sheets in words, for the generated pages. Each code has its words, or the pages are not made."""

from __future__ import annotations

from collections.abc import Mapping

from pinseal.sheets.gates import GATE_CODES
from pinseal.sheets.vocabulary import JUDGES

_PRACTICE = "common practice, no source"
_NOT_COUNTED = "Steps that are skippable, or only for leaving, do not count."

# Gate: what must be true, how that is known, and what it rests on.
GATES: Mapping[str, tuple[str, str, str]] = {
    "not-blocked": (
        "no blockage holds pressure in the unit",
        "Shut once nothing came from the start and weight or gauge says that something is in it. Only the maker's method opens it, "
        "entered by a registered supervisor.",
        _PRACTICE,
    ),
    "is-blocked": (
        "the unit is blocked and under pressure",
        "The other way round: the step of the maker's method is for a blocked unit alone.",
        _PRACTICE,
    ),
    "earlier-stages": ("every step of the earlier stages is answered", _NOT_COUNTED, _PRACTICE),
    "earlier-steps": ("every earlier step of the sheet is answered", _NOT_COUNTED, _PRACTICE),
    "source-away": (
        "the pressure source is away",
        "A cartridge is out and capped; a gas cylinder is shut. A unit with neither has none to take away.",
        _PRACTICE,
    ),
    "no-pressure": (
        "the unit is proved empty of pressure",
        "Stored pressure: lever and shut-off open, what was in it seen to leave and then to end; or nothing came, and weight and gauge "
        "together say that it was spent. A gauge at zero alone is no proof. Cartridge and gas cylinder: parted from the gas, then vented. "
        "Carbon dioxide: seen to end, and its empty weight. Gas that was let in since makes every earlier proof void.",
        _PRACTICE,
    ),
    "boundary-open": ("the shell is open", "Valve or fill cap was taken off on this sheet, and not closed since.", _PRACTICE),
    "closed": ("the shell is closed", "What was opened on this sheet was closed again.", _PRACTICE),
    "may-be-tested": (
        "nothing bars the shell from being tested, and its test pressure is known",
        "The factory test pressure or the stamp stands on record; it is never derived.",
        "29 CFR 1910.157(f)(2), (f)(14), public copy",
    ),
    "shell-verdict": (
        "the shell was looked at and found sound, or has passed its test",
        "A condemned, nonrechargeable, obsolete, unfit or failed shell never opens it; a doubtful one opens it by a passed test. "
        "Where the sheet asks for the test, only the test counts.",
        "29 CFR 1910.157(f)(2), (f)(4), public copy; how it is proved: common practice, no source",
    ),
    "test-date": (
        "the pressure test is not overdue, or was passed today",
        "The early reading of the last permitted day counts; on that day it is open. A day that is not known keeps it shut.",
        "the day: the chosen packs, see [standards.md](standards.md); that no charge waits for it: 49 CFR and the nameplate, from memory",
    ),
    "dry-shell": ("the shell is dry", "Water was in it and it was dried since; water types need no drying.", _PRACTICE),
    "agent-right": (
        "the nameplate's agent is in it, as much as it says",
        "What was filled in passed its judgement, no other agent was found, and what was in it last is no other agent.",
        "families never mixed: common practice, no source; NFPA 10 forbids conversion, from memory",
    ),
    "supply-ready": (
        "gas, dew point and regulator passed for this charge",
        "Judged on this sheet, since gas was last let in. A kind without a step for the supply needs none.",
        "NFPA 10 7.8.4, from memory; -70 F for wheeled units: common practice, no source",
    ),
    "charged": ("the unit was charged on this sheet", "A leak shows at a charged unit alone.", _PRACTICE),
    "bears-gas": (
        "nothing known speaks against the shell",
        "Only for a step that lets gas in to blow the last powder out. An unfit or doubtful shell gets no gas.",
        _PRACTICE,
    ),
    "goes-out": (
        "something says that the unit goes out of use, where the sheet is for retirement alone",
        "A finding that takes it out of use. Until then it is neither emptied nor opened.",
        _PRACTICE,
    ),
    "whole": (
        "the unit is closed and charged, with its agent in it",
        "What was opened, emptied or let out on this sheet is put back since.",
        _PRACTICE,
    ),
    "valve-was-off": ("the valve was off on this sheet", "A collar without that is a false mark.", _PRACTICE),
    "work-passed": ("the shell was found sound, or has passed its test", "As for the shell before a charge.", _PRACTICE),
    "no-open-stops": (
        "nothing that was found is open",
        "Every finding but a mere note is put right, or the unit does not go back.",
        _PRACTICE,
    ),
    "person-licensed": (
        "the papers of the person do not stop the mark",
        "In California a lapsed licence stops the tag; elsewhere it is flagged. See [instruments.md](instruments.md).",
        "19 CCR 575, public copy; elsewhere common practice, no source",
    ),
    "stand-in": (
        "an equal unit stands in its place",
        "Only for the step that takes the unit away. Equal or better in rating, right for the hazard, itself in date.",
        "29 CFR 1910.157(e)(5) and 19 CCR 591.5, public copy; equal rating: NFPA 10 7.1.3, from memory",
    ),
}  # fmt: skip
assert set(GATES) - {"is-blocked"} == set(GATE_CODES), "each gate has its words"

JUDGED_BY: Mapping[str, str] = {
    "gauge": "the reading against what a full unit shows at that temperature, and against the printed band",
    "gross-weight": "the weight against the range on the nameplate; the range is never derived from the full mark",
    "weight-loss": "the loss in percent of the net charge; at most 10 % (46 CFR 107.235, public copy)",
    "cartridge-weight": "the weight against the one stamped on the cartridge; how much it may be light is the maker's to say",
    "expellant-pressure": "the reading, referred to 70 F by the real gas, against the full pressure of the gas cylinder; "
    "2 % is allowed for the gauge (common practice, no source)",
    "regulator": "the pressure at rest against the regulator's own; "
    "2 % or the doubt of a plain gauge is allowed (common practice, no source)",
    "dent": "its depth against a tenth of its greatest width, and 1/4 in at a weld (a summary of 49 CFR 180.205 and CGA C-6, second-hand)",
    "pit": "its depth against a tenth of the wall (a summary of 49 CFR 180.205 and CGA C-6, second-hand)",
    "shell-proof": "pressure, hold and instrument against the factory test pressure or the stamp; see [proof](../bench/proof.md)",
    "water-jacket": "the expansion that stayed, in percent of the total, against the limit of the specification; "
    "see [jacket](../bench/jacket.md)",
    "hose-proof": "pressure and hold: 1,250 psi for carbon dioxide, 300 psi for the others (29 CFR 1910.157(f)(6), (f)(7), public copy)",
    "blow-out": "the pressure; at most 200 psi (common practice, no source)",
    "agent-in": "the agent against the nameplate and against what was in it last, the mass against the nameplate",
    "co2-in": "the mass against the most that the shell's water capacity and specification allow, and against the nameplate",
    "supply": "gas, dew point and regulator; the ceiling is the nameplate pressure and 25 psi (NFPA 10 7.8.4, from memory)",
    "stopped": "where the gas was stopped against the ceiling, the nameplate pressure and 25 psi (NFPA 10 7.8.4, from memory)",
    "settled": "the pressure at rest against the target at the shell's temperature; see [charge](../bench/charge.md)",
    "mass-balance": "weight before, less what was recovered, less weight after: nothing may be missing beyond the scale's doubt",
    "stand-in": "the unit that is named: rating, agent, hazard, and its own dates",
}
assert set(JUDGED_BY) == set(JUDGES), "each judge has its words"

# Instruments that a step names and that no register keeps.
PLAIN_INSTRUMENTS: Mapping[str, str] = {"unit-gauge": "the unit's own gauge", "clock": "clock", "depth-gauge": "depth gauge"}
