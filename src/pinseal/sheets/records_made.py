"""What a closed sheet puts on record: the work that was done, readings, findings, parts, agent, marks, leave, and the sheet itself."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from pinseal.measures import Measure
from pinseal.sheets.decision import Decision
from pinseal.sheets.judgement import joined
from pinseal.sheets.model import Step
from pinseal.sheets.readings import Reading
from pinseal.sheets.working import Open, Working

_MEASURED = ("pressure", "temperature", "mass", "volume", "length", "seconds", "percent")
_TEXT_MAX = 9_000
# A work and the kind of record that says it was done, where no more than that needs saying.
_SIMPLE: Mapping[str, str] = {
    "conductivity-test": "conductivity-tested",
    "expellant-cylinder-test": "expellant-cylinder-tested",
    "regulator-test": "regulator-tested",
}
# The findings by which a test is failed; what else is found on the way says nothing of the test.
_FAILED_BY: Mapping[str, tuple[str, ...]] = {
    "conductivity-test": ("hose-does-not-conduct",),
    "expellant-cylinder-test": ("expellant-cylinder-failed",),
    "regulator-test": ("regulator-wrong",),
    "hose-test": ("hose-test-failed",),
}
_MARKS = {"tag-on": ("tag", "tag"), "collar-on": ("collar", "collar")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One record to be written: its kind and fields. `unit` is the uid of another unit than the sheet's, for a loaner."""

    kind: str
    fields: Mapping[str, str]
    unit: str = ""


def records_of(work: Working, *, sheet: str, outcome: str, decision: Decision, left: str) -> tuple[Made, ...]:
    """The records of a closed sheet, in the order in which the work is done."""
    common = {"sheet": sheet} | ({"helper": helper} if (helper := _helper(work)) else {})
    returned = outcome in ("tag", "minor-part")
    made = [
        *_readings(work),
        *_past(work),
        *_findings(work),
        *_agent_out(work),
        *_works(work, returned),
        *_marks(work),
        *_leaving(work, decision),
    ]
    if outcome in ("abandoned", "blocked"):
        made.append(_left(work, left))
    made.append(_summary(work, sheet, outcome, decision))
    return tuple(
        Made(kind=each.kind, unit=each.unit, fields={name: text[:_TEXT_MAX] for name, text in {**common, **each.fields}.items() if text})
        for each in made
    )


def _helper(work: Working) -> str:
    return ", ".join(dict.fromkeys(entry.helper for entry in work.entries if entry.helper))


def _readings(work: Working) -> Iterator[Made]:
    for seen in work.picture.reads:
        step = work.job.step(seen.step)
        want = next((each for each in step.wants if each.name == seen.reading.name), None) if step else None
        if want is None or want.quantity not in _MEASURED:
            continue
        judged = work.judgements.get(seen.step)
        fields = {"quantity": want.label, "value": seen.reading.text, "step": seen.step, "instrument": seen.reading.instrument or ""}
        warm = next((e.reading.text for e in work.picture.reads if e.step == seen.step and e.reading.name == "temperature"), "")
        fields["at-temperature"] = warm if want.quantity == "pressure" else ""
        if judged and want.name != "temperature":
            fields |= {"verdict": judged.verdict, "because": joined((*judged.because, *judged.flags))}
        yield Made(kind="measured", fields=fields)


def _findings(work: Working) -> Iterator[Made]:
    for found in work.findings:
        yield _found_deficient(found, clause=found.source.text)
        if found.part:
            yield Made(
                kind="part-fitted",
                fields={
                    "part": found.part,
                    "number": found.part_number,
                    "count": found.part_count,
                    "reason": found.title,
                    "step": found.step,
                },
            )
        if found.fixed or (work.is_settled(found) and found.action != "note"):
            yield Made(
                kind="remedied", fields={"finding": found.finding, "how": found.fixed or "by the work of this sheet", "step": found.step}
            )


def _past(work: Working) -> Iterator[Made]:
    """What was wrong, and was right when its step was done once more on the same sheet."""
    for found in work.past:
        yield _found_deficient(found)
        how = "the step was done once more, and was right"
        yield Made(kind="remedied", fields={"finding": found.finding, "how": how, "step": found.step})


def _found_deficient(found: Open, clause: str = "") -> Made:
    words = f"{found.title}: {joined(found.because)}" if found.because else found.title
    fields = {"finding": found.finding, "words": words, "action": found.action, "clause": clause, "step": found.step}
    return Made(kind="found-deficient", fields=fields)


def _text(work: Working, name: str) -> str:
    reading = work.picture.reading(name, this_cycle=False)
    return reading.text if reading else ""


def _agent_out(work: Working) -> Iterator[Made]:
    if not work.picture.has("agent-out") or not work.job.agent:
        return
    judged = next(
        (work.judgements[s.id] for s in work.job.steps if s.judge and s.judge.by == "mass-balance" and s.id in work.judgements), None
    )
    steps = [each.step for each in work.picture.reads if each.reading.name == "recovered"]
    fields = {
        "agent": work.job.agent,
        "mass": _text(work, "recovered"),
        "container": _of_stage(work, "container", "empty", "inside"),
        "step": steps[-1] if steps else "",
    }
    yield Made(
        kind="agent-taken-out",
        fields=fields | {"lot": _of_stage(work, "lot", "empty", "inside"), "balance": judged.verdict if judged else ""},
    )


def _of_stage(work: Working, name: str, *stages: str) -> str:
    return next((e.reading.text for e in reversed(work.picture.reads) if e.reading.name == name and e.stage in stages), "")


# -- the works


def _steps(work: Working, code: str) -> list[Step]:
    return [step for step in work.job.steps if code in step.works and work.is_wanted(step)]


def _all_answered(work: Working, code: str) -> bool:
    """Every step that this work alone, or with others, asks for is answered, but for those that put the unit back into service."""
    return _all_done(work, [s for s in _steps(work, code) if s.when == "always" and s.effect not in ("tag", "return", "label")])


def _all_done(work: Working, steps: list[Step]) -> bool:
    """There are such steps, and each was answered with more than that it was not done."""
    return bool(steps) and all(step.id in work.answers and work.answers[step.id].answer != "not-done" for step in steps)


def _is_inspected(work: Working) -> bool:
    """Everything that an inspection looks at was looked at; the yearly work does so step by step, outside and by weight and pressure."""
    if not work.is_part("maintenance"):
        return _all_answered(work, "inspection")
    stages = ("arrive", "look", "weigh")
    return _all_done(work, [step for step in _steps(work, "maintenance") if step.stage in stages and step.when == "always"])


def _is_recharged(work: Working) -> bool:
    """It is closed and charged, and found tight where that is looked at: so it is even where the sheet was broken off before the tag."""
    tight = not work.job.can_tell("leak-free") or work.picture.last(("leak-free", "leaks"), this_cycle=True) == "leak-free"
    return work.picture.has("charged", "filled") and work.picture.whole()[0] and tight


def _works(work: Working, returned: bool) -> Iterator[Made]:
    found = "; ".join(each.title for each in work.findings)
    if work.is_part("inspection") and _is_inspected(work):
        yield Made(kind="inspected", fields={"found": found})
    if work.is_part("maintenance") and returned:
        yield Made(kind="maintained", fields={"found": found, "tag": _text(work, "tag")})
    if work.is_part("internal-examination") and work.picture.has("valve-off", "cap-off") and _all_answered(work, "internal-examination"):
        yield Made(kind="opened", fields={"found": found})
    yield from _shell_test(work)
    yield from _tests(work)
    if work.is_part("recharge") and _is_recharged(work):
        yield Made(kind="recharged", fields=_recharge(work))
    if returned and work.is_part("agent-renewal") and work.job.agent:
        yield Made(kind="agent-renewed", fields={"agent": _text(work, "agent") or work.job.agent, "mass": _text(work, "mass")})


def _shell_test(work: Working) -> Iterator[Made]:
    result = work.picture.last(("test-passed", "test-failed"))
    if result is None or not work.is_part("hydrostatic-test"):
        return
    tests = [each for each in _steps(work, "hydrostatic-test") if each.stage == "test"]
    if result == "test-passed" and any(each.id not in work.answers for each in tests):
        return  # a test is passed when the shell was looked at afterwards
    step = next(each.step for each in reversed(work.picture.told) if each.token == result)
    if any(each.token == "shell-unfit" for each in work.picture.told[work.picture.place_of(result) :]):
        result = "test-failed"  # it changed its shape, which was seen only afterwards
    read = {each.reading.name: each.reading for each in work.picture.reads if each.step == step}
    jacket = "permanent" in read
    fields = {
        "result": "pass" if result == "test-passed" else "fail",
        "method": "water-jacket" if jacket else "proof-pressure",
        "pressure": _plain(read.get("pressure")),
        "held": _held(read.get("held")),
        "total-expansion": _plain(read.get("total")),
        "permanent-expansion": _plain(read.get("permanent")),
        "instrument": next((each.instrument for each in read.values() if each.instrument), "") or "",
        "specification": work.job.unit.nameplate.cylinder_specification or "",
    }
    yield Made(kind="tested", fields=fields)


def _held(reading: Reading | None) -> str:
    """How long a pressure was held, as a record keeps it."""
    return f"{float(reading.value):g} s" if reading and isinstance(reading.value, Fraction) else ""


def _plain(reading: Reading | None) -> str:
    return reading.text if reading else ""


def _tests(work: Working) -> Iterator[Made]:
    """Tests of hose, regulator and gas cylinder: failed where one of their steps found something wrong, passed where none did."""
    for code, kind in {**_SIMPLE, "hose-test": "hose-tested"}.items():
        own = [step for step in _steps(work, code) if step.works == (code,)]
        if not work.is_part(code) or not own or any(step.id not in work.answers for step in own):
            continue
        if any(work.answers[step.id].answer in ("not-done", "not-fitted") for step in own):
            continue
        found = [each for each in work.findings if each.step in {step.id for step in own}]
        if any(each.action == "read-again" for each in found):
            continue
        wrong = [each for each in found if each.finding in _FAILED_BY[code]]
        read = next((e.reading for e in work.picture.reads if e.step in {s.id for s in own} and e.reading.name == "pressure"), None)
        fields = {"result": "fail" if wrong else "pass", "found": "; ".join(each.title for each in wrong)}
        yield Made(kind=kind, fields=fields | ({"pressure": _plain(read)} if kind == "hose-tested" else {}))


def _recharge(work: Working) -> dict[str, str]:
    picture = work.picture
    inside = work.is_part("internal-examination") and picture.has("valve-off", "cap-off")
    return {
        "opened": "yes" if inside else "no",
        "agent": _text(work, "agent") or work.job.agent or "",
        "mass": _text(work, "mass"),
        "lot": _of_stage(work, "lot", "fill", "charge"),
        "gas": _text(work, "gas"),
        "dew-point": _text(work, "dew-point"),
        "regulator": _text(work, "regulator"),
        "stopped-at": _text(work, "stopped"),
        "pressure": _pressure_only(picture.reading("settled", this_cycle=False)),
        "at-temperature": _beside(work, "settled", "temperature"),
        "container": _of_stage(work, "container", "fill", "charge"),
    }


def _beside(work: Working, name: str, other: str) -> str:
    """What was read at the same step as another reading."""
    step = next((each.step for each in reversed(work.picture.reads) if each.reading.name == name), None)
    return next((each.reading.text for each in reversed(work.picture.reads) if each.step == step and each.reading.name == other), "")


def _pressure_only(reading: Reading | None) -> str:
    return reading.text if reading and isinstance(reading.value, Measure) else ""


def _marks(work: Working) -> Iterator[Made]:
    for token, (mark, name) in _MARKS.items():
        if work.picture.has(token):
            yield Made(kind="marked", fields={"mark": mark, "text": _text(work, name)})
    if work.picture.has("label-on"):
        mark = "test-label" if work.picture.has("test-passed") else "six-year-label"
        yield Made(kind="marked", fields={"mark": mark, "text": _text_beside(work, "label", "label-on")})
    if work.picture.has("hose-label-on"):
        yield Made(kind="marked", fields={"mark": "hose-label", "text": _text_beside(work, "label", "hose-label-on")})


def _text_beside(work: Working, name: str, token: str) -> str:
    """What was read at the step that told a token last: two labels of one sheet are not mixed up."""
    step = next((each.step for each in reversed(work.picture.told) if each.token == token), "")
    return next((each.reading.text for each in reversed(work.picture.reads) if each.reading.name == name and each.step == step), "")


# -- leaving


def _leaving(work: Working, decision: Decision) -> Iterator[Made]:
    if not work.picture.has("away", "unusable"):
        return
    reason = joined(decision.because)
    if decision.code == "condemn":
        fields = {"reason": reason, "proof": _text(work, "proof"), "made-unusable": _text(work, "how"), "told": _text(work, "told")}
        yield Made(kind="condemned", fields=fields)
    elif work.is_part("retirement"):
        yield Made(kind="removed", fields={"reason": reason})
    else:
        yield _taken_away(work, reason, decision)
    yield from _stand_in(work)


def _taken_away(work: Working, reason: str, decision: Decision) -> Made:
    found = work.job.loaners.get(_text(work, "loaner").casefold())
    by_rule = work.job.back_by.on.isoformat() if work.job.back_by and work.job.back_by.on else ""
    fields = {
        "taken-to": _away_to(work),
        "loaner": found.uid if found else "none",
        "back-by": _text(work, "back-by") or by_rule,
        "reason": reason,
        "state": decision.words,
    }
    return Made(kind="taken-away", fields=fields)


def _stand_in(work: Working) -> Iterator[Made]:
    """The move of the unit that stands in to the place where it stands now."""
    state, found = work.job.unit, work.job.loaners.get(_text(work, "loaner").casefold())
    if found and (state.site or state.place):
        where = {"site": state.site or "", "place": state.place or "", "reason": f"stands in for {state.id or state.serial or state.uid}"}
        yield Made(kind="moved", fields=where, unit=found.uid)


def _away_to(work: Working) -> str:
    where = _text(work, "where").casefold()
    return next((code for code in ("bench", "van", "maker", "scrap") if code in where), "other" if where else "")


def _left(work: Working, left: str) -> Made:
    entry = work.abandoned
    where = entry.said.get("where", "") if entry else ""
    reason = entry.subject if entry else joined(work.picture.proof.because)
    return Made(kind="left", fields={"state": left, "where": where, "reason": reason})


def _summary(work: Working, sheet: str, outcome: str, decision: Decision) -> Made:
    seconds = sum(entry.seconds or 0 for entry in work.entries)
    overrides = [{"gate": gate, "step": step, "by": words} for (gate, step), words in work.overrides.items()]
    fields = {
        "sheet": sheet,
        "outcome": outcome,
        "duties": ", ".join(work.job.works),
        "confirmations": json.dumps([each.as_json() for each in work.confirmations], ensure_ascii=False) if work.confirmations else "",
        "overrides": json.dumps(overrides, ensure_ascii=False) if overrides else "",
        "seconds": str(seconds) if seconds else "",
        "quick": "yes" if any(each.quick for each in work.confirmations) else "no" if work.confirmations else "",
        "note": joined((*decision.because, *work.flags)),
    }
    return Made(kind="worked", fields=fields)
