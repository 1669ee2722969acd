"""An invented fleet in columns, of any size, from a fixed seed: the mix of a large shop, with dates of every precision."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.dates import EPOCH
from pinseal.rules.columns import Fleet
from pinseal.standards.model import ATTRIBUTES

ON = date(2026, 11, 24)
_TODAY = (ON - EPOCH).days

# How common the kinds of unit are: agent, expelled by, shell, wheeled, rechargeable, hose, specification, share.
_MIX = (
    ("abc", "stored-pressure", "mild-steel", "no", "yes", "none", None, 0.30),
    ("abc", "stored-pressure", "mild-steel", "no", "yes", "plain", None, 0.18),
    ("abc", "stored-pressure", "aluminium", "no", "yes", "none", None, 0.05),
    ("abc", "stored-pressure", "mild-steel", "no", "no", "none", None, 0.06),
    ("abc", "cartridge", "mild-steel", "no", "yes", "shut-off", None, 0.04),
    ("sodium-bicarbonate", "stored-pressure", "mild-steel", "no", "yes", "plain", None, 0.03),
    ("potassium-bicarbonate", "stored-pressure", "stainless-steel", "no", "yes", "plain", None, 0.02),
    ("potassium-bicarbonate", "stored-pressure", "mild-steel", "yes", "yes", "shut-off", "4BW", 0.02),
    ("abc", "cylinder", "mild-steel", "yes", "yes", "shut-off", None, 0.01),
    ("co2", "self-expelling", "aluminium", "no", "yes", "none", "3AL", 0.09),
    ("co2", "self-expelling", "mild-steel", "no", "yes", "plain", "3AA", 0.04),
    ("water", "stored-pressure", "stainless-steel", "no", "yes", "plain", None, 0.04),
    ("afff", "stored-pressure", "stainless-steel", "no", "yes", "plain", None, 0.03),
    ("wet-chemical", "stored-pressure", "stainless-steel", "no", "yes", "plain", None, 0.04),
    ("halon-1211", "stored-pressure", "mild-steel", "no", "yes", "plain", None, 0.02),
    ("halocarbon-hfc-236fa", "stored-pressure", "mild-steel", "no", "yes", "plain", None, 0.02),
    ("class-d-sodium-chloride", "cartridge", "mild-steel", "no", "yes", "shut-off", None, 0.01),
)
_NAMES = ("agent", "expelled_by", "shell", "wheeled", "rechargeable", "hose", "specification")


def _code(name: str, code: str | None) -> int:
    return ATTRIBUTES[name].index(code) if code else -1


def mixed_fleet(size: int, *, unsaid: float = 0.0, seed: int = 20261124) -> Fleet:
    """`size` units; each nameplate fact but the agent is not said with the chance `unsaid`."""
    rng = np.random.default_rng(seed)
    shares = np.array([row[-1] for row in _MIX])
    row = rng.choice(len(_MIX), size, p=shares / shares.sum())
    attributes = {name: np.array([_code(name, kind[i]) for kind in _MIX], np.int8)[row] for i, name in enumerate(_NAMES)}
    attributes["water_capacity"] = rng.choice(np.array([0, 1], np.int8), size)
    attributes["test_method"] = rng.choice(np.array([0, 1], np.int8), size)
    for name in _NAMES[1:] if unsaid else ():
        attributes[name][rng.random(size) < unsaid] = -1
    earliest, latest = _dates(rng, size)
    return Fleet(size=size, attributes=attributes, earliest=earliest, latest=latest)


def _dates(rng: np.random.Generator, size: int) -> tuple[dict[str, NDArray[np.int32]], dict[str, NDArray[np.int32]]]:
    made = rng.integers(_TODAY - 365 * 20, _TODAY - 30, size).astype(np.int32)
    known = {
        "manufactured": 1.0,
        "inspection": 0.9,
        "maintenance": 0.9,
        "internal-examination": 0.4,
        "hydrostatic-test": 0.35,
        "recharge": 0.3,
    }
    earliest, latest = {}, {}
    for fact, share in known.items():
        day = made if fact == "manufactured" else np.minimum(made + rng.integers(30, 7000, size), _TODAY).astype(np.int32)
        wide = np.where(rng.random(size) < 0.3, rng.integers(27, 31, size), 0).astype(np.int32)
        there = rng.random(size) < share
        earliest[fact] = np.where(there, day, -1).astype(np.int32)
        latest[fact] = np.where(there, day + wide, -1).astype(np.int32)
    opened = rng.random(size) < 0.5
    for fact in ("recharge-opened", "recharge-maybe-opened"):
        earliest[fact] = np.where(opened, earliest["recharge"], -1).astype(np.int32)
        latest[fact] = np.where(opened, latest["recharge"], -1).astype(np.int32)
    assert set(earliest) <= set(kinds.FACTS)
    return earliest, latest
