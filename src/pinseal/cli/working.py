"""`work`: a job sheet worked in the terminal, step by step. Every entry is kept before the next question comes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import click

from pinseal.cli import sheet_wording as wording
from pinseal.cli import work_talk as talk
from pinseal.cli.options import name_list, named_shop, on_option, packs_option, say, shop_option
from pinseal.cli.sheets import duties_option, person_option, writer_option
from pinseal.cli.work_talk import Stop, ask
from pinseal.reasons import Refusal
from pinseal.service.sheet_shapes import SheetAsked
from pinseal.sheets.compose import duty_words
from pinseal.sheets.decision import decide
from pinseal.sheets.entries import Entry
from pinseal.sheets.gates import shut_gates
from pinseal.sheets.model import STAGES, Answer, Step
from pinseal.sheets.taking import covered_by
from pinseal.sheets.working import Working


@dataclass(slots=True)
class Session:
    """One person at one sheet. `aside` holds steps that were put aside for now, `used` the instrument used last of each kind."""

    app: Any
    shop: Path
    opened: Any
    person: str | None
    writer: str
    clock: talk.Clock = field(default_factory=talk.Clock)
    used: dict[str, str] = field(default_factory=dict)
    leaving: bool = False
    stage: str = ""
    decision: str = "tag"

    @property
    def work(self) -> Working:
        work = self.opened.work
        assert isinstance(work, Working)
        return work

    def enter(self, entry: Entry) -> bool:
        """Keep an entry and tell what follows; a refusal is told, and nothing is changed."""
        before = len(self.work.entries)
        try:
            self.opened, judged = self.app.enter(self.shop, self.opened, replace(entry, seconds=self.clock.seconds), person=self.person)
        except Refusal as refused:
            wording.say_block(f"{refused.what}: {refused.rule}. {refused.do}", 6, "    x ")
            return False
        talk.tell(self.work, entry.subject, judged, before)
        self._tell_decision()
        return True

    def _tell_decision(self) -> None:
        found = decide(self.work)
        if found.code != self.decision:
            self.decision = found.code
            say(f"    > now: {found.words}")


@click.command()
@click.argument("unit", metavar="UNIT")
@duties_option
@packs_option
@on_option
@click.option("--sheet", "sheet_uid", metavar="UID", help="Go on with this kept sheet.")
@person_option
@writer_option
@shop_option
@click.pass_obj
def work(app: Any, /, unit: str, shop: str | None, sheet_uid: str | None, person: str | None, writer: str, **asked: Any) -> None:
    """Work a job sheet in the terminal: one step at a time, every reading judged at once, everything kept at each answer.

    Goes on with the sheet that you left open for the unit, unless --duties is said. Type h for the letters.

    Example: pinseal work T-014 --duties maintenance --shop shop.pinseal --person "B. Tide"
    """
    where = named_shop(shop)
    wanted = SheetAsked(unit=unit, works=name_list(asked["duties"]), on=asked["on"], packs=name_list(asked["packs"]))
    opened = app.resume(where, sheet_uid) if sheet_uid else app.begin_or_resume(where, wanted, person=person, writer=writer)
    session = Session(app=app, shop=where, opened=opened, person=person, writer=writer)
    _say_head(session)
    try:
        _go_through(session)
    except Stop:
        say(f"Stopped. What was entered is kept ({len(session.work.entries)}); go on with: pinseal work {unit}")


def _say_head(session: Session) -> None:
    opened, job = session.opened, session.work.job
    say(wording.unit_line(opened.unit, session.work))
    say(f"{'Going on with' if opened.resumed else 'Began'} job sheet {opened.uid}: {', '.join(map(duty_words, job.works))}")
    left = session.work.next_steps()
    say(f"{len(left)} steps left, {talk.minutes_words(sum(step.minutes for step in left))}. {wording.CAUTION}")
    for text in (*job.type.cautions, *job.dues, *opened.others, *(f"set aside: {each}" for each in session.work.set_aside)):
        wording.say_block(text, 2)
    say("h for help, q to stop; everything is kept at each answer.")


def _go_through(session: Session) -> None:
    while True:
        if session.work.abandoned is not None:
            _finish(session)
            return
        step = _next(session)
        if step is None:
            if _finish_or_more(session):
                return
            continue
        if step.group and _offer_group(session, step.group):
            continue
        _one(session, step)


def _next(session: Session) -> Step | None:
    """The next step that stands open: of the leaving ones, where the unit is taken away."""
    work = session.work
    if session.leaving:
        return next(
            (step for step in work.job.steps if step.when == "leaving" and not work.is_answered(step) and not shut_gates(work, step)), None
        )
    return next((step for step in work.next_steps() if not shut_gates(work, step)), None)


# -- one step


def _one(session: Session, step: Step) -> None:
    work = session.work
    if step.stage != session.stage:
        session.stage = step.stage
        say()
        say(STAGES[step.stage].upper())
    say()
    say(f"{step.title}")
    wording.say_block(step.do, 2)
    if step.caution:
        wording.say_block(f"Caution: {step.caution}", 2)
    talk.show_answers(work, step)
    session.clock.start()
    while True:
        text = ask(">")
        if _letter(session, step, text):
            return
        answer = talk.chosen_answer(step, text)
        if answer is None:
            say("   Choose an answer by its number, or h for help.")
            continue
        _answer(session, step, answer)
        return


def _answer(session: Session, step: Step, answer: Answer) -> None:
    readings, instruments = talk.ask_readings(session.work, step, talk.needs_reading(step, answer), session.used)
    session.enter(Entry(kind="step", subject=step.id, said={"answer": answer.code}, readings=readings, instruments=instruments))


def _letter(session: Session, step: Step, text: str) -> bool:
    """Act on a letter; true where the step is left, so that the sheet is looked at anew."""
    if text == "h":
        talk.say_help()
        return False
    if text == "?":
        wording.say_step(session.work, step, whole=True)
        return False
    if text == "d":
        talk.say_where(session.work)
        return False
    if text == "q":
        raise Stop
    acts = {"n": _not_done, "l": _listed, "f": _fixed, "w": _more_work, "t": _take_away, "o": _overridden, "a": _abandoned}
    if text not in acts:
        return False
    acts[text](session, step)
    return True


def _not_done(session: Session, step: Step) -> None:
    reason = ask("  why is it not done?")
    session.enter(Entry(kind="step", subject=step.id, said={"answer": "not-done", "note": reason}))


def _listed(session: Session, step: Step) -> None:
    picked = talk.pick_step(session.work)
    if picked is not None:
        shut = shut_gates(session.work, picked)
        if shut:
            for gate in shut:
                wording.say_block(f"shut: {gate.because}", 6, "    x ")
            return
        _one(session, picked)


def _entered(session: Session, entry: Entry | None) -> None:
    if entry is not None:
        session.clock.start()
        session.enter(entry)


def _fixed(session: Session, step: Step) -> None:
    _entered(session, talk.ask_fix(session.work))


def _more_work(session: Session, step: Step) -> None:
    _entered(session, talk.ask_extend(session.work))


def _overridden(session: Session, step: Step) -> None:
    _entered(session, talk.ask_override(step))


def _abandoned(session: Session, step: Step) -> None:
    _entered(session, talk.ask_abandon())


def _take_away(session: Session, step: Step) -> None:
    session.leaving = not session.leaving
    say("  Now the steps for a unit that does not go back into service." if session.leaving else "  Back to the work.")


# -- several at once


def _offer_group(session: Session, group: str) -> bool:
    """One confirmation for what one look shows. True where it was given; false leads to the steps one by one."""
    steps = covered_by(session.work, group)
    if len(steps) < 2:
        return False
    say()
    say(f"{STAGES[steps[0].stage].upper()}: look at each of these ({talk.minutes_words(sum(s.minutes for s in steps))})")
    for number, step in enumerate(steps, start=1):
        wording.say_block(f"{step.title}: {step.good_answers[0].says}. {step.do}", 7, f"  {number:>3}  ")
        if step.caution:
            wording.say_block(f"Caution: {step.caution}", 7)
    session.clock.start()
    while True:
        text = ask("> Enter if every one is as it should be; a number if that one is not; s for one by one:")
        if not text:
            return session.enter(Entry(kind="confirm", subject=group))
        if text == "s":
            return _each(session, steps)
        if text.isdecimal() and 1 <= int(text) <= len(steps):
            _one(session, steps[int(text) - 1])
            return True
        if _letter(session, steps[0], text):
            return True


def _each(session: Session, steps: Sequence[Step]) -> bool:
    for step in steps:
        if not session.work.is_answered(step):
            _one(session, step)
    return True


# -- the end


def _finish_or_more(session: Session) -> bool:
    """Nothing stands open: finish, mend what is open, or take the unit away. True where the sheet is closed."""
    work = session.work
    say()
    talk.say_open(work.open_stops())
    for step in [] if session.leaving else work.next_steps()[:3]:
        for gate in shut_gates(work, step):
            wording.say_block(f"{step.title} is shut: {gate.because}", 6, "    x ")
    talk.say_where(work)
    text = ask("> Enter to finish the sheet; f to put a finding right, l for the list, w for more work, t to take it away, a, o, q:")
    if not text:
        return _finish(session)
    last = (work.next_steps() or list(work.job.steps))[0]
    _letter(session, last, text)
    return False


def _finish(session: Session) -> bool:
    try:
        done = session.app.close_sheet(session.shop, session.opened, person=session.person, writer=session.writer)
    except Refusal as refused:
        wording.say_block(f"{refused.what} ({refused.got}): {refused.do}", 6, "    x ")
        if session.work.abandoned is not None:
            raise
        return False
    say()
    wording.say_finished(done)
    return True


COMMANDS = {"work": work}
