"""The audit of the years gone by: how a deed stands to what was due just before it."""

from datetime import date
from pathlib import Path

import pytest
from pack_makers import provision, write_pack
from trade_cases import state

from pinseal.dates import parse_date
from pinseal.rules.audit import Deed, Finding, audit
from pinseal.rules.clocks import Basis
from pinseal.standards import Chosen, choose_packs, load_pack


def deed(unit: str, before: dict[str, str], duty: str, done: str) -> Deed:
    return Deed(before=state(unit, before), duty=duty, done=parse_date(done), record=f"record of {done}")


def judged(packs: str, *deeds: Deed, basis: Basis | None = None) -> list[Finding]:
    return list(audit(deeds, choose_packs(packs.split(",")), basis=basis))


@pytest.mark.parametrize(
    ("done", "verdict", "late_days"),
    [
        ("2025-10-04", "on time", (0, 0)),
        ("2025-10-05", "on time", (0, 0)),
        ("2025-10-06", "late", (1, 1)),
        ("2025-11-05", "late", (31, 31)),
    ],
)
def test_a_yearly_check_thirteen_months_after_the_last(done: str, verdict: str, late_days: tuple[int, int]) -> None:
    """29 CFR 1910.157(e)(3): a locked room does not move the date."""
    (found,) = judged("us-osha", deed("steel powder", {"maintenance": "2024-10-05"}, "maintenance", done))
    assert (found.verdict, found.late_days, found.latest) == (verdict, late_days, date(2025, 10, 5))
    assert found.governing is not None
    assert found.governing.clause == "(e)(3)"


def test_the_chain_of_one_unit_the_test_of_2026_and_the_inside_of_2032() -> None:
    """29 CFR 1910.157(e)(4), (f) Table L-1: each deed against the unit as it stood just before it."""
    made = {"manufactured": "2014-06"}
    opened = {**made, "internal-examination": "2020-07"}
    tested = {**opened, "hydrostatic-test": "2026-06-20"}
    found = judged(
        "us-osha",
        deed("steel powder", made, "internal-examination", "2020-07"),
        deed("steel powder", opened, "hydrostatic-test", "2026-06-20"),
        deed("steel powder", tested, "internal-examination", "2032-06-20"),
    )
    assert [(f.earliest, f.latest) for f in found] == [
        (date(2020, 6, 1), date(2020, 6, 30)),
        (date(2026, 6, 1), date(2026, 6, 30)),
        (date(2032, 6, 20), date(2032, 6, 20)),
    ]
    assert [(f.verdict, f.late_days) for f in found] == [("late", (1, 60)), ("may be late", (0, 19)), ("on time", (0, 0))]


def test_a_deed_known_to_the_month_may_be_late() -> None:
    (found,) = judged("us-osha", deed("steel powder", {"maintenance": "2024-11-03"}, "maintenance", "2025-11"))
    assert (found.verdict, found.late_days) == ("may be late", (0, 27))


def test_calendar_months_first_of_january_then_the_last_of_february() -> None:
    """29 CFR 1910.157(e)(2), the calendar-month reading; thirty days would call it late."""
    look = deed("steel powder", {"inspection": "2025-01-01"}, "inspection", "2025-02-28")
    assert judged("us-osha", look)[0].verdict == "on time"
    strict = judged("us-nfpa10@2010", look)[0]
    assert (strict.verdict, strict.late_days, strict.latest) == ("late", (28, 28), date(2025, 1, 31))


@pytest.mark.parametrize(
    ("done", "verdict"),
    [("2026-04-19", "too early"), ("2026-04-20", "on time"), ("2026-06-20", "on time"), ("2026-06-21", "late")],
)
def test_the_window_of_the_basic_service(done: str, verdict: str) -> None:
    """BS 5306-3:2009, twelve months, one either way: second-hand."""
    (found,) = judged("gb", deed("water", {"maintenance": "2025-05-20"}, "maintenance", done))
    assert found.verdict == verdict


def test_no_rule_no_verdict() -> None:
    """Before an edition was in force it asked for nothing; and a unit that does not owe a duty cannot be late with it."""
    early = deed("steel powder", {"maintenance": "2001-01-10"}, "maintenance", "2005-03-01")
    not_owed = deed("steel powder", {"manufactured": "2020"}, "conductivity-test", "2025-03-01")
    found = judged("us-nfpa10", early, not_owed)
    assert [(f.verdict, f.latest, f.governing) for f in found] == [("unknown", None, None)] * 2


def test_a_deed_without_a_known_start_is_unknown() -> None:
    (found,) = judged("us-osha", deed("steel powder", {}, "maintenance", "2025-03-01"))
    assert (found.verdict, found.late_days, found.earliest) == ("unknown", (0, 0), None)


def test_each_deed_is_judged_by_the_provision_in_force_on_its_day(tmp_path: Path) -> None:
    old = provision(duty='"inspection"', after='["inspection"]', interval='"30 days"', first=None, in_force_to="2012-06-17", id='"old"')
    new = provision(duty='"inspection"', after='["inspection"]', interval='"31 days"', first=None, in_force_from="2012-06-18", id='"new"')
    chosen = [Chosen(pack=load_pack(write_pack(tmp_path, old, new)), edition="2011")]
    deeds = [
        deed("water", {"inspection": "2012-05-18"}, "inspection", "2012-06-18"),
        deed("water", {"inspection": "2012-05-17"}, "inspection", "2012-06-17"),
        deed("water", {"inspection": "2020-01-01"}, "inspection", "2020-02-02"),
        deed("water", {"inspection": "2000-01-01"}, "inspection", "2000-12-31"),
    ]
    found = list(audit(deeds, chosen))
    assert [f.deed for f in found] == deeds
    assert [f.governing.provision if f.governing else None for f in found] == ["new", "old", "new", None]
    assert [(f.verdict, f.late_days) for f in found] == [("on time", (0, 0)), ("late", (1, 1)), ("late", (1, 1)), ("unknown", (0, 0))]


def test_the_basis_of_the_shop_holds_in_the_audit_too() -> None:
    check = deed("steel powder", {"maintenance": "2025-02-03"}, "maintenance", "2026-02-28")
    assert judged("us-osha", check)[0].late_days == (25, 25)
    assert judged("us-osha", check, basis=Basis("tag-month"))[0].verdict == "on time"


def test_an_audit_of_nothing_finds_nothing() -> None:
    assert judged("us-osha") == []
