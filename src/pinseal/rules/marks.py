"""Whether a mark may be printed: is it due, is it complete, may this person sign it, is this the right stock.

A mark is a statement by a person about work that was done. It is printed from a job sheet that is finished, or finished for
this mark, and from nothing else; what is missing is named with the rule that asks for it. Rules: `standards/mark_forms`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from pinseal.kinds import AGENT_GROUPS, CHECKED
from pinseal.reasons import Refusal
from pinseal.records.registers import Paper, Person
from pinseal.records.unit import UnitState
from pinseal.rules.papers import in_date, person_standing, where
from pinseal.standards.marks import FIELDS, MADE_BY, PRINTED, STATEMENTS, MarkForm, MarkRule
from pinseal.standards.pressure_tests import Source
from pinseal.standards.stocks import Stock

_BACK_IN_USE = ("tag", "minor-part")
_GAS_OF_ITS_OWN = ("cartridge", "cylinder")
_SIX_YEARS = (*AGENT_GROUPS["all-dry-chemical"], *AGENT_GROUPS["all-class-d"], *AGENT_GROUPS["all-halon"], *AGENT_GROUPS["all-halocarbon"])


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWork:
    """What a job sheet did to a unit, by its records.

    `done` holds, by kind of record, the fields of the last one that this sheet made. `findings` are the deficiencies that it
    found and left open, in words. `person` is None where the one who worked it is not in the register. `ahead_for` is the mark
    for which a sheet that is not closed is finished (`sheets.ahead`): what is said is then what closing would record.
    """

    uid: str
    closed: bool
    outcome: str
    on: date
    person_name: str
    person: Person | None
    works: tuple[str, ...]
    done: Mapping[str, Mapping[str, str]]
    findings: tuple[str, ...]
    ahead_for: str = ""

    def passed(self, kind: str) -> bool:
        return self.done.get(kind, {}).get("result") == "pass"


@dataclass(frozen=True, slots=True, kw_only=True)
class EarnedMark:
    """A mark that may be printed: what stands on it, by which rule, for which day, and what is in doubt about it.

    `values` are the fields (keys of `FIELDS`) that are known, whether the rule asks for them or not. `years` are those it is
    made out for; `works` are the works of the sheet, for the cells that show the type of work. `sheet_is_open` where it is printed
    before its sheet is closed: then it counts only when it was fixed and that was answered.
    """

    unit: str
    rule: MarkRule
    title: str
    on: date
    years: tuple[int, ...]
    values: Mapping[str, str]
    works: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    sheet: str = ""
    sheet_is_open: bool = False

    def as_json(self) -> dict[str, object]:
        return {
            "unit": self.unit,
            "mark": self.rule.mark,
            "form": self.rule.form,
            "on": self.on.isoformat(),
            "years": list(self.years),
            "fields": {each.what: {"text": self.values.get(each.what, ""), "source": each.source.as_json()} for each in self.rule.fields},
            "words": [each.what for each in self.rule.texts],
            "doubts": list(self.doubts),
            "sheet": self.sheet,
            "sheet_is_open": self.sheet_is_open,
        }


def why_not_due(mark: str, work: SheetWork, unit: UnitState) -> str:
    """Why a sheet earns no such mark; empty where it does."""
    if not work.closed and work.ahead_for != mark:
        return "the job sheet is not closed yet: a mark says that all of it was done"
    return _DUE[mark](work, unit)


def due_marks(work: SheetWork, unit: UnitState) -> tuple[str, ...]:
    """The marks that a sheet earned, in the order in which they are fixed."""
    return tuple(mark for mark in STATEMENTS if not why_not_due(mark, work, unit))


def check_due(mark: str, work: SheetWork, unit: UnitState) -> None:
    """Raises `Refusal` for a mark that the sheet did not earn, and says which ones it did."""
    why = why_not_due(mark, work, unit)
    if why:
        earned = ", ".join(PRINTED[each] for each in due_marks(work, unit)) or "none"
        raise Refusal(
            what=f"no {PRINTED[mark]} for this work: {why}",
            rule="a mark is printed only from a finished job sheet that did the work that the mark states",
            got=f"sheet {work.uid}, outcome {work.outcome or 'open'}",
            do=f"marks that this sheet earned: {earned}",
        )


def _tag(work: SheetWork, _: UnitState) -> str:
    if work.outcome not in _BACK_IN_USE:
        return "the unit does not go back into use, and a service tag waits until it does; a red tag is due"
    return "" if set(work.works) - {"inspection", "retirement"} else "an inspection is noted, not tagged"


def _recharge_tag(work: SheetWork, _: UnitState) -> str:
    return "" if "recharged" in work.done else "no recharge is on its record"


def _collar(work: SheetWork, unit: UnitState) -> str:
    if unit.nameplate.expelled_by in _GAS_OF_ITS_OWN:
        return "a unit with a gas cartridge or cylinder gets no collar (NFPA 10, from memory)"
    on = work.done.get("marked-collar") is not None
    return "" if "opened" in work.done or on else "its record does not say that the valve was off, and a collar proves just that"


def _six_year_label(work: SheetWork, unit: UnitState) -> str:
    if "opened" not in work.done:
        return "no inside work is on its record"
    if unit.nameplate.agent is not None and unit.nameplate.agent not in _SIX_YEARS:
        return "this type has no six-year work: its inside work goes on collar and tag"
    return "" if unit.nameplate.expelled_by in (None, "stored-pressure") else "only units under stored pressure carry it"


def _test_label(work: SheetWork, unit: UnitState) -> str:
    if not work.passed("tested"):
        return "no passed pressure test is on its record"
    specification = work.done["tested"].get("specification") or unit.nameplate.cylinder_specification
    if specification and specification != "none":
        return (
            f"a {specification} cylinder carries the mark of the requalifier on its metal, not this label (49 CFR 180.213(b), "
            f"{CHECKED['public copy']})"
        )
    return ""


def _hose_label(work: SheetWork, _: UnitState) -> str:
    return "" if work.passed("conductivity-tested") or work.passed("hose-tested") else "no passed test of the hose is on its record"


def _red_tag(work: SheetWork, _: UnitState) -> str:
    if work.outcome in (*_BACK_IN_USE, "stays"):
        return "the unit went back into use"
    return "" if work.findings or work.outcome in ("condemn", "withdraw", "replace", "blocked") else "nothing was found wrong with it"


_DUE: Mapping[str, Callable[[SheetWork, UnitState], str]] = {
    "tag": _tag,
    "recharge-tag": _recharge_tag,
    "collar": _collar,
    "six-year-label": _six_year_label,
    "test-label": _test_label,
    "hose-label": _hose_label,
    "red-tag": _red_tag,
}
assert set(_DUE) == set(STATEMENTS), "every mark that states something is judged"


def rule_of(form: MarkForm, mark: str) -> MarkRule:
    """What a form asks of a mark. Raises `Refusal` where it has no such mark, or where a shop may not print it."""
    rule = form.marks.get(mark)
    if rule is None:
        raise Refusal(
            what=f"the form {form.id} has no {PRINTED[mark]}",
            rule=f"its marks are {', '.join(PRINTED[each] for each in form.marks)}",
            got=mark,
            do="print one of these, or choose another form with --form where it holds",
        )
    if rule.made_by != "shop":
        raise Refusal(
            what=f"a {PRINTED[mark]} of {form.title} is not printed here",
            rule=f"{MADE_BY[rule.made_by]} ({where(rule.source)})",
            got=form.id,
            do="use the stock that the authority knows, and punch and sign it by hand; the record stays here",
        )
    return rule


def check_signer(form: MarkForm, person: Person | None, name: str, *, on: date, packs: Iterable[str]) -> tuple[Paper, tuple[str, ...]]:
    """The paper by which a person may sign, and what is in doubt about it. Raises `Refusal` where none counts.

    The papers that the form asks for must be in date on the day of the work, and count in its jurisdiction; the shop's packs
    are asked as well.
    """
    if person is None or not person.name:
        raise _no_signer(form, f"{name or 'nobody'} is not in the register of people", "register this person and the paper")
    standing = person_standing(person, on=on, packs=packs, mark=True)
    if standing.effect == "blocks":
        raise _no_signer(form, standing.because, "have somebody sign whose licence is in date")
    kinds = [paper for paper in person.papers if paper.kind in form.signer.papers]
    dated = [paper for paper in kinds if in_date(paper, on)]
    here = [paper for paper in dated if _counts_here(paper, form) is not False]
    if not here:
        raise _no_signer(form, _why_no_paper(person, kinds, dated, on), "renew the paper, or have somebody sign whose paper is in date")
    here.sort(key=lambda paper: (_counts_here(paper, form) is None, form.signer.papers.index(paper.kind), not paper.number))
    doubts = [] if standing.effect == "none" else [standing.because]
    if _counts_here(here[0], form) is None:
        doubts.append(f"where the {here[0].paper} of {person.name} counts is not said")
    return here[0], tuple(doubts)


def signer_of(
    rule: MarkRule, form: MarkForm, person: Person | None, name: str, *, on: date, packs: Iterable[str]
) -> tuple[Paper | None, tuple[str, ...]]:
    """As `check_signer`; but anybody may hang a red tag whose form asks for no licence: a unit that is out of order cannot wait."""
    try:
        return check_signer(form, person, name, on=on, packs=packs)
    except Refusal as refused:
        if rule.mark != "red-tag" or rule.asks("person-licence"):
            raise
        return None, (f"{refused.got}; {refused.rule}",)


def _counts_here(paper: Paper, form: MarkForm) -> bool | None:
    if not form.signer.places:
        return True
    return None if paper.jurisdiction is None else paper.jurisdiction.strip().casefold() in form.signer.places


def _why_no_paper(person: Person, kinds: Sequence[Paper], dated: Sequence[Paper], on: date) -> str:
    if not kinds:
        return f"{person.name} holds none of these papers"
    if not dated:
        return f"no such paper of {person.name} is in date on {on.isoformat()}"
    return f"the paper of {person.name} is of {', '.join(sorted({paper.jurisdiction or '' for paper in dated}))}, and does not count here"


def _no_signer(form: MarkForm, why: str, do: str) -> Refusal:
    signer = form.signer
    place = f" of {form.title}" if signer.places else ""
    return Refusal(
        what="this person may not sign the mark",
        rule=f"a mark is signed by somebody who holds one of: {', '.join(signer.papers)}{place}, in date ({where(signer.source)})",
        got=why,
        do=do,
    )


def missing(rule: MarkRule, values: Mapping[str, str], stock: Stock) -> tuple[tuple[str, Source], ...]:
    """The fields that a mark asks for and nobody gives: neither the records nor the stock that carries them in print."""
    return tuple(
        (FIELDS[each.what], each.source)
        for each in rule.fields
        if each.what != "signature" and not values.get(each.what, "").strip() and each.what not in stock.carries
    )


def check_complete(rule: MarkRule, values: Mapping[str, str], stock: Stock) -> None:
    """Raises `Refusal` that names everything that is missing, each with its rule."""
    gone = missing(rule, values, stock)
    if gone:
        raise Refusal(
            what=f"the {PRINTED[rule.mark]} is not complete",
            rule="; ".join(f"{name}: {where(source)}" for name, source in gone),
            got=f"no {', no '.join(name for name, _ in gone)}",
            do="put it on record (unit, person, `pinseal settings --firm`, `--owner-of`), or say in the stock's file that it carries it",
        )


def check_stock(rule: MarkRule, stock: Stock, held: Iterable[Stock]) -> tuple[str, ...]:
    """What is in doubt about a stock. Raises `Refusal` for a wrong one, and offers the right ones."""
    why = why_wrong_stock(rule, stock)
    if why:
        fits = [each for each in held if not why_wrong_stock(rule, each)]
        offer = "; ".join(f"{each.id} ({each.title})" for each in fits)
        raise Refusal(
            what=f"this stock is wrong for the {PRINTED[rule.mark]} of {rule.form}",
            rule=why,
            got=f"{stock.id} ({stock.title})",
            do=f"use {offer}" if offer else "measure a stock of the right size and write its file (docs/marks.md)",
        )
    doubts = []
    if rule.not_colours and stock.colour is None:
        doubts.append(f"the colour of the stock is not said; it must not be {' or '.join(rule.not_colours)} ({where(rule.source)})")
    if rule.material and not stock.forms:
        doubts.append(f"the stock must be: {rule.material} ({where(rule.source)})")
    return tuple(doubts)


def default_stock(rule: MarkRule, held: Iterable[Stock]) -> Stock:
    """The first stock held on which a mark may go. Raises `Refusal` where there is none."""
    found = next((stock for stock in held if stock.marks and not why_wrong_stock(rule, stock)), None)
    if found is None:
        raise Refusal(
            what=f"no stock held here fits the {PRINTED[rule.mark]} of {rule.form}",
            rule=where(rule.source),
            got="no stock named",
            do="measure yours and write its file (docs/marks.md), then say --stock FILE.toml",
        )
    return found


def why_wrong_stock(rule: MarkRule, stock: Stock) -> str:
    """Why a mark may not go on a stock; empty where it may."""
    source = where(rule.source)
    if not stock.fits(rule.mark):
        return f"it is made for: {', '.join(PRINTED[each] for each in stock.marks)}"
    if stock.forms and rule.form not in stock.forms:
        return f"the form of {', '.join(stock.forms)} is printed on it, and this mark is one of {rule.form}"
    if stock.colour in rule.not_colours:
        return f"it must not be {' or '.join(rule.not_colours)} ({source})"
    if rule.mark == "collar" and not stock.ring_inner:
        return "a collar is a ring, and this stock has no hole"
    return next((why for why in (_wrong_side("wide", rule.width_mm, stock.cell_width, source),
                                 _wrong_side("high", rule.height_mm, stock.cell_height, source)) if why), "")  # fmt: skip


def _wrong_side(side: str, span: object, size: float, source: str) -> str:
    if span is None:
        return ""
    assert isinstance(span, tuple)
    low, high, slack = float(span[0]), None if span[1] is None else float(span[1]), 0.05
    if low - slack <= size and (high is None or size <= high + slack):
        return ""
    words = f"at least {low:.1f} mm" if high is None else f"{low:.1f} mm" if high == low else f"{low:.1f} to {high:.1f} mm"
    return f"it is {size:.1f} mm {side}, and must be {words} ({source})"


def years_on(rule: MarkRule, asked: int | None) -> int:
    """For how many years a mark is made out. Raises `Refusal` for more, or fewer, than the form allows."""
    low, high = rule.years or (1, 1)
    if asked is None:
        return high
    if not low <= asked <= high:
        span = f"{low} year{'s' if low > 1 else ''}" if low == high else f"{low} to {high} years"
        raise Refusal(
            what=f"the {PRINTED[rule.mark]} is not made out for so many years",
            rule=f"{span} ({where(rule.source)})",
            got=str(asked),
            do=f"say --years {high}",
        )
    return asked
