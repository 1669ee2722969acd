"""What is asked of whoever handles halogenated agents: read strictly, each with its source and the day from which it holds."""

from __future__ import annotations

from datetime import date

import pytest

from pinseal.reasons import Refusal
from pinseal.standards.halocarbon import ACCOUNTED, halocarbon_rules, parse_halocarbon

HFC, HALON, KETONE = "halocarbon-hfc-236fa", "halon-1211", "halocarbon-fk-5-1-12"
RULE = {
    "id": "x", "agents": [HFC], "words": "something", "document": "D", "edition": "E", "clause": "1", "checked": "memory",
    "checked_on": date(2026, 11, 28), "in_force_from": date(2026, 1, 1), "in_force_to": "open",
}  # fmt: skip


# Association's summary of 40 CFR 84.110, 89 FR 82682 (11 October 2024), read second-hand: recycled agent for service from
# 2026-01-01, for first fills from 2030-01-01; the report by 14 February of the next year, the first one in 2027.
@pytest.mark.parametrize(
    ("name", "day", "holds"),
    [
        ("recycled-for-service", date(2025, 12, 31), False),
        ("recycled-for-service", date(2026, 1, 1), True),
        ("recycled-for-first-fill", date(2029, 12, 31), False),
        ("recycled-for-first-fill", date(2030, 1, 1), True),
    ],
)
def test_a_rule_holds_from_its_day_on(name: str, day: date, holds: bool) -> None:
    assert halocarbon_rules()[name].holds_for(HFC, day) is holds


def test_the_report_of_a_year_is_due_on_14_february_of_the_next() -> None:
    assert halocarbon_rules()["yearly-report"].due_after(2026) == date(2027, 2, 14)
    assert halocarbon_rules()["recover"].due_after(2026) is None


@pytest.mark.parametrize("agent", [HALON, KETONE, "halocarbon"])
def test_the_rules_of_one_kind_of_agent_are_not_told_of_another(agent: str) -> None:
    assert not halocarbon_rules()["yearly-report"].holds_for(agent, date(2026, 12, 31))


def test_halon_has_a_rule_of_its_own() -> None:
    assert halocarbon_rules()["halon"].holds_for(HALON, date(2026, 12, 31))
    assert set(ACCOUNTED) >= {HALON, HFC, KETONE}


@pytest.mark.parametrize("rule", halocarbon_rules().values(), ids=str)
def test_none_of_the_rules_is_said_to_be_read_in_the_text_itself(rule) -> None:
    assert rule.source.checked in ("second-hand", "practice")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"agents": ["abc"]}, "agent"),
        ({"due_month": 2}, "this is no day of a year"),
        ({"due_month": 2, "due_day": 30}, "this is no day of a year"),
        ({"checked": "hearsay"}, "way of checking"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_a_bad_file_is_refused_in_words(change: dict[str, object], words: str) -> None:
    with pytest.raises(Refusal) as refused:
        parse_halocarbon({"rule": [{**RULE, **change}]})
    assert words in str(refused.value)
