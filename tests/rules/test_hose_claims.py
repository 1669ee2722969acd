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
