"""How a unit is proved empty of pressure, before anything that holds the pressure in is opened. Common practice, no source.

Stored pressure: lever and shut-off open, what was in it seen to leave, and then nothing comes. A gauge at zero alone is no proof,
and nothing coming from a unit that weighs full is a blockage, not emptiness. A unit with its gas in a cartridge or a cylinder is
proved by parting it from that gas and then venting it. What expels itself (carbon dioxide) is proved by its weight.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pinseal import kinds
from pinseal.measures import LB_KG, PSI_PA, GaugePa
from pinseal.reasons import Refusal

EVENTS: Mapping[str, str] = {
    "left-then-ended": "lever and shut-off open: what was in it left, and then nothing more came",
    "still-leaving": "lever and shut-off open: something still leaves",
    "nothing-from-start": "lever and shut-off open: nothing came from the start",
    "cartridge-out": "the cartridge is out",
    "cartridge-capped": "the cartridge that came out is capped",
    "cylinder-shut": "the gas cylinder is shut",
    "line-vented": "the line from the gas cylinder is vented",
    "chamber-vented": "the agent chamber is vented",
    "relieved-by-makers-method": "a supervisor had the pressure relieved by the maker's method",
    "charged": "gas was let into it",
}
STATES: Mapping[str, str] = {
    "proved": "proved empty of pressure",
    "not-yet": "not yet proved empty of pressure",
    "blocked": "blocked, and under pressure",
}
SOURCE = "common practice, no source"
_FLOW = ("left-then-ended", "still-leaving", "nothing-from-start", "relieved-by-makers-method")
# What parts the unit from its gas, in order; what is vented counts only after the first of these.
_PARTED: Mapping[str, tuple[str, ...]] = {
    "cartridge": ("cartridge-out", "cartridge-capped", "chamber-vented"),
    "cylinder": ("cylinder-shut", "line-vented", "chamber-vented"),
}
_STOP = (
    "stop: nothing that holds the pressure in is touched, and nobody stands in line with valve or nozzle",
    "a supervisor has the pressure relieved by the maker's method",
)
_MASS_KG_MOST = 10_000
# A scale that could miss more than this share of the charge is no witness that it is gone. Common practice, no source.
_U_SHARE_MOST = Fraction(1, 10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Emptying:
    """What was done, seen and read. `seen`: keys of `EVENTS`, oldest first. None is not said.

    The weights [kg] are gross, with the same parts on; `net_kg` is the charge of agent; `gross_kg` and the gauge [Pa above the air]
    are the last readings. `scale_u_kg`: U = 2u of the scale. `gauge_zero_u_pa` [Pa]: how far from zero it may stand unpressed.
    """

    expelled_by: str | None
    seen: tuple[str, ...] = ()
    gross_kg: Fraction | None = None
    full_gross_kg: Fraction | None = None
    net_kg: Fraction | None = None
    empty_gross_kg: Fraction | None = None
    scale_u_kg: Fraction | None = None
    gauge_gauge_pa: GaugePa | None = None
    gauge_zero_u_pa: float = 0.0

    @property
    def charge_kg(self) -> Fraction | None:
        """The agent when full [kg]: as said, else full less empty."""
        if self.net_kg is not None or self.full_gross_kg is None or self.empty_gross_kg is None:
            return self.net_kg
        return self.full_gross_kg - self.empty_gross_kg

    @property
    def spent_marks_kg(self) -> tuple[Fraction, ...]:
        """What it weighs without agent [kg], by each mark that says it."""
        by_full = None if self.full_gross_kg is None or self.net_kg is None else self.full_gross_kg - self.net_kg
        return tuple(mark for mark in (self.empty_gross_kg, by_full) if mark is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """proved, not-yet or blocked (keys of `STATES`), why, and what is missing for a proof, as sentences without a full stop."""

    state: str
    because: tuple[str, ...]
    missing: tuple[str, ...] = ()

    def as_json(self) -> dict[str, object]:
        return {"state": self.state, "because": list(self.because), "missing": list(self.missing), "source": SOURCE}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Witness:
    """What one instrument says: spent, charged, or None where it can say nothing; why, and what would make it speak."""

    says: str | None
    text: str
    wanted: str = ""


def _mass(kg: Fraction) -> str:
    return f"{float(kg / LB_KG):.2f} lb ({float(kg):.3f} kg)"


def _psi(pa: float) -> str:
    return f"{pa / float(PSI_PA):.1f} psi"


def _refuse_events(seen: Iterable[str]) -> None:
    for event in seen:
        if event not in EVENTS:
            raise Refusal(
                what="nothing of this kind can be seen here", rule=f"one of {', '.join(EVENTS)}", got=event, do="use a listed word"
            )


def _refuse_figures(e: Emptying) -> None:
    masses = {"weight": e.gross_kg, "full weight": e.full_gross_kg, "net agent": e.net_kg, "empty weight": e.empty_gross_kg}
    for name, kg in masses.items():
        if kg is not None and not 0 < kg <= _MASS_KG_MOST:
            raise Refusal(
                what=f"the {name} cannot be right",
                rule=f"above zero and at most {_MASS_KG_MOST} kg",
                got=f"{float(kg):g} kg",
                do="zero the empty scale and weigh again",
            )
    if e.full_gross_kg is not None and any(mark is not None and mark >= e.full_gross_kg for mark in (e.net_kg, e.empty_gross_kg)):
        raise Refusal(
            what="the full weight is not above the empty weight and the net agent",
            rule="full is gross: shell, valve and agent",
            got=_mass(e.full_gross_kg),
            do="read the marks again",
        )
    doubts = (e.gauge_zero_u_pa, float(e.scale_u_kg or 0))
    gauge = 0.0 if e.gauge_gauge_pa is None else float(e.gauge_gauge_pa)
    if not math.isfinite(gauge) or any(not math.isfinite(doubt) or doubt < 0 for doubt in doubts):
        raise Refusal(
            what="a reading of the gauge or a doubt is no number that can be used",
            rule="doubts are zero or above",
            got=", ".join(f"{value:g}" for value in (gauge, *doubts)),
            do="read the instrument and its papers again",
        )


def _weight(e: Emptying) -> _Witness:
    """What the weight says. Of two marks that differ the lower is taken, so that no agent is overlooked."""
    if e.gross_kg is None:
        return _Witness(says=None, text="it was not weighed", wanted="weigh it, with the same parts on as when the mark was made")
    if not e.spent_marks_kg:
        return _Witness(
            says=None,
            text="nothing says what it weighs when it is empty",
            wanted="its empty weight, or its full weight and its net agent, from nameplate or stamp",
        )
    mark, doubt = min(e.spent_marks_kg), e.scale_u_kg or Fraction(0)
    figures = f"it weighs {_mass(e.gross_kg)}; without agent it weighs {_mass(mark)}"
    if e.gross_kg > mark + doubt:
        return _Witness(says="charged", text=f"{figures}: agent is in it")
    if e.charge_kg is not None and doubt > e.charge_kg * _U_SHARE_MOST:
        text = f"the scale is good to {_mass(doubt)}, too coarse for a charge of {_mass(e.charge_kg)}"
        return _Witness(says=None, text=text, wanted="weigh it on a scale whose U is at most a tenth of the charge")
    return _Witness(says="spent", text=f"{figures}: no agent is in it{_fineness(e)}")


def _fineness(e: Emptying) -> str:
    if e.scale_u_kg is None:
        return "; nothing was said of the scale, so nothing is allowed for it"
    return "" if e.charge_kg is not None else "; the charge is not said, so whether the scale is fine enough is not known"


def _gauge(e: Emptying) -> _Witness:
    if e.gauge_gauge_pa is None:
        return _Witness(says=None, text="its gauge was not read", wanted="read its gauge")
    reading = float(e.gauge_gauge_pa)
    if reading > e.gauge_zero_u_pa:
        return _Witness(says="charged", text=f"its gauge shows {_psi(reading)}: it is under pressure, or the gauge is stuck")
    if reading < -e.gauge_zero_u_pa:
        text = f"its gauge stands below zero, at {_psi(reading)}: it is broken and says nothing"
        return _Witness(says=None, text=text, wanted="a gauge that can be believed: this one stands below zero")
    return _Witness(says="spent", text=f"its gauge shows {_psi(reading)}, zero within its doubt")


def _after_last(seen: tuple[str, ...], event: str) -> tuple[str, ...]:
    return seen[len(seen) - seen[::-1].index(event) :] if event in seen else seen


def _proved(*because: str) -> Proof:
    return Proof(state="proved", because=because)


def _not_yet(because: Iterable[str], missing: Iterable[str]) -> Proof:
    return Proof(state="not-yet", because=tuple(because), missing=tuple(missing))


def _blocked(seen: tuple[str, ...], witnesses: tuple[_Witness, ...]) -> Proof | None:
    """Nothing came, and an instrument says that something is in it: it stays blocked until the maker's method has relieved it."""
    charged = tuple(witness.text for witness in witnesses if witness.says == "charged")
    if not charged or "nothing-from-start" not in _after_last(seen, "relieved-by-makers-method"):
        return None
    words = "nothing came from the start, and it is not empty: the way out is blocked"
    return Proof(state="blocked", because=(words, *charged), missing=_STOP)


def _last_flow(seen: tuple[str, ...]) -> str | None:
    """What is known of the way out: the last thing seen. Nothing coming after it was seen to end only confirms the end."""
    flow = [event for event in seen if event in _FLOW]
    while len(flow) > 1 and flow[-1] == "nothing-from-start" and flow[-2] != "still-leaving":
        flow.pop()
    return flow[-1] if flow else None


_OPEN_IT = "with the unit held, open lever and shut-off both, see what is in it leave, and then see that nothing more comes"
_NO_GAUGE_PROOF = "a gauge at zero alone is no proof"


def _still_said(witnesses: tuple[_Witness, ...]) -> tuple[str, ...]:
    """A reading from before the emptying says charged and is harmless; one that still says so is not."""
    return tuple(f"{witness.text}; if that is so now, it is not empty: stop" for witness in witnesses if witness.says == "charged")


def _stored(e: Emptying, seen: tuple[str, ...]) -> Proof:
    weight, gauge = _weight(e), _gauge(e)
    blocked = _blocked(seen, (weight, gauge))
    if blocked is not None:
        return blocked
    last = _last_flow(seen)
    if last == "left-then-ended":
        return _proved(EVENTS[last], *_still_said((gauge,)))
    if last == "relieved-by-makers-method":
        return _proved(f"{EVENTS[last]}; agent may still be in it", *_still_said((gauge,)))
    if last == "still-leaving":
        return _not_yet([EVENTS[last]], ["wait until nothing more comes"])
    if last is None:
        return _not_yet(["nobody has seen anything leave", *([_NO_GAUGE_PROOF] if gauge.says == "spent" else [])], [_OPEN_IT])
    missing = [witness.wanted for witness in (weight, gauge) if witness.says is None]
    because = (EVENTS[last], weight.text, gauge.text)
    if missing:
        return _not_yet((*because, "only weight and gauge together show that it was spent already"), missing)
    return _proved(*because, "weight and gauge agree: it was spent already")


def _self_expelling(e: Emptying, seen: tuple[str, ...]) -> Proof:
    weight, gauge = _weight(e), _gauge(e)
    blocked = _blocked(seen, (weight, gauge))
    if blocked is not None:
        return blocked
    last = _last_flow(seen)
    missing: list[str] = []
    because: list[str] = []
    if last is None or last == "still-leaving":
        because.append("nobody has seen anything leave" if last is None else EVENTS[last])
        missing.append(_OPEN_IT if last is None else "wait until nothing more comes")
    else:
        because.append(EVENTS[last])
    because.append(weight.text)
    if weight.says == "charged":
        missing.append("wait: ice can stop the way out while liquid is left; open it again, then weigh it again")
    elif e.empty_gross_kg is None and weight.says is not None:
        missing.append("the empty weight that is stamped on it: what expels itself is proved empty by that alone")
    elif weight.says is None:
        missing.append(weight.wanted)
    return _not_yet(because, missing) if missing else _proved(*because, *_still_said((gauge,)))


def _parted(e: Emptying, seen: tuple[str, ...]) -> Proof:
    """The gas is in a cartridge or cylinder of its own: part it, then vent what it may have let into the unit."""
    assert e.expelled_by is not None, "the way of expelling picks this rule"
    first, *others = _PARTED[e.expelled_by]
    if first not in seen:
        lever = [f"a lever before that is no proof: {EVENTS[first]} first"] if any(event in _FLOW for event in seen) else []
        return _not_yet([f"not yet so: {EVENTS[first]}", *lever], [f"see to it that {EVENTS[each]}" for each in (first, *others)])
    after = seen[seen.index(first) + 1 :]
    undone = [each for each in others if each not in after]
    if "chamber-vented" not in undone and "still-leaving" in _after_last(after, "chamber-vented"):
        return _not_yet([EVENTS["still-leaving"]], ["wait until nothing more comes, then see that the agent chamber is vented"])
    if undone:
        return _not_yet([EVENTS[first]], [f"see to it that {EVENTS[each]}" for each in undone])
    return _proved(*(EVENTS[each] for each in (first, *others)), *_still_said((_gauge(e),)))


def prove(emptying: Emptying) -> Proof:
    """Whether a unit is proved empty of pressure by what was done and seen. Raises `Refusal` for words and figures that cannot be.

    >>> prove(Emptying(expelled_by="stored-pressure", seen=("still-leaving", "left-then-ended"))).state
    'proved'
    >>> prove(Emptying(expelled_by="stored-pressure", gauge_gauge_pa=GaugePa(0.0))).state
    'not-yet'
    """
    e = emptying
    if e.expelled_by is not None:
        kinds.require(e.expelled_by, kinds.EXPELLED_BY, what="expelled by")
    _refuse_events(e.seen)
    _refuse_figures(e)
    seen = _after_last(e.seen, "charged")
    if e.expelled_by is None:
        return _not_yet(
            ["it is not said what expels the agent, so no way of proving it holds"], ["what expels the agent, from the nameplate"]
        )
    if e.expelled_by == "pump":
        return _proved("a hand pump holds no pressure: there is nothing to prove")
    found = {"stored-pressure": _stored, "self-expelling": _self_expelling}.get(e.expelled_by, _parted)(e, seen)
    forgotten = ("gas was let into it: what was seen before that counts no more",) if "charged" in e.seen else ()
    return Proof(state=found.state, because=(*found.because, *forgotten), missing=found.missing)
