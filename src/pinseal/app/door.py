"""The sync door of one shop: facts and job sheets of devices, judged anew by the shop, kept item by item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.reasons import Refusal, ShopUnusable
from pinseal.service.door import (
    KEPT,
    KNOWN,
    OWNER_WORKS,
    REFUSED,
    Ended,
    Hand,
    Said,
    SheetSaid,
    check_entry,
    check_reach,
    other_content,
    signer,
)
from pinseal.service.sent import NotRead, SentEntry, SentSheet

if TYPE_CHECKING:
    from pinseal.app import App
    from pinseal.records.fold import Unit
    from pinseal.records.record import Draft, Record
    from pinseal.records.unit import UnitState
    from pinseal.sheets.entries import Entry
    from pinseal.sheets.job import Job
    from pinseal.sheets.working import Working
    from pinseal.store import Shop
    from pinseal.store.sheets import KeptSheet
    from pinseal.web.account import Account

_TRIES = 3  # two hands on one sheet: read it again and add what is still missing


@dataclass(frozen=True, slots=True)
class Keeping:
    """A shop's file as `service.door.DoorKeeper`."""

    shop: Shop

    def records_named(self, uids: Sequence[str]) -> dict[str, Record]:
        from pinseal.store.door import records_named

        return records_named(self.shop, uids)

    def states_named(self, uids: Sequence[str]) -> dict[str, UnitState]:
        from pinseal.store.door import states_named

        return states_named(self.shop, uids)

    def units_named(self, uids: Sequence[str]) -> dict[str, Unit]:
        from pinseal.store.door import units_named

        return units_named(self.shop, uids)

    def write(self, drafts: Sequence[Draft], *, writer: str, received: datetime) -> list[Record]:
        return self.shop.write(drafts, writer=writer, received=received)


@dataclass(slots=True)
class Weighed:
    """A sheet with what was sent: its state by the shop's judging, what is to be added, and the answer for each entry sent."""

    work: Working
    unit: Mapping[str, Any]
    new: list[Entry]
    answers: list[Said]


class ShopDoor:
    """Answers `web.door.Door` for one shop's file."""

    def __init__(self, app: App, path: Path) -> None:
        self.app, self.path = app, path

    def take(self, said: object, account: Account) -> dict[str, Any]:
        """Keep what a device sends. Raises `Refusal` for a batch that cannot be read at all, `ShopUnusable` for a bad shop."""
        from pinseal.records.record import instant_text
        from pinseal.service.door import take_drafts
        from pinseal.service.sent import clock_mark, clock_words, read_batch

        now = self.app.now()
        batch = read_batch(said, now=now)
        with self.app._open(self.path) as shop:
            hand = replace(self._hand(shop, account, batch.device, now), clock=clock_mark(batch.clock_off))
            drafts = take_drafts(Keeping(shop), batch.drafts, hand)
            sheets = [self._take_sheet(shop, each, hand) for each in batch.sheets]
        return {
            "device": batch.device,
            "received": instant_text(now),
            "said": list(clock_words(batch.clock_off)),
            "drafts": [each.as_json() for each in drafts],
            "sheets": [each.as_json() for each in sheets],
        }

    def _hand(self, shop: Shop, account: Account, device: str, now: datetime) -> Hand:
        today = shop.settings().today(now)
        return Hand(person=account.name, role=account.role, device=device, now=now, today=today, sites=account.reach)

    def keep_photo(self, sha256: str, content: bytes, *, name: str, account: Account) -> dict[str, Any]:
        """Keep a photo under the SHA-256 of its content; the same one again changes nothing. Raises `Refusal`."""
        from pinseal.service.door import check_writes
        from pinseal.service.pictures import check_name, read_picture

        check_writes(account.role, account.name)
        seen = read_picture(content, sha256=sha256)
        shown = check_name(name) if name else f"photo-{sha256[:12]}.{seen.ending}"
        with self.app._open(self.path) as shop:
            word = KNOWN if shop.file(sha256) is not None else KEPT
            shop.add_file(shown, content, person=account.name, received=self.app.now())
        return {"sha256": sha256, "word": word, "kind": seen.kind, "width": seen.width, "height": seen.height}

    # Job sheets

    def _take_sheet(self, shop: Shop, sent: SentSheet | NotRead, hand: Hand) -> SheetSaid:
        if isinstance(sent, NotRead):
            return SheetSaid(sheet=Said(uid=sent.uid, word=REFUSED, refusal=sent.refusal))
        try:
            kept, word = self._begun(shop, sent, hand)
            return self._entered(shop, sent, kept, word, hand)
        except ShopUnusable:
            raise
        except Refusal as refused:
            return SheetSaid(sheet=Said(uid=sent.uid, word=REFUSED, refusal=refused))

    def _begun(self, shop: Shop, sent: SentSheet, hand: Hand) -> tuple[KeptSheet, str]:
        """The sheet as it is kept, begun where it is new. Raises `Refusal`."""
        from pinseal.store.door import states_named

        state = states_named(shop, [sent.unit]).get(sent.unit)
        if state is None:
            raise Refusal(
                what="there is no such unit in this shop",
                rule="a job sheet is about a unit of the shop",
                got=sent.unit,
                do="send the record that registers it first",
            )
        check_reach(hand, state, sent.works, OWNER_WORKS)
        kept = shop.sheet(sent.uid)
        if kept is not None:
            return _the_same_sheet(kept, sent, hand), KNOWN
        begun = self._new_sheet(shop, sent, signer(sent.person, hand), hand)
        shop.begin_sheet(begun)
        return begun, KEPT

    def _new_sheet(self, shop: Shop, sent: SentSheet, person: str, hand: Hand) -> KeptSheet:
        from pinseal.records.record import instant_text
        from pinseal.service.sheet_shapes import SheetAsked

        asked = SheetAsked(unit=sent.unit, works=sent.works, on=sent.on)
        taken = sent.taken if sent.taken and sent.taken <= hand.now else None
        job, _ = self.app._job(shop, asked, kept=True, taken=taken)
        made = self.app._kept(job, asked, sent.uid, person, hand.device)
        more: dict[str, Any] = {"asked": list(sent.works)} | ({"taken": instant_text(taken)} if taken else {})
        return replace(made, received=hand.now, content={**made.content, **more})

    def _entered(self, shop: Shop, sent: SentSheet, kept: KeptSheet, word: str, hand: Hand) -> SheetSaid:
        from pinseal.dates import PartialDate
        from pinseal.service.sent import day_words
        from pinseal.sheets.decision import decide
        from pinseal.sheets.view import verdicts_json

        weighed, kept = self._added(shop, sent, kept, hand)
        ended = self._closed(shop, kept, weighed, hand) if sent.close else None
        odd = day_words(PartialDate.of(sent.on), hand.today) + _others_words(shop, kept)
        return SheetSaid(
            sheet=Said(uid=sent.uid, word=word, said=odd),
            entries=tuple(weighed.answers),
            close=ended,
            verdicts=tuple(verdicts_json(weighed.work)),
            decision=decide(weighed.work).as_json(),
        )

    def _added(self, shop: Shop, sent: SentSheet, kept: KeptSheet, hand: Hand) -> tuple[Weighed, KeptSheet]:
        """Keep the entries that are new, in their order. Where somebody else adds to the sheet meanwhile, it is read again."""
        from pinseal.store.door import NewEntry, add_entries

        for _ in range(_TRIES):
            weighed = self._weighed(shop, sent, kept, hand)
            new = [NewEntry(entry=each.as_json(), person=each.person) for each in weighed.new]
            if not new:
                return weighed, kept
            try:
                add_entries(shop, kept.uid, new, received=hand.now, expect=kept.next_number)
            except ShopUnusable:
                raise
            except Refusal:
                again = shop.sheet(kept.uid)
                if again is None or again.next_number == kept.next_number:
                    raise
                kept = again
            else:
                added = shop.sheet(kept.uid)
                assert added is not None, "a sheet that was added to is kept"
                return weighed, added
        raise Refusal(
            what="somebody else is writing on this job sheet",
            rule="one hand at a time adds to a sheet",
            got=kept.uid,
            do="send it again in a moment; nothing is lost",
        )

    def _weighed(self, shop: Shop, sent: SentSheet, kept: KeptSheet, hand: Hand) -> Weighed:
        """Take the kept entries and then the new ones, as they will be taken whenever the sheet is opened again."""
        from pinseal.sheets.entries import read_entry
        from pinseal.sheets.taking import begin, take

        old = [read_entry(each.entry) for each in kept.entries if "closed" not in each.entry]
        answers, new = _sorted_out(sent, kept, {each.uid: each for each in old if each.uid}, hand)
        job, unit, refused = self._job_with(shop, kept, old, list(new.values()))
        for uid, refusal in refused.items():
            answers[uid] = Said(uid=uid, word=REFUSED, refusal=refusal)
        wanted = [each for each in new.values() if each.uid not in refused]
        work = begin(self.app._with_loaners_of(shop, job, [*old, *wanted]))
        kept_now: list[Entry] = []
        for number, entry in enumerate([*old, *wanted], start=1):
            if number > len(old):
                if not_theirs := _not_theirs(entry, work, hand):
                    answers[entry.uid] = Said(uid=entry.uid, word=REFUSED, refusal=not_theirs)
                    continue
                kept_now.append(entry)
            try:
                take(work, entry)
            except Refusal as refusal:
                work.set_aside.append(f"entry {number}: {refusal.what}")
                if entry.uid in answers:
                    answers[entry.uid] = replace(answers[entry.uid], said=(f"Set aside, it does not fit: {refusal}",))
        in_order = [_said_of(each, answers) for each in sent.entries]
        return Weighed(work=work, unit=unit, new=kept_now, answers=in_order)

    def _job_with(
        self, shop: Shop, kept: KeptSheet, old: Sequence[Entry], new: Sequence[Entry]
    ) -> tuple[Job, dict[str, Any], dict[str, Refusal]]:
        """The job with the works that entries add. An entry whose work cannot be added is refused: it would shut the whole sheet."""
        from pinseal.app.sheets import taken_of
        from pinseal.service.sheet_shapes import SheetAsked
        from pinseal.sheets.entries import extended

        asked = SheetAsked(unit=kept.unit, works=(*kept.works, *extended(old)), on=kept.on_day, packs=kept.content.get("packs"))
        taken = taken_of(kept)
        job, unit = self.app._job(shop, asked, kept=True, taken=taken)
        refused: dict[str, Refusal] = {}
        for entry in new:
            if entry.kind != "extend":
                continue
            try:
                asked = replace(asked, works=(*(asked.works or ()), entry.subject))
                job, unit = self.app._job(shop, asked, kept=True, taken=taken)
            except Refusal as refusal:
                refused[entry.uid] = refusal
                asked = replace(asked, works=(asked.works or ())[:-1])
        return job, unit, refused

    def _closed(self, shop: Shop, kept: KeptSheet, weighed: Weighed, hand: Hand) -> Ended:
        """Close the sheet as `pinseal finish` does, by the shop's own judging; one that is closed already is known."""
        from pinseal.service.sheet_shapes import OpenedSheet
        from pinseal.sheets.closing import close

        if kept.closed:
            said = kept.entries[-1].entry
            return Ended(word=KNOWN, outcome=said["closed"], state=said.get("state", ""))
        if any(each.word == REFUSED for each in weighed.answers):
            return Ended(word=REFUSED, refusal=_not_whole(kept))
        try:
            signer(kept.person, hand)
            closed = close(weighed.work, sheet=kept.uid)
            sheet = OpenedSheet(uid=kept.uid, work=weighed.work, unit=weighed.unit, others=(), next_number=kept.next_number)
            done = self.app._close(shop, sheet, closed, person=kept.person, writer=hand.device, expect=kept.next_number, of_device=hand)
        except ShopUnusable:
            raise
        except Refusal as refused:
            return Ended(word=REFUSED, refusal=refused)
        moved = tuple(each.as_json() for each in done.moved)
        return Ended(word=KEPT, outcome=closed.outcome, state=closed.state_words, records=len(done.records), moved=moved)


def _the_same_sheet(kept: KeptSheet, sent: SentSheet, hand: Hand) -> KeptSheet:
    """The kept sheet, where it is the one that was sent. Raises `Refusal` for another device, unit, day or work."""
    asked = tuple(kept.content.get("asked", kept.works))
    said = (kept.unit, kept.on_day, asked, kept.writer)
    if said != (sent.unit, sent.on, sent.works, hand.device) or (sent.person and sent.person != kept.person):
        raise other_content("job sheet", sent.uid)
    return kept


def _sorted_out(sent: SentSheet, kept: KeptSheet, old: Mapping[str, Entry], hand: Hand) -> tuple[dict[str, Said], dict[str, Entry]]:
    """Which of the sent entries are known, refused, or new (in their order), by uid."""
    answers: dict[str, Said] = {}
    new: dict[str, Entry] = {}
    for each in sent.entries:
        if isinstance(each, NotRead):
            continue
        try:
            answers[each.uid] = _one_entry(each, kept, old, new, hand)
        except Refusal as refusal:
            if each.uid not in new:
                answers[each.uid] = Said(uid=each.uid, word=REFUSED, refusal=refusal)
    return answers, new


def _one_entry(sent: SentEntry, kept: KeptSheet, old: Mapping[str, Entry], new: dict[str, Entry], hand: Hand) -> Said:
    from pinseal.sheets.entries import read_entry

    entry = read_entry(sent.said)
    there = old.get(sent.uid) or new.get(sent.uid)
    if there is not None:
        if replace(entry, person=entry.person or there.person) != there:
            raise other_content("entry", sent.uid)
        return Said(uid=sent.uid, word=KEPT if sent.uid in new else KNOWN)
    if kept.closed:
        raise Refusal(what="this job sheet is closed", rule="a closed sheet takes no more entries", got=kept.uid, do="begin another sheet")
    if hand.sites is not None:
        check_entry(entry)
    new[sent.uid] = replace(entry, person=signer(entry.person or kept.person, hand))
    return Said(uid=sent.uid, word=KEPT)


def _not_theirs(entry: Entry, work: Working, hand: Hand) -> Refusal | None:
    """Why an entry is not for this hand, or None."""
    try:
        if hand.sites is not None:
            check_entry(entry, work)
    except Refusal as refusal:
        return refusal
    return None


def _said_of(sent: SentEntry | NotRead, answers: Mapping[str, Said]) -> Said:
    if isinstance(sent, NotRead):
        return Said(uid=sent.uid, word=REFUSED, refusal=sent.refusal)
    return answers[sent.uid]


def _not_whole(kept: KeptSheet) -> Refusal:
    return Refusal(
        what="the job sheet is not closed: an entry of it was refused",
        rule="a sheet is closed with all that was entered on it",
        got=kept.uid,
        do="mend the entry on the device, or leave it out, and send the sheet again",
    )


def _others_words(shop: Shop, kept: KeptSheet) -> tuple[str, ...]:
    """Other sheets that are open for the unit: all of them stay."""
    return tuple(
        f"{each.person} has a sheet open for this unit too, since {each.on_day.isoformat()} ({', '.join(each.works)}). Both stay."
        for each in shop.open_sheets(kept.unit)
        if each.uid != kept.uid
    )
