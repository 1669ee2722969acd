from record_makers import Writer

from pinseal.records.fold import fold
from pinseal.records.stepwise import states_before


def seen(records):
    return [(fact.kind, {name: str(done) for name, done in state.dates.items()}, state) for fact, state in states_before(records)]


def test_each_deed_comes_with_the_unit_as_it_stood_just_before():
    writer = Writer()
    records = [
        writer.write("registered", "2020-01-02", agent="abc", manufactured="2014-06"),
        writer.write("inspected", "2020-02-01"),
        writer.write("inspected", "2020-03-01"),
        writer.write("removed", "2020-04-01"),
    ]
    steps = seen(records[::-1])
    assert [kind for kind, _, _ in steps] == ["registered", "inspected", "inspected", "removed"]
    assert [dates.get("inspection") for _, dates, _ in steps] == [None, None, "2020-02-01", "2020-03-01"]
    assert [state.nameplate.agent for _, _, state in steps] == [None, "abc", "abc", "abc"]
    assert all(state.removed is None for _, _, state in steps)


def test_the_state_before_the_last_fact_is_the_fold_of_the_others():
    writer = Writer()
    records = [
        writer.write("registered", "2020-01-02", agent="abc"),
        writer.write("tested", "2020-02-01"),
        writer.write("opened", "2020-03-01"),
    ]
    *_, (fact, state) = states_before(records)
    assert fact.kind == "opened"
    assert state == fold(records[:2]).state


def test_work_from_before_the_list_was_read_is_judged_with_its_nameplate_and_its_older_dates():
    writer = Writer()
    records = [
        writer.write("maintained", "2023-05-10"),
        writer.write(
            "registered", "2026-01-02", agent="abc", site="Pier", manufactured="2023", removed="scrapped",
            last_maintenance="2023-05", last_hydrostatic_test="2019", last_inspection="2025-12",
        ),
    ]  # fmt: skip
    kind, dates, state = seen(records)[0]
    assert kind == "maintained"
    assert dates == {"manufactured": "2023", "hydrostatic-test": "2019"}
    assert (state.nameplate.agent, state.site, state.removed) == ("abc", None, None)


def test_what_was_known_then_goes_before_what_a_later_list_says():
    writer = Writer()
    records = [
        writer.write("registered", "2020-01-02", id="7", agent="abc"),
        writer.write("inspected", "2023-05-10"),
        writer.write("registered", "2026-01-02", id="8", agent="co2", shell="mild-steel"),
    ]
    _, _, state = seen(records)[1]
    assert (state.id, state.nameplate.agent, state.nameplate.shell) == ("7", "abc", "mild-steel")
