"""How instruments and people stand on a day: below, on and above the last good day. All names are invented."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal import kinds
from pinseal.dates import PartialDate, parse_date
from pinseal.records.registers import Instrument, InstrumentCheck, Paper, Person, Withdrawn
from pinseal.rules.papers import Standing, good_until, instrument_standing, intervals_for, person_standing
from pinseal.standards.instruments import instrument_rules
from pinseal.standards.pressure_tests import pressure_tests

NFPA, CALIFORNIA, DOT = "us-nfpa10@2022", "us-ca", "us-dot"


def check(on: str, good: bool = True, until: str | None = None) -> InstrumentCheck:
    return InstrumentCheck(record=on, done=parse_date(on), good=good, until=date.fromisoformat(until) if until else None)


def instrument(what: str | None, *checks: InstrumentCheck, **more: Any) -> Instrument:
    return Instrument(uid="u", id="X-1", what=what, checks=checks, **more)


def stands(found: Instrument | None, on: str, *packs: str) -> Standing:
    return instrument_standing(found, on=date.fromisoformat(on), packs=packs)


@pytest.mark.parametrize(
    ("what", "packs", "last", "clause"),
    [
        ("test-gauge", (NFPA,), "2026-07-15", "8.2.1.4"),
        ("test-gauge", (CALIFORNIA,), "2026-04-15", "594.3(a)"),
        ("test-gauge", (NFPA, CALIFORNIA), "2026-04-15", "594.3(a)"),
        ("test-gauge", (), "2027-01-15", "no source"),
        ("test-gauge", ("gb",), "2027-01-15", "no source"),
        ("master-gauge", (NFPA,), "2027-01-15", "8.2.1.5"),
        ("scale", (NFPA, CALIFORNIA, DOT), "2027-01-15", "no source"),
        ("test-jacket", (DOT,), "2026-01-15", "180.205(g)(3), (4)"),
        ("test-jacket", (), "2026-01-15", "no source"),
        ("torque-wrench", (), "2027-01-15", "no source"),
    ],
)
def test_a_check_counts_to_the_last_day_of_its_interval_and_no_longer(what: str, packs: Sequence[str], last: str, clause: str) -> None:
    found, day = instrument(what, check("2026-01-15")), date.fromisoformat(last)
    below, at, above = (instrument_standing(found, on=day + timedelta(days=days), packs=packs) for days in (-1, 0, 1))
    assert below.code == ("never-checked" if what == "test-jacket" else "good")
    assert [(at.code, at.good_until), (above.code, above.good_until)] == [("good", day), ("lapsed", day)]
    source = good_until(found.checks[0], what=what, packs=packs).source
    assert source is not None
    assert source.clause == clause


def test_the_end_of_a_month_is_the_last_day_where_the_day_does_not_exist() -> None:
    found = instrument("test-gauge", check("2025-08-31"))
    assert [stands(found, on, NFPA).code for on in ("2026-02-28", "2026-03-01")] == ["good", "lapsed"]


def test_a_last_day_on_the_paper_takes_the_place_of_common_practice_alone() -> None:
    scale = instrument("scale", check("2026-01-15", until="2028-01-15"))
    assert [stands(scale, on, NFPA).code for on in ("2028-01-15", "2028-01-16")] == ["good", "lapsed"]
    gauge = instrument("test-gauge", check("2026-01-15", until="2028-01-15"))
    assert stands(gauge, "2026-07-16", NFPA).code == "lapsed"
    short = instrument("test-gauge", check("2026-01-15", until="2026-03-01"))
    assert [stands(short, on, NFPA).code for on in ("2026-03-01", "2026-03-02")] == ["good", "lapsed"]


def test_a_check_of_which_only_the_month_is_known_counts_from_its_end_and_runs_from_its_start() -> None:
    found = instrument("test-gauge", check("2026-01"))
    codes = [stands(found, on, NFPA).code for on in ("2026-01-30", "2026-01-31", "2026-07-01", "2026-07-02")]
    assert codes == ["never-checked", "good", "good", "lapsed"]
    bad = instrument("test-gauge", check("2025-12-01"), check("2026-01", good=False))
    assert [stands(bad, on, NFPA).code for on in ("2025-12-31", "2026-01-01")] == ["good", "bad"]


@pytest.mark.parametrize(
    ("what", "effect"), [("test-gauge", "blocks"), ("test-jacket", "blocks"), ("scale", "flags"), ("regulator", "flags")]
)
def test_a_pressure_test_stops_without_a_good_check_and_other_work_is_flagged(what: str, effect: str) -> None:
    never, bad = instrument(what), instrument(what, check("2026-01-15"), check("2026-01-16", good=False))
    lapsed = instrument(what, check("2020-01-15"))
    for found, code in ((never, "never-checked"), (bad, "bad"), (lapsed, "lapsed")):
        standing = stands(found, "2026-02-01", DOT)
        assert (standing.code, standing.effect) == (code, effect)
        assert standing.because
        assert standing.source is not None


def test_a_good_check_after_a_bad_one_mends_it_also_on_the_same_day() -> None:
    bad = check("2026-01-16", good=False)
    assert stands(instrument("scale", bad, check("2026-01-16")), "2026-01-16").code == "good"
    assert stands(instrument("scale", check("2026-01-16"), bad), "2026-01-17").code == "bad"


def test_what_was_recorded_of_later_days_does_not_count() -> None:
    found = instrument(
        "scale", check("2026-01-15"), check("2026-03-01", good=False), withdrawn=Withdrawn(since=PartialDate(2026, 4, 1), reason="fell")
    )
    codes = [stands(found, on).code for on in ("2026-01-14", "2026-02-28", "2026-03-01", "2026-03-31", "2026-04-01")]
    assert codes == ["never-checked", "good", "bad", "bad", "withdrawn"]
    assert stands(found, "2026-04-01").effect == "blocks"
    assert "fell" in stands(found, "2026-04-01").because


def test_an_instrument_that_is_not_in_the_register_is_flagged() -> None:
    for found in (None, instrument(None, check("2026-01-15"))):
        standing = stands(found, "2026-01-15", NFPA)
        assert (standing.code, standing.effect, standing.good_until) == ("unknown-instrument", "flags", None)


def test_every_kind_of_instrument_has_an_interval_and_an_effect_in_every_shop() -> None:
    for what in kinds.INSTRUMENTS:
        assert intervals_for(what, on=date(1950, 1, 1), packs=())
        for code, found in (("never-checked", instrument(what)), ("lapsed", instrument(what, check("1950-01-01")))):
            assert (stands(found, "2026-01-01").code, stands(found, "2026-01-01").effect != "none") == (code, True)


def test_the_interval_of_a_test_gauge_is_the_one_of_the_pressure_tests() -> None:
    here = next(rule for rule in instrument_rules().intervals if rule.id == "test-gauge-half-yearly")
    there = next(rule for rule in pressure_tests().instruments if rule.id == "gauge-calibrated")
    assert (here.months, here.source.document, here.source.clause) == (there.months, there.source.document, there.source.clause)


PACKS = st.sets(st.sampled_from([NFPA, CALIFORNIA, DOT]))


@given(st.dates(date(2000, 1, 1), date(2050, 1, 1)), st.sampled_from(list(kinds.INSTRUMENTS)), PACKS)
def test_more_packs_never_make_a_check_count_longer_than_a_document_allows(day: date, what: str, packs: set[str]) -> None:
    one = InstrumentCheck(record="r", done=PartialDate.of(day), good=True)
    documents = [p for p in packs if any(rule.source.checked != "practice" for rule in intervals_for(what, on=day, packs=[p]))]
    alone = [good_until(one, what=what, packs=[pack]).last for pack in documents]
    assert good_until(one, what=what, packs=packs).last == (min(alone) if alone else good_until(one, what=what, packs=()).last)


# -- people


def paper(until: str | None = "2026-03-31", name: str = "licence", **more: Any) -> Paper:
    return Paper(record="r", paper=name, number="L-1", until=date.fromisoformat(until) if until else None, **more)


def papers_of(*papers: Paper) -> Person:
    return Person(uid="p", name="Ida Quill", role="technician", papers=papers)


def may(person: Person | None, on: str, *packs: str, mark: bool = True) -> tuple[str, str]:
    standing = person_standing(person, on=date.fromisoformat(on), packs=packs, mark=mark)
    assert standing.because
    return standing.code, standing.effect


@pytest.mark.parametrize(
    ("packs", "effect"), [((CALIFORNIA,), "blocks"), (("us-nfpa10", CALIFORNIA), "blocks"), (("us-nfpa10",), "flags"), ((), "flags")]
)
def test_a_mark_after_the_licence_ended_is_stopped_in_california_and_flagged_elsewhere(packs: Sequence[str], effect: str) -> None:
    ida = papers_of(paper(jurisdiction="California"))
    found = [may(ida, on, *packs) for on in ("2026-03-30", "2026-03-31", "2026-04-01")]
    assert found == [("good", "none"), ("good", "none"), ("lapsed", effect)]


def test_other_work_with_a_lapsed_paper_is_flagged_everywhere() -> None:
    ida = papers_of(paper(jurisdiction="California"))
    assert may(ida, "2026-04-01", CALIFORNIA, mark=False) == ("lapsed", "flags")
    assert may(ida, "2026-03-31", CALIFORNIA, mark=False) == ("good", "none")


def test_a_renewal_counts_and_the_gap_before_it_does_not() -> None:
    ida = papers_of(paper(jurisdiction="CA"), paper("2027-03-31", name="License", jurisdiction="CA", from_day=date(2026, 4, 3)))
    days = ("2026-03-31", "2026-04-01", "2026-04-02", "2026-04-03", "2027-03-31", "2027-04-01")
    assert [may(ida, on, CALIFORNIA)[0] for on in days] == ["good", "lapsed", "lapsed", "good", "good", "lapsed"]


def test_a_paper_that_ended_early_counts_to_the_day_before() -> None:
    ida = papers_of(paper("2027-03-31", jurisdiction="CA", ended=Withdrawn(since=PartialDate(2026, 6, 1), reason="given back")))
    assert [may(ida, on, CALIFORNIA) for on in ("2026-05-31", "2026-06-01")] == [("good", "none"), ("lapsed", "blocks")]


def test_the_licence_of_another_place_does_not_count_in_california() -> None:
    ida = papers_of(paper("2027-03-31", jurisdiction="Nevada"))
    assert may(ida, "2026-01-01", CALIFORNIA) == ("lapsed", "blocks")
    assert may(ida, "2026-01-01", "us-nfpa10") == ("good", "none")
    assert may(papers_of(*ida.papers, paper(jurisdiction="california")), "2026-01-01", CALIFORNIA) == ("good", "none")


def test_a_licence_that_does_not_say_where_it_counts_is_flagged_in_california() -> None:
    assert may(papers_of(paper()), "2026-01-01", CALIFORNIA) == ("good", "flags")
    assert may(papers_of(paper()), "2026-04-01", CALIFORNIA) == ("lapsed", "blocks")
    assert may(papers_of(paper()), "2026-01-01", "gb") == ("good", "none")


def test_training_is_no_licence() -> None:
    ida = papers_of(paper("2027-03-31", name="training"))
    assert (may(ida, "2026-01-01", CALIFORNIA), may(ida, "2026-01-01", mark=False)) == (("no-paper", "blocks"), ("good", "none"))
    both = papers_of(paper("2027-03-31", jurisdiction="CA"), paper("2025-12-31", name="training"))
    assert (may(both, "2026-01-01", CALIFORNIA), may(both, "2026-01-01", CALIFORNIA, mark=False)) == (("good", "none"), ("lapsed", "flags"))


def test_nobody_and_no_paper_are_flagged_for_a_mark_and_free_for_other_work() -> None:
    for person, code in ((None, "unknown-person"), (Person(uid="p"), "unknown-person"), (papers_of(), "no-paper")):
        assert (may(person, "2026-01-01"), may(person, "2026-01-01", mark=False)) == ((code, "flags"), (code, "none"))


def test_nobody_and_no_paper_may_not_mark_in_california() -> None:
    for person, code in ((None, "unknown-person"), (papers_of(), "no-paper")):
        assert may(person, "2026-01-01", CALIFORNIA) == (code, "blocks")


def test_the_last_day_of_all_papers_is_the_first_to_come_and_is_not_said_without_end() -> None:
    def last(*papers: Paper) -> date | None:
        return person_standing(papers_of(*papers), on=date(2026, 1, 1), packs=(), mark=False).good_until

    assert last(paper(), paper("2027-03-31"), paper("2026-12-31", name="training")) == date(2026, 12, 31)
    assert last(paper(None)) is None
    assert last(paper(None), paper("2026-12-31", name="training")) == date(2026, 12, 31)
