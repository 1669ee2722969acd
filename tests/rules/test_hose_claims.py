"""When a hose test is claimed of a unit whose hose is not said: only where a shut-off nozzle is usual (common practice, no source)."""

from datetime import date

import pytest
from trade_cases import state

from pinseal.service.duelist import due_list
from pinseal.standards import choose_packs

ON = date(2026, 11, 24)


def claimed(kind: str, **but: object) -> bool:
    unit = state(kind, {"manufactured": "2015-03-04"}, but=but)
    return "hose-test" in {due.duty for due in due_list([unit], choose_packs(["us-osha"]), ON).all()}


@pytest.mark.parametrize(
    ("kind", "but", "expected"),
    [
        ("steel powder", {}, False),
        ("cartridge powder", {}, True),
        ("wheeled powder with cylinder", {"wheeled": False}, True),
        ("wheeled powder with cylinder", {"wheeled": "not said"}, True),
        ("wheeled powder", {}, True),
        ("carbon dioxide", {"wheeled": True}, True),
        ("carbon dioxide", {"wheeled": "not said"}, False),
        ("carbon dioxide", {}, False),
    ],
)
def test_a_hose_that_is_not_said(kind: str, but: dict[str, object], expected: bool) -> None:
    assert claimed(kind, **{"hose": "not said", **but}) == expected


def test_a_hose_that_is_said_is_believed() -> None:
    assert claimed("steel powder", hose="shut-off")
    assert claimed("carbon dioxide", hose="shut-off")
    for hose in ("none", "plain"):
        assert not claimed("cartridge powder", hose=hose)
        assert not claimed("wheeled powder", hose=hose)


def test_a_document_that_would_be_silent_alone_still_counts_beside_one_that_speaks() -> None:
    """OSHA counts a driven powder unit's hose to the day, NFPA 10 to the end of the year: unsaid, both may be the last day."""
    made = {"manufactured": "2019-08-26"}

    def last_day(packs: list[str], expelled_by: str) -> tuple[date | None, date | None] | None:
        unit = state("class D powder", made, but={"expelled_by": expelled_by, "hose": "shut-off"})
        found = [d for d in due_list([unit], choose_packs(packs), ON).all() if d.duty == "hose-test"]
        return (found[0].earliest, found[0].latest) if found else None

    both = ["us-osha", "us-nfpa10", "us-dot"]
    assert last_day(both, "cylinder") == (date(2031, 8, 26), date(2031, 8, 26))
    assert last_day(both, "stored-pressure") == (date(2031, 12, 31), date(2031, 12, 31))
    assert last_day(both, "not said") == (date(2031, 8, 26), date(2031, 12, 31))
    assert last_day(["us-osha"], "not said") is None
