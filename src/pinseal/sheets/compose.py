"""From a unit and the works of the day to the steps of its sheet: which kind of unit it is, what belongs together, what is asked once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState
from pinseal.rules.columns import attribute_codes
from pinseal.sheets.model import RECHARGE, STAGES, WORKS, Answer, Procedures, Step, UnitType

_NOT_FITTED = Answer(code="not-fitted", says="This unit has none")
# What a work brings with it, by how the unit is expelled. A shell that is emptied for one reason is looked at and filled again.
_EMPTIED = ("stored-pressure", "self-expelling")


def _codes(state: UnitState, packs: Sequence[str]) -> dict[str, tuple[str, ...] | str | None]:
    said = attribute_codes(state)
    specification = said.pop("specification")
    stamped = None if specification is None else "no" if specification == "none" else "yes"
    rechargeable = said["rechargeable"] or "yes"  # not said means rechargeable, as the due list takes it
    return {**said, "rechargeable": rechargeable, "stamped": stamped, "packs": tuple(packs)}


def _holds(wanted: Mapping[str, tuple[str, ...]], codes: Mapping[str, tuple[str, ...] | str | None]) -> str:
    """Whether the nameplate meets what is wanted: yes, no or perhaps."""
    answer = "yes"
    for name, allowed in wanted.items():
        code = codes.get(name)
        if isinstance(code, tuple):
            if not set(code) & set(allowed):
                return "no"
        elif code is None:
            answer = "perhaps"
        elif code not in allowed:
            return "no"
    return answer


def type_of(state: UnitState, types: Iterable[UnitType]) -> UnitType:
    """The kind of unit that a nameplate describes. Raises `Refusal` where it leaves several open, and names the fact that settles it."""
    codes = _codes(state, ())
    open_kinds: list[UnitType] = []
    for each in types:
        answer = _holds(each.match, codes)
        if answer != "no":
            open_kinds.append(each)
        if answer == "yes":
            break
    if len(open_kinds) == 1 and _holds(open_kinds[0].match, codes) == "yes":
        return open_kinds[0]
    raise _unsettled(codes, open_kinds)


def _unsettled(codes: Mapping[str, tuple[str, ...] | str | None], open_kinds: Sequence[UnitType]) -> Refusal:
    unsaid = sorted({name for each in open_kinds for name in each.match if codes.get(name) is None})
    options = " ".join(f"--{name.replace('_', '-')} …" for name in unsaid)
    facts = ", ".join(name.replace("_", " ") for name in unsaid)
    if not open_kinds:
        said = ", ".join(str(codes[name] or f"{name.replace('_', ' ')} not said") for name in ("agent", "expelled_by"))
        return Refusal(
            what="there is no procedure for such a unit",
            rule="a procedure is held for each kind of unit in docs/procedures/README.md",
            got=said,
            do="check the nameplate: agent and how it is expelled do not belong together",
        )
    return Refusal(
        what="it is not known what kind of unit this is",
        rule="the safe order hangs on how it is expelled, so it is never guessed",
        got=f"{facts} not said; it can be: {'; '.join(each.title for each in open_kinds)}",
        do=f"read the nameplate and record it: pinseal record registered UNIT {options}",
    )


def closed_works(works: Iterable[str], state: UnitState) -> tuple[str, ...]:
    """The works with all that they bring: a pressure test is also an opening, an opening puts the charge back, the yearly work inspects."""
    found = set(works)
    expelled_by = state.nameplate.expelled_by
    if "hydrostatic-test" in found:
        found |= {"internal-examination", RECHARGE}
    if "agent-renewal" in found:
        found |= {RECHARGE} if expelled_by != "stored-pressure" else {"internal-examination", RECHARGE}
    if "internal-examination" in found and expelled_by in _EMPTIED:
        found.add(RECHARGE)
    if found & {"maintenance"}:
        found.add("inspection")
    return tuple(work for work in WORKS if work in found)


def check_works(works: Sequence[str], unit_type: UnitType) -> None:
    """Refuse a work that is not known, or that this kind of unit does not need. Raises `Refusal`."""
    if not works:
        raise Refusal(
            what="nothing is due on this unit today",
            rule="a sheet is for at least one duty",
            got="no duty due, and none named",
            do=f"name the work, as in --duties maintenance; one of {', '.join(WORKS)}",
        )
    for work in works:
        if work not in WORKS:
            raise Refusal(what="there is no such work", rule=f"a work is one of {', '.join(WORKS)}", got=work, do="use a listed code")
        if work in unit_type.does_not_apply:
            raise Refusal(
                what=f"the work {WORKS[work]} does not apply to this unit",
                rule=unit_type.does_not_apply[work],
                got=f"{unit_type.title}: {work}",
                do="leave it out",
            )


def steps_for(
    procedures: Procedures, unit_type: UnitType, works: Sequence[str], state: UnitState, packs: Sequence[str]
) -> tuple[Step, ...]:
    """The steps of the sheet, each once, in the safe order. A step that hangs on an unsaid fact may be answered `not-fitted`."""
    codes = _codes(state, packs)
    # The yearly work looks closely at what an inspection only glances at: that is not asked twice.
    asking = set(works) - ({"inspection"} if "maintenance" in works else set())
    found = []
    for step in procedures.steps:
        if unit_type.id not in step.types or not set(step.works) & asking:
            continue
        answer = _holds(step.applies, codes)
        if answer == "yes":
            found.append(step)
        elif answer == "perhaps":
            found.append(replace(step, answers=(*step.answers, _NOT_FITTED)))
    order = list(STAGES)
    return tuple(sorted(found, key=lambda step: order.index(step.stage)))


def duty_words(work: str) -> str:
    """What people call a work."""
    return kinds.DUTIES.get(work, WORKS[work])
