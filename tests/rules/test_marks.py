"""When a mark may be printed: from which work, by whom, on what; and the refusal where it may not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import pytest

from pinseal.reasons import Refusal
from pinseal.records.registers import Paper, Person
from pinseal.records.unit import Nameplate, UnitState
from pinseal.rules.marks import (
    SheetWork,
    check_complete,
    check_due,
    check_signer,
    check_stock,
    default_stock,
    due_marks,
    rule_of,
    signer_of,
    why_not_due,
)
from pinseal.standards.marks import form_named
from pinseal.standards.stocks import Stock, shipped_stocks

ON = date(2026, 11, 24)
POWDER = UnitState(
    uid="u", id="PC-9", nameplate=Nameplate(agent="abc", expelled_by="stored-pressure", shell="mild-steel", cylinder_specification="none")
)
LICENCE = Paper(record="r", paper="licence", number="L-204", jurisdiction="Texas", from_day=date(2024, 1, 1), until=ON)
IDA = Person(uid="p", name="Ida Quill", papers=(LICENCE,))


def _work(**other: object) -> SheetWork:
    usual = SheetWork(
        uid="s",
        closed=True,
        outcome="tag",
        on=ON,
        person_name="Ida Quill",
        person=IDA,
        works=("maintenance",),
        done={"maintained": {}},
        findings=(),
    )
    return replace(usual, **other)


def _plate(**other: object) -> UnitState:
    return replace(POWDER, nameplate=replace(POWDER.nameplate, **other))


@pytest.mark.parametrize(
    ("done", "marks"),
    [
        ({"maintained": {}}, ("tag",)),
        ({"maintained": {}, "recharged": {}}, ("tag", "recharge-tag")),
        ({"opened": {}, "recharged": {}}, ("tag", "collar", "six-year-label", "recharge-tag")),
        ({"opened": {}, "tested": {"result": "pass"}}, ("tag", "collar", "six-year-label", "test-label")),
        ({"tested": {"result": "fail"}}, ("tag",)),
        ({"recharged": {}, "marked-collar": {}}, ("tag", "collar", "recharge-tag")),
        ({"conductivity-tested": {"result": "pass"}}, ("tag", "hose-label")),
        ({"hose-tested": {"result": "fail"}}, ("tag",)),
    ],
)
def test_a_sheet_earns_the_marks_of_its_work_and_no_other(done: Mapping[str, Mapping[str, str]], marks: tuple[str, ...]) -> None:
    assert set(due_marks(_work(done=done), POWDER)) == set(marks)


def test_an_open_sheet_earns_nothing() -> None:
    work = _work(closed=False, outcome="", done={"opened": {}, "tested": {"result": "pass"}})
    assert due_marks(work, POWDER) == ()
    with pytest.raises(Refusal, match="the job sheet is not closed yet"):
        check_due("tag", work, POWDER)


@pytest.mark.parametrize("outcome", ["taken-away", "abandoned", "blocked", "condemn", "withdraw", "recharge"])
def test_no_service_tag_until_the_unit_is_back_in_use(outcome: str) -> None:
    """28 TAC 34.521(a), public copy: no service tag before the impairment is corrected."""
    work = _work(outcome=outcome, findings=("Gauge needle below the green band",))
    assert "a service tag waits" in why_not_due("tag", work, POWDER)
    assert not why_not_due("red-tag", work, POWDER)


def test_a_sound_unit_gets_no_red_tag() -> None:
    assert why_not_due("red-tag", _work(), POWDER) == "the unit went back into use"
    assert why_not_due("red-tag", _work(outcome="taken-away"), POWDER) == "nothing was found wrong with it"


def test_an_inspection_alone_is_not_tagged() -> None:
    assert why_not_due("tag", _work(works=("inspection",)), POWDER) == "an inspection is noted, not tagged"


def test_a_unit_with_a_cartridge_gets_no_collar() -> None:
    """NFPA 10, from memory: cartridge and cylinder types are exempt."""
    work = _work(done={"opened": {}})
    assert not why_not_due("collar", work, POWDER)
    for means in ("cartridge", "cylinder"):
        assert "gets no collar" in why_not_due("collar", work, _plate(expelled_by=means))


def test_a_six_year_label_is_for_powder_and_halocarbons_under_stored_pressure() -> None:
    work = _work(done={"opened": {}})
    assert not why_not_due("six-year-label", work, _plate(agent="halon-1211"))
    assert why_not_due("six-year-label", work, _plate(agent="water"))
    assert why_not_due("six-year-label", work, _plate(expelled_by="cartridge"))


def test_a_cylinder_with_a_specification_is_stamped_and_not_labelled() -> None:
    work = _work(done={"tested": {"result": "pass"}})
    assert not why_not_due("test-label", work, POWDER)
    assert "a 3AL cylinder carries the mark of the requalifier" in why_not_due("test-label", work, _plate(cylinder_specification="3AL"))
    said = _work(done={"tested": {"result": "pass", "specification": "4BA"}})
    assert "a 4BA cylinder" in why_not_due("test-label", said, POWDER)


# -- who signs


def _signed(form: str, person: Person | None, *, on: date = ON, packs: tuple[str, ...] = ()) -> tuple[Paper, tuple[str, ...]]:
    return check_signer(form_named(form), person, "Ida Quill", on=on, packs=packs)


def test_a_licence_counts_on_its_last_day_and_not_on_the_next() -> None:
    assert _signed("us-tx", IDA)[0] == LICENCE
    with pytest.raises(Refusal, match="no such paper of Ida Quill is in date on 2026-11-25"):
        _signed("us-tx", IDA, on=date(2026, 11, 25))


def test_a_licence_of_another_state_does_not_count() -> None:
    with pytest.raises(Refusal, match="of Texas, and does not count here"):
        _signed("us-fl", IDA)


def test_a_licence_that_does_not_say_where_it_counts_is_doubted() -> None:
    person = replace(IDA, papers=(replace(LICENCE, jurisdiction=None),))
    paper, doubts = _signed("us-tx", person)
    assert paper.number == "L-204"
    assert "where the licence of Ida Quill counts is not said" in doubts


@pytest.mark.parametrize(
    ("person", "why"),
    [
        (None, "Ida Quill is not in the register of people"),
        (replace(IDA, papers=()), "holds none of these papers"),
        (replace(IDA, papers=(replace(LICENCE, paper="driving licence"),)), "holds none of these papers"),
        (replace(IDA, papers=(replace(LICENCE, from_day=date(2026, 11, 25), until=None),)), "no such paper of Ida Quill is in date"),
    ],
)
def test_nobody_signs_without_a_paper_that_counts(person: Person | None, why: str) -> None:
    with pytest.raises(Refusal, match=why):
        _signed("us-tx", person)


def test_the_packs_of_the_shop_are_asked_as_well() -> None:
    """19 CCR 575, public copy: only persons that California has licensed."""
    with pytest.raises(Refusal, match=r"California|does not count here"):
        _signed("us", IDA, packs=("us-ca",))


def test_anybody_may_hang_a_red_tag_where_the_form_asks_for_no_licence() -> None:
    general, texas = form_named("us"), form_named("us-tx")
    paper, doubts = signer_of(general.marks["red-tag"], general, None, "Jo", on=ON, packs=())
    assert paper is None
    assert "Jo is not in the register" in doubts[0]
    with pytest.raises(Refusal, match="may not sign"):
        signer_of(texas.marks["red-tag"], texas, None, "Jo", on=ON, packs=())


# -- complete, and on the right stock


def _stock(**other: object) -> Stock:
    usual = Stock(id="own", title="own", feed="card", cell_width=66.675, cell_height=133.35, page_width=66.675, page_height=133.35)
    return replace(usual, **other)


def test_everything_that_is_missing_is_named_with_its_rule() -> None:
    rule = rule_of(form_named("us-fl"), "tag")
    with pytest.raises(Refusal) as refused:
        check_complete(rule, {"firm-name": "Q", "person-name": "Ida Quill", "month-year": "Nov 2026", "serial": "  "}, _stock())
    missing = "no serial number of the unit, no licence or certificate number of the person, no type of work, no type of the unit"
    assert refused.value.got.startswith(missing)
    assert "serial number of the unit: F.A.C. 69A-21.241(1)(b)2, read in a public copy of the text" in refused.value.rule


def test_what_the_stock_carries_is_not_missing_and_a_signature_is_by_hand() -> None:
    rule = rule_of(form_named("us-ut"), "tag")
    facts = {each.what: "x" for each in rule.fields if each.what not in ("seal", "signature")}
    with pytest.raises(Refusal, match="no seal of the authority"):
        check_complete(rule, facts, _stock())
    check_complete(rule, facts, _stock(carries=("seal",)))


def test_stock_of_another_state_is_refused_and_the_right_one_offered() -> None:
    rule = rule_of(form_named("us-tx"), "tag")
    with pytest.raises(Refusal, match="the form of us-fl is printed on it, and this mark is one of us-tx") as refused:
        check_stock(rule, _stock(id="florida", forms=("us-fl",)), shipped_stocks().values())
    assert "tag-card" in refused.value.do and "collar-card" not in refused.value.do


def test_a_red_service_tag_is_refused_where_a_state_forbids_it() -> None:
    with pytest.raises(Refusal, match=r"it must not be red \(28 TAC 34.520"):
        check_stock(rule_of(form_named("us-tx"), "tag"), _stock(colour="red"), ())
    assert not [each for each in check_stock(rule_of(form_named("us-fl"), "tag"), _stock(colour="red"), ()) if "red" in each]


def test_stock_whose_colour_is_not_said_is_doubted_where_a_colour_is_forbidden() -> None:
    doubts = check_stock(rule_of(form_named("us-ut"), "tag"), _stock(), ())
    assert any("the colour of the stock is not said; it must not be red" in each for each in doubts)
    assert not check_stock(rule_of(form_named("us-ut"), "tag"), _stock(colour="white"), ())


def test_a_collar_needs_a_ring() -> None:
    with pytest.raises(Refusal, match="this stock has no hole"):
        check_stock(rule_of(form_named("us"), "collar"), _stock(), shipped_stocks().values())


def test_every_mark_that_a_shop_prints_has_a_stock() -> None:
    for name in ("us", "us-tx", "us-fl", "us-ks", "us-ut", "au", "int"):
        form = form_named(name)
        for rule in form.marks.values():
            if rule.made_by == "shop":
                assert default_stock(rule, shipped_stocks().values()).fits(rule.mark)


def test_a_signer_without_a_licence_is_doubted_where_another_paper_counts() -> None:
    """Common practice, no source: a mark over a name without a licence is flagged."""
    trained = replace(IDA, papers=(replace(LICENCE, paper="training"),))
    paper, doubts = _signed("us", trained)
    assert paper.paper == "training"
    assert any("no licence of Ida Quill is on record" in each for each in doubts)
