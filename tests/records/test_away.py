"""A unit that was taken away: where it is, until it is brought back."""

from datetime import date

from record_makers import START, UNIT, Writer

from pinseal.records.fold import fold, fold_all
from pinseal.records.record import uuid7

LOANER = uuid7(at=START, randomness=b"a loaner")


def history(*deeds):
    writer = Writer()
    first = writer.write("registered", "2026-01-02", site="Pier", place="stair 2", agent="abc")
    return [first, *(writer.write(kind, on, **fields) for kind, on, fields in deeds)]


def test_a_unit_that_was_taken_away_says_where_it_is_and_keeps_its_place():
    records = history(("taken-away", "2026-01-10", {"taken_to": "bench", "loaner": LOANER, "back_by": "2026-03-11", "state": "charged"}))
    unit = fold(records)
    said = {"taken-to": "bench", "loaner": LOANER, "back-by": "2026-03-11", "state": "charged"}
    assert unit.away == {**said, "record": records[-1].uid, "since": "2026-01-10"}
    assert (unit.state.place, unit.marks) == ("stair 2", ())


def test_a_unit_that_was_brought_back_is_not_away_and_stands_where_it_was_put():
    unit = fold(history(("taken-away", "2026-01-10", {"to": "bench"}), ("brought-back", "2026-01-20", {"place": "stair 9"})))
    assert (unit.away, unit.state.site, unit.state.place, unit.marks) == (None, "Pier", "stair 9", ())


def test_where_it_was_on_a_past_day_is_answered_for_that_day():
    records = history(("taken-away", "2026-01-10", {}), ("brought-back", "2026-01-20", {}))
    assert [fold(records, date(2026, 1, day)).away is None for day in (9, 10, 19, 20)] == [True, False, False, True]


def test_a_taking_away_that_was_void_never_was():
    writer = Writer()
    taken = writer.write("taken-away", "2026-01-10", to="bench")
    records = [writer.write("registered", "2026-01-02"), taken, writer.write("corrected", "2026-01-11", corrects=taken.uid, void="yes")]
    assert fold(records).away is None


def test_a_corrected_taking_away_says_what_is_right():
    writer = Writer()
    taken = writer.write("taken-away", "2026-01-10", to="bench")
    mended = writer.write("corrected", "2026-01-11", corrects=taken.uid, **{"to-taken-to": "maker"})
    assert fold([writer.write("registered", "2026-01-02"), taken, mended]).away["taken-to"] == "maker"


def test_odd_comings_and_goings_are_marked():
    back_first = fold(history(("brought-back", "2026-01-20", {})))
    twice = fold(history(("taken-away", "2026-01-10", {"to": "van"}), ("taken-away", "2026-01-12", {"to": "bench"})))
    assert [mark.text for mark in back_first.marks] == ["brought back, but it was never taken away"]
    assert [mark.text for mark in twice.marks] == ["taken away, but it was away already"]
    assert twice.away["taken-to"] == "bench"


def test_readings_findings_parts_marks_and_closed_sheets_set_no_date():
    deeds = [
        ("measured", {"quantity": "gross weight", "value": "9 kg", "verdict": "fail", "instrument": "S-1"}),
        ("found-deficient", {"finding": "pin-bent"}),
        ("remedied", {"finding": "pin-bent", "how": "new pin"}),
        ("part-fitted", {"part": "pin", "removed": "the bent pin"}),
        ("agent-taken-out", {"agent": "abc", "mass": "9 kg", "to": "recovered", "balance": "too-close"}),
        ("marked", {"mark": "tag", "number": "T-9"}),
        ("left", {"state": "open and empty"}),
        ("worked", {"sheet": UNIT, "outcome": "finished"}),
        ("sample-checked", {"sheet": UNIT, "confirmation": "pin", "agrees": "yes"}),
    ]
    unit = fold(history(*((kind, "2026-02-01", fields) for kind, fields in deeds)))
    assert (unit.state.dates, unit.state.removed, unit.tag, unit.marks) == ({}, None, None, ())
    assert len(unit.facts) == len(deeds) + 1


def test_a_part_that_is_fitted_to_a_condemned_unit_is_marked():
    unit = fold(
        history(("condemned", "2026-01-05", {"reason": "pitted", "told": "the owner"}), ("part-fitted", "2026-01-06", {"part": "pin"}))
    )
    assert [mark.text for mark in unit.marks] == ["part fitted after the unit was condemned; it stays condemned"]


def test_instruments_and_people_are_no_units():
    writer = Writer()
    scale, person = (uuid7(at=START, randomness=name) for name in (b"scale  1", b"person 1"))
    records = [
        writer.write("registered", "2026-01-02"),
        writer.write("instrument-registered", "2026-01-02", unit=scale, id="S-1", what="scale"),
        writer.write("person-registered", "2026-01-02", unit=person, name="Ida Quill"),
        writer.write("noted", "2026-01-03", unit=scale, note="on the left bench"),
    ]
    assert set(fold_all(records)) == {UNIT}
