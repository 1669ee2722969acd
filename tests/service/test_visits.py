"""A visit out of records: who was listed, where it was found, and sums that hold whatever the records say."""

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st
from record_makers import Writer, uid

from pinseal.records.fold import fold
from pinseal.records.tie import tie
from pinseal.rules.visits import FOUND
from pinseal.service.visit_words import exceptions, one_line, visit_json
from pinseal.service.visits import Around, VisitAsked, deficiencies_then, make_visit, past_visits, units_of_visit, work_days

MILL, QUAY = "Mill", "Quay"
DAY = date(2026, 11, 24)
ASKED = VisitAsked(site=MILL, first=DAY, last=DAY)
DEEDS = {
    "inspected": {},
    "maintained": {},
    "found-deficient": {"finding": "hose-cracked", "words": "the hose is cracked"},
    "remedied": {"finding": "hose-cracked", "how": "new hose"},
    "taken-away": {"taken-to": "bench", "loaner": "none"},
    "brought-back": {},
    "moved": {"site": QUAY, "place": "pier"},
    "moved-in": {"site": MILL, "place": "attic"},
    "not-done": {"reason": "no access"},
    "missed": {"reason": "not found", "missing": "yes"},
    "condemned": {"reason": "pits"},
    "removed": {"reason": "sold"},
    "returned": {},
    "noted": {"note": "a remark"},
    "deficiency-quoted": {"price-minor": "100", "currency": "USD", "deficiency": uid(0)},
}
CODES = {"moved-in": "moved", "missed": "not-done"}
DAYS = ("2026-11-20", "2026-11-23", "2026-11-24", "2026-11-25")
DEED = st.tuples(st.sampled_from(sorted(DEEDS)), st.sampled_from(DAYS))
LIVES = st.lists(
    st.tuples(st.sampled_from((MILL, QUAY)), st.sampled_from(("2026-01-05", "2026-11-24")), st.lists(DEED, max_size=6)), max_size=8
)


def histories(lives):
    found = {}
    for number, (site, listed, deeds) in enumerate(lives):
        writer, unit = Writer(first=1_000 * (number + 1)), uid(500_000 + number)
        found[unit] = [writer.write("registered", listed, unit=unit, id=f"U-{number}", site=site, place=f"Floor {number}", agent="abc")]
        found[unit] += [
            writer.write(CODES.get(kind, kind), day, unit=unit, **DEEDS[kind]) for kind, day in sorted(deeds, key=lambda e: e[1])
        ]
    return found


def visit_of(found, asked=ASKED):
    units, records = units_of_visit(asked, found), [record for some in found.values() for record in some]
    around = Around(people={record.uid: record.person for record in records}, deficiencies=deficiencies_then(records, asked.last))
    return make_visit(asked, units, [() for _ in units], around)


@settings(max_examples=150)
@given(LIVES)
def test_the_sums_hold_and_each_unit_is_counted_once_whatever_happened(lives):
    found = histories(lives)
    visit = visit_of(found)
    counts, uids = visit.counts, [row.state.uid for row in visit.rows]
    assert len(uids) == len(set(uids)) == counts.listed + counts.added == sum(counts.results.values())
    assert counts.listed == sum(counts.where.values())
    assert counts.found == sum(1 for row in visit.rows if row.standing.listed and row.where in FOUND)
    assert sorted(row.state.uid for each in exceptions(visit) for row in each.units) == sorted(
        r.state.uid for r in visit.rows if r.result != "ready"
    )
    assert sum(each.decide * len(each.units) for each in exceptions(visit)) == counts.decisions
    assert one_line(counts) == visit_json(visit)["line"]


@settings(max_examples=150)
@given(LIVES)
def test_listed_are_the_units_that_the_fold_of_the_day_before_has_at_the_site(lives):
    found = histories(lives)
    before = {
        unit
        for unit, records in found.items()
        if (was := fold(records, date(2026, 11, 23))).facts
        and was.state.site == MILL
        and not was.state.removed
        and str(records[0].done) < str(DAY)
    }
    assert {row.state.uid for row in visit_of(found).rows if row.standing.listed} == before


@settings(max_examples=100)
@given(LIVES, st.randoms(use_true_random=False))
def test_the_order_in_which_records_came_in_changes_nothing(lives, random):
    found = histories(lives)
    mixed = {unit: random.sample(records, len(records)) for unit, records in found.items()}
    one, other = visit_of(found), visit_of(mixed)
    assert visit_json(one) == visit_json(other)
    hashes = [tie(ASKED.about, [r for some in found.values() for r in some if r.uid in visit.rests_on]).hash for visit in (one, other)]
    assert hashes[0] == hashes[1]


@settings(max_examples=100)
@given(LIVES)
def test_a_report_rests_on_every_record_of_its_days_and_on_none_that_came_later(lives):
    found = histories(lives)
    visit = visit_of(found)
    by_uid = {record.uid: record for some in found.values() for record in some}
    assert visit.rests_on <= set(by_uid)
    assert all(by_uid[uid].done.earliest <= DAY for uid in visit.rests_on)
    shown = {row.state.uid for row in visit.rows}
    assert {r.uid for r in by_uid.values() if r.done.earliest == DAY and r.unit in shown} <= visit.rests_on


def test_a_list_that_was_taken_in_on_the_day_of_the_visit_is_the_list():
    writer, unit = Writer(), uid(7)
    registered = writer.write("registered", "2026-11-24", unit=unit, id="U-7", site=MILL, agent="abc", row="12")
    visit = visit_of({unit: [registered, writer.write("inspected", "2026-11-24", unit=unit)]})
    assert (visit.counts.listed, visit.counts.added) == (1, 0)


def test_a_correction_that_came_later_holds_in_the_report_and_is_part_of_what_it_rests_on():
    writer, unit = Writer(), uid(7)
    records = [writer.write("registered", "2026-01-05", unit=unit, id="U-7", site=MILL, agent="abc")]
    records.append(writer.write("inspected", "2026-11-23", unit=unit))
    assert visit_of({unit: records}).counts.where["unlooked"] == 1
    records.append(writer.write("corrected", "2026-11-26", unit=unit, corrects=records[1].uid, **{"to-done": "2026-11-24"}))
    visit = visit_of({unit: records})
    assert visit.counts.found == 1
    assert records[2].uid in visit.rests_on


def test_the_days_of_last_work_are_the_visits_that_pages_name():
    found = histories([(MILL, "2026-01-05", [("inspected", "2026-11-20"), ("maintained", "2026-11-24")]), (QUAY, "2026-01-05", [])])
    made = past_visits(work_days(fold(records).state) for records in found.values())
    assert [(each.site, each.on.isoformat(), each.units) for each in made] == [(MILL, "2026-11-24", 1), (MILL, "2026-11-20", 1)]
