"""The strict loader of procedures: each refusal by file, entry and words; and what the held procedures promise as a whole."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.sheets.load import held_procedures, load_procedures
from pinseal.sheets.model import ACTIONS, EFFECTS, QUANTITIES, STAGES, TOKENS, WORKS
from pinseal.sheets.vocabulary import INSTRUMENTS, JUDGED_TOKENS, JUDGES, STAGES_OF_EFFECT, TOKENS_OF_EFFECT

TYPES = """
[[type]]
id = "powder"
title = "Powder"
match = { agent = ["all-dry-chemical"], wheeled = ["no"] }
[type.does_not_apply]
regulator-test = "it has none"

[[type]]
id = "water"
title = "Water"
match = { agent = "water" }
cautions = ["Mind the frost."]
"""
FINDINGS = """
[[finding]]
id = "torn"
title = "Torn"
action = "repair"
words = "Mend it."
checked = "practice"
parts = ["a patch"]

[[finding]]
id = "light"
title = "Light"
action = "recharge"
words = "Recharge it."
source = "an invented document"
checked = "public copy"
"""
STEP = {
    "id": '"look-at-it"',
    "stage": '"look"',
    "effect": '"look"',
    "works": '["maintenance"]',
    "types": '["powder"]',
    "title": '"Look at it"',
    "do": '"Look."',
    "why": '"To see."',
    "checked": '"practice"',
}


def step(**but: str | None) -> str:
    """A step in TOML with some keys changed; None takes one away. Two underscores stand for a dot."""
    said = {**STEP, **but}
    return "[[step]]\n" + "\n".join(f"{key.replace('__', '.')} = {value}" for key, value in said.items() if value is not None)


def folder(where: Path, steps: str = "", *, types: str = TYPES, findings: str = FINDINGS) -> Path:
    for name, text in {"types.toml": types, "findings.toml": findings, "10_steps.toml": steps}.items():
        (where / name).write_text(text, encoding="utf-8")
    return where


def refused(where: Path) -> Refusal:
    with pytest.raises(Refusal) as found:
        load_procedures(where)
    return found.value


def test_a_small_folder_is_read_whole(tmp_path: Path) -> None:
    wants = '{ label = "Weight", quantity = "mass", instrument = "scale" }'
    text = step(effect='"look"', stage='"weigh"', wants__gross=wants, judge='{ by = "gross-weight", fail = "light", above = "torn" }')
    held = load_procedures(folder(tmp_path, text))
    (found,) = held.steps
    assert (found.id, found.stage, found.file, found.minutes, found.when) == ("look-at-it", "weigh", "10_steps.toml", 0.5, "always")
    assert [(a.code, a.good) for a in found.answers] == [("done", True)]
    assert found.judge is not None and (found.judge.by, found.judge.fail, found.judge.below, found.judge.above) == (
        "gross-weight",
        "light",
        "",
        "torn",
    )
    assert (found.wants[0].name, found.wants[0].quantity, found.wants[0].instrument) == ("gross", "mass", "scale")
    assert found.source.text == kinds.CHECKED["practice"]
    assert held.findings["light"].source.text == "an invented document"
    assert held.types[0].match["agent"] == tuple(kinds.AGENT_GROUPS["all-dry-chemical"])
    assert held.types[0].does_not_apply == {"regulator-test": "it has none"}
    assert held.types[1].cautions == ("Mind the frost.",)
    assert held.type("water").title == "Water"
    assert held.steps_of("powder", "maintenance") == held.steps
    assert held.steps_of("water", "maintenance") == ()


def test_steps_are_in_the_safe_order_whatever_the_order_of_the_file(tmp_path: Path) -> None:
    text = "\n".join(
        step(id=f'"{code}"', stage=f'"{stage}"', effect=f'"{effect}"')
        for code, stage, effect in (("third", "mark", "tag"), ("first", "arrive", "look"), ("second", "look", "touch"))
    )
    assert [each.id for each in load_procedures(folder(tmp_path, text)).steps] == ["first", "second", "third"]


def test_all_kinds_but_some_can_be_said(tmp_path: Path) -> None:
    text = step(types='"all"', not_types='["water"]')
    assert load_procedures(folder(tmp_path, text)).steps[0].types == ("powder",)


WRONG = {
    "a wrong key": (step(colour='"red"'), "wrong key", "colour"),
    "no title": (step(title=None), "title is missing or is no text", "None"),
    "an empty why": (step(why='" "'), "why is missing or is no text", " "),
    "an unknown stage": (step(stage='"lunch"'), "unknown stage", "lunch"),
    "an unknown effect": (step(effect='"paint"'), "unknown effect", "paint"),
    "an effect in a wrong stage": (step(effect='"open"', stage='"look"'), "stage and effect do not fit", "look"),
    "an unknown work": (step(works='["dusting"]'), "unknown work", "dusting"),
    "works that are no list": (step(works='"maintenance"'), "works is no list", "maintenance"),
    "an unknown kind": (step(types='["rocket"]'), "unknown kind of unit", "rocket"),
    "no kind": (step(types=None), "types is missing", "None"),
    "a list of kinds without some": (step(not_types='["water"]'), "types is missing", "powder"),
    "an unknown without": (step(types='"all"', not_types='["rocket"]'), "unknown kind of unit", "rocket"),
    "a token that the effect cannot tell": (
        step(answer='[{ code = "a", says = "A", sets = ["valve-off"] }]'),
        "cannot tell that",
        "valve-off",
    ),
    "a token that only a judge tells": (
        step(stage='"test"', effect='"test"', answer='[{ code = "a", says = "A", sets = ["test-passed"] }]'),
        "cannot tell that",
        "test-passed",
    ),
    "an unknown token": (step(answer='[{ code = "a", says = "A", sets = ["blue"] }]'), "unknown token", "blue"),
    "an unknown finding": (step(answer='[{ code = "a", says = "A", finding = "rust" }]'), "unknown finding", "rust"),
    "an answer without words": (step(answer='[{ code = "a" }]'), "says is missing", "None"),
    "an answer with a wrong key": (step(answer='[{ code = "a", says = "A", good = true }]'), "wrong key", "good"),
    "an answer twice": (
        step(answer='[{ code = "a", says = "A" }, { code = "a", says = "B", finding = "torn" }]'),
        "the answers are not right",
        "a, a",
    ),
    "no good answer": (step(answer='[{ code = "a", says = "A", finding = "torn" }]'), "the answers are not right", "a"),
    "an unknown quantity": (step(wants__x='{ label = "X", quantity = "smell" }'), "unknown quantity", "smell"),
    "an unknown instrument": (step(wants__x='{ label = "X", quantity = "mass", instrument = "nose" }'), "unknown instrument", "nose"),
    "a reading without label": (step(wants__x='{ quantity = "mass" }'), "label is missing", "None"),
    "a reading with a wrong key": (step(wants__x='{ label = "X", quantity = "mass", unit = "lb" }'), "wrong key", "unit"),
    "a reading with an answer that is not there": (
        step(wants__x='{ label = "X", quantity = "mass", only_with = ["b"] }'),
        "unknown answer",
        "b",
    ),
    "a flag in quotes": (step(skippable='"yes"'), "skippable is neither true nor false", "yes"),
    "an unknown judge": (step(judge='{ by = "smell", fail = "torn" }'), "unknown judge", "smell"),
    "a judge without its reading": (
        step(stage='"weigh"', judge='{ by = "gross-weight", fail = "light" }'),
        "the judge needs a reading that the step does not want",
        "no gross",
    ),
    "a judge without a finding": (
        step(stage='"weigh"', wants__gross='{ label = "W", quantity = "mass" }', judge='{ by = "gross-weight" }'),
        "a failed reading has no finding",
        "nothing",
    ),
    "a judge with an unknown finding": (
        step(stage='"weigh"', wants__gross='{ label = "W", quantity = "mass" }', judge='{ by = "gross-weight", fail = "rust" }'),
        "unknown finding",
        "rust",
    ),
    "an unknown when": (step(when='"sometimes"'), "unknown when", "sometimes"),
    "minutes below zero": (step(minutes="-1"), "minutes is not a number from zero up", "-1"),
    "a fact of no nameplate": (step(applies='{ colour = ["red"] }'), "wrong key", "colour"),
    "an unknown agent": (step(applies='{ agent = ["sand"] }'), "unknown agent", "sand"),
    "applies that is no table": (step(applies='"abc"'), "this is no table of nameplate facts", "abc"),
    "a source that is not said": (step(checked='"public copy"'), "source is missing or is no text", "None"),
    "an unknown way of checking": (step(checked='"rumour"'), "unknown way of checking", "rumour"),
    "a confirmation over a reading": (
        step(group='"outside"', wants__x='{ label = "X", quantity = "mass" }'),
        "a confirmation cannot cover this step",
        "outside",
    ),
    "a confirmation over two good answers": (
        step(group='"outside"', answer='[{ code = "a", says = "A" }, { code = "b", says = "B" }]'),
        "a confirmation cannot cover this step",
        "outside",
    ),
    "a confirmation over an opening": (
        step(group='"outside"', stage='"open"', effect='"open"', answer='[{ code = "a", says = "A", sets = ["valve-off"] }]'),
        "a confirmation cannot cover this step",
        "outside",
    ),
    "a step twice": (step() + "\n" + step(), "a step is there twice", "look-at-it"),
    "a file with something else": ("[[stop]]\nid = 1", "wrong key", "stop"),
    "no TOML": ("[[step", "not readable as TOML", ""),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_step_that_is_wrong_is_refused_by_its_words(case: str, tmp_path: Path) -> None:
    text, what, got = WRONG[case]
    found = refused(folder(tmp_path, text))
    assert what in found.what
    assert got in found.got
    assert "10_steps.toml" in found.what or "procedures" in found.what
    assert found.rule and found.do


def test_a_confirmation_may_cover_a_step_with_a_reading_that_may_be_left_out(tmp_path: Path) -> None:
    text = step(group='"outside"', wants__x='{ label = "X", quantity = "mass", optional = true }')
    assert load_procedures(folder(tmp_path, text)).steps[0].group == "outside"


@pytest.mark.parametrize(
    ("types", "findings", "what"),
    [
        (TYPES + "\ncolour = 1", FINDINGS, "wrong key"),
        (TYPES.replace('title = "Water"', ""), FINDINGS, "title is missing"),
        (TYPES.replace("regulator-test", "dusting"), FINDINGS, "unknown work"),
        (TYPES.replace('"it has none"', '""'), FINDINGS, "regulator-test is missing"),
        (TYPES.replace('id = "water"', 'id = "powder"'), FINDINGS, "a kind of unit is there twice"),
        (TYPES.replace('["Mind the frost."]', '"Mind the frost."'), FINDINGS, "cautions is no list of texts"),
        (TYPES, FINDINGS.replace('action = "repair"', 'action = "glue"'), "unknown action"),
        (TYPES, FINDINGS.replace('id = "light"', 'id = "torn"'), "a finding is there twice"),
        (TYPES, FINDINGS.replace('words = "Mend it."', ""), "words is missing"),
        (TYPES, FINDINGS.replace('source = "an invented document"', ""), "source is missing"),
        (TYPES, FINDINGS + "\n[[step]]\nid = 1", "wrong key"),
    ],
)
def test_kinds_and_findings_are_read_as_strictly(types: str, findings: str, what: str, tmp_path: Path) -> None:
    assert what in refused(folder(tmp_path, step(), types=types, findings=findings)).what


@pytest.mark.parametrize("name", ["types.toml", "findings.toml"])
def test_a_folder_without_its_heads_is_refused(name: str, tmp_path: Path) -> None:
    (folder(tmp_path, step()) / name).unlink()
    assert f"{name}: the file is not there" in refused(tmp_path).what


# -- the words that a data file may use


def test_every_effect_has_its_stages_and_every_stage_an_effect() -> None:
    assert set(STAGES_OF_EFFECT) == set(EFFECTS)
    assert {stage for stages in STAGES_OF_EFFECT.values() for stage in stages} == set(STAGES)


def test_every_token_can_be_told_by_some_effect_or_judge_and_by_none_that_could_lie() -> None:
    of_effects = {token for tokens in TOKENS_OF_EFFECT.values() for token in tokens}
    of_judges = {token for pair in JUDGED_TOKENS.values() for token in pair if token}
    assert of_effects | of_judges == set(TOKENS)
    assert "test-passed" not in of_effects  # no hand says that a test was passed: the readings do
    tellers = Counter(token for tokens in TOKENS_OF_EFFECT.values() for token in tokens)
    for token, effect in {
        "valve-off": "open",
        "cap-off": "open",
        "left-then-ended": "empty",
        "cartridge-capped": "disarm",
        "filled": "fill",
        "collar-on": "collar",
        "tag-on": "tag",
        "returned": "return",
        "unusable": "leave",
        "dried": "dry",
    }.items():
        assert tellers[token] == 1
        assert token in TOKENS_OF_EFFECT[effect]
    assert set(JUDGED_TOKENS) <= set(JUDGES)


# -- the held procedures as a whole

HELD = held_procedures()


def test_the_held_procedures_use_only_what_is_defined_and_say_it_in_short_words() -> None:
    assert {each.action for each in HELD.findings.values()} <= set(ACTIONS)
    for each in HELD.steps:
        assert set(each.works) <= set(WORKS) and each.works, each.id
        assert each.title and len(each.title) <= 40, each.id
        assert each.do.rstrip().endswith((".", ":", "?")), each.id
        assert " - " not in each.do + each.why + each.caution, f"{each.id}: no dash as punctuation"
        assert "—" not in each.do + each.why + each.caution and "–" not in each.do + each.why + each.caution, each.id
        assert all(want.quantity in QUANTITIES and (want.instrument in INSTRUMENTS or not want.instrument) for want in each.wants)


def test_what_is_dangerous_to_the_hand_says_so_where_it_is_done() -> None:
    without = [each.id for each in HELD.steps if each.effect in ("open", "charge", "test") and not each.caution]
    assert without == ["pump-out", "halogenated-own-vapour"]  # one holds no pressure, into the other no gas is let


def test_a_fact_with_a_document_names_it_and_practice_says_that_it_has_none() -> None:
    for each in [*HELD.steps, *HELD.findings.values()]:
        assert each.source.text.strip(), each.id
        assert each.source.checked in kinds.CHECKED, each.id


def test_every_kind_can_be_emptied_of_what_drives_it_and_leaves_in_one_way() -> None:
    for kind in HELD.types:
        effects = {each.effect for each in HELD.steps if kind.id in each.types}
        assert "leave" in effects
        assert effects & {"empty", "disarm"} or kind.id in ("obsolete",)
