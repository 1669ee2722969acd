"""Clean agents under nitrogen: a band of what the gauge may show, for judging sense only. The maker's chart comes first.

Equation: liquid and vapour of agent and nitrogen in balance by the two-constant cubic equation of 1976 (Ind. Eng. Chem. Fundam. 15, 59)
with the plain mixing rule and no interaction constant; the volume of the liquid from the agent's own reference equation in CoolProp, plus
60 cm3/mol for the nitrogen in it (from memory; the answer hardly feels it). The mass of each in the shell is constant.
That this equation reproduces the solubility of nitrogen in several agents: Appl. Therm. Eng. 110 (2017) 457, abstract.

Range: 255.4 to 327.6 K (0 to 130 F), fill 800 to 1500 kg/m3, nitrogen alone, at rest: shaken after filling. FK-5-1-12: charge up to 50 bar
abs, at least 0.5 % of the shell above the liquid. HFC-227ea and HFC-236fa: up to 30 bar abs and at least 10 %, because nearer to
liquid-full the figure falls up to 12 and 27 % short of remembered tables of system standards. Inside, FK-5-1-12 is within 4 % of such
tables and HFC-227ea within 4 % of a fitted mixture equation; HFC-236fa has no such check. Below 0 F two models of this kind part by
15 to 24 %, so no figure is given there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from pinseal.measures import ATM_PA
from pinseal.physics.solving import root_of_rising
from pinseal.reasons import Refusal

T_K_MIN, T_K_MAX = 459.67 / 1.8, 589.67 / 1.8
FILL_KG_M3_MIN, FILL_KG_M3_MAX = 800.0, 1500.0
_R = 8.314462618
_WITHIN_PA = 1e-5  # of the solver: far below what any gauge can show
_NITROGEN_IN_LIQUID_M3_MOL = 60e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Substance:
    """What the cubic equation needs; `cas` finds the reference equation in CoolProp."""

    cas: str
    t_critical_k: float
    p_critical_pa: float
    acentric: float
    molar_mass_kg_mol: float
    band_share: float = 0.0
    vapour_share_min: float = 0.0
    charge_abs_pa_max: float = 0.0


# Constants as in the reference equations: J. Chem. Eng. Data 60 (2015) 3646 (FK-5-1-12) and 3745 (HFC-227ea),
# Fluid Phase Equilib. 321 (2012) 10 (HFC-236fa). The band is 5 % and 10 % of the gauge pressure.
AGENTS = {
    "halocarbon-fk-5-1-12": Substance(
        cas="756-13-8", t_critical_k=441.81, p_critical_pa=1.869027e6, acentric=0.4710, molar_mass_kg_mol=0.3160438,
        band_share=0.05, vapour_share_min=0.005, charge_abs_pa_max=50e5,
    ),
    "halocarbon-hfc-227ea": Substance(
        cas="431-89-0", t_critical_k=374.9, p_critical_pa=2.925e6, acentric=0.3576, molar_mass_kg_mol=0.17002886,
        band_share=0.10, vapour_share_min=0.10, charge_abs_pa_max=30e5,
    ),
    "halocarbon-hfc-236fa": Substance(
        cas="690-39-1", t_critical_k=398.07, p_critical_pa=3.19e6, acentric=0.3769, molar_mass_kg_mol=0.1520384,
        band_share=0.10, vapour_share_min=0.10, charge_abs_pa_max=30e5,
    ),
}  # fmt: skip
NITROGEN = Substance(cas="7727-37-9", t_critical_k=126.192, p_critical_pa=3.3958e6, acentric=0.0372, molar_mass_kg_mol=0.0280134)


def check_range(*, t_k: float, fill_kg_m3: float) -> None:
    """Raises `Refusal` outside the range of the model."""
    if not T_K_MIN - 1e-6 <= t_k <= T_K_MAX + 1e-6:
        raise Refusal(
            what="the temperature is outside the range of the clean agent model",
            rule="0 to 130 F, that is -17.8 to 54.4 C; below 0 F no figure can be given",
            got=f"{t_k * 1.8 - 459.67:.1f} F",
            do="bring the unit to room temperature and read again, and use the maker's chart",
        )
    if not FILL_KG_M3_MIN <= fill_kg_m3 <= FILL_KG_M3_MAX:
        raise Refusal(
            what="the fill density is outside the range of the clean agent model",
            rule=f"{FILL_KG_M3_MIN:g} to {FILL_KG_M3_MAX:g} kg/m3, that is 50 to 94 lb/ft3",
            got=f"{fill_kg_m3:.0f} kg/m3",
            do="divide the mass of agent by the volume of the shell; use the maker's chart",
        )


def _constants(s: Substance, t_k: float) -> tuple[float, float]:
    slope = 0.37464 + 1.54226 * s.acentric - 0.26992 * s.acentric**2
    alpha = (1.0 + slope * (1.0 - math.sqrt(t_k / s.t_critical_k))) ** 2
    return 0.457236 * (_R * s.t_critical_k) ** 2 / s.p_critical_pa * alpha, 0.0777961 * _R * s.t_critical_k / s.p_critical_pa


def _compressibility(a: float, b: float, *, liquid: bool) -> float:
    """The root of the cubic for one phase: z^3 - (1-B) z^2 + (A - 3B^2 - 2B) z - (AB - B^2 - B^3) = 0."""
    c2, c1, c0 = b - 1.0, a - 3.0 * b * b - 2.0 * b, -(a * b - b * b - b**3)
    q, r = (3.0 * c1 - c2 * c2) / 9.0, (9.0 * c2 * c1 - 27.0 * c0 - 2.0 * c2**3) / 54.0
    inside = q**3 + r * r
    if inside > 0.0:
        root = math.sqrt(inside)
        return math.cbrt(r + root) + math.cbrt(r - root) - c2 / 3.0
    angle = math.acos(max(-1.0, min(1.0, r / math.sqrt(-(q**3)))))
    roots = [2.0 * math.sqrt(-q) * math.cos((angle + 2.0 * math.pi * n) / 3.0) - c2 / 3.0 for n in range(3)]
    return min(z for z in roots if z > b) if liquid else max(roots)


def _log_fugacities(pair: tuple[Substance, Substance], share: float, p: float, t_k: float, *, liquid: bool) -> tuple[float, float, float]:
    """ln of both fugacity coefficients, and the compressibility; `share` is the mole fraction of the first."""
    (a1, b1), (a2, b2) = (_constants(s, t_k) for s in pair)
    cross = math.sqrt(a1 * a2)
    a_mix = share**2 * a1 + 2.0 * share * (1.0 - share) * cross + (1.0 - share) ** 2 * a2
    b_mix = share * b1 + (1.0 - share) * b2
    a, b = a_mix * p / (_R * t_k) ** 2, b_mix * p / (_R * t_k)
    z = _compressibility(a, b, liquid=liquid)
    tail = math.log((z + (1.0 + math.sqrt(2.0)) * b) / (z + (1.0 - math.sqrt(2.0)) * b)) * a / (2.0 * math.sqrt(2.0) * b)

    def one(b_i: float, mixed: float) -> float:
        return b_i / b_mix * (z - 1.0) - math.log(z - b) - tail * (2.0 * mixed / a_mix - b_i / b_mix)

    return one(b1, share * a1 + (1.0 - share) * cross), one(b2, share * cross + (1.0 - share) * a2), z


@dataclass(frozen=True, slots=True, kw_only=True)
class _Balance:
    """Mole fractions of nitrogen in liquid and vapour, and the compressibility of the vapour."""

    in_liquid: float
    in_vapour: float
    z_vapour: float


def _balance(agent: Substance, p: float, t_k: float) -> _Balance | None:
    """Both phases at a pressure [Pa]; None where the agent's own vapour pressure is above it."""
    pair = (NITROGEN, agent)
    k = [s.p_critical_pa / p * math.exp(5.373 * (1.0 + s.acentric) * (1.0 - s.t_critical_k / t_k)) for s in pair]
    for _ in range(200):
        x = (1.0 - k[1]) / (k[0] - k[1])
        if not 0.0 < x < 1.0:
            return None
        y = min(k[0] * x, 1.0)
        *liquid, _z = _log_fugacities(pair, x, p, t_k, liquid=True)
        *vapour, z = _log_fugacities(pair, y, p, t_k, liquid=False)
        new = [math.exp(f_l - f_v) for f_l, f_v in zip(liquid, vapour, strict=True)]
        if max(abs(n / o - 1.0) for n, o in zip(new, k, strict=True)) < 1e-10:
            return _Balance(in_liquid=x, in_vapour=y, z_vapour=z)
        k = new
    raise Refusal(
        what="the clean agent model found no balance",
        rule="liquid and vapour must both be there",
        got=f"{p / 1e5:.1f} bar absolute, {t_k:.1f} K",
        do="use the maker's chart",
    )


def _liquid_m3_mol(agent: Substance, p: float, t_k: float) -> float:
    from CoolProp.CoolProp import PropsSI

    return agent.molar_mass_kg_mol / float(PropsSI("D", "T|liquid", t_k, "P", p, agent.cas))


def _nitrogen_mol(agent: Substance, fill_kg_m3: float, p: float, t_k: float) -> tuple[float, float]:
    """Nitrogen [mol] in one cubic metre of shell at a pressure [Pa], and the share of the shell above the liquid."""
    balance = _balance(agent, p, t_k)
    if balance is None:
        return 0.0, 1.0
    x, y = balance.in_liquid, balance.in_vapour
    liquid_m3 = (1.0 - x) * _liquid_m3_mol(agent, p, t_k) + x * _NITROGEN_IN_LIQUID_M3_MOL
    vapour_m3 = balance.z_vapour * _R * t_k / p
    agent_mol = fill_kg_m3 / agent.molar_mass_kg_mol
    # liquid_mol * liquid_m3 + vapour_mol * vapour_m3 = 1 and the agent is shared between both.
    liquid_mol = (agent_mol - (1.0 - y) / vapour_m3) / ((1.0 - x) - (1.0 - y) * liquid_m3 / vapour_m3)
    vapour_mol = (1.0 - liquid_mol * liquid_m3) / vapour_m3
    return liquid_mol * x + vapour_mol * y, vapour_mol * vapour_m3


def _require_vapour(agent: Substance, share: float) -> None:
    if share < agent.vapour_share_min:
        raise Refusal(
            what="the shell is nearly full of liquid, where no model holds",
            rule=f"at least {100 * agent.vapour_share_min:g} % of the shell must be above the liquid",
            got=f"{100 * share:.1f} %",
            do="check the fill density; use the maker's chart, and do not heat the unit",
        )


@lru_cache(maxsize=20_000)  # a day's sheets ask the same again and again
def pressure_abs_pa(agent: str, *, fill_kg_m3: float, charge_abs_pa: float, charge_t_k: float, t_k: float) -> float:
    """Absolute pressure [Pa] at t_k of a unit charged to charge_abs_pa at charge_t_k and left shaken until at rest.

    Parameters: agent, a key of `AGENTS`; fill_kg_m3 [kg/m3, 800 to 1500]; charge_abs_pa [Pa, up to 50e5, or 30e5 for an HFC];
    charge_t_k, t_k [K, 255.4 to 327.6]. Returns: absolute pressure [Pa], good to `band_share`. Loads CoolProp. Raises `Refusal`
    outside the range.
    """
    about = AGENTS[agent]
    for one in (charge_t_k, t_k):
        check_range(t_k=one, fill_kg_m3=fill_kg_m3)
    if not ATM_PA < charge_abs_pa <= about.charge_abs_pa_max:
        raise Refusal(
            what="the charge pressure is outside the range of the clean agent model",
            rule=f"above the air and up to {about.charge_abs_pa_max / 1e5:g} bar absolute",
            got=f"{charge_abs_pa / 1e5:.2f} bar absolute",
            do="check the figure and its unit",
        )
    held, share = _nitrogen_mol(about, fill_kg_m3, charge_abs_pa, charge_t_k)
    _require_vapour(about, share)
    if held <= 0.0:
        raise Refusal(
            what="the charge pressure is the agent's own vapour pressure or less",
            rule="a unit under nitrogen stands above the vapour pressure of its agent",
            got=f"{charge_abs_pa / 1e5:.2f} bar absolute",
            do="check the agent, the pressure and the temperature",
        )
    low, high = charge_abs_pa / 4.0, charge_abs_pa * 2.5
    found = root_of_rising(lambda p: _nitrogen_mol(about, fill_kg_m3, p, t_k)[0] - held, low, high, within=_WITHIN_PA)
    _require_vapour(about, _nitrogen_mol(about, fill_kg_m3, found, t_k)[1])
    return found


def band_share(agent: str, *, t_k: float) -> float:
    """How far a sound unit may be from the figure, as a share of the gauge pressure: 5 or 10 %, doubled below 32 F (our own caution)."""
    return AGENTS[agent].band_share * (2.0 if t_k < 273.15 else 1.0)
