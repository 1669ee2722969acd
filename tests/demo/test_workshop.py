"""The demo's workshop: its instruments and people, its loaners, what was found wrong and what was lent for it."""

from __future__ import annotations

from collections import Counter
from datetime import date
from itertools import pairwise

from demo_shop import demo, dues, instruments, people, units

from pinseal import kinds
from pinseal.records.fold import Unit
from pinseal.rules.doubt import DoubtfulReading, Reading, doubtful_readings, readings_on
from pinseal.rules.loaners import Loaner, may_stand_in
from pinseal.rules.papers import instrument_standing, person_standing
from pinseal.sheets.load import held_procedures

PACKS = ("us-osha", "us-nfpa10", "us-dot")


def _readings(name: str) -> list[Reading]:
    return [each for unit in units() for each in readings_on(unit.state.uid or "", unit.facts, frozenset((name.casefold(),)))]


def _doubts(name: str) -> tuple[DoubtfulReading, ...]:
    return doubtful_readings(instruments()[name], _readings(name), packs=PACKS)


def test_every_kind_of_instrument_but_the_wrench_is_kept_and_scales_and_gauges_say_how_good_they_are() -> None:
    kept = Counter(each.what for each in instruments().values())
    assert set(kept) == set(kinds.INSTRUMENTS) - {"torque-wrench"}
    assert kept["scale"] == 2
    exact = [each for each in instruments().values() if each.what in ("scale", "regulator", "test-gauge", "master-gauge")]
    assert all(each.resolution and each.uncertainty and each.range_text for each in exact)


def test_one_instrument_has_lapsed_one_is_bad_and_the_others_are_good() -> None:
    found = {name: instrument_standing(each, on=demo().day, packs=PACKS).code for name, each in instruments().items()}
    assert {name: code for name, code in found.items() if code != "good"} == {"TG-2": "bad", "SC-2": "lapsed"}


def test_the_checks_of_the_others_never_came_late() -> None:
    for name in ("TG-1", "WJ-1"):
        assert len(_readings(name)) > 200
        assert _doubts(name) == ()
    for name in ("SC-1", "MG-1", "CC-1", "TM-1", "TG-3"):
        days = [check.done.earliest for check in instruments()[name].checks]
        assert max((b - a).days for a, b in pairwise(days)) <= 365


def test_the_bad_gauge_puts_the_tests_since_its_last_good_check_in_doubt() -> None:
    found = _doubts("TG-2")
    assert 5 <= len(found) <= 20
    assert {each.reason for each in found} == {"found-bad"}
    assert min(each.reading.done.earliest for each in found) > date(2026, 5, 18)
    assert len(_readings("TG-2")) > 200


def test_the_forgotten_scale_puts_the_weights_of_the_last_wheeled_round_in_doubt() -> None:
    found = _doubts("SC-2")
    assert {each.reason for each in found} == {"lapsed"}
    assert 5 <= len(found) < len(_readings("SC-2"))


def test_every_pressure_test_names_a_registered_instrument() -> None:
    tested = [deed for deed in demo().deeds if deed.kind in ("tested", "hose-tested")]
    assert len(tested) > 600
    assert all(deed.fields["instrument"] in instruments() for deed in tested)
    assert all((deed.fields["instrument"] == "WJ-1") == (deed.fields.get("method") == "water-jacket") for deed in tested)


def test_the_people_have_roles_and_one_of_those_who_work_there_has_a_lapsed_licence() -> None:
    roles = Counter(person.role for person in people().values())
    assert (roles["supervisor"], roles["bench"]) == (1, 1)
    assert roles["technician"] >= 2
    found = {name: person_standing(each, on=demo().day, packs=PACKS, mark=True).code for name, each in people().items()}
    assert {name for name, code in found.items() if code != "good"} == {"Corwin Thackmere", "Tam Eddowick"}
    assert [paper.ended is not None for paper in people()["Tam Eddowick"].papers] == [False, True]
    assert all(paper.ended is None for paper in people()["Corwin Thackmere"].papers)


def test_on_the_day_of_a_mark_the_licence_of_who_made_it_was_in_date() -> None:
    marks = [deed for deed in demo().deeds if deed.kind == "maintained" and deed.person in people()]
    days = {(deed.person, deed.done.latest) for deed in marks}
    assert len(days) > 150
    late = {pair for pair in days if person_standing(people()[pair[0]], on=pair[1], packs=PACKS, mark=True).code != "good"}
    assert late == set()


def _of_site(site: str) -> list[Unit]:
    return [unit for unit in units() if unit.state.site == site and not unit.state.removed]


def test_the_loaners_in_the_workshop_owe_nothing_that_is_late() -> None:
    stock = {unit.state.uid for unit in _of_site("Workshop")}
    late = [row for row in dues().all() if dues().states[row.index].uid in stock and row.state not in ("ahead", "due")]
    assert len(stock) == 5
    assert late == []
    assert {unit.state.nameplate.agent for unit in _of_site("Workshop")} == {"abc", "co2", "afff"}


def test_two_units_are_away_each_with_a_loaner_that_may_stand_in_at_its_place_and_owes_nothing_late() -> None:
    by_uid = {unit.state.uid: unit for unit in units()}
    away = [unit for unit in units() if unit.away]
    assert sorted(unit.away["back-by"] for unit in away if unit.away) == ["2026-11-27", "2026-12-18"]
    for unit in away:
        assert unit.away is not None
        loaner = by_uid[unit.away["loaner"]].state
        late = tuple(r.duty for r in dues().all() if dues().states[r.index].uid == loaner.uid and r.state not in ("ahead", "due"))
        verdict = may_stand_in(Loaner(plate=loaner.nameplate, overdue=late), unit.state.nameplate)
        assert (verdict.verdict, loaner.site, loaner.place) == ("pass", unit.state.site, unit.state.place)
    assert "wet-chemical" in {unit.state.nameplate.agent for unit in away}


def test_what_was_found_wrong_is_a_finding_that_the_sheets_know_with_the_action_that_they_ask() -> None:
    held = held_procedures().findings
    found = [deed for deed in demo().deeds if deed.kind == "found-deficient"]
    assert {deed.fields["finding"]: deed.fields["action"] for deed in found} == {
        code: held[code].action for code in {deed.fields["finding"] for deed in found}
    }
    assert min(deed.done.earliest for deed in found) > date(2025, 11, 24)


def test_most_of_it_was_put_right_and_a_few_things_still_wait() -> None:
    found = Counter((deed.unit, deed.fields["finding"]) for deed in demo().deeds if deed.kind == "found-deficient")
    mended = Counter((deed.unit, deed.fields["finding"]) for deed in demo().deeds if deed.kind == "remedied")
    left = found - mended
    assert mended - found == Counter()
    assert found.total() > 40
    assert 4 <= left.total() <= 12
    assert {finding for _, finding in left} >= {"carriage-damaged", "charge-low", "gauge-damaged"}
