"""Duties that a unit may not owe, duties that it owes whichever documents are chosen, and who governs then."""

from __future__ import annotations

from datetime import date

import pytest
from trade_cases import state

from pinseal.rules.columns import columns
from pinseal.rules.dues import evaluate
from pinseal.rules.result import NO, STATE_CODES
from pinseal.rules.tables import FAR
from pinseal.standards import choose_packs

ON = date(2026, 11, 24)
TEST = "hydrostatic-test"


def found(kind: str, packs: list[str], made: str = "2018-06-10", **but: object) -> tuple[str | None, bool, str | None]:
    """The pack that governs the hydrostatic test, whether it may not be owed, and its latest day."""
    answer = evaluate(columns([state(kind, {"manufactured": made}, but=but)]), choose_packs(packs), ON)
    dues = answer.duties[TEST]
    governing, latest = int(dues.governing[0]), int(dues.latest[0])
    day = None if latest == FAR else date.fromordinal(date(1900, 1, 1).toordinal() + latest).isoformat()
    return answer.voices[governing].pack if governing >= 0 else None, bool(dues.perhaps[0]), day


def state_of(kind: str, packs: list[str], **but: object) -> str:
    dues = evaluate(columns([state(kind, {}, but=but)]), choose_packs(packs), ON).duties.get(TEST)
    return STATE_CODES[NO if dues is None else int(dues.state[0])]


def test_a_due_that_hangs_on_an_unsaid_fact_may_not_be_owed() -> None:
    assert found("water", ["us-osha"]) == ("us-osha", False, "2023-06-10")
    assert found("water", ["us-osha"], expelled_by="not said") == ("us-osha", True, "2023-06-10")  # it may be a pump tank


@pytest.mark.parametrize("packs", [["us-osha", "us-nfpa10"], ["us-nfpa10", "us-osha"]])
def test_of_two_that_may_not_be_owed_the_wider_one_is_told(packs: list[str]) -> None:
    assert found("water", packs, expelled_by="not said") == ("us-nfpa10", True, "2023-12-31")
    assert found("water", packs) == ("us-osha", False, "2023-06-10")


@pytest.mark.parametrize("packs", [["us-osha", "imo"], ["imo", "us-osha"]])
def test_a_due_that_is_surely_owed_is_not_bounded_by_one_that_may_not_be(packs: list[str]) -> None:
    assert found("water", packs, expelled_by="not said") == ("imo", False, "2028-06-10")


@pytest.mark.parametrize("packs", [["us-osha"], ["us-dot", "us-osha"], ["us-osha", "us-dot"]])
def test_a_document_that_is_silent_on_one_reading_still_asks_for_the_test(packs: list[str]) -> None:
    assert found("aluminium powder", packs, expelled_by="not said") == ("us-osha", False, "2030-06-10")


def test_a_due_without_a_date_is_not_one_that_may_not_be_owed() -> None:
    assert found("fluorine-free foam", ["us-osha"]) == (None, False, None)


@pytest.mark.parametrize(
    ("kind", "but", "expected"),
    [
        ("steel powder", {}, "unknown"),
        ("water", {}, "unknown"),
        ("disposable powder", {}, "no row"),
        ("pump tank", {}, "no row"),
        ("soda-acid", {}, "no row"),
        ("water", {"shell": "soldered-brass"}, "no row"),
        ("water", {"expelled_by": "not said"}, "unknown"),
        ("steel powder", {"agent": "not said"}, "unknown"),
    ],
)
def test_every_unit_of_its_kind_owes_a_test_whichever_documents_are_chosen(kind: str, but: dict[str, object], expected: str) -> None:
    assert state_of(kind, ["us-dot"], **{"cylinder_specification": "none", **but}) == expected


def test_a_document_that_says_none_is_owed_is_believed() -> None:
    assert state_of("steel powder", ["gb"]) == "no row"
    assert state_of("steel powder", ["gb", "us-dot"], cylinder_specification="none") == "no row"
    assert state_of("steel powder", ["gb", "us-osha"]) == "unknown"  # no date of manufacture; the other document asks
