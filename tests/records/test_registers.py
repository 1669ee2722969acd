"""What the records of instruments and people make of them."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from record_makers import START, Writer, uid

from pinseal.dates import PartialDate
from pinseal.records.record import uuid7
from pinseal.records.record_kinds import check_record
from pinseal.records.registers import fold_instrument, fold_instruments, fold_people, fold_person, other_subjects

SCALE = uuid7(at=START, randomness=b"scale  1")
PERSON = uuid7(at=START, randomness=b"person 1")


@pytest.fixture
def writer():
    return Writer()


def registered(writer, on="2026-01-02", **more):
    return writer.write("instrument-registered", on, unit=SCALE, id="S-1", what="scale", **more)


def test_an_instrument_is_what_its_records_say_of_it(writer):
    more = {"serial": "K 7", "range": "0 to 60 lb", "resolution": "0.1 lb", "uncertainty": "0.05 lb", "accuracy-percent": "0.5"}
    checked = writer.write(
        "instrument-checked", "2025-12-01", unit=SCALE, result="good", against="W-2", certificate="C-9", until="2026-11-30", value="0.0 lb"
    )
    made = fold_instrument([registered(writer, **more, note="on the left bench"), checked])
    assert (made.uid, made.id, made.what, made.serial, made.range_text) == (SCALE, "S-1", "scale", "K 7", "0 to 60 lb")
    assert (made.resolution, made.uncertainty, made.accuracy_percent, made.note) == ("0.1 lb", "0.05 lb", "0.5", "on the left bench")
    (check,) = made.checks
    assert (check.done, check.good, check.until, check.against) == (PartialDate(2025, 12, 1), True, date(2026, 11, 30), "W-2")
    assert (check.certificate, check.value, check.record) == ("C-9", "0.0 lb", checked.uid)
    assert made.withdrawn is None


def test_checks_stand_in_the_order_of_their_days(writer):
    days = ("2026-03-01", "2025-12-01", "2026-01-15")
    records = [writer.write("instrument-checked", day, unit=SCALE, result="good") for day in days]
    assert [str(check.done) for check in fold_instrument(records).checks] == sorted(days)


def test_a_withdrawn_instrument_says_since_when_and_is_back_when_it_is_registered_again(writer):
    gone = [registered(writer, resolution="0.1 lb"), writer.write("instrument-withdrawn", "2026-02-01", unit=SCALE, reason="fell")]
    made = fold_instrument(gone)
    assert (str(made.withdrawn.since), made.withdrawn.reason) == ("2026-02-01", "fell")
    back = fold_instrument([*gone, registered(writer, "2026-03-01")])
    assert (back.withdrawn, back.resolution) == (None, "0.1 lb")


def test_corrections_apply(writer):
    wrong = writer.write("instrument-checked", "2026-01-15", unit=SCALE, result="good")
    void = writer.write("instrument-checked", "2026-02-15", unit=SCALE, result="good")
    records = [
        registered(writer),
        wrong,
        void,
        writer.write("corrected", "2026-03-01", unit=SCALE, corrects=wrong.uid, **{"to-check": "bad", "to-done": "2026-01-16"}),
        writer.write("corrected", "2026-03-01", unit=SCALE, corrects=void.uid, void="yes"),
    ]
    made = fold_instrument(records)
    assert [(str(check.done), check.good) for check in made.checks] == [("2026-01-16", False)]
    assert made.marks == ()


def test_a_correction_that_does_not_fit_does_nothing_and_is_marked(writer):
    checked = writer.write("instrument-checked", "2026-01-15", unit=SCALE, result="good")
    odd = writer.write_raw("corrected", "2026-03-01", {"corrects": checked.uid, "to-agent": "abc"}, unit=SCALE)
    made = fold_instrument([registered(writer), checked, odd])
    assert [mark.record for mark in made.marks] == [odd.uid]
    assert made.checks[0].good


def test_a_person_has_papers_and_a_renewal_is_one_more(writer):
    records = [
        writer.write("person-registered", "2026-01-02", unit=PERSON, name="Ida Quill", role="technician", id="IQ"),
        writer.write("paper-held", "2026-01-02", unit=PERSON, paper="License", number="L-1", jurisdiction="California", until="2026-03-31"),
        writer.write("paper-held", "2026-03-20", unit=PERSON, paper="licence", number="L-1", until="2027-03-31", **{"class": "A"}),
    ]
    made = fold_person(records)
    assert (made.name, made.role, made.id) == ("Ida Quill", "technician", "IQ")
    assert [(paper.kind, paper.number, paper.class_, paper.until) for paper in made.papers] == [
        ("licence", "L-1", None, date(2026, 3, 31)),
        ("licence", "L-1", "A", date(2027, 3, 31)),
    ]


def test_a_paper_ends_by_its_number_and_one_that_is_held_later_does_not(writer):
    held = {"paper": "licence", "until": "2027-03-31"}
    records = [
        writer.write("paper-held", "2026-01-02", unit=PERSON, number="L-1", **held),
        writer.write("paper-held", "2026-01-02", unit=PERSON, number="L-2", **held),
        writer.write("paper-held", "2026-01-02", unit=PERSON, **held),
        writer.write("paper-ended", "2026-05-01", unit=PERSON, number=" l-1", reason="given back"),
        writer.write("paper-held", "2026-06-01", unit=PERSON, number="L-1", **held),
    ]
    assert [paper.ended.reason if paper.ended else None for paper in fold_person(records).papers] == ["given back", None, None, None]


def test_of_two_papers_of_one_number_the_named_one_ends(writer):
    records = [
        *(writer.write("paper-held", "2026-01-02", unit=PERSON, paper=paper, number="7") for paper in ("licence", "training")),
        writer.write("paper-ended", "2026-05-01", unit=PERSON, number="7", paper="Training"),
    ]
    assert [(paper.kind, paper.ended is None) for paper in fold_person(records).papers] == [("licence", True), ("training", False)]


def test_a_check_that_comes_before_the_registering_is_kept(writer):
    (made,) = fold_instruments([writer.write("instrument-checked", "2026-01-15", unit=SCALE, result="good")])
    assert (made.uid, made.id, made.what, len(made.checks)) == (SCALE, "", None, 1)


def test_the_subjects_are_told_apart(writer):
    records = [
        registered(writer),
        writer.write("registered", "2026-01-02"),
        writer.write("paper-held", "2026-01-02", unit=PERSON, paper="licence"),
    ]
    assert other_subjects(records) == {SCALE: "instrument", PERSON: "person"}
    assert ([one.uid for one in fold_instruments(records)], [one.uid for one in fold_people(records)]) == ([SCALE], [PERSON])


INSTRUMENT_DEEDS = st.sampled_from(
    [
        ("instrument-registered", {"id": "S-1", "what": "scale"}),
        ("instrument-registered", {"id": "S-2", "what": "regulator", "serial": "9"}),
        ("instrument-checked", {"check": "good"}),
        ("instrument-checked", {"check": "bad", "value": "1 lb off"}),
        ("instrument-withdrawn", {"reason": "fell"}),
        ("noted", {"note": "x"}),
        ("corrected", {"corrects": uid(1), "void": "yes"}),
        ("corrected", {"corrects": uid(2), "to-done": "2026-06-06"}),
        ("corrected", {"corrects": uid(2), "to-check": "bad"}),
    ]
)
PERSON_DEEDS = st.sampled_from(
    [
        ("person-registered", {"name": "Ida Quill", "role": "bench"}),
        ("person-registered", {"name": "Ida Tarn"}),
        ("paper-held", {"paper": "licence", "number": "1", "until": "2026-06-06"}),
        ("paper-held", {"paper": "training", "number": "2"}),
        ("paper-ended", {"number": "1"}),
        ("corrected", {"corrects": uid(2), "void": "yes"}),
        ("corrected", {"corrects": uid(1), "to-until": "2027-01-01"}),
    ]
)
DAYS = st.dates(date(2026, 1, 1), date(2026, 12, 31)).map(str) | st.sampled_from(["2026", "2026-06"])


@pytest.mark.parametrize(("deeds", "fold_one"), [(INSTRUMENT_DEEDS, fold_instrument), (PERSON_DEEDS, fold_person)])
def test_the_order_of_arrival_and_repeats_change_nothing(deeds, fold_one):
    @given(st.lists(st.tuples(DAYS, deeds), min_size=1, max_size=8), st.randoms(use_true_random=False))
    def check(history, random):
        writer = Writer()
        records = [writer.write_raw(kind, day, check_record(kind, fields), unit=SCALE) for day, (kind, fields) in history]
        again = [*records, *random.sample(records, random.randint(0, len(records)))]
        random.shuffle(again)
        assert fold_one(again) == fold_one(records)

    check()
