"""How imports, records, histories and audits are said on a terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from pinseal import kinds
from pinseal.cli.options import say
from pinseal.cli.wording import counted, duty_label, short, unit_words
from pinseal.dates import span_for_people

_SHOWN = 12


def say_import(plan: Any) -> None:
    """What taking a list in would do, before it is done."""
    register = plan.register
    counts = (counted(len(register.units), "unit"), counted(len(register.questions), "open question"))
    say(f"{counts[0]} on the list, {plan.placeholders} more only counted; {counts[1]}.")
    if register.questions:
        say("What stays open is taken in as wide as it was read; `pinseal read` shows the questions.")
    changed, new, vanished = len(plan.changed), len(plan.new), len(plan.vanished)
    unsure = f", {len(plan.uncertain)} not sure" if plan.uncertain else ""
    say(f"Against the shop: {plan.same} the same, {changed} changed, {new} new{unsure}, {vanished} not on the list any more.")
    changes = [f"{short(n.name, 120)}: " + "; ".join(f"{c.fact} {c.was or 'not said'} -> {c.now}" for c in n.changes) for n in plan.changed]
    _say_some("changed", changes)
    asks = [f"{short(u.words, 240)} (--answer {u.id}={'|'.join(u.readings)}; not taken in before)" for u in plan.uncertain]
    _say_some("unsure", asks)
    _say_some("gone", [f"{short(line.name, 120)}: a note is put on its record" for line in plan.vanished])
    say()


def _say_some(word: str, lines: Sequence[str]) -> None:
    for line in lines[:_SHOWN]:
        say(f"  {word:<8} {line}")
    if len(lines) > _SHOWN:
        say(f"  {word:<8} and {len(lines) - _SHOWN} more (--json shows all)")


def say_taken(taken: Any) -> None:
    """What was written when a list was taken in."""
    parts = (counted(taken.new, "new unit"), counted(taken.placeholders, "placeholder"), f"{taken.changed} changed")
    say(f"Taken in: {', '.join(parts)}; {counted(taken.records, 'record')} written.")


def say_record_kinds() -> None:
    """The kinds of record about extinguishers, with their fields."""
    from pinseal.records.kind import ANY_SUBJECT
    from pinseal.records.record_kinds import KINDS

    for kind in (kind for kind in KINDS.values() if kind.about in ("unit", ANY_SUBJECT)):
        say(f"{kind.code}: {kind.help}")
        for field in kind.all_fields:
            say(f"    --{field.name:<26} {field.type}{', required' if field.required else ''}; {field.help}")


def say_recorded(answer: Any) -> None:
    """The record that was made, and the dues that it moved."""
    record = answer.record
    say(f"Recorded: {record.kind} on {record.done.for_people()} for {unit_words(answer.unit)}")
    person = f"by {record.person}" if record.person != "not said" else "by whom is not said (--person)"
    say(f"  record {record.uid}, {person}, written on {record.writer}")
    for text in answer.odd:
        say(f"  odd: {text}")
    for move in answer.moved:
        say(f"  {duty_label(move.duty)}: {move.before} -> {move.after}")
    if answer.no_packs:
        say("  No rule packs are chosen in this shop, so no dues are shown. Choose them with `pinseal settings --packs …`.")


def say_history(found: Any) -> None:
    """A unit's facts in order, with corrections applied, and what is odd."""
    say(unit_words(found.unit.state))
    marks: dict[str, list[str]] = {}
    for mark in found.unit.marks:
        marks.setdefault(mark.record, []).append(mark.text)
    people = {record.uid: record.person for record in found.records}
    for fact in found.unit.facts:
        fields = _fields_words(fact.fields) if fact.kind != "registered" else ""
        corrected = " (corrected later)" if fact.corrected_by else ""
        say(f"{fact.done.for_people():>12}  {fact.kind:<22} {people.get(fact.uid, ''):<16} {fields}{corrected}")
        for text in marks.get(fact.uid, ()):
            say(f"{'':>12}  odd: {text}")
    say(f"{counted(len(found.records), 'record')}.")


# What is for programs, or too long for a line; `--json` has all of it.
_NOT_IN_A_LINE = ("sheet", "because", "confirmations", "overrides", "step")


def _fields_words(fields: Mapping[str, str]) -> str:
    return ", ".join(f"{name} {value}" for name, value in fields.items() if name not in _NOT_IN_A_LINE)


def verdict_counts(findings: Sequence[Any]) -> dict[str, int]:
    return dict(Counter(f.verdict for f in findings).most_common())


def finding_json(finding: Any) -> dict[str, Any]:
    from pinseal.service.duelist import unit_json

    deed = finding.deed
    return {
        "unit": unit_json(deed.before),
        "duty": deed.duty,
        "done": str(deed.done),
        "record": deed.record,
        "verdict": finding.verdict,
        "late_days": list(finding.late_days),
        "earliest": finding.earliest.isoformat() if finding.earliest else None,
        "latest": finding.latest.isoformat() if finding.latest else None,
        "governing": finding.governing.as_json() if finding.governing else None,
        "because": list(finding.because),
    }


def say_audit(findings: Sequence[Any], shown: Sequence[Any]) -> None:
    """The counts, then each deed: how late it was and which clause set its due."""
    say(", ".join(f"{name} {count}" for name, count in verdict_counts(findings).items()) or "No deed is on record.")
    for f in shown:
        least, most = f.late_days
        late = "" if not most else f" by {least} days" if least == most else f" by {least} to {most} days"
        due = span_for_people(f.earliest, f.latest) if f.earliest and f.latest else "no date"
        clause = f" ({f.governing.document} {f.governing.clause})" if f.governing else ""
        duty = kinds.DUTIES[f.deed.duty]
        say(f"{f.verdict + late:<28} {duty:<24} done {f.deed.done.for_people()}, due {due}{clause}  {unit_words(f.deed.before)}")
