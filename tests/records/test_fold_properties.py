"""Properties: the order of arrival, repeats and a second fold change nothing; a state reads back as it was written."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st
from record_makers import OTHER_UNIT, Writer, uid

from pinseal import kinds
from pinseal.dates import PartialDate
from pinseal.records.fold import fold
from pinseal.records.record_kinds import check_record
from pinseal.records.registering import read_state, registered_fields
from pinseal.records.unit import Nameplate, UnitState, with_recharge
from pinseal.units import Quantity

YEARS = st.builds(PartialDate, st.integers(2010, 2012))
MONTHS = st.builds(PartialDate, st.integers(2010, 2012), st.integers(1, 12))
DAYS = st.dates(date(2010, 1, 1), date(2012, 12, 31)).map(PartialDate.of)
DATES = st.one_of(YEARS, MONTHS, DAYS)

SIMPLE = st.sampled_from(
    [
        ("inspected", {}),
        ("maintained", {"tag": "T-3"}),
        ("tested", {"method": "water-jacket"}),
        ("tested", {}),
        ("tested", {"result": "fail"}),
        ("recharged", {"opened": "yes"}),
        ("recharged", {"opened": "no"}),
        ("recharged", {}),
        ("registered", {"agent": "abc", "serial": "A1", "site": "Pier", "manufactured": "2011-02", "last-recharge": "2011"}),
        ("registered", {"agent": "co2", "id": "9", "manufactured": "2010", "last-inspection": "2012-01-05"}),
        ("moved", {"place": "stair 2"}),
        ("moved", {"site": "Depot"}),
        ("retagged", {"tag": "T-4"}),
        ("shell-exchanged", {"serial": "B2", "last-hydrostatic-test": "2011-11"}),
        ("condemned", {"reason": "pitted"}),
        ("removed", {}),
        ("returned", {}),
        ("matched", {"to": OTHER_UNIT}),
        ("recalled", {"list": "one"}),
        ("noted", {"note": "x"}),
        ("measured", {"quantity": "gross weight", "value": "29 lb 6 oz", "instrument": "S-1"}),
        ("part-fitted", {"part": "O-ring", "number": "P-1", "lot": "7"}),
        ("taken-away", {"taken-to": "bench", "loaner": "none"}),
        ("brought-back", {"place": "stair 9"}),
        ("marked", {"mark": "collar"}),
    ]
)
CORRECTION = st.tuples(
    st.just("corrected"),
    st.one_of(
        st.fixed_dictionaries({"corrects": st.integers(1, 9).map(uid), "void": st.just("yes")}),
        st.fixed_dictionaries({"corrects": st.integers(1, 9).map(uid), "to-done": DATES.map(str)}),
        st.fixed_dictionaries({"corrects": st.integers(1, 9).map(uid), "to-method": st.sampled_from(["proof-pressure", "not-said"])}),
    ),
)


@st.composite
def histories(draw: st.DrawFn) -> list:
    deeds = draw(st.lists(st.tuples(DATES, st.one_of(SIMPLE, SIMPLE, CORRECTION)), min_size=1, max_size=9))
    writer = Writer()
    return [writer.write_raw(kind, str(done), check_record(kind, fields)) for done, (kind, fields) in deeds]


@given(histories(), st.randoms(use_true_random=False), st.one_of(st.none(), st.dates(date(2009, 12, 1), date(2013, 1, 1))))
@settings(max_examples=300)
def test_the_order_of_arrival_and_repeats_change_nothing(history, random, on):
    again = [*history, *random.sample(history, random.randint(0, len(history)))]
    random.shuffle(again)
    assert fold(again, on) == fold(history, on) == fold(history, on)


@given(histories())
def test_the_state_is_the_last_of_each_date_that_counts(history):
    unit = fold(history)
    events = [fact for fact in unit.facts if fact.kind == "inspected"]
    given_by_lists = [
        parsed
        for fact in unit.facts
        if fact.kind == "registered" and "last-inspection" in fact.fields
        for parsed in [PartialDate(2012, 1, 5)]
    ]
    days = [fact.done for fact in events] + given_by_lists
    expected = max(days, key=lambda done: (done.earliest, done.latest), default=None)
    assert unit.state.dates.get("inspection") == expected


@given(histories(), st.dates(date(2009, 12, 1), date(2013, 1, 1)))
def test_a_later_day_never_forgets_a_deed(history, on):
    before, later = fold(history, on), fold(history, date(2014, 1, 1))
    assert {fact.uid for fact in before.facts} <= {fact.uid for fact in later.facts}
    assert later.state == fold(history).state


@given(st.lists(st.tuples(DATES, st.sampled_from([True, False, None])), max_size=6))
def test_recharges_fold_as_the_rules_add_them_one_by_one(recharges):
    expected: dict[str, PartialDate] = {}
    for done, opened in sorted(recharges, key=lambda each: (each[0].earliest, each[0].latest)):
        expected = with_recharge(expected, done, opened=opened)
    writer = Writer()
    said = {True: {"opened": "yes"}, False: {"opened": "no"}, None: {}}
    records = [writer.write("recharged", str(done), **said[opened]) for done, opened in recharges] + [
        writer.write("noted", "2010", note="x")
    ]
    assert fold(records).state.dates == expected


TEXTS = st.one_of(st.none(), st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=8))
TRUTHS = st.one_of(st.none(), st.booleans())


def quantities(*units: str) -> st.SearchStrategy:
    numbers = st.one_of(st.integers(0, 10**6).map(float), st.floats(0, 1e6, allow_nan=False), st.just(1e-9))
    return st.one_of(st.none(), st.builds(lambda value, unit: Quantity(value=value, unit=unit), numbers, st.sampled_from(units)))


def codes(table: object) -> st.SearchStrategy:
    return st.one_of(st.none(), st.sampled_from(list(table)))


MASSES = st.one_of(st.none(), st.sampled_from(["29 lb 6 oz", "9 kg", "4.5 lbs", "17 oz"]))
PRESSURES = st.one_of(st.none(), st.sampled_from(["195 psi", "14.4 bar abs", "1.2 MPa", "210 psia"]))
NAMEPLATES = st.builds(
    Nameplate,
    agent=codes(kinds.AGENTS),
    expelled_by=codes(kinds.EXPELLED_BY),
    shell=codes(kinds.SHELLS),
    wheeled=TRUTHS,
    rechargeable=TRUTHS,
    size=quantities("lb", "kg", "gal"),
    rating=TEXTS,
    cylinder_specification=TEXTS,
    service_pressure=TEXTS,
    water_capacity=quantities("l", "lb"),
    hose=codes(kinds.HOSES),
    model=TEXTS,
    lot=TEXTS,
    gross_weight=MASSES,
    gross_weight_low=MASSES,
    gross_weight_high=MASSES,
    empty_weight=MASSES,
    test_pressure=PRESSURES,
    gauge_low=PRESSURES,
    gauge_high=PRESSURES,
    charging_gas=codes(kinds.GASES),
    cartridge_weight=MASSES,
    cartridge_weight_low=MASSES,
    expellant_pressure=PRESSURES,
    regulator_pressure=PRESSURES,
)
STATES = st.builds(
    UnitState,
    sheet=TEXTS,
    row=st.one_of(st.none(), st.integers(0, 10**6)),
    id=TEXTS,
    serial=TEXTS,
    site=TEXTS,
    place=TEXTS,
    nameplate=NAMEPLATES,
    dates=st.dictionaries(st.sampled_from(list(kinds.FACTS)), DATES),
    test_method=codes(kinds.TEST_METHODS),
    removed=TEXTS,
    placeholder=st.booleans(),
)


@given(STATES)
def test_a_state_reads_back_from_a_registered_record_as_it_was(state):
    fields = registered_fields(state)
    assert check_record("registered", fields) == fields
    assert read_state(fields) == state
