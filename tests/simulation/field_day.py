"""A day of two phones and an office on one site, told once as a script and then delivered over a good line and over a bad one.

The script, the phones and the faults come from seeds. The shop is a real one behind the real door; the line loses, repeats,
delays and cuts what it carries, and the server is killed between two statements and opened again from what the disk holds.
"""

from __future__ import annotations

import hashlib
import itertools
import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from door_shop import MILL, NOW, OTHER, TECH, FixedApp, good_entries, make_shop, png, signed_in, unit_uid
from field_phone import Phone
from places import Fuse, PowerCutError, copy_disk

from pinseal.app.day import ShopDay
from pinseal.app.door import ShopDoor
from pinseal.app.ground import Asked
from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.records.record import Draft, Record, canonical, uuid7
from pinseal.service.books import BOOK_KINDS, make_books
from pinseal.service.sheet_shapes import SheetAsked
from pinseal.store import Shop
from pinseal.web.api_body import parse_json
from pinseal.web.api_doors import WrongShape

UNITS = tuple(unit_uid(n) for n in (0, 1, 3))
WORKS = (["inspection"], ["inspection"], ["maintenance"])
ACCOUNTS = {"tech-door": TECH, "other-door": OTHER}
CLOCKS = (timedelta(), timedelta(), timedelta(hours=-7), timedelta(days=366), timedelta(days=-365))
Step = Callable[["Site"], None]


@dataclass(frozen=True)
class Template:
    """One shop with its units, made once; each day works on a copy. `entries` are those of somebody who finds nothing wrong."""

    path: Path
    entries: dict[tuple[str, str], list[dict[str, Any]]]
    answers: dict[str, tuple[str, ...]]

    @classmethod
    def make(cls, folder: Path) -> Template:
        app, path = make_shop(folder, 4)
        entries, answers = {}, {}
        for unit, work in itertools.product(UNITS, ("inspection", "maintenance")):
            entries[unit, work] = [each.as_json() for each in good_entries(app, path, unit, (work,))]
            for step in app.sheet(path, SheetAsked(unit=unit, works=(work,), on=NOW.date())).work.job.steps:
                answers[step.id] = tuple(each.code for each in step.answers)
        return cls(path, entries, answers)


@dataclass
class Site:
    """The shop, the phones, and the time by the shop's clock."""

    template: Template
    folder: Path
    random: Random  # of the line alone: the script has its own
    fuse: Fuse
    bad: bool
    by_http: bool  # else the door is called as the web calls it, which takes less time
    now: datetime = NOW
    lives: int = 0
    log: list[str] = field(default_factory=list)
    late: list[tuple[Phone, bytes]] = field(default_factory=list)
    phones: tuple[Phone, ...] = ()

    def __post_init__(self) -> None:
        self.folder.mkdir(parents=True)
        self.path = self.folder / self.template.path.name
        copy_disk(self.template.path, self.folder / "first" / self.path.name)
        self._serve(self.folder / "first" / self.path.name)

    def _serve(self, path: Path) -> None:
        self.path, self.app = path, FixedApp()
        self.app.moment = self.now
        self.door = ShopDoor(self.app, path)
        self.clients = {token: signed_in(self.app, path, token) for token in ACCOUNTS} if self.by_http else {}

    def chance(self, share: float) -> bool:
        return self.bad and self.random.random() < share

    def at(self, moment: datetime) -> None:
        self.now = max(self.now, moment)
        self.app.moment = max(self.app.moment, self.now)

    # The line

    def post(self, phone: Phone, body: bytes) -> dict[str, Any] | None:
        if self.chance(0.15):
            self.log.append(f"{phone.name}: lost on the way")
            return None
        if self.chance(0.15):
            self.late.append((phone, body))
            self.log.append(f"{phone.name}: sent again later")
        if self.chance(0.1):
            cut = body[: self.random.randrange(1, len(body))]
            assert self._asked(phone, cut) is None, "half a batch was taken"
            self.log.append(f"{phone.name}: cut half-way")
            return None
        said = self._killed(phone, body) if self.chance(0.15) else self._asked(phone, body)
        if said is None or not self.chance(0.15):
            return said
        self.log.append(f"{phone.name}: the answer was lost")
        return None

    def _asked(self, phone: Phone, body: bytes) -> dict[str, Any] | None:
        """The answer of the door; None where the batch cannot be read."""
        if self.by_http:
            answer = self.clients[phone.token].post("/api/door", content=body, headers={"content-type": "application/json"})
            assert answer.status_code in (200, 422), answer.text
            return dict(answer.json()) if answer.status_code == 200 else None
        try:
            return self.door.take(parse_json(body), ACCOUNTS[phone.token])
        except WrongShape:
            return None

    def _killed(self, phone: Phone, body: bytes) -> dict[str, Any] | None:
        """The power fails before one of the next statements; the shop is opened again from what the disk then holds."""
        self.lives += 1
        left = self.folder / f"life-{self.lives}" / self.path.name
        self.fuse.arm(self.path, left, self.random.randrange(200))
        try:
            return self._asked(phone, body)
        except PowerCutError:
            self.log.append(f"{phone.name}: the server was killed")
            old = self.path
            self._serve(left)
            shutil.rmtree(old.parent)
            return None
        finally:
            self.fuse.disarm()

    def put(self, phone: Phone, sha256: str, content: bytes) -> dict[str, Any] | None:
        if self.chance(0.2):
            self.log.append(f"{phone.name}: photo lost")
            return None
        if self.chance(0.1):
            assert self._put(phone, sha256, content[: len(content) // 2]) is None, "half a photo was taken"
        said = self._put(phone, sha256, content)
        return None if self.chance(0.2) else said

    def _put(self, phone: Phone, sha256: str, content: bytes) -> dict[str, Any] | None:
        if self.by_http:
            answer = self.clients[phone.token].put(f"/api/door/photos/{sha256}", content=content)
            assert answer.status_code in (200, 400), answer.text
            return dict(answer.json()) if answer.status_code == 200 else None
        try:
            return self.door.keep_photo(sha256, content, name="", account=ACCOUNTS[phone.token])
        except Refusal:
            return None

    def deliver_late(self) -> None:
        """A batch that was sent long ago comes once more; nobody hears the answer."""
        while self.late and self.chance(0.5):
            phone, body = self.late.pop(self.random.randrange(len(self.late)))
            self._asked(phone, body)

    def deliver_all(self) -> None:
        """The line works for once: everything is sent, and what was refused is tried again as long as that helps."""
        self.bad = False
        for phone, body in self.late:
            self._asked(phone, body)
        for _ in range(3):
            for phone in self.phones:
                phone.retry()
                phone.send(self, self.now)
        assert not any(phone.waits() for phone in self.phones)

    # The office

    def record(self, number: int, kind: str, unit: str, **fields: str) -> None:
        uid = uuid7(at=self.now, randomness=number.to_bytes(8, "big"), sequence=number)
        draft = Draft(kind=kind, unit=unit, person="Ida Quill", done=PartialDate.of(self.now.date()), fields=fields, uid=uid)
        with Shop.open(self.path) as shop:
            shop.write([draft], writer="office", received=self.app.now())

    def take_along(self) -> None:
        day = ShopDay(self.app, self.path).day((MILL,), None, TECH)
        for phone in self.phones:
            phone.taken = day["at"]


def script(seed: int, template: Template) -> Iterator[tuple[timedelta, Step]]:
    """What people do, each deed with its time of the day. The same for every line."""
    rng = Random(seed)
    moment = timedelta(minutes=5)
    for number in range(rng.randint(6, 10)):
        moment += timedelta(minutes=rng.randint(1, 30))
        who = rng.choice((0, 0, 0, 1, 1, 1, 2))
        yield moment, _office_deed(rng, number) if who == 2 else _phone_deed(rng, who, template)


def _office_deed(rng: Random, number: int) -> Step:
    unit = rng.choice(UNITS)
    kind, fields = rng.choice(
        (
            ("moved", {"place": f"bay {rng.randint(1, 4)}"}),
            ("noted", {"note": "told on the telephone"}),
            ("removed", {"reason": "stolen"}),
            ("condemned", {"reason": "pitted"}),
            ("returned", {"site": MILL}),
            ("remedied", {"finding": "bracket-loose", "how": "bolted"}),
            ("inspected", {}),
        )
    )
    return lambda site: site.record(number, kind, unit, **fields)


def _phone_deed(rng: Random, who: int, template: Template) -> Step:
    unit = rng.choice(UNITS)
    kind = rng.choice(("sheet", "sheet", "sheet", "mark", "mark", "photo", "unlisted"))
    if kind == "mark":
        record, fields = rng.choice(
            (
                ("moved", {"site": MILL, "place": f"hall {rng.randint(1, 4)}"}),
                ("not-done", {"reason": "missing: not at its place"}),
                ("not-done", {"reason": "blocked: a pallet stands before it"}),
                ("noted", {"note": "sign hangs low"}),
                ("found-deficient", {"finding": "bracket-loose", "words": "the bracket is loose"}),
            )
        )
        return lambda site: site.phones[who].say(site.now, record, unit, **fields)
    if kind == "photo":
        content = png(4, rng.randint(1, 3))
        return lambda site: site.phones[who].photograph(site.now, content, unit, note="as it hangs")
    if kind == "unlisted":
        return lambda site: _unlisted(site, who)
    return _sheet_deed(rng, who, unit, template)


def _unlisted(site: Site, who: int) -> None:
    phone = site.phones[who]
    unit = phone.uid(site.now)
    phone.say(site.now, "registered", unit, note="red, no number", site=MILL)
    phone.say(site.now, "noted", unit, note="nobody knows it")


def _sheet_deed(rng: Random, who: int, unit: str, template: Template) -> Step:
    """Some of a sheet, all of it, or all with one other answer; then it is finished, left, or still under work."""
    works = rng.choice(WORKS)
    entries = [dict(each) for each in template.entries[unit, works[0]]]
    if rng.random() < 0.3:
        chosen = rng.choice([each for each in entries if "step" in each])
        chosen["answer"] = rng.choice(template.answers[chosen["step"]])
    some = entries if rng.random() < 0.8 else entries[: rng.randrange(1, len(entries))]
    end = rng.choice(("close", "close", "close", "left", ""))
    signed = rng.random() < 0.3

    def deed(site: Site) -> None:
        phone = site.phones[who]
        uid = phone.begin(site.now, unit, works)
        for each in some:
            phone.enter(site.now, uid, each)
        if end:
            phone.finish(uid, left=end == "left")
        if end and signed:
            phone.photograph(site.now, png(3, 3), unit, sheet=uid, note="handed over")

    return deed


@dataclass(frozen=True)
class End:
    """What a shop says in the end, without the names and times that are each line's own."""

    units: dict[str, Any]
    dues: list[Any]
    sheets: dict[str, Any]
    deficiencies: list[Any]
    files: dict[str, str]


def run(seed: int, template: Template, folder: Path, fuse: Fuse, *, bad: bool) -> tuple[Site, End]:
    """The day of a seed over a good line (all is sent in the evening) or a bad one (sent at all times, with faults)."""
    clocks = Random(seed + 1)
    site = Site(template, folder, Random(seed + 2), fuse, bad, by_http=bad and seed % 10 == 0)
    site.phones = (
        Phone("phone-0000000a", "tech-door", "Tobiah Marsh", clocks.choice(CLOCKS)),
        Phone("phone-0000000b", "other-door", "Orla Fenn", clocks.choice(CLOCKS)),
    )
    site.take_along()
    for moment, deed in script(seed, template):
        site.at(NOW + moment)
        deed(site)
        for phone in site.phones:
            if site.chance(0.6):
                phone.send(site, site.now)
            if site.chance(0.2):
                phone.retry()
        site.deliver_late()
        if site.chance(0.2):
            check_told(site)
    site.at(NOW + timedelta(hours=9))
    site.deliver_all()
    check_told(site)
    return site, end_of(site)


def check_told(site: Site) -> None:
    """What any phone was told is kept is there, once."""
    with Shop.open(site.path, readonly=True) as shop:
        records, sheets = shop.records(), shop.sheets()
    once = [*(r.uid for r in records), *(e.entry["uid"] for s in sheets for e in s.entries if "uid" in e.entry)]
    once += [f"closed {s.uid}" for s in sheets if s.closed] + [each.name for each in _files(site)]
    for phone in site.phones:
        assert not phone.told - set(once), f"{phone.name} was told of what is not there: {phone.told - set(once)}"
    assert len(once) == len(set(once)), "something is there twice"
    worked = [r.fields["sheet"] for r in records if r.kind == "worked"]
    assert sorted(worked) == sorted(s.uid for s in sheets if s.closed), "a closed sheet has its records, and has them once"


def _files(site: Site) -> list[Path]:
    folder = site.path.with_name(f"{site.path.name}.files")
    return sorted(each for each in folder.rglob("*") if each.is_file()) if folder.is_dir() else []


def end_of(site: Site) -> End:
    with Shop.open(site.path) as shop:
        proof = shop.verify()
        assert proof.holds, proof.problems
        assert not any(chain.waiting for chain in proof.chains)
        records, sheets, states = shop.records(), shop.sheets(), shop.units()
        folded = shop.state()
        assert [unit.state for unit in folded.values()] == states, "the projection is not the fold"
        dues = site.app._shop_dues(shop, Asked(on=NOW.date() + timedelta(days=1)))
        names = {record.uid: _name(record) for record in records}
        books = make_books(record for record in records if record.kind in BOOK_KINDS)
        return End(
            units={uid: _unit(unit, names) for uid, unit in folded.items()},
            dues=[(dues.states[each.index].uid, each.duty, each.state, each.earliest, each.latest) for each in dues.all()],
            sheets={s.uid: (s.unit, s.person, s.on_day, [_entry(e.entry) for e in s.entries]) for s in sheets},
            deficiencies=[(d.unit, d.finding, d.found, d.person, d.remedied, d.how, d.remedied_by) for d in books.deficiencies],
            files={each.name: hashlib.sha256(each.read_bytes()).hexdigest() for each in _files(site)},
        )


def _entry(entry: Any) -> Any:
    return {name: value for name, value in entry.items() if name != "person"}


def _name(record: Record) -> str:
    """What a record says, as its name: uids that the shop makes are each line's own."""
    said = [record.kind, record.unit, record.writer, record.person, str(record.done), dict(record.fields)]
    return hashlib.sha256(canonical(said)).hexdigest()[:12] + f" {record.kind}"


def _unit(unit: Any, names: dict[str, str]) -> Any:
    state = unit.state
    return {
        "state": (state.id, state.site, state.place, state.nameplate, dict(state.dates), state.removed),
        "set by": {fact: names.get(uid, uid) for fact, uid in state.set_by.items()},
        "facts": [(names[fact.uid], fact.done, dict(fact.fields)) for fact in unit.facts],
        "marks": sorted((names[mark.record], mark.text) for mark in unit.marks if "day on which it was received" not in mark.text),
        "held": {name: [(each.value, str(each.since)) for each in some] for name, some in unit.identities.items()},
        "ends": (unit.condemned, unit.tag, unit.away and {**unit.away, "record": ""}),
    }


def differences(one: End, other: End) -> list[str]:
    """In which parts two ends differ, and where."""
    found = []
    for part in ("units", "dues", "sheets", "deficiencies", "files"):
        mine, theirs = getattr(one, part), getattr(other, part)
        if mine == theirs:
            continue
        if not isinstance(mine, dict):
            found.append(f"{part}: {mine} and {theirs}")
            continue
        for key in {*mine, *theirs}:
            if mine.get(key) != theirs.get(key):
                found.append(f"{part} of {key}: {_apart(mine.get(key), theirs.get(key))}")
    return found


def _apart(one: Any, other: Any) -> str:
    if isinstance(one, dict) and isinstance(other, dict):
        return "; ".join(f"{key}: {_apart(one.get(key), other.get(key))}" for key in {*one, *other} if one.get(key) != other.get(key))
    if isinstance(one, Sequence) and isinstance(other, Sequence) and not isinstance(one, str):
        return f"only here {[each for each in one if each not in other]}, only there {[each for each in other if each not in one]}" + (
            "" if sorted(map(repr, one)) != sorted(map(repr, other)) else f" (another order: {one} / {other})"
        )
    return f"{one} / {other}"
