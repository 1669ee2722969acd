"""What a data file may say: which stage and which tokens go with an effect, which readings a judge needs, what can be matched.

Here stands that only an opening step can tell that the valve is off, and only an emptying one that pressure left. A
procedure that says otherwise is not loaded.
"""

from __future__ import annotations

from collections.abc import Mapping

from pinseal import kinds

_SEEN_LEAVING = ("left-then-ended", "still-leaving", "nothing-from-start", "relieved-by-makers-method", "agent-out")

STAGES_OF_EFFECT: Mapping[str, tuple[str, ...]] = {
    "look": ("arrive", "look", "weigh", "empty", "inside", "fill", "charge", "leak", "mark", "return", "leave"),
    "touch": ("arrive", "look", "weigh", "close", "leak", "mark", "return"),
    "disarm": ("look", "empty"),
    "lever": ("look", "weigh", "empty", "inside", "close"),
    "empty": ("empty",),
    "open": ("open",),
    "inside": ("inside", "test", "close"),
    "test": ("test",),
    "hose-off": ("empty", "open", "test"),
    "dry": ("dry",),
    "fill": ("fill",),
    "close": ("fill", "close"),
    "supply": ("charge",),
    "charge": ("charge",),
    "arm": ("charge",),
    "after-charge": ("charge", "leak"),
    "collar": ("mark",),
    "label": ("mark",),
    "tag": ("mark",),
    "return": ("return",),
    "leave": ("leave",),
}

TOKENS_OF_EFFECT: Mapping[str, tuple[str, ...]] = {
    "look": ("shell-sound", "shell-doubtful", "shell-unfit", "never-tested", "no-stand-in"),
    "touch": ("hose-label-on",),
    "disarm": ("cartridge-out", "cartridge-capped", "cylinder-shut"),
    "lever": ("line-vented", "chamber-vented"),
    "empty": (*_SEEN_LEAVING, "charged"),
    "open": ("valve-off", "cap-off", "still-leaving"),
    "inside": ("shell-sound", "shell-doubtful", "shell-unfit", "never-tested", "agent-out"),
    "test": ("test-failed",),
    "hose-off": ("hose-off", "hose-on"),
    "dry": ("dried",),
    "fill": ("filled",),
    "close": ("closed", "hose-on"),
    "supply": ("supply-ready", "supply-wrong"),
    "charge": ("charged",),
    "arm": ("charged",),
    "after-charge": ("leak-free", "leaks", "off-supply"),
    "collar": ("collar-on",),
    "label": ("label-on",),
    "tag": ("tag-on",),
    "return": ("returned",),
    "leave": ("away", "unusable", "no-stand-in"),
}

# Judge: the readings that it needs. What each does stands in `verdicts`.
JUDGES: Mapping[str, tuple[str, ...]] = {
    "gauge": ("gauge", "temperature"),
    "gross-weight": ("gross",),
    "weight-loss": ("gross",),
    "cartridge-weight": ("cartridge",),
    "expellant-pressure": ("cylinder", "temperature"),
    "regulator": ("static",),
    "dent": ("dent-depth", "dent-width"),
    "pit": ("pit-depth",),
    "shell-proof": ("pressure", "held"),
    "water-jacket": ("pressure", "total", "permanent"),
    "hose-proof": ("pressure", "held"),
    "blow-out": ("pressure",),
    "agent-in": ("agent", "mass"),
    "co2-in": ("mass",),
    "supply": ("gas", "regulator", "temperature"),
    "stopped": ("stopped",),
    "settled": ("settled", "temperature"),
    "mass-balance": ("recovered",),
    "stand-in": ("loaner",),
}
# What a judge tells about the unit: where it passes, where it fails. Data files cannot say these.
JUDGED_TOKENS: Mapping[str, tuple[str, str]] = {
    "shell-proof": ("test-passed", "test-failed"),
    "water-jacket": ("test-passed", "test-failed"),
    "supply": ("supply-ready", "supply-wrong"),
    "stand-in": ("stand-in", "no-stand-in"),
    "dent": ("", "shell-unfit"),
    "pit": ("", "shell-unfit"),
}

INSTRUMENTS: tuple[str, ...] = (
    "scale", "regulator", "test-gauge", "master-gauge", "thermometer", "test-jacket", "calibrated-cylinder", "recovery-machine",
    "conductivity-tester", "torque-wrench", "hygrometer", "unit-gauge", "clock", "depth-gauge",
)  # fmt: skip

MATCHED: Mapping[str, tuple[str, ...]] = {
    "agent": tuple(kinds.AGENTS),
    "expelled_by": tuple(kinds.EXPELLED_BY),
    "shell": tuple(kinds.SHELLS),
    "wheeled": tuple(kinds.YES_NO),
    "rechargeable": tuple(kinds.YES_NO),
    "hose": tuple(kinds.HOSES),
    "stamped": tuple(kinds.YES_NO),
    "packs": ("us-osha", "us-nfpa10", "us-dot", "us-ca", "imo", "gb", "au"),
}
