"""A mark before its sheet closes: what must be done by then, border by border; and the same records as closing makes."""

from __future__ import annotations

import pytest
from sheet_walks import LEAVING, TECHNICIAN, UNITS, Asked, do, good_entry, leave, make, walk, walked

from pinseal.reasons import Refusal
from pinseal.sheets.ahead import ahead_of
from pinseal.sheets.closing import close
from pinseal.sheets.entries import Entry
from pinseal.sheets.taking import begin, take
from pinseal.sheets.working import Working

YEARLY = ("inspection", "maintenance")
INSIDE = ("maintenance", "internal-examination", "recharge")


def _marks(work: Working, mark: str) -> dict[str, str]:
    """The marks that an open sheet would put on record, or the words with which it refuses."""
    try:
        return {
            made.fields["mark"]: made.fields.get("text", "")
            for made in ahead_of(work, mark, sheet="s").closed.made
            if made.kind == "marked"
        }
    except Refusal as refused:
        return {"refused": f"{refused.what}: {refused.got}"}


@pytest.mark.parametrize("name", [name for name in UNITS if not name.startswith(("nonrechargeable", "obsolete"))])
def test_a_sheet_that_is_done_up_to_its_marks_is_finished_for_the_tag(name: str) -> None:
    """The copy makes the same records as the sheet does when the marks are answered, but for what is written on the marks."""
    work = walk(begin(make(UNITS[name], *YEARLY)), to="service-tag")
    ahead = ahead_of(work, "tag", sheet="s")
    assert (ahead.closed.outcome, ahead.person) == ("tag", TECHNICIAN)
    closed = close(walk(work), sheet="s")
    assert [(made.kind, made.fields.get("mark")) for made in ahead.closed.made] == [
        (made.kind, made.fields.get("mark")) for made in closed.made
    ]


def test_each_step_that_is_left_before_the_tag_is_named() -> None:
    plate = UNITS["portable-powder"]
    steps = [step for step in make(plate, *YEARLY).steps if step.when != "leaving" and step.effect not in ("tag", "return")]
    for step in steps:
        work = walk(begin(make(plate, *YEARLY)), to=step.id)
        refused = _marks(work, "tag").get("refused", "")
        assert f"not answered: {step.title}" in refused, step.id


def test_looking_ahead_leaves_the_sheet_as_it_is() -> None:
    work = walk(begin(make(UNITS["portable-powder"], *YEARLY)), to="service-tag")
    before = (list(work.entries), dict(work.answers), list(work.picture.told))
    ahead_of(work, "tag", sheet="s")
    assert before == (list(work.entries), dict(work.answers), list(work.picture.told))


def test_a_later_entry_that_finds_something_takes_the_tag_back() -> None:
    work = walk(begin(make(UNITS["portable-powder"], *YEARLY)), to="service-tag")
    assert "tag" in _marks(work, "tag")
    do(work, "pin-in-new-seal", "pin")
    assert "no-open-stops: open:" in _marks(work, "tag")["refused"]
    assert "refused" in _marks(work, "recharge-tag")


def test_the_tag_of_a_sheet_that_was_abandoned_is_refused() -> None:
    work = walk(begin(make(UNITS["portable-powder"], *YEARLY)), to="service-tag")
    take(work, Entry(kind="abandon", subject="the fire alarm went", said={"left": "hung up again"}, person=TECHNICIAN))
    assert "abandoned" in _marks(work, "tag")["refused"]


def test_the_licence_of_who_entered_last_is_asked_as_it_is_for_the_tag_itself() -> None:
    """19 CCR asks for a licence: the gate of the tag's own step decides, here as there."""
    job = make(UNITS["portable-powder"], "maintenance", asked=Asked(packs=("us-ca",)))
    work = walk(begin(job), to="pin-in-new-seal")
    step = job.step("pin-in-new-seal")
    assert step is not None
    take(work, good_entry(job, step, person="Nobody Known"))
    assert "person-licensed: " in _marks(work, "tag")["refused"]
    take(work, good_entry(job, step, person=TECHNICIAN))
    assert "tag" in _marks(work, "tag")


# -- the collar


def test_a_collar_may_be_printed_while_the_valve_is_off_and_everything_inside_is_done() -> None:
    job = make(UNITS["portable-powder"], *INSIDE)
    first_close = next(step.id for step in job.steps if step.stage in ("fill", "close"))
    work = walk(begin(job), to=first_close)
    assert work.picture.is_open
    assert "collar" in _marks(work, "collar")
    assert "not answered" in _marks(work, "tag")["refused"]
    assert "not answered" in _marks(work, "six-year-label")["refused"]
    assert "collar" in _marks(walk(work, to="collar-after-opening"), "collar")  # charged, and not answered yet
    assert "collar" in _marks(walk(work, to="back-to-its-place"), "collar")  # answered: a second print


def test_no_collar_before_the_valve_is_off_and_none_before_the_inside_was_looked_at() -> None:
    job = make(UNITS["portable-powder"], *INSIDE)
    opened = next(step.id for step in job.steps if step.stage == "open")
    work = walk(begin(job), to=opened)
    assert "valve-was-off: the valve was not off on this sheet" in _marks(work, "collar")["refused"]
    last_inside = [step for step in job.steps if step.stage in ("inside", "dry") and step.when != "leaving" and not step.skippable][-1]
    walk(work, to=last_inside.id)
    assert f"not answered: {last_inside.title}" in _marks(work, "collar")["refused"]
    assert "collar" in _marks(walk(work, to=next(s.id for s in job.steps if s.stage == "fill")), "collar")


def test_no_collar_for_a_recharge_through_the_valve() -> None:
    work = walk(begin(make(UNITS["carbon-dioxide"], "recharge")), to="service-tag")
    assert _marks(work, "collar")["refused"].endswith("this sheet has no collar")


def test_a_shell_that_is_found_unfit_takes_the_collar_back() -> None:
    job = make(UNITS["portable-powder"], *INSIDE)
    unfit = next((s, a) for s in job.steps if s.stage == "inside" for a in s.answers if "shell-unfit" in a.sets)
    work = walk(begin(job), to=unfit[0].id)
    do(work, unfit[0].id, unfit[1].code)
    walk(work, to=next(s.id for s in job.steps if s.stage == "fill"))
    assert "refused" in _marks(work, "collar")


# -- labels


def test_the_labels_of_a_sheet_wait_for_the_charge_and_come_with_its_marks() -> None:
    work = walk(begin(make(UNITS["portable-powder"], *INSIDE)), to="six-year-label")
    assert "six-year-label" in _marks(work, "six-year-label")
    tested = walk(begin(make(UNITS["portable-powder"], *INSIDE, "hydrostatic-test")), to="six-year-label")
    assert "test-label" in _marks(tested, "test-label")


def test_a_hose_label_is_on_record_and_comes_ahead_of_its_step() -> None:
    job = make(UNITS["carbon-dioxide"], "maintenance", "conductivity-test")
    work = walk(begin(job), to="service-tag", answers={})
    made = [each.fields for each in close(walk(work), sheet="s").made if each.kind == "marked"]
    assert {"mark": "hose-label", "text": "as written", "sheet": "s"} in [dict(each) for each in made]
    ahead = walk(begin(job), to="hose-conductivity-label")
    walk_rest = [step for step in job.steps if step.id == "pin-in-new-seal"]
    do(ahead, walk_rest[0].id)
    assert "hose-label" in _marks(ahead, "hose-label")


# -- the red tag


def test_a_red_tag_may_be_printed_as_soon_as_the_decision_is_that_the_unit_does_not_go_back() -> None:
    work = walk(begin(make(UNITS["portable-powder"], *YEARLY)), to="shell-outside")
    assert "the decision of the sheet so far: tag it" in _marks(work, "red-tag")["refused"]
    found = next((s, a) for s in work.job.steps for a in s.answers if a.finding and work.job.findings[a.finding].action == "condemn")
    walk(work, to=found[0].id)
    do(work, found[0].id, found[1].code)
    ahead = ahead_of(work, "red-tag", sheet="s").closed
    assert ahead.outcome == "condemn"
    assert any(made.kind == "found-deficient" and made.fields["action"] == "condemn" for made in ahead.made)
    assert "refused" in _marks(work, "tag")
    leave(work, without=[step for step in LEAVING if step != "red-tag"])
    assert "refused" not in _marks(work, "red-tag")


def test_what_is_put_right_at_once_takes_the_red_tag_back() -> None:
    work = walk(begin(make(UNITS["portable-powder"], *YEARLY)), to="gauge-reading")
    do(work, "gauge-reading", gauge="150 psi", temperature="70 F")
    assert ahead_of(work, "red-tag", sheet="s").closed.outcome == "recharge"
    do(work, "gauge-reading")
    assert "the decision of the sheet so far" in _marks(work, "red-tag")["refused"]


def test_the_red_tag_of_a_sound_unit_is_refused_to_the_end() -> None:
    assert "tag it" in _marks(walked(UNITS["portable-powder"], *YEARLY), "red-tag")["refused"]
