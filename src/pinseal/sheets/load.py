"""Read the procedures from TOML, strictly: a wrong key, code or token is refused with file, step and what to do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from pinseal import kinds
from pinseal.sheets.model import (
    ACTIONS,
    EFFECTS,
    QUANTITIES,
    STAGES,
    TOKENS,
    WORKS,
    Answer,
    Finding,
    Judge,
    Procedures,
    Source,
    Step,
    UnitType,
    Want,
)
from pinseal.sheets.vocabulary import INSTRUMENTS, JUDGES, MATCHED, STAGES_OF_EFFECT, TOKENS_OF_EFFECT
from pinseal.standards.strict import Place, read_toml

_STEP_KEYS = {
    "id",
    "stage",
    "effect",
    "title",
    "do",
    "why",
    "caution",
    "proves",
    "minutes",
    "group",
    "when",
    "works",
    "types",
    "not_types",
    "applies",
    "wants",
    "answer",
    "judge",
    "parts",
    "skippable",
    "source",
    "checked",
}
_WANT_KEYS = {"label", "quantity", "instrument", "optional", "only_with"}
_ANSWER_KEYS = {"code", "says", "sets", "finding"}
_JUDGE_KEYS = {"by", "fail", "below", "above"}
_FINDING_KEYS = {"id", "title", "action", "words", "source", "checked", "parts"}
_TYPE_KEYS = {"id", "title", "match", "does_not_apply", "cautions"}
_WHEN = ("always", "returned", "leaving")
_GROUPED = ("look", "touch", "tag", "return")  # effects that one confirmation may cover


def _source(place: Place, table: Mapping[str, Any]) -> Source:
    checked = place.code(table.get("checked"), kinds.CHECKED, what="way of checking")
    text = place.text(table, "source", kinds.CHECKED["practice"] if checked == "practice" else None)
    return Source(text=text, checked=checked)


def _matched(place: Place, table: object) -> dict[str, tuple[str, ...]]:
    if not isinstance(table, dict):
        raise place.refuse("this is no table of nameplate facts", rule="facts and their codes", got=table, do='write { agent = ["co2"] }')
    place.keys(table, set(MATCHED))
    found: dict[str, tuple[str, ...]] = {}
    for name, values in table.items():
        codes: list[str] = []
        for value in values if isinstance(values, list) else [values]:
            group = kinds.AGENT_GROUPS.get(str(value)) if name == "agent" else None
            codes += group or [place.code(value, MATCHED[name], what=name.replace("_", " "))]
        found[name] = tuple(codes)
    return found


def _want(place: Place, name: str, table: Mapping[str, Any], answers: Sequence[str]) -> Want:
    place.keys(table, _WANT_KEYS)
    return Want(
        name=name,
        label=place.text(table, "label"),
        quantity=place.code(table.get("quantity"), QUANTITIES, what="quantity"),
        instrument=place.code(table["instrument"], INSTRUMENTS, what="instrument") if "instrument" in table else "",
        optional=place.flag(table, "optional"),
        only_with=place.codes(table, "only_with", answers, what="answer"),
    )


def _answer(place: Place, table: Mapping[str, Any], effect: str, findings: Mapping[str, Finding]) -> Answer:
    place.keys(table, _ANSWER_KEYS)
    allowed = TOKENS_OF_EFFECT.get(effect, ())
    sets = place.codes(table, "sets", TOKENS, what="token")
    if wrong := [each for each in sets if each not in allowed]:
        raise place.refuse(
            f"a step that {EFFECTS[effect]} cannot tell that",
            rule=f"its answers may set {', '.join(allowed) or 'nothing'}",
            got=", ".join(wrong),
            do="give the step the effect that it has, or take the token away",
        )
    return Answer(
        code=place.text(table, "code"),
        says=place.text(table, "says"),
        sets=sets,
        finding=place.code(table["finding"], findings, what="finding") if "finding" in table else None,
    )


def _judge(place: Place, table: Mapping[str, Any], wants: Sequence[Want], findings: Mapping[str, Finding]) -> Judge:
    place.keys(table, _JUDGE_KEYS)
    by = place.code(table.get("by"), JUDGES, what="judge")
    named = {want.name for want in wants}
    if absent := [each for each in JUDGES[by] if each not in named]:
        raise place.refuse(
            "the judge needs a reading that the step does not want",
            rule=f"{by} needs {', '.join(JUDGES[by])}",
            got=f"no {', '.join(absent)}",
            do="add the reading",
        )
    found = {key: place.code(table[key], findings, what="finding") if key in table else "" for key in ("fail", "below", "above")}
    if not found["fail"]:
        raise place.refuse("a failed reading has no finding", rule="a judge says what a fail is", got="nothing", do='add fail = "…"')
    return Judge(by=by, **found)


def _types(place: Place, table: Mapping[str, Any], known: Sequence[str]) -> tuple[str, ...]:
    if table.get("types") == "all":
        without = place.codes(table, "not_types", known, what="kind of unit")
        return tuple(each for each in known if each not in without)
    found = place.codes(table, "types", known, what="kind of unit")
    if not found or "not_types" in table:
        raise place.refuse("types is missing", rule='types = "all", perhaps with not_types, or a list', got=table.get("types"), do="add it")
    return found


def _check_step(place: Place, step: Step) -> None:
    if step.stage not in STAGES_OF_EFFECT[step.effect]:
        raise place.refuse(
            "stage and effect do not fit",
            rule=f"what {EFFECTS[step.effect]} belongs to {', '.join(STAGES_OF_EFFECT[step.effect])}",
            got=step.stage,
            do="change one of the two",
        )
    codes = [each.code for each in step.answers]
    if len(set(codes)) != len(codes) or not step.good_answers:
        raise place.refuse(
            "the answers are not right", rule="each answer once, and one of them is good", got=", ".join(codes), do="mend them"
        )
    if step.group and (step.effect not in _GROUPED or any(not want.optional for want in step.wants) or len(step.good_answers) > 1):
        raise place.refuse(
            "a confirmation cannot cover this step",
            rule=f"it covers steps without readings, with one good answer, that {', '.join(_GROUPED)}",
            got=step.group,
            do="take the group away",
        )


def _step(file: str, table: Mapping[str, Any], types: Sequence[str], findings: Mapping[str, Finding]) -> Step:
    place = Place(file, str(table.get("id", "without id")), kind="step")
    place.keys(table, _STEP_KEYS)
    effect = place.code(table.get("effect", "look"), EFFECTS, what="effect")
    answers = tuple(_answer(place, each, effect, findings) for each in place.tables(table, "answer")) or (Answer(code="done", says="Done"),)
    codes = [each.code for each in answers]
    wants = tuple(_want(place, name, each, codes) for name, each in table.get("wants", {}).items())
    step = Step(
        id=place.text(table, "id"),
        stage=place.code(table.get("stage"), STAGES, what="stage"),
        effect=effect,
        title=place.text(table, "title"),
        do=place.text(table, "do"),
        why=place.text(table, "why"),
        caution=place.text(table, "caution", ""),
        proves=place.text(table, "proves", ""),
        minutes=place.number(table, "minutes", 0.5),
        group=place.text(table, "group", ""),
        when=place.code(table.get("when", "always"), _WHEN, what="when"),
        works=place.codes(table, "works", WORKS, what="work"),
        types=_types(place, table, types),
        applies=_matched(place, table.get("applies", {})),
        wants=wants,
        answers=answers,
        judge=_judge(place, table["judge"], wants, findings) if "judge" in table else None,
        parts=place.texts(table, "parts"),
        skippable=place.flag(table, "skippable"),
        source=_source(place, table),
        file=file,
    )
    _check_step(place, step)
    return step


def _finding(file: str, table: Mapping[str, Any]) -> Finding:
    place = Place(file, str(table.get("id", "without id")), kind="finding")
    place.keys(table, _FINDING_KEYS)
    return Finding(
        id=place.text(table, "id"),
        title=place.text(table, "title"),
        action=place.code(table.get("action"), ACTIONS, what="action"),
        words=place.text(table, "words"),
        source=_source(place, table),
        parts=place.texts(table, "parts"),
    )


def _type(file: str, table: Mapping[str, Any]) -> UnitType:
    place = Place(file, str(table.get("id", "without id")), kind="kind of unit")
    place.keys(table, _TYPE_KEYS)
    without = table.get("does_not_apply", {})
    for work in without:
        place.code(work, WORKS, what="work")
        place.text(without, work)
    return UnitType(
        id=place.text(table, "id"),
        title=place.text(table, "title"),
        match=_matched(place, table.get("match", {})),
        does_not_apply=dict(without),
        cautions=place.texts(table, "cautions"),
    )


def _no_doubles(names: Sequence[str], what: str) -> None:
    for name in names:
        if names.count(name) > 1:
            raise Place("procedures").refuse(f"a {what} is there twice", rule="each id once", got=name, do="rename one")


def load_procedures(folder: Traversable | Path) -> Procedures:
    """Read `types.toml`, `findings.toml` and every other `.toml` in the folder, in the order of their names. Raises `Refusal`."""
    heads = {name: read_toml(folder / name) for name in ("types.toml", "findings.toml")}
    for name, key in (("types.toml", "type"), ("findings.toml", "finding")):
        Place(name).keys(heads[name], {key})
    types = tuple(_type("types.toml", each) for each in Place("types.toml").tables(heads["types.toml"], "type"))
    found = [_finding("findings.toml", each) for each in Place("findings.toml").tables(heads["findings.toml"], "finding")]
    findings = {each.id: each for each in found}
    _no_doubles([each.id for each in types], "kind of unit")
    _no_doubles([each.id for each in found], "finding")
    steps: list[Step] = []
    for file in sorted((f for f in folder.iterdir() if f.name.endswith(".toml") and f.name not in heads), key=lambda f: f.name):
        table = read_toml(file)
        Place(file.name).keys(table, {"step"})
        steps += [_step(file.name, each, [t.id for t in types], findings) for each in Place(file.name).tables(table, "step")]
    _no_doubles([each.id for each in steps], "step")
    order = list(STAGES)
    return Procedures(types=types, findings=findings, steps=tuple(sorted(steps, key=lambda step: order.index(step.stage))))


@cache
def held_procedures() -> Procedures:
    """The procedures that come with the program."""
    return load_procedures(files("pinseal.sheets") / "procedures")
