"""What `pinseal work` asks and how it reads an answer: one thing at a time, Enter for what is plainly good, a letter for the rest."""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import click

from pinseal.cli.options import say
from pinseal.cli.sheet_wording import say_block, say_decision
from pinseal.sheets.entries import Entry
from pinseal.sheets.judgement import joined
from pinseal.sheets.limits import limits_of
from pinseal.sheets.model import ACTIONS, QUANTITIES, Answer, Step, Want
from pinseal.sheets.taking import NOT_DONE
from pinseal.sheets.working import Working

HELP = (
    ("Enter", "the good answer, where there is just one"),
    ("1, 2, …", "an answer by its number; its code does too"),
    ("?", "why this step, what shows that it is done, where it comes from"),
    ("n", "not done: say why"),
    ("l", "list the steps; answer one out of order, or one again"),
    ("f", "put a finding right"),
    ("d", "the decision so far, and what would change it"),
    ("w", "add work to this sheet, for example a recharge"),
    ("t", "take the unit out of use or away"),
    ("o", "let a supervisor override a gate"),
    ("a", "abandon the sheet and say in which state the unit is left"),
    ("q", "stop here; what is entered is kept"),
)
LETTERS = frozenset(key for key, _ in HELP if len(key) == 1)


class Stop(Exception):  # noqa: N818 - it is no error
    """The person stops here; what was entered is kept."""


def ask(words: str) -> str:
    """One line from the person. The end of the input stops the work."""
    try:
        return str(click.prompt(words, default="", show_default=False, prompt_suffix=" ")).strip()
    except click.Abort:
        say()
        raise Stop from None


def minutes_words(minutes: float) -> str:
    """How long a trained hand takes (common practice, no source)."""
    return f"about {minutes:.0f} min" if minutes >= 1.5 else f"about {minutes * 60:.0f} s"


def say_help() -> None:
    for key, words in HELP:
        say(f"  {key:<8} {words}")


@dataclass(slots=True)
class Clock:
    """How long an entry took, from the moment when its question was shown."""

    began: float = 0.0

    def start(self) -> None:
        self.began = time.monotonic()

    @property
    def seconds(self) -> int:
        return round(time.monotonic() - self.began)


def step_answers(step: Step) -> list[Answer]:
    return [*step.answers, NOT_DONE]


def show_answers(work: Working, step: Step) -> None:
    """The answers of a step by their numbers, with what each would force."""
    for number, answer in enumerate(step.answers, start=1):
        finding = work.job.findings[answer.finding] if answer.finding else None
        forces = f"  -> {ACTIONS[work.forced(finding.action)[0]]}" if finding else ""
        say(f"   {number}  {answer.says}{forces}")


def needs_reading(step: Step, answer: Answer) -> list[Want]:
    """The readings to ask for with an answer, the optional ones last."""
    if answer.code in ("not-done", "not-fitted"):
        return []
    wanted = [want for want in step.wants if (answer.code in want.only_with if want.only_with else answer.good)]
    return sorted(wanted, key=lambda want: want.optional)


def chosen_answer(step: Step, text: str) -> Answer | None:
    """The answer that a text means: Enter for the one good answer, a number, or a code."""
    if not text:
        good = step.good_answers
        return good[0] if len(good) == 1 or (len(good) == 2 and good[1].code == "not-fitted") else None
    if text.isdecimal() and 1 <= int(text) <= len(step.answers):
        return step.answers[int(text) - 1]
    return step.answer(text)


def ask_readings(work: Working, step: Step, wants: Sequence[Want], used: dict[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """Each reading with its limit in sight, and the instrument that took it; the one used last is offered."""
    limits = limits_of(work.job, step, shell_k=work.picture.charging_k)
    readings: dict[str, str] = {}
    instruments: dict[str, str] = {}
    for want in wants:
        own = [limit.words for limit in limits if limit.reading == want.name and limit.words]
        if own:
            say_block("; ".join(own), 6, "      limit: ")
        text = ask(f"   {want.label}{' (Enter: leave out)' if want.optional else ''}:")
        while not text and not want.optional:
            text = ask(f"   It is needed ({QUANTITIES[want.quantity]}; - to go back). {want.label}:")
        if text in ("", "-"):
            continue
        readings[want.name] = text
        known = _known_instruments(work, want.instrument)
        if known:
            last = used.get(want.instrument, known[0])
            named = ask(f"   with which {want.instrument.replace('-', ' ')}? ({', '.join(known)}; Enter: {last}; - for none)")
            if named != "-":
                instruments[want.name] = used[want.instrument] = named or last
    return readings, instruments


def _known_instruments(work: Working, what: str) -> list[str]:
    return [each.id for each in work.job.instruments.values() if each.what == what and each.withdrawn is None]


def tell(work: Working, step: str, judged: Any, before: int) -> None:
    """What an entry led to: the verdict with its reasons, new findings with what they force."""
    if judged is not None:
        say_block(f"{judged.verdict}: {joined(judged.because)}", 6, "    = ")
        if judged.settle:
            say_block(f"would settle it: {judged.settle}", 6)
        for flag in judged.flags:
            say_block(f"flag: {flag}", 6)
    for found in work.findings:
        if found.number > before and found.step == step:
            say_block(f"found: {found.title}. {found.words} ({ACTIONS[found.action]}; {found.source.text})", 6, "    ! ")


def pick_step(work: Working) -> Step | None:
    """A step that the person picks from the list."""
    for number, step in enumerate(work.job.steps, start=1):
        given = work.answers.get(step.id)
        state = given.answer if given else ("open" if work.is_wanted(step) else step.when if step.when == "leaving" else "if needed")
        say(f"  {number:>3}  {step.title:<42} {state}")
    text = ask("  which step? (number, or Enter to go back)")
    return work.job.steps[int(text) - 1] if text.isdecimal() and 1 <= int(text) <= len(work.job.steps) else None


def ask_fix(work: Working) -> Entry | None:
    """Which finding is put right, and how."""
    fixable = [found for found in work.open_stops() if not found.fixed]
    if not fixable:
        say("  Nothing is open that a fix would settle.")
        return None
    for number, found in enumerate(fixable, start=1):
        say(f"  {number}  {found.title} ({ACTIONS[found.action]})")
    text = ask("  which one is put right? (number, or Enter to go back)")
    if not text.isdecimal() or not 1 <= int(text) <= len(fixable):
        return None
    found = fixable[int(text) - 1]
    how = ask("  how was it put right?")
    part = ask("  which part was fitted? (Enter: none)")
    said = {"how": how, "step": found.step} | ({"part": part} if part else {})
    return Entry(kind="fix", subject=found.finding, said=said) if how else None


def ask_override(step: Step) -> Entry | None:
    gate = ask("  which gate?")
    supervisor = ask("  which supervisor?")
    reason = ask("  why? (recorded and printed)")
    if not (gate and supervisor and reason):
        return None
    return Entry(kind="override", subject=gate, said={"step": step.id, "reason": reason, "supervisor": supervisor})


def ask_abandon() -> Entry | None:
    reason = ask("  why does it end here?")
    left = ask("  in which state is the unit left? (for example: open and empty, tagged red)")
    where = ask("  where is it now?")
    if not (reason and left):
        return None
    return Entry(kind="abandon", subject=reason, said={"left": left} | ({"where": where} if where else {}))


def ask_extend(work: Working) -> Entry | None:
    from pinseal.sheets.decision import decide, works_asked
    from pinseal.sheets.model import WORKS

    offered = works_asked(decide(work)) or tuple(
        each for each in WORKS if each not in work.job.works and each not in work.job.type.does_not_apply
    )
    text = ask(f"  which work? ({', '.join(offered)}; Enter to go back)")
    return Entry(kind="extend", subject=text) if text else None


def say_open(stops: Iterable[Any]) -> None:
    for stop in stops:
        say_block(f"open: {stop.title}. {stop.words} ({ACTIONS[stop.action]})", 6, "    ! ")


def say_where(work: Working) -> None:
    """The decision so far."""
    from pinseal.sheets.decision import decide

    say_decision(decide(work))
