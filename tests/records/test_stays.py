"""Where a unit belonged over the years."""

from datetime import date

from record_makers import Writer

from pinseal.records.fold import fold
from pinseal.records.stays import stays_of


def stays(*deeds):
    writer = Writer()
    return stays_of(fold([writer.write(kind, on, **fields) for kind, on, fields in deeds]).facts)


HERE = ("registered", "2024-03-01", {"id": "W-1", "site": "Mill", "place": "Gate", "agent": "abc"})


def test_a_unit_is_at_its_site_from_the_day_of_its_record():
    [stay] = stays(HERE, ("inspected", "2025-01-01", {}))
    assert (stay.site, stay.since, stay.until, stay.before) == ("Mill", date(2024, 3, 1), None, "")
    assert not stay.covers(date(2024, 2, 29))
    assert stay.covers(date(2024, 3, 1))


def test_a_move_ends_one_stay_and_begins_the_next():
    mill, quay = stays(HERE, ("moved", "2025-05-02", {"site": "Quay"}))
    assert (mill.until, mill.after, mill.removed) == (date(2025, 5, 2), "Quay", "")
    assert (quay.since, quay.before) == (date(2025, 5, 2), "Mill")
    assert not mill.covers(date(2025, 5, 2))
    assert quay.covers(date(2025, 5, 2))
    assert mill.meets(date(2025, 5, 2), date(2025, 5, 31))  # it was looked at there on the morning of that day, perhaps


def test_a_move_inside_a_site_changes_no_stay():
    assert len(stays(HERE, ("moved", "2025-05-02", {"place": "Loft"}))) == 1


def test_a_unit_that_was_removed_and_came_back_has_two_stays():
    first, second = stays(HERE, ("removed", "2025-05-02", {"reason": "sold"}), ("returned", "2025-07-01", {}))
    assert (first.removed, first.condemned) == ("sold", False)
    assert (second.since, second.back, second.before) == (date(2025, 7, 1), True, "")


def test_a_condemned_unit_has_left_the_fleet():
    [stay] = stays(HERE, ("condemned", "2025-05-02", {"reason": "pitted"}))
    assert (stay.until, stay.removed, stay.condemned) == (date(2025, 5, 2), "condemned: pitted", True)


def test_a_stay_that_ends_on_its_first_day_is_none():
    assert stays(HERE, ("removed", "2024-03-01", {"reason": "counted twice"})) == ()


def test_a_unit_without_a_site_has_no_stay():
    assert stays(("registered", "2024-03-01", {"id": "W-1", "agent": "abc"})) == ()


def test_a_correction_of_the_site_counts():
    writer = Writer()
    wrong = writer.write("moved", "2025-05-02", site="Quai")
    records = [writer.write(HERE[0], HERE[1], **HERE[2]), wrong]
    records.append(writer.write("corrected", "2025-05-03", corrects=wrong.uid, **{"to-site": "Quay"}))
    assert [stay.site for stay in stays_of(fold(records).facts)] == ["Mill", "Quay"]
