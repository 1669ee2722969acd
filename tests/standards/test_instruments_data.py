"""The data of instruments and papers is read strictly."""

from __future__ import annotations

from typing import Any

import pytest

from pinseal.reasons import Refusal
from pinseal.standards import held_packs
from pinseal.standards.instruments import instrument_rules, parse_instrument_rules
from pinseal.standards.sourced import shipped


def changed(kind: str, **change: Any) -> dict[str, Any]:
    """The shipped data with the first entry of a kind changed; None takes the key away."""
    tables = {name: [dict(entry) for entry in entries] for name, entries in shipped("instruments.toml").items()}
    tables[kind][0] = {key: value for key, value in {**tables[kind][0], **change}.items() if value is not None}
    return tables


@pytest.mark.parametrize(
    ("kind", "change", "words"),
    [
        ("interval", {"months": "6"}, "months is no whole number"),
        ("interval", {"months": -1}, "months is no whole number"),
        ("interval", {"months": True}, "months is no whole number"),
        ("interval", {"months": None}, "months is no whole number"),
        ("interval", {"what": ["ruler"]}, "unknown instrument"),
        ("interval", {"clause": None}, "clause is missing"),
        ("interval", {"checked": "somebody said so"}, "unknown way of checking"),
        ("interval", {"checked_on": "2026-11-25"}, "checked_on is not a date"),
        ("interval", {"weeks": 3}, "wrong key"),
        ("effect", {"effect": "stops"}, "unknown effect"),
        ("effect", {"when": ["old"]}, "unknown standing"),
        ("effect", {"about": "weather"}, "unknown about"),
        ("effect", {"packs": "us-ca"}, "packs is no list"),
    ],
)
def test_an_entry_that_is_not_as_declared_is_refused(kind: str, change: dict[str, Any], words: str) -> None:
    with pytest.raises(Refusal, match=words):
        parse_instrument_rules(changed(kind, **change))


def test_another_kind_of_entry_is_refused() -> None:
    with pytest.raises(Refusal, match="wrong key"):
        parse_instrument_rules({"wish": []})


def test_the_packs_that_are_named_are_held_and_the_entries_have_names_of_their_own() -> None:
    rules = instrument_rules()
    everything = [*rules.intervals, *rules.effects]
    assert {pack for rule in everything for pack in rule.packs} <= set(held_packs())
    assert len({rule.id for rule in everything}) == len(everything)
    assert all(rule.source.checked == "practice" or rule.source.document != "Common practice" for rule in everything)
