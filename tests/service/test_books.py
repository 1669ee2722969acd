"""The books of the office: what stands open, who is away, what came in, agent by lot; corrections count."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from fractions import Fraction

import pytest
from record_makers import Writer

from pinseal.measures import LB_KG
from pinseal.records.fold import fold
from pinseal.service.agent_ledger import ledger
from pinseal.service.books import Books, SheetLine, make_books
from pinseal.service.leak_of_unit import leak_answer, readings_of

A, B = "unit-a", "unit-b"
MORNING = datetime(2026, 11, 23, 8, tzinfo=UTC)


@pytest.fixture
def writer() -> Writer:
    return Writer("van-1")


def found(writer: Writer, on: str = "2026-10-01", *, unit: str = A, finding: str = "pin-damaged"):
    return writer.write("found-deficient", on, unit=unit, finding=finding, words="pin bent")


def test_a_finding_without_a_remedy_is_open(writer: Writer) -> None:
    (only,) = make_books([found(writer)]).deficiencies
    assert only.is_open
    assert (only.unit, only.words, only.person) == (A, "pin bent", "Ida Quill")


def test_a_remedy_of_that_finding_on_that_unit_closes_it_and_no_other(writer: Writer) -> None:
    records = [
        found(writer),
        found(writer, finding="seal-broken"),
        found(writer, unit=B),
        writer.write("remedied", "2026-10-03", unit=A, finding="pin-damaged", how="new pin"),
    ]
    still = {(each.unit, each.finding) for each in make_books(records).deficiencies if each.is_open}
    assert still == {(A, "seal-broken"), (B, "pin-damaged")}


@pytest.mark.parametrize(("on", "is_open"), [("2026-09-30", True), ("2026-10-01", False), ("2026-10-02", False)])
def test_a_remedy_closes_what_was_found_on_or_before_its_day(writer: Writer, on: str, is_open: bool) -> None:
    records = [found(writer, "2026-10-01"), writer.write("remedied", on, unit=A, finding="pin-damaged", how="new pin")]
    assert make_books(records).deficiencies[0].is_open is is_open


def test_what_is_found_again_after_its_remedy_is_open_again(writer: Writer) -> None:
    records = [
        found(writer, "2026-09-01"),
        writer.write("remedied", "2026-09-02", unit=A, finding="pin-damaged", how="new pin"),
        found(writer, "2026-10-01"),
    ]
    assert [each.is_open for each in make_books(records).deficiencies] == [True, False]


def test_a_finding_that_was_voided_is_none_and_a_remedy_that_was_voided_closes_nothing(writer: Writer) -> None:
    wrong = found(writer)
    void = writer.write("corrected", "2026-10-05", unit=A, corrects=wrong.uid, void="yes", reason="another unit")
    assert make_books([wrong, void]).deficiencies == ()
    right, remedy = found(writer), writer.write("remedied", "2026-10-03", unit=A, finding="pin-damaged", how="new pin")
    no = writer.write("corrected", "2026-10-05", unit=A, corrects=remedy.uid, void="yes", reason="not done")
    assert make_books([right, remedy, no]).deficiencies[0].is_open


def test_a_unit_is_away_until_it_is_brought_back_and_the_next_to_come_back_stands_first(writer: Writer) -> None:
    records = [
        writer.write("taken-away", "2026-11-01", unit=A, **{"taken-to": "bench", "back-by": "2026-12-01"}),
        writer.write("taken-away", "2026-11-02", unit=B, **{"taken-to": "maker", "back-by": "2026-11-20", "loaner": "unit-c"}),
        writer.write("taken-away", "2026-11-03", unit="unit-d", **{"taken-to": "van"}),
    ]
    assert [each.unit for each in make_books(records).away] == [B, A, "unit-d"]
    back = writer.write("brought-back", "2026-11-10", unit=B)
    assert [each.unit for each in make_books([*records, back]).away] == [A, "unit-d"]


def line(uid: str, unit: str = A) -> SheetLine:
    return SheetLine(
        uid=uid, unit=unit, on=date(2026, 11, 1), works=("inspection",), person="Ida", begun=MORNING, entries=2, touched=MORNING,
        outcome="tag", quick=("outside",),
    )  # fmt: skip


def test_a_sheet_that_was_sample_checked_is_checked_and_another_is_not(writer: Writer) -> None:
    check = writer.write("sample-checked", "2026-11-02", unit=A, sheet="s-1", confirmation="outside", agrees="yes")
    books = make_books([check], [line("s-1"), line("s-2")])
    assert [each.checked for each in books.sheets] == [True, False]


def test_records_of_one_kind_person_and_day_came_in_together(writer: Writer) -> None:
    first, second = (writer.write("inspected", "2026-11-23", unit=unit) for unit in (A, B))
    other = writer.write("maintained", "2026-11-23", unit=A)
    latest = [replace(each, received=MORNING) for each in (first, second, other)]
    arrivals = make_books([], [], latest).arrivals
    assert {(each.kind, each.count, each.units) for each in arrivals} == {("inspected", 2, (A, B)), ("maintained", 1, (A,))}


def test_the_books_of_some_units_hold_nothing_of_the_others(writer: Writer) -> None:
    latest = [replace(writer.write("inspected", "2026-11-23", unit=unit), received=MORNING) for unit in (A, B)]
    taken = writer.write("taken-away", "2026-11-01", unit=B, **{"taken-to": "bench"})
    books = make_books([found(writer), found(writer, unit=B), taken], [line("s-1"), line("s-2", B)], latest).only([A])
    assert {each.unit for each in books.deficiencies} == {A}
    assert books.away == () and [each.uid for each in books.sheets] == ["s-1"]
    assert [(each.units, each.count) for each in books.arrivals] == [((A,), 1)]
    assert make_books([found(writer)]).only([]) == Books()


# -- agent


def test_agent_is_summed_by_lot_and_what_has_no_mass_is_counted_not_guessed(writer: Writer) -> None:
    records = [
        writer.write("recharged", "2026-01-01", unit=A, agent="abc", mass="10 lb", lot="L-7"),
        writer.write("recharged", "2026-01-02", unit=B, agent="abc", mass="5.5 lb", lot="L-7"),
        writer.write("recharged", "2026-01-03", unit=B, agent="abc", lot="L-7"),
        writer.write("agent-taken-out", "2026-01-04", unit=A, agent="abc", mass="9 lb", lot="L-7", balance="fail"),
        writer.write("recharged", "2026-01-05", unit=A, agent="co2", mass="5 lb"),
    ]
    first, last = ledger(records)
    assert (first.lot, first.in_kg, first.out_kg, first.unweighed) == ("L-7", Fraction(31, 2) * LB_KG, 9 * LB_KG, 1)
    assert [each.unit for each in first.unbalanced] == [A]
    assert (last.agent, last.lot) == ("co2", "")


def test_a_mass_that_was_corrected_counts_as_corrected(writer: Writer) -> None:
    filled = writer.write("recharged", "2026-01-01", unit=A, agent="abc", mass="100 lb", lot="L-7")
    mended = writer.write("corrected", "2026-01-02", unit=A, corrects=filled.uid, **{"to-mass": "10 lb"})
    assert ledger([filled, mended])[0].in_kg == 10 * LB_KG


def test_a_sheet_that_recharges_and_renews_the_agent_counts_the_agent_once(writer: Writer) -> None:
    sheet = "01900000-0000-7000-8000-000000000001"
    said = {"agent": "abc", "mass": "10 lb", "sheet": sheet}
    both = [writer.write(kind, "2026-01-01", unit=A, **said) for kind in ("recharged", "agent-renewed")]
    alone = writer.write("agent-renewed", "2026-02-01", unit=A, agent="abc", mass="5 lb")
    assert ledger([*both, alone])[0].in_kg == 15 * LB_KG


# -- readings


def unit_with(writer: Writer, *readings: tuple[str, str, str]):
    plate = {"agent": "abc", "size": "10 lb", "gauge-low": "175 psi", "charging-gas": "nitrogen"}
    records = [writer.write("registered", "2020-01-01", unit=A, id="T-1", **plate)]
    for day, value, warm in readings:
        more = {"at-temperature": warm} if warm else {}
        records.append(writer.write("measured", day, unit=A, quantity="The unit's gauge", value=value, **more))
    return fold(records)


def test_gauge_readings_of_a_unit_make_a_leak_verdict(writer: Writer) -> None:
    falling = [(f"{2021 + n // 2}-0{1 + 6 * (n % 2)}-10", f"{195 - 6 * n} psi", "70 F") for n in range(8)]
    found_leak = leak_answer(unit_with(writer, *falling), "T-1", date(2026, 11, 24))
    assert found_leak is not None and found_leak.verdict == "fail"


def test_two_readings_are_too_few_and_one_without_a_temperature_is_no_evidence(writer: Writer) -> None:
    two = [("2021-01-10", "195 psi", "70 F"), ("2022-01-10", "190 psi", "70 F")]
    assert leak_answer(unit_with(writer, *two), "T-1", date(2026, 11, 24)) is None
    assert leak_answer(unit_with(writer, *two, ("2023-01-10", "150 psi", "")), "T-1", date(2026, 11, 24)) is None
    assert leak_answer(unit_with(writer, *two, ("2023-01-10", "188 psi", "70 F")), "T-1", date(2026, 11, 24)) is not None


def test_what_cannot_be_read_or_has_no_full_day_is_no_reading(writer: Writer) -> None:
    odd = unit_with(writer, ("2021", "195 psi", "70 F"), ("2021-02-03", "in the green", "70 F"))
    assert readings_of(odd.facts) == []


# -- the way of a deficiency


def quoted(writer: Writer, about, on: str = "2026-10-05", minor: str = "18450", **more: str):
    fields = {"deficiency": about.uid, "price-minor": minor, "currency": "EUR", **more}
    return writer.write("deficiency-quoted", on, unit=about.unit, **fields)


def answered(writer: Writer, price, answer: str = "agreed", on: str = "2026-10-07"):
    return writer.write("quote-answered", on, unit=price.unit, quoted=price.uid, answer=answer, **{"answered-by": "Ola Brandt"})


def test_a_deficiency_goes_from_found_over_quoted_and_agreed_to_done(writer: Writer) -> None:
    wrong = found(writer)
    price = quoted(writer, wrong)
    yes = answered(writer, price)
    mended = writer.write("remedied", "2026-10-09", unit=A, finding="pin-damaged", how="new pin")
    stages = [(each.stage, str(each.stage_since)) for n in range(1, 5) for each in make_books([wrong, price, yes, mended][:n]).deficiencies]
    assert stages == [("found", "2026-10-01"), ("quoted", "2026-10-05"), ("agreed", "2026-10-07"), ("done", "2026-10-09")]
    done = make_books([wrong, price, yes, mended]).deficiencies[0]
    assert (done.mended_by, str(done.quote.price), done.quote.answered_by) == (mended.uid, "184.50 EUR", "Ola Brandt")


def test_a_declined_deficiency_is_open_and_a_later_price_waits_for_its_own_answer(writer: Writer) -> None:
    wrong = found(writer)
    price = quoted(writer, wrong)
    no = answered(writer, price, "declined")
    (declined,) = make_books([wrong, price, no]).deficiencies
    assert (declined.stage, declined.is_open) == ("declined", True)
    later = quoted(writer, wrong, "2026-10-08", "9900")
    (again,) = make_books([wrong, price, no, later]).deficiencies
    assert (again.stage, [quote.answer for quote in again.quotes]) == ("quoted", ["declined", ""])


def test_a_price_is_of_its_own_finding_alone_and_a_voided_one_is_none(writer: Writer) -> None:
    first, second = found(writer), found(writer, finding="seal-broken")
    price = quoted(writer, first)
    books = make_books([first, second, price])
    assert {each.finding: each.stage for each in books.deficiencies} == {"pin-damaged": "quoted", "seal-broken": "found"}
    void = writer.write("corrected", "2026-10-06", unit=A, corrects=price.uid, void="yes", reason="another unit")
    assert {each.stage for each in make_books([first, second, price, void]).deficiencies} == {"found"}


def test_a_price_mended_by_a_correction_is_the_one_that_counts(writer: Writer) -> None:
    wrong = found(writer)
    price = quoted(writer, wrong)
    mend = writer.write("corrected", "2026-10-06", unit=A, corrects=price.uid, **{"to-price-minor": "14850"})
    assert str(make_books([wrong, price, mend]).deficiencies[0].quote.price) == "148.50 EUR"


def test_a_remedy_that_names_its_deficiency_closes_that_one_alone(writer: Writer) -> None:
    first, second = found(writer), found(writer, "2026-10-02")
    mended = writer.write("remedied", "2026-10-09", unit=A, finding="pin-damaged", how="new pin", deficiency=first.uid)
    assert {each.record: each.is_open for each in make_books([first, second, mended]).deficiencies} == {first.uid: False, second.uid: True}


def test_a_price_runs_out_where_it_was_not_answered_in_time(writer: Writer) -> None:
    wrong = found(writer)
    price = quoted(writer, wrong, **{"valid-until": "2026-10-31"})
    (waiting,) = make_books([wrong, price]).deficiencies
    assert [waiting.quote.ran_out(day) for day in (date(2026, 10, 31), date(2026, 11, 1))] == [False, True]
    (agreed,) = make_books([wrong, price, answered(writer, price)]).deficiencies
    assert not agreed.quote.ran_out(date(2027, 1, 1))


def test_what_is_about_no_finding_of_the_unit_is_kept_and_marked(writer: Writer) -> None:
    listed = writer.write("registered", "2026-01-02", unit=A, id="7")
    other = found(writer, unit=B)
    astray = writer.write("deficiency-quoted", "2026-10-05", unit=A, deficiency=other.uid, currency="EUR", **{"price-minor": "1"})
    lost = writer.write("quote-answered", "2026-10-06", unit=A, quoted=other.uid, answer="agreed", **{"answered-by": "Ola"})
    marks = {mark.record: mark.text for mark in fold([listed, astray, lost]).marks}
    assert "not made on this unit" in marks[astray.uid] and "not quoted before" in marks[lost.uid]
    right = found(writer)
    assert fold([listed, right, quoted(writer, right)]).marks == ()


@pytest.mark.parametrize(
    "wrong", [{"price-minor": "184.50"}, {"price-minor": "-1"}, {"currency": "XXX"}, {"price-minor": ""}, {"deficiency": "7"}]
)
def test_a_price_is_whole_minor_units_of_a_currency_that_people_pay_with(writer: Writer, wrong: dict[str, str]) -> None:
    from pinseal.reasons import Refusal

    fields = {"deficiency": found(writer).uid, "price-minor": "18450", "currency": "EUR"} | wrong
    with pytest.raises(Refusal):
        writer.write("deficiency-quoted", "2026-10-05", unit=A, **fields)
