"""The sentences of a gauge's verdict, the reason first, and the cautions that go with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pinseal import kinds
from pinseal.measures import ATM_PA, PSI_PA, T_70F_K, for_people
from pinseal.physics import carbon_dioxide, clean_agents

if TYPE_CHECKING:
    from pinseal.rules.gauging import GaugeAsked, GaugeVerdict

_SAME_K = 0.6  # about 1 F: nobody reads a shell's temperature better
_ONE_PSI_PA = float(PSI_PA)
_CO2_RANGE_K = (carbon_dioxide.T_K_MIN, 304.0)

# Common practice, no source; the nameplate and the maker's manual come first.
SAFETY_WORDS = (
    "Nameplate, maker's manual and local rules come first; licensed people do this work.",
    "A shell under pressure can kill: never lean over it, never open or vent it to correct a reading.",
)


def pressure_words(pa: float, system: str, *, sign: bool = False) -> str:
    """A pressure for people: `195.0 psi`, `+13.44 bar`."""
    plus = "+" if sign and pa >= 0 else ""
    return plus + for_people(pa, "pressure", system=system, digits=2 if system == "metric" else 1)


def temperature_words(t_k: float, system: str) -> str:
    """A temperature for people: `70 F`."""
    return for_people(t_k, "temperature", system=system, digits=0).replace("-0 ", "0 ")


def full_words(answer: GaugeVerdict, system: str) -> str:
    """What a full unit shows now: one figure, or two where gas over water may or may not have been topped up."""
    low, high = answer.full_between_gauge_pa or (0.0, 0.0)
    if high - low < 0.3 * _ONE_PSI_PA:
        return pressure_words(low, system)
    return f"between {pressure_words(low, system)} and {pressure_words(high, system)}"


class _Words:
    """One question and its answer, in the units of the reader."""

    def __init__(self, asked: GaugeAsked, answer: GaugeVerdict, system: str) -> None:
        self.asked, self.answer, self._system = asked, answer, system

    def p(self, pa: float | None, *, sign: bool = False) -> str:
        return "nothing" if pa is None else pressure_words(pa, self._system, sign=sign)

    def t(self, t_k: float) -> str:
        return temperature_words(t_k, self._system)

    @property
    def here(self) -> str:
        return self.t(self.asked.t_k)

    @property
    def plate(self) -> str:
        return f"{self.p(self.asked.charge_gauge_pa)} at {self.t(self.asked.charged_t_k)}"

    @property
    def full(self) -> str:
        return full_words(self.answer, self._system)


def _head(w: _Words) -> str:
    a = w.answer
    assert a.difference_pa is not None and a.uncertainty_pa is not None, "a verdict has figures"
    away = w.p(abs(a.difference_pa))
    full = f"a unit charged to {w.plate} shows {w.full} at {w.here}"
    side = "above" if a.difference_pa >= 0 else "below"
    if a.verdict == "pass" and a.difference_pa == 0.0:
        return f"The charge is there: {full}, and so does this one."
    if a.verdict == "pass":
        return f"The charge is there: {full}, and this one is {away} {side}, inside the doubt of the reading."
    if a.verdict == "too-close":
        sharp = abs(a.difference_pa) > 1.2 * a.uncertainty_pa
        why = "gas that the water took up could explain that" if sharp else f"the reading is good to {w.p(a.uncertainty_pa)}"
        return f"{full[:1].upper()}{full[1:]}; this one is {away} {side}, and {why}."
    return f"{'Overfilled' if side == 'above' else 'Low'}: {full}, and this one is {away} {side}, more than the reading can be wrong."


def _set_in_the_cold(w: _Words) -> bool:
    asked, doubt = w.asked, w.answer.uncertainty_pa or 0.0
    near = abs(asked.reading_gauge_pa - (asked.charge_gauge_pa or 0.0)) <= 0.4 * doubt
    return near and asked.t_k < asked.charged_t_k - 5.0


def _why_high(w: _Words) -> Iterator[str]:
    a = w.answer
    if _set_in_the_cold(w):
        yield (
            f"It looks as if it was set to the nameplate pressure in the cold: the right reading at {w.here} is {w.p(a.expected_gauge_pa)}."
        )
    yield "Find out how it was filled and compare with the band; correct it at the bench by the manual."


def _why_low(w: _Words) -> Iterator[str]:
    if w.asked.reading_gauge_pa < _ONE_PSI_PA:
        yield (
            "The needle stands at zero: the unit is empty, or the gauge is stuck or blocked. Weigh it; a gauge at zero alone is no proof "
            "that no pressure is left, so treat the unit as charged."
        )
    yield "Take it out of service and look for the leak before it is charged again."


def _slip(w: _Words) -> Iterator[str]:
    off = abs(w.answer.difference_pa or 0.0)
    if w.answer.verdict != "pass" and abs(off - ATM_PA) < 0.5 * _ONE_PSI_PA and not _set_in_the_cold(w):
        yield "The difference is just one atmosphere (14.7 psi): was one of the two figures absolute? Write psia where it was."


def _dial(w: _Words) -> Iterator[str]:
    a = w.answer
    if a.on_dial in ("below", "above"):
        yield f"The needle stands {a.on_dial} the printed band, and such a unit is never tagged, whatever the weather."
        if a.verdict == "pass" and a.on_dial == "below":
            yield "Bring it to room temperature, wait until the whole unit is warm, which takes hours, and read again."
        elif a.verdict == "pass":
            yield "Bring it to a cooler place, wait until the whole unit has cooled, which takes hours, and read again."


def _referred(w: _Words) -> Iterator[str]:
    if w.answer.referred_gauge_pa is not None and abs(w.asked.t_k - T_70F_K) > _SAME_K:
        yield f"Referred to {w.t(T_70F_K)} the reading is {w.p(w.answer.referred_gauge_pa)}."


def _water(w: _Words) -> Iterator[str]:
    a, asked = w.answer, w.asked
    if a.kind != "water" or a.at_rest_gauge_pa is None or a.water_share is None or a.expected_gauge_pa is None:
        return
    at_rest = w.p(a.at_rest_gauge_pa)
    if a.water_share >= 1.0:
        yield f"Water takes up gas and swells when warm: once stirred a full unit shows {at_rest} now, and more if it was topped up after."
        return
    known = "its age is not said" if asked.age_days is None else f"{asked.age_days} days of standing still make {a.water_share:.0%} sure"
    yield f"Water takes up gas: with all of it taken up and none topped up a full unit shows {at_rest} now; {known}."
    if asked.reading_gauge_pa < a.expected_gauge_pa and a.verdict == "too-close":
        yield "Invert it a few times, wait some minutes, read again and say that it was stirred: then the answer is clear."


def _clean_agent(w: _Words) -> Iterator[str]:
    if w.answer.kind != "clean-agent" or w.asked.agent is None:
        return
    share = clean_agents.band_share(w.asked.agent, t_k=w.asked.t_k)
    yield (
        f"For {kinds.agent_label(w.asked.agent)} this is a band for judging sense, good to {share:.0%} at rest; the maker's "
        "temperature and pressure chart comes first, and the unit is weighed."
    )
    yield "A unit that was not shaken after filling is not at rest: its pressure still falls, and that is no leak."


def _elevation(w: _Words) -> Iterator[str]:
    shift = w.asked.charged_atmosphere_abs_pa - w.asked.atmosphere_abs_pa
    if abs(shift) > 0.05 * _ONE_PSI_PA:
        yield f"The elevation moves the reading by {w.p(shift, sign=True)}, because a gauge counts from the air around it."


def _change(w: _Words) -> Iterator[str]:
    c = w.answer.change
    if c is None:
        return
    words = {"steady": "no more than the doubt", "moved": "more than the doubt", "too-close": "about as much as the doubt"}[c.verdict]
    last = "the last reading" if c.readings == 1 else f"the last {c.readings} readings"
    yield f"Since {last}, all at {w.t(T_70F_K)}, it moved by {w.p(c.change_pa, sign=True)}: {words} of {w.p(c.uncertainty_pa)}."
    if c.verdict == "moved":
        yield "It loses gas: look for the leak." if c.change_pa < 0 else "It gained pressure: ask who charged it."


def _known_to(w: _Words) -> str:
    plain = f"a gauge that is right to {w.p(2.5 * _ONE_PSI_PA)} (one standard deviation)"
    gauge = plain if w.asked.class_percent is None else f"a gauge of class {w.asked.class_percent:g} % of its range"
    law = {
        "dry": f"the gas law of {w.asked.gas}, itself good to a thousandth of that",
        "water": f"the water model with {w.asked.gas}",
        "clean-agent": "the clean agent model with its band",
    }[w.answer.kind]
    return f"Known to {w.p(w.answer.uncertainty_pa)} (k = 2), from {gauge}, a shell's temperature known to 1.5 K, and {law}."


def _co2_words(w: _Words) -> Iterator[str]:
    yield "Carbon dioxide shows the same pressure full or leaking as long as liquid is left. Weigh it."
    low, high = _CO2_RANGE_K
    if low <= w.asked.t_k <= high:
        vapour = carbon_dioxide.saturation_abs_pa(w.asked.t_k) - w.asked.atmosphere_abs_pa
        left = carbon_dioxide.vapour_kg_m3(w.asked.t_k) / 680.0
        yield (
            f"At {w.here} it is {w.p(vapour)} while liquid is left; in a shell filled to 0.68 kg/L the pressure begins to fall only below "
            f"{left:.0%} of the charge."
        )
    if w.answer.medium != "co2":
        yield "As a driving gas over an agent it condenses in the cold, so no gas law may be used."


_UNKNOWN = {
    "fill-not-said": "For a halocarbon the agent and its fill density must be known. Give --agent and --fill-density, or weigh it "
    "and use the maker's chart.",
    "no-agent-model": "No model is held for this agent. Weigh it and use the maker's temperature and pressure chart.",
    "too-cold": "Below 0 F no figure can be given for a clean agent. Bring it to room temperature and read again.",
    "brine": "A brine takes up less gas than water and swells otherwise, and no model is held for it. Bring it to room "
    "temperature and read the dial; use the maker's chart.",
}


def gauge_sentences(asked: GaugeAsked, answer: GaugeVerdict, system: str) -> Iterator[str]:
    """Plain sentences: the reason, what the dial means, what else bears on it, and how sure it is."""
    w = _Words(asked, answer, system)
    if answer.kind == "co2":
        yield from _co2_words(w)
        yield from _dial(w)
        return
    if answer.verdict == "unknown":
        yield _UNKNOWN[answer.kind]
        yield from _dial(w)
        return
    yield _head(w)
    if answer.verdict == "fail":
        yield from _why_high(w) if (answer.difference_pa or 0.0) > 0 else _why_low(w)
    elif answer.verdict == "too-close" and answer.kind != "water":
        yield "Let the whole unit come to room temperature, read again on a better gauge, and compare with the last readings."
    for part in (_dial, _slip, _referred, _water, _clean_agent, _elevation, _change):
        yield from part(w)
    yield _known_to(w)
