"""The charge of one unit with its dial, and agent by lot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.measures import for_people, parse_pressure, parse_temperature
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit
from pinseal.rules.charging import LIMIT_WORDS, SAFETY_WORDS, ChargeAsked, ChargePlan, plan_charge
from pinseal.service.agent_ledger import Lot, Movement
from pinseal.service.batches import BatchAccount
from pinseal.service.charge_of_unit import AtTheBench, absent_facts, charge_asked
from pinseal.service.workshop import shell_test_date
from pinseal.sheets.plate import read_plate
from pinseal.web.batch_rows import batch_row, year_links
from pinseal.web.date_words import date_words, span_words
from pinseal.web.office_common import Sight
from pinseal.web.office_list_views import AgentPage, ChargePage, LotRow, MovementRow
from pinseal.web.office_work_parts import unit_head
from pinseal.web.pages import frame
from pinseal.web.refusals import capital
from pinseal.web.views import Choice, Fact, Trouble
from pinseal.web.words import agent_words

_MOVEMENTS_SHOWN = 20
REGULATORS = {"": marked("not said"), "yes": marked("a regulator"), "no": marked("a bare bottle")}
FIELDS = ("at", "at-unit", "gas", "dew-point", "dew-unit", "regulator", "setting", "setting-unit", "last")


# -- the charge


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """The form of the charge as typed, by the names of `FIELDS`."""

    said: dict[str, str]

    def text(self, name: str) -> str:
        return self.said.get(name, "")

    def query(self) -> str:
        return urlencode({name: value for name, value in self.said.items() if value})

    def bench(self, agent: str | None) -> AtTheBench | None:
        """What the form says; None while the shell's temperature is not said. Raises `Refusal` for what cannot be read."""
        if not self.text("at"):
            return None
        dew, setting = self.text("dew-point"), self.text("setting")
        return AtTheBench(
            shell_k=parse_temperature(_with(self.text("at"), self.text("at-unit"))).si,
            gas=kinds.require(self.text("gas") or "nitrogen", kinds.GASES, what="gas"),
            dew_point_k=parse_temperature(_with(dew, self.text("dew-unit"))).si if dew else None,
            has_regulator={"yes": True, "no": False}.get(self.text("regulator")),
            regulator_gauge_pa=float(parse_pressure(_with(setting, self.text("setting-unit"))).gauge_pa()) if setting else None,
            last_agent=agent if self.text("last") == "plate" else None,
        )


def _with(text: str, unit: str) -> str:
    return text if not unit or any(each.isalpha() for each in text) else f"{text} {unit}"


def planned(seen: Sight, unit: Unit, typed: Typed, system: str) -> tuple[ChargeAsked, ChargePlan] | None:
    """The charge that the form and the record ask for; None where either says too little. Raises `Refusal`."""
    bench = typed.bench(unit.state.nameplate.agent)
    if bench is None:
        return None
    dues = seen.dues.of_unit(seen.places[unit.state.uid or ""])
    asked = charge_asked(unit, dues, seen.about.today, bench)
    return None if asked is None else (asked, plan_charge(asked, system=system))


def charge_page(seen: Sight, unit: Unit, typed: Typed, system: str) -> ChargePage:
    """The charge of one unit: what is known, the form, and the plan once the shell's temperature is said."""
    state, plate = unit.state, read_plate(unit.state.nameplate)
    troubles: tuple[Trouble, ...] = ()
    found: tuple[ChargeAsked, ChargePlan] | None = None
    try:
        found = planned(seen, unit, typed, system)
    except Refusal as refused:
        said = _("%(what)s (%(got)s); %(do)s.", what=capital(_(refused.what)), got=refused.got, do=_(refused.do))
        troubles = (Trouble(text=said, at="at"),)
    plan = found[1] if found else None
    here = f"/bench/charge/{state.uid}"
    return ChargePage(
        frame=frame(seen.about, title=_("Charge %(unit)s", unit=unit_head(state).name), here="/bench"),
        unit=unit_head(state),
        here=here,
        known=(*_known(unit, system), _test_due(seen, unit)),
        cannot=tuple(map(_, absent_facts(plate, state.nameplate.agent))),
        at=typed.text("at"),
        at_units=_units(("F", "C") if system == "us" else ("C", "F"), typed.text("at-unit")),
        gases=tuple(Choice(value=code, label=_(label), chosen=code == typed.text("gas")) for code, label in kinds.GASES.items()),
        dew_point=typed.text("dew-point"),
        regulator=typed.text("setting"),
        regulators=tuple(Choice(value=c, label=_(w), chosen=c == typed.text("regulator")) for c, w in REGULATORS.items()),
        lasts=(
            Choice(value="", label=_("not said")),
            Choice(
                value="plate", label=_("%(agent)s, seen", agent=agent_words(state.nameplate.agent)), chosen=typed.text("last") == "plate"
            ),
        ),
        head=_head(plan) if plan else "",
        may=bool(plan and plan.may_charge),
        dial_href=f"/bench/dial/{state.uid}.svg?{typed.query()}" if plan else "",
        told=_told(plan, system) if plan else "",
        figures=tuple(_figures(plan, system)) if plan else (),
        because=plan.because if plan else (),
        safety=tuple(map(_, (*SAFETY_WORDS, *LIMIT_WORDS))),
        troubles=troubles,
    )


def _units(units: Sequence[str], chosen: str) -> tuple[Choice, ...]:
    return tuple(Choice(value=unit, label=unit, chosen=unit == chosen) for unit in units)


def _known(unit: Unit, system: str) -> Sequence[Fact]:
    state, plate = unit.state, read_plate(unit.state.nameplate)
    said = (
        (_("agent"), agent_words(state.nameplate.agent)),
        (_("agent mass"), plate.net_kg and for_people(float(plate.net_kg), "mass", system=system, digits=2)),
        (_("nameplate pressure at 70 F"), plate.charge_pa and for_people(float(plate.charge_pa), "pressure", system=system)),
        (_("water capacity"), state.nameplate.water_capacity and state.nameplate.water_capacity.for_people()),
        (_("gas by the nameplate"), _(kinds.GASES.get(plate.gas or "", ""))),
    )
    return [Fact(name=name, value=str(value)) for name, value in said if value]


def _test_due(seen: Sight, unit: Unit) -> Fact:
    """When its pressure test is due, by the rules in use."""
    dues = seen.dues.of_unit(seen.places[unit.state.uid or ""])
    found = shell_test_date(unit.state, dues)
    latest = next((due.latest for due in dues if due.duty == "hydrostatic-test"), None)
    words = ""
    if found.last_day is not None:
        first = found.last_day.earliest
        words = span_words(first, max(first, latest or first)).replace("\u00a0", " ")
    words = words or {"no": _("none is owed"), "unknown": _("not known")}.get(found.owed, "")
    return Fact(name=_("pressure test due"), value=words, note=_("overdue: never filled before it is tested") if found.overdue else "")


def _head(plan: ChargePlan) -> str:
    if plan.refusals:
        return _("Do not charge this unit.")
    if plan.missing:
        return _("Do not charge yet, not known: %(what)s.", what=", ".join(map(_, plan.missing)))
    return _("Nothing said here stands against the charge. Shell, agent and closing are proved on the job sheet.")


def _told(plan: ChargePlan, system: str) -> str:
    """The dial in one sentence, for those who do not see it."""
    if plan.target_gauge_pa is None or plan.stop_at_gauge_pa is None:
        return f"{_head(plan)} {' '.join(plan.because)}"
    target, stop, ceiling = (
        for_people(pa, "pressure", system=system) for pa in (plan.target_gauge_pa, plan.stop_at_gauge_pa, plan.ceiling_gauge_pa)
    )
    return _("A dial: target %(target)s, stop the gas at %(stop)s, ceiling %(ceiling)s.", target=target, stop=stop, ceiling=ceiling)


def _figures(plan: ChargePlan, system: str) -> Iterator[Fact]:
    """The figures of the dial as text, large enough for a phone at the bench."""
    digits = 2 if system == "metric" else 0
    said = (
        (_("target"), plan.target_gauge_pa),
        (_("stop the gas at"), plan.stop_at_gauge_pa),
        (_("settles at about"), plan.settles_at_gauge_pa),
    )
    for name, pa in (*said, (_("ceiling"), plan.ceiling_gauge_pa)):
        if pa is not None:
            yield Fact(name=name, value=for_people(pa, "pressure", system=system, digits=digits))


# -- agent by lot


def agent_page(seen: Sight, lots: Sequence[Lot], batches: Sequence[BatchAccount], system: str) -> AgentPage:
    """The lots with a number first; what has none is told apart, for nobody can trace it. The figures are of this year and the last."""
    rows = [_lot(seen, lot, system) for lot in lots]
    return AgentPage(
        frame=frame(seen.about, title=_("Agent by lot"), here="/bench"),
        lots=tuple(row for row in rows if row.lot),
        unnumbered=tuple(row for row in rows if not row.lot),
        batches=tuple(batch_row(each, system) for each in batches),
        years=tuple(year_links(year) for year in (seen.about.today.year, seen.about.today.year - 1)),
    )


def _lot(seen: Sight, lot: Lot, system: str) -> LotRow:
    return LotRow(
        agent=agent_words(lot.agent or None),
        lot=lot.lot,
        went_in=for_people(float(lot.in_kg), "mass", system=system, digits=2) if lot.in_kg else "",
        came_out=for_people(float(lot.out_kg), "mass", system=system, digits=2) if lot.out_kg else "",
        unweighed=lot.unweighed,
        unbalanced=len(lot.unbalanced),
        movements=tuple(_movement(seen, each) for each in lot.movements[:_MOVEMENTS_SHOWN]),
        more=max(0, len(lot.movements) - _MOVEMENTS_SHOWN),
    )


def _movement(seen: Sight, each: Movement) -> MovementRow:
    state = seen.state(each.unit)
    where = _(kinds.AGENT_WAYS.get(each.went_to, ""))
    out = _("came out, %(where)s", where=where) if where else _("came out")
    return MovementRow(
        done=date_words(each.done),
        what=_("went in") if each.into else out,
        mass=each.text or _("no mass on record"),
        unit=unit_head(state) if state else None,
        note=_("container %(name)s", name=each.container) if each.container else "",
        balance=each.balance,
    )
