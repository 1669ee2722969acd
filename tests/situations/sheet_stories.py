"""Stories from hook to tag, kept as data: a unit, its history, a day, what was entered, and what must come of it.

A story says `name`, `source`, `unit` (a key of `units.toml`), `but` and `dates` (fields of its registered record that differ; "not said"
takes one away), `history` (records after that), `on`, `packs`, `works` (left out: what is due), `people`, `instruments`, `loaners`,
`reads` (readings of the good answers that differ), `entries`, and what is expected. `shop = true` runs the same entries through the
command on a real shop file too.

An entry is a line: `STEP: ANSWER; reading=text; reading@INSTRUMENT=text; note=text; by=NAME`, or `confirm GROUP`,
`fix FINDING: HOW; part=…`, `override GATE: STEP; reason=…; supervisor=…`, `extend WORK`, `abandon: WHY; left=…; where=…`,
`good to STEP`, `good`, or `leave; loaner=L-1`. Before a step is entered, every wanted step above it is answered well, so that a story
tells only what is odd. A table `{ say = LINE, refused = [words] }` is an entry that must be refused, and `{ say = LINE, now = true }`
one that is made without the steps above it. What is expected stands in `sheet_checks`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from pinseal.dates import parse_date, parse_day
from pinseal.reasons import Refusal
from pinseal.records.fold import Unit, fold
from pinseal.records.record import FIRST, Draft, Record, seal
from pinseal.records.record_kinds import check_record
from pinseal.records.registers import Instrument, InstrumentCheck, Paper, Person
from pinseal.rules.rows import Due
from pinseal.service.duelist import due_list
from pinseal.service.workshop import AskedSheet, Registers, make_job, stand_in
from pinseal.sheets.closing import Closed, close
from pinseal.sheets.entries import read_entry
from pinseal.sheets.job import Job
from pinseal.sheets.model import Answer, Step, Want
from pinseal.sheets.taking import begin, take
from pinseal.sheets.working import Working
from pinseal.standards import choose_packs

FOLDER = Path(__file__).parent / "sheets"
Story = Mapping[str, Any]
_SETTING = {
    "name", "source", "unit", "but", "dates", "history", "on", "packs", "works", "people", "instruments", "loaners", "reads", "entries",
    "shop",
}  # fmt: skip
_EXPECTED = {
    "steps", "not_steps", "verdicts", "because", "findings", "open", "decision", "settle", "shut", "pressure", "outcome", "state",
    "records", "fields", "dues", "not_closed", "confirmations",
    "flags", "no_sheet",
}  # fmt: skip
# What a good unit of any kind shows, where neither story nor unit says otherwise.
_USUAL = {
    "temperature": "70 F", "gas": "nitrogen", "dew-point": "-70 F", "held": "60 s", "container": "drum 4", "lot": "L-1",
    "certificate": "C-1",
    "text": "as it should be", "count": "1", "yes-no": "yes", "length": "1 mm", "date": "2026-12-01", "percent": "1", "seconds": "60",
}  # fmt: skip
PERSON = "Ann Reed (invented)"
# Whoever works in a story without saying who: registered, and licensed wherever a licence is asked for.
_HAND = {"name": PERSON, "role": "technician", "papers": [{"number": "L-0", "jurisdiction": "California", "until": "2030-01-01"}]}


def read_units() -> dict[str, Any]:
    return tomllib.loads((FOLDER / "units.toml").read_text(encoding="utf-8"))


UNITS = read_units()


def read_stories() -> Iterator[tuple[str, Story]]:
    """Every story of the folder, each with a name that is unique in its file."""
    for file in sorted(FOLDER.glob("*.toml")):
        if file.name == "units.toml":
            continue
        table = tomllib.loads(file.read_text(encoding="utf-8"))
        assert set(table) == {"story"}, f"{file.name} holds [[story]] tables and nothing else"
        names = [story["name"] for story in table["story"]]
        assert len(set(names)) == len(names), f"{file.name}: a name is used twice"
        for story in table["story"]:
            odd = set(story) - _SETTING - _EXPECTED
            assert not odd, f"{file.name}, {story['name']}: {odd}"
            assert story["source"].strip() and set(story) & _EXPECTED, f"{file.name}, {story['name']}: source, and something expected"
            yield f"{file.stem}: {story['name']}", story


# -- the setting


def registered(story: Story, unit: str | None = None) -> dict[str, str]:
    """The fields of the unit's registered record."""
    plate = UNITS[unit or story["unit"]]
    said = {"id": "U-1", "serial": "S 1", "site": "Sawmill (invented)", "place": "north wall", **plate["plate"], **plate["dates"]}
    if unit is None:
        said |= {**story.get("but", {}), **story.get("dates", {})}
    return {name: text for name, text in said.items() if text != "not said"}


def _records(uid: str, drafts: Sequence[tuple[str, str, Mapping[str, str]]]) -> list[Record]:
    made: list[Record] = []
    for number, (kind, done, fields) in enumerate(drafts):
        draft = Draft(kind=kind, unit=uid, person=PERSON, done=parse_date(done), fields=check_record(kind, fields))
        previous = made[-1].digest if made else FIRST
        made.append(seal(draft, uid=f"{uid[:-4]}{number:04x}", writer="bench", previous=previous))
    return made


_UID = "01900000-0000-7000-8000-00000000{:02x}00"


def history(story: Story) -> list[tuple[str, str, Mapping[str, str]]]:
    """What is on record of the unit: its registering, then deeds as `kind`, `done` and their fields."""
    more = [(each["kind"], each["done"], {k: v for k, v in each.items() if k not in ("kind", "done")}) for each in story.get("history", ())]
    return [("registered", "2026-01-05", registered(story)), *more]


def unit_of(story: Story) -> Unit:
    return fold(_records(_UID.format(1), history(story)))


def _dues(unit: Unit, packs: str, on: date) -> list[Due]:
    return list(due_list([unit.state], choose_packs(packs.split(",")), on).all())


def instruments_of(story: Story) -> list[Instrument]:
    found = []
    for number, said in enumerate(story.get("instruments", ())):
        checks = tuple(InstrumentCheck(record=f"c{i}", done=parse_date(day), good=True) for i, day in enumerate(said.get("checked", ())))
        known = {name: said[name] for name in ("resolution", "uncertainty", "accuracy_percent") if name in said}
        found.append(Instrument(uid=f"i{number}", id=said["id"], what=said["what"], range_text=said.get("range"), checks=checks, **known))
    return found


def people_said(story: Story) -> list[Mapping[str, Any]]:
    return [_HAND, *story.get("people", ())]


def people_of(story: Story) -> list[Person]:
    found = []
    for number, said in enumerate(people_said(story)):
        papers = tuple(
            Paper(record=f"p{i}", paper="licence", number=each["number"], jurisdiction=each["jurisdiction"], until=parse_day(each["until"]))
            for i, each in enumerate(said.get("papers", ()))
        )
        found.append(Person(uid=f"h{number}", name=said["name"], role=said["role"], papers=papers))
    return found


def loaner_fields(said: Mapping[str, Any]) -> dict[str, str]:
    return {
        **registered({}, said["like"]),
        "id": said["id"],
        "serial": said["id"],
        "site": "Workshop",
        "place": "shelf",
        **said.get("but", {}),
    }


def job_of(story: Story) -> Job:
    """The job that the shop would make on that day, from the same rules."""
    on, packs = parse_day(story["on"]), story.get("packs", "us-osha,us-nfpa10")
    unit = unit_of(story)
    # A sheet that is extended is composed with the added work from its start, as the shop does it.
    added = [each.removeprefix("extend ") for each in story.get("entries", ()) if isinstance(each, str) and each.startswith("extend ")]
    asked = AskedSheet(
        works=(*story["works"], *added) if "works" in story else None, on=on, packs=tuple(c.pack.id for c in choose_packs(packs.split(",")))
    )
    made = make_job(unit, _dues(unit, packs, on), asked, Registers(instruments=instruments_of(story), people=people_of(story)))
    spare = {}
    for number, said in enumerate(story.get("loaners", ()), start=2):
        other = fold(_records(_UID.format(number), [("registered", "2026-01-05", loaner_fields(said))]))
        spare[said["id"].casefold()] = stand_in(other, _dues(other, packs, on))
    return replace(made, loaners=spare)


# -- the entries


@dataclass(slots=True)
class Played:
    """A story as it was played: the sheet, the entries that were accepted, and its end, where it has one."""

    story: Story
    work: Working
    said: list[dict[str, Any]] = field(default_factory=list)
    closed: Closed | None = None

    def enter(self, entry: dict[str, Any]) -> None:
        take(self.work, read_entry({"person": PERSON, **entry}))
        self.said.append({"person": PERSON, **entry})

    @property
    def _unit(self) -> Mapping[str, Any]:
        return dict(UNITS[self.story["unit"]])

    def _read(self, step: Step, want: Want) -> str:
        """What this unit shows at a step: as the story says, else as the unit does, else as usual."""
        for table in (self.story.get("reads", {}), self._unit.get("reads", {}), _USUAL):
            for key in (f"{step.id} {want.name}", want.name):
                if key in table:
                    return str(table[key])
        return str(self.work.job.agent) if want.name == "agent" else _USUAL[want.quantity]

    def _with_readings(self, step: Step, answer: Answer) -> dict[str, Any]:
        """The entry of an answer with every reading that it wants; `9 lb @S-1` names the instrument too."""
        entry: dict[str, Any] = {"step": step.id, "answer": answer.code}
        for want in step.wants:
            named = {want.name, f"{step.id} {want.name}"} & set(self.story.get("reads", {}))
            if (named or not want.optional) and (answer.code in want.only_with if want.only_with else answer.good):
                text, _, instrument = self._read(step, want).partition("@")
                _add(entry, f"{want.name}@{instrument}" if instrument else want.name, text.strip())
        return entry

    def _good(self, step: Step) -> dict[str, Any]:
        code = self._unit.get("answers", {}).get(step.id)
        return self._with_readings(step, (step.answer(code) if code else None) or step.good_answers[0])

    def good(self, to: str | None = None) -> None:
        """Answer every wanted step that is open, as a good unit would have it, up to a step."""
        for step in self.work.job.steps:
            if step.id == to:
                return
            if self.work.is_wanted(step) and not self.work.is_answered(step):
                self.enter(self._good(step))
        assert to is None, f"there is no step {to} on this sheet"

    def line(self, text: str, *, lead: bool) -> None:
        if text.startswith("good"):
            self.good(text.removeprefix("good to ").strip() if text != "good" else None)
            return
        if text.startswith("leave"):
            for each in _leaving(text):
                self.enter(parse_line(each))
            return
        entry = parse_line(text)
        step = self.work.job.step(entry["step"]) if "answer" in entry else None
        answer = step.answer(entry["answer"]) if step else None
        if step is not None and lead and step.when != "leaving" and step.id not in self.work.answers:
            self.good(step.id)
        if step is not None and answer is not None and "readings" not in entry:
            entry = {**self._with_readings(step, answer), **entry}
        self.enter(entry)


def _leaving(text: str) -> list[str]:
    """`leave; loaner=L-1; hazard=K` as the steps of a unit that is taken to the bench; without a loaner nothing stands there."""
    _, *more = (part.strip() for part in text.split(";"))
    stands = f"stand-in-there: stands; {'; '.join(more)}" if more else "stand-in-there: nothing"
    return [
        stands,
        "red-tag: on",
        "safe-for-the-way: safe",
        "owner-told: told; told=the owner, in writing",
        "taken-away: gone; where=bench",
    ]


def parse_line(text: str) -> dict[str, Any]:
    """A line of a story as the JSON of an entry."""
    head, *more = (part.strip() for part in text.split(";"))
    before, _, after = (part.strip() for part in head.partition(":"))
    said: dict[str, Any] = {}
    word, _, rest = before.partition(" ")
    if word == "confirm":
        said = {"confirm": rest}
    elif word == "fix":
        said = {"fix": rest, "how": after}
    elif word == "override":
        said = {"override": rest, "step": after}
    elif word == "extend":
        said = {"extend": rest}
    elif word == "abandon":
        said = {"abandon": after}
    else:
        said = {"step": before, "answer": after}
    for part in more:
        name, _, value = part.partition("=")
        _add(said, name.strip(), value.strip())
    return said


def _add(said: dict[str, Any], name: str, value: str) -> None:
    if name == "by":
        said["person"] = value
    elif name == "seconds":
        said["seconds"] = int(value)
    elif "answer" not in said or name == "note":
        said[name] = value
    else:
        reading, _, instrument = name.partition("@")
        said.setdefault("readings", {})[reading] = value
        if instrument:
            said.setdefault("instruments", {})[reading] = instrument


def play(story: Story) -> Played:
    """Enter a story; close its sheet where it expects an end."""
    played = Played(story=story, work=begin(job_of(story)))
    for each in story.get("entries", ()):
        if isinstance(each, str):
            played.line(each, lead=True)
        elif "refused" in each:
            _refused(played, each)
        else:
            played.line(each["say"], lead=not each.get("now", False))
    if set(story) & {"outcome", "records", "fields", "dues", "state"}:
        played.closed = close(played.work, sheet="sheet-1")
    return played


def refusal_of(do: Callable[[], object]) -> str:
    """All that a refusal says; nothing where it was done."""
    try:
        do()
    except Refusal as refused:
        return f"{refused.what}; {refused.rule}; {refused.got}; {refused.do}"
    return ""


def says(told: str, words: Sequence[str], whose: str) -> None:
    assert told, f"{whose}: it was not refused"
    for each in words:
        assert each in told, f"{whose}: no {each!r} in {told!r}"


def _refused(played: Played, said: Mapping[str, Any]) -> None:
    """An entry that must be refused, with its words, and that changes nothing."""
    before = _shape(played.work)
    says(refusal_of(lambda: played.line(said["say"], lead=False)), said["refused"], said["say"])
    assert _shape(played.work) == before, f"{said['say']}: a refused entry changed something"


def _shape(work: Working) -> tuple[object, ...]:
    return (
        len(work.entries),
        list(work.picture.told),
        list(work.picture.reads),
        list(work.findings),
        dict(work.answers),
        dict(work.overrides),
    )
