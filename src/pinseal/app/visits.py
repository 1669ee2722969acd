"""Visits: which there were, and the report of one with the page that proves it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from pinseal.app.ground import NOBODY, Asked
from pinseal.app.papers import Papers, dates_as
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.documents.paper import Paper, PaperHead
    from pinseal.records.record import Record
    from pinseal.records.tie import Tie
    from pinseal.rules.rows import Due
    from pinseal.service.visits import FoldedUnit, PastVisit, Visit, VisitAsked
    from pinseal.store import Settings, Shop

PHOTO_SIDE, SIGNATURE_SIDE = 640, 700  # pixels: 270 an inch at the width at which a photo is printed
_PHOTOS_AT_ONCE = 3
PRICED = ("deficiency-quoted", "quote-answered")


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitReport:
    """A report that is ready. `records` are the records that it rests on as they were kept.

    `hidden` are those whose text is held back from the page of proof: they name an erased person or another site, or a price.
    """

    visit: Visit
    tie: Tie
    settings: Settings
    head: PaperHead
    records: tuple[Record, ...]
    hidden: frozenset[str]
    files: Mapping[str, Path]

    def paper(self) -> Paper:
        """The paper, its photos made small. Each photo is opened alone."""
        from pinseal.documents.codes import qr_svg
        from pinseal.documents.paper import Paper
        from pinseal.service.visit_paper import paper_data

        pictures = dict(self._pictures())
        with dates_as(self.settings):
            data = paper_data(self.visit, self.tie, {sha256: name for sha256, (name, _) in pictures.items()})
        data["tie"]["qr"] = qr_svg(self.tie.hash)
        return Paper(template="report", head=self.head, data=data, pictures=dict(pictures.values()))

    def pdf(self) -> bytes:
        return self.paper().draw().pages.pdf

    def _pictures(self) -> Iterable[tuple[str, tuple[str, bytes]]]:
        """The pictures that can be shown, by SHA-256, each with its name on the paper. A few are opened at once, never all."""
        from concurrent.futures import ThreadPoolExecutor

        signed = {each.signature for each in self.visit.handed if each.signature}
        wanted = [each for each in dict.fromkeys((*(photo.sha256 for photo in self.visit.photos), *sorted(signed))) if each in self.files]
        with ThreadPoolExecutor(_PHOTOS_AT_ONCE) as pool:
            made = pool.map(lambda each: _small(self.files[each], each in signed), wanted)
            for number, (sha256, small) in enumerate(zip(wanted, made, strict=True)):
                if small is not None:
                    yield sha256, (f"{number}.{'png' if sha256 in signed else 'jpg'}", small)

    def as_json(self) -> dict[str, Any]:
        from pinseal.records.tie import RULE
        from pinseal.service.visit_words import visit_json

        with dates_as(self.settings):
            said = visit_json(self.visit)
        records = [{"uid": uid, "digest": digest} for uid, digest in self.tie.lines]
        return {
            **said,
            "owner": self.settings.owner_at(self.visit.asked.site) or None,
            "notes": list(self.head.notes),
            "rests_on": {"hash": self.tie.hash, "rule": RULE, "about": self.tie.about, "records": records},
        }

    def proof(self) -> str:
        """The page that works the hash out again: one HTML file that needs no network."""
        from pinseal.documents.proof_page import ProofLine, proof_page
        from pinseal.records.record import text_of
        from pinseal.records.tie import RULE

        by_uid = {record.uid: record for record in self.records}
        lines = [
            ProofLine(uid=uid, digest=digest, text=None if uid in self.hidden else text_of(by_uid[uid])) for uid, digest in self.tie.lines
        ]
        return proof_page(title=self.head.title, shop=self.head.shop, about=self.tie.about, hash=self.tie.hash, rule=RULE, lines=lines)


def _small(path: Path, is_signed: bool) -> bytes | None:
    from pinseal.documents.photos import shrunk

    try:
        content = path.read_bytes()
    except OSError:  # it was there a moment ago; the paper says that it is not here
        return None
    return shrunk(content, side=SIGNATURE_SIDE if is_signed else PHOTO_SIDE, line=is_signed)


class Visits(Papers):
    """What is asked of visits."""

    def visits(self, path: Path, *, first: date, last: date, site: str | None = None) -> list[PastVisit]:
        """The days with work at a site, the latest first; the site is where the unit belongs today."""
        from pinseal.service.visits import DEED_KINDS, PastVisit
        from pinseal.store.visits import deeds_between

        with self._open(path, readonly=True) as shop:
            sites = {state.uid: state.site for state in shop.units() if state.site}
            found: dict[tuple[str, str], int] = {}
            for unit, day in deeds_between(shop, DEED_KINDS, first, last):
                if unit in sites and site in (None, sites[unit]):
                    found[day, sites[unit] or ""] = found.get((day, sites[unit] or ""), 0) + 1
        return [PastVisit(site=where, on=date.fromisoformat(day), units=count) for (day, where), count in found.items()]

    def visit_report(
        self, path: Path, site: str, *, first: date | None = None, last: date | None = None, prices: bool = True
    ) -> VisitReport:
        """The report of a visit; without days, of the last one. `prices`: whether the reader may see what was quoted. Raises `Refusal`."""
        from pinseal.records.tie import tie
        from pinseal.service.visits import VisitAsked, check_days, units_of_visit
        from pinseal.store.looking import records_of_units
        from pinseal.store.visits import units_ever_at

        with self._open(path, readonly=True) as shop:
            settings, name = shop.settings(), _spelt(shop, site)
            today = settings.today(self.now())
            first = first or last or self._last_day(path, name, today)
            asked = VisitAsked(site=name, first=first, last=last or first)
            check_days(asked.first, asked.last, today)
            kept, veils = records_of_units(shop, units_ever_at(shop, name)), shop.veils()
            shown = {uid: [veils.over_record(record) for record in some] for uid, some in kept.items()}
            with dates_as(settings):
                visit = self._visit(shop, settings, asked, units_of_visit(asked, shown), shown)
            wanted = [record for some in kept.values() for record in some if record.uid in visit.rests_on]
            veiled = {record.uid for record in wanted if veils.over_record(record) != record}
            head = self._visit_head(settings, visit, tied := tie(asked.about, wanted))
            names = [each.sha256 for each in visit.photos] + [each.signature for each in visit.handed if each.signature]
            files = {each: found for each in names if (found := shop.file(each)) is not None and found.is_file()}
        elsewhere = {record.uid for record in wanted if {record.fields.get("site", name), record.fields.get("to-site", name)} != {name}}
        hidden = veiled | elsewhere | {record.uid for record in wanted if not prices and record.kind in PRICED}
        return VisitReport(
            visit=visit, tie=tied, settings=settings, head=head, records=tuple(wanted), hidden=frozenset(hidden), files=files
        )

    def _last_day(self, path: Path, site: str, today: date) -> date:
        found = self.visits(path, first=today - timedelta(days=3660), last=today, site=site)
        if not found:
            raise Refusal(
                what="there is no visit to report",
                rule="a visit is a day with recorded work at the site",
                got=site,
                do="record the work first, or name the day with --on",
            )
        return found[0].on

    def _visit(
        self, shop: Shop, settings: Settings, asked: VisitAsked, units: Sequence[FoldedUnit], shown: Mapping[str, Sequence[Record]]
    ) -> Visit:
        from pinseal.service.impairments import IMPAIRMENT_KINDS, impairments
        from pinseal.service.visits import Around, deficiencies_then, make_visit, unit_name

        said = [record for each in units for record in shown[each.end.state.uid or ""]]
        known = [each for each in said if each.kind in IMPAIRMENT_KINDS and (each.kind == "corrected" or each.done.earliest <= asked.last)]
        by_unit: dict[str, list[Any]] = {}
        for case in impairments(known, now=self.now(), zone=ZoneInfo(settings.time_zone)):
            if case.case.cleared is None:
                by_unit.setdefault(case.unit, []).append(case)
        loaners = {each.end.away["loaner"] for each in units if each.end.away and each.end.away.get("loaner", "none") != "none"}
        names = {uid: unit_name(found.state) for uid in loaners if (found := shop.unit(uid)) is not None}
        around = Around(
            people={record.uid: record.person for record in said if record.person != NOBODY},
            deficiencies=deficiencies_then(said, asked.last),
            impairments=by_unit,
            names=names,
        )
        return make_visit(asked, units, self._visit_dues(shop, settings, asked, units), around)

    def _visit_dues(self, shop: Shop, settings: Settings, asked: VisitAsked, units: Sequence[FoldedUnit]) -> list[Sequence[Due]]:
        if not settings.packs or not units:
            return [() for _ in units]
        dues = self._shop_dues(shop, Asked(on=asked.last), only=[each.end.state for each in units])
        return [dues.of_unit(index) for index in range(len(units))]

    def _visit_head(self, settings: Settings, visit: Visit, tied: Tie) -> PaperHead:
        from pinseal.service.visit_paper import not_read
        from pinseal.service.visit_words import days_words

        with dates_as(settings):
            notes = _rests_words(self._chosen(settings, None) if settings.packs else ())
            return self._head(
                settings,
                title=f"Visit to {visit.asked.site}",
                kind="Report of a visit",
                form=settings.form_at(visit.asked.site) or "",
                right=[
                    days_words(visit),
                    *([f"by {', '.join(visit.people)}"] if visit.people else []),
                    *([f"for {owner}"] if (owner := settings.owner_at(visit.asked.site)) else []),
                ],
                foot=[f"{len(tied.lines):,} records, hash {tied.hash[:12]}…"],
                notes=[
                    *notes,
                    *not_read(visit),
                    "A unit is called ready if it was looked at, nothing stood open against it and no work was overdue on the last day.",
                ],
            )


def _rests_words(chosen: Iterable[Any]) -> list[str]:
    packs = ", ".join(f"{each.pack.document} ({each.edition})" for each in chosen)
    return [f"The dates follow {packs}."] if packs else ["No rule pack is chosen, so no date is told: `pinseal settings --packs`."]


def _spelt(shop: Shop, site: str) -> str:
    """The site as the records spell it. Raises `Refusal` for one that no record names."""
    from pinseal.store.visits import site_names

    names, key = site_names(shop), " ".join(site.split()).casefold()
    found = [site] if site in names else [name for name in names if " ".join(name.split()).casefold() == key]
    if len(found) == 1:
        return found[0]
    near = [name for name in names if key and key in name.casefold()][:5]
    raise Refusal(
        what="there is no such site" if not found else "more than one site is spelt like this",
        rule="a site is named as the register spells it",
        got=site,
        do=f"did you mean {' or '.join(found or near)}?" if found or near else "see the sites in the register: `pinseal due`",
    )
