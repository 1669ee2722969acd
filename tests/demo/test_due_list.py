"""The demo's due list on its day, out of its records: a decent shop that took over a neglected ship and a museum."""

from __future__ import annotations

from collections import Counter

from demo_shop import demo, dues, sealed, units

from pinseal import kinds
from pinseal.demo.models import BAD_LOT
from pinseal.records.chain import verify_chain
from pinseal.records.fold import Unit
from pinseal.rules.rows import Due

NEGLECTED = {"Coaster Patient Heron", "Museum of the Narrow Sea"}


def _live() -> list[Unit]:
    return [unit for unit in units() if not unit.state.removed]


def _rows(state: str, duty: str | None = None) -> list[Due]:
    return [row for row in dues().all() if row.state == state and duty in (None, row.duty)]


def _site(row: Due) -> str:
    return dues().states[row.index].site or ""


def test_the_fleet_has_the_size_and_the_sites_of_a_town() -> None:
    sites = Counter(unit.state.site for unit in _live())
    assert 590 <= len(_live()) <= 640
    assert len(sites) == 17
    assert (sites["Small Craft Moorings"], sites["Workshop"]) == (7, 5)
    assert all(20 <= count <= 60 for site, count in sites.items() if site not in ("Small Craft Moorings", "Workshop"))


def test_every_agent_hangs_somewhere() -> None:
    agents = Counter(unit.state.nameplate.agent for unit in _live())
    assert set(agents) == set(kinds.AGENTS)
    assert agents["abc"] > 300


def test_every_way_of_expelling_and_every_hose_and_shell_occurs() -> None:
    plates = [unit.state.nameplate for unit in _live()]
    assert {plate.expelled_by for plate in plates} >= set(kinds.EXPELLED_BY)
    assert {plate.hose for plate in plates} >= set(kinds.HOSES)
    assert {plate.shell for plate in plates} >= {"mild-steel", "stainless-steel", "aluminium", "brass", "soldered-brass", "glass-fibre"}
    assert sum(1 for plate in plates if plate.wheeled) >= 15
    assert sum(1 for plate in plates if plate.rechargeable is False) >= 10


def test_most_nameplates_are_known_and_some_are_not() -> None:
    known = sum(1 for unit in _live() if unit.state.nameplate.shell)
    assert 0.9 * len(_live()) < known < len(_live()) - 10


def test_the_states_spread_as_in_a_decent_shop() -> None:
    states = dues().summary()["states"]
    assert states["ahead"] > dues().summary()["rows"] * 0.6
    assert 40 <= states["overdue"] <= 120
    assert 8 <= states["may be overdue"] <= 60
    assert 30 <= states["unknown"] <= 90
    assert 10 <= states["withdraw"] <= 25
    assert 50 <= len(_rows("due")) - len(_rows("due", "inspection")) <= 120


def test_what_is_overdue_is_mostly_on_the_ship_and_in_the_museum() -> None:
    late = Counter(_site(row) in NEGLECTED for row in _rows("overdue"))
    assert late[True] > 2 * late[False] > 0


def test_the_buses_on_the_road_and_the_bell_loft_are_late_for_maintenance() -> None:
    late = [dues().states[row.index].place or "" for row in _rows("overdue", "maintenance") if _site(row) not in NEGLECTED]
    assert late
    assert all(place.startswith(("Bus 1", "Bell loft")) for place in late)


def test_withdrawn_units_are_recalled_out_of_parts_obsolete_or_too_old() -> None:
    words = " ".join(reason for row in _rows("withdraw") for reason in row.because)
    for part in ("lot Q17-118", "no valve parts", "turned upside down", "Carbon tetrachloride", "Soldered", "twelve years"):
        assert part in words


def test_one_unit_may_be_of_the_bad_batch_and_the_lot_would_settle_it() -> None:
    found = [row for row in _rows("unknown", "retirement") if "lot" in row.missing and "model" not in row.missing]
    assert [_site(row) for row in found] == ["Coaster Patient Heron"]


def test_the_bad_batch_leaked_was_filled_again_and_then_recalled() -> None:
    bad = [unit for unit in units() if unit.state.nameplate.lot == BAD_LOT]
    filled = [fact for unit in bad for fact in unit.facts if fact.kind == "recharged" and "band" in fact.fields.get("found", "")]
    recalled = [unit for unit in bad if unit.recalled]
    assert len(bad) >= 15
    assert len(filled) >= 15
    assert len(recalled) >= 12
    assert {unit.state.site for unit in recalled if not unit.state.removed} == {"Coaster Patient Heron"}


def test_some_recharges_say_that_they_were_opened_some_that_they_were_not_some_nothing() -> None:
    said = Counter(deed.fields.get("opened") for deed in demo().deeds if deed.kind == "recharged")
    assert min(said["yes"], said["no"], said[None]) >= 10


def test_a_locked_room_made_a_late_annual_that_counts_from_the_real_day() -> None:
    shut = [deed for deed in demo().deeds if deed.kind == "not-done" and deed.done.year == 2023 and "key holder" in deed.fields["reason"]]
    assert shut
    for refused in shut:
        mine = [deed.done.latest for deed in demo().deeds if deed.unit == refused.unit and deed.kind == "maintained"]
        before = max(day for day in mine if day < refused.done.latest)
        after = min(day for day in mine if day > refused.done.latest)
        assert 380 < (after - before).days < 430


def test_interchanged_serials_are_right_again() -> None:
    mended = [deed for deed in demo().deeds if "to-serial" in deed.fields]
    wrong = {deed.uid: deed.fields["serial"] for deed in demo().deeds if deed.kind == "registered" and "serial" in deed.fields}
    assert {deed.fields["to-serial"] for deed in mended} == {wrong[deed.fields["corrects"]] for deed in mended}
    now = {unit.state.id: unit.state.serial for unit in units()}
    assert len(mended) == 2
    assert all(now[deed.unit] == deed.fields["to-serial"] for deed in mended)


def test_the_records_hold_together_and_nothing_in_them_is_odd_but_what_is_meant() -> None:
    (chain,) = verify_chain(sealed())
    assert (chain.length, chain.first_break) == (len(sealed()), None)
    meant = ("the unit was registered before", "before the manufacture")
    odd = {mark.text for unit in units() for mark in unit.marks if not any(words in mark.text for words in meant)}
    assert odd == set()
    exchanged = {unit.state.uid for unit in units() if any(fact.kind == "shell-exchanged" for fact in unit.facts)}
    assert {unit.state.uid for unit in units() for mark in unit.marks if meant[1] in mark.text} <= exchanged
