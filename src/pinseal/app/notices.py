"""Impairment notices: which clocks run, and the paper that tells the owner."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from pinseal.app.papers import Papers, dates_as
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.documents.paper import Paper
    from pinseal.records.unit import UnitState
    from pinseal.service.condemnations import Condemnation
    from pinseal.service.impairments import Impairment
    from pinseal.store import Shop


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedImpairment:
    """An impairment with the unit as it stands today, and the unit that hangs in its place, where one does."""

    impairment: Impairment
    unit: UnitState
    stands_in: str = ""

    def as_json(self) -> dict[str, Any]:
        from pinseal.service.duelist import unit_json

        return {**self.impairment.as_json(), "unit": unit_json(self.unit), "stands_in": self.stands_in}


class Notices(Papers):
    """What is told of impaired units."""

    def impairments(self, path: Path, *, unit: str | None = None, only_open: bool = True) -> list[ListedImpairment]:
        """The impairments of a shop or of one unit, the newest first. Raises `Refusal`."""
        with self._open(path, readonly=True) as shop:
            return self._impairments(shop, unit, only_open=only_open)

    def impairment_notice(self, path: Path, unit: str, *, record: str | None = None) -> tuple[ListedImpairment, Paper]:
        """The notice of the newest impairment of a unit, or of one of its impairments by uid. Raises `Refusal`."""
        from pinseal.documents.paper import Paper
        from pinseal.service.notice_words import notice_data

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            found = [each for each in self._impairments(shop, unit, only_open=False) if record in (None, each.impairment.record)]
        if not found:
            raise Refusal(
                what="there is nothing to give notice of",
                rule="a notice tells of a recorded impairment",
                got=record or unit,
                do='record it: `pinseal record impaired UNIT --at 2026-07-03T10:00-05:00 --impairments "valve leaks"`',
            )
        case = found[0]
        with dates_as(settings):
            data = notice_data(case.impairment, case.unit, case.stands_in, settings.owner_at(case.unit.site))
            head = self._head(
                settings,
                title=data.pop("title"),
                kind="Impairment notice",
                form=case.impairment.case.place,
                right=data.pop("right"),
                foot=[f"record {case.impairment.record}"],
            )
        return case, Paper(template="notice", head=head, data=data)

    def condemnation_notice(self, path: Path, unit: str, *, record: str | None = None) -> tuple[Condemnation, Paper]:
        """The notice that a shell of a unit is condemned: the newest, or that of a record by uid. Raises `Refusal`."""
        from pinseal.documents.paper import Paper
        from pinseal.service.condemnation_words import condemnation_data
        from pinseal.service.condemnations import condemnation
        from pinseal.service.office import find_one

        with self._open(path, readonly=True) as shop:
            settings, veils = shop.settings(), shop.veils()
            state = find_one(shop.find(unit), unit, where="in this shop")
            assert state.uid is not None, "a unit of a shop has its uid"
            records = [veils.over_record(each) for each in shop.records(state.uid)]
            found = condemnation(state, records, record=record)
            pictures, why_not = _photo(shop.file(found.photo), found.photo) if found.photo else ({}, "")
        with dates_as(settings):
            data = condemnation_data(found, photo=next(iter(pictures), ""), owner=settings.owner_at(state.site))
            notes = [f"Not on record: {', '.join(found.missing)}."] if found.missing else []
            head = self._head(
                settings,
                title=data.pop("title"),
                kind="Condemnation notice",
                form=settings.form_at(state.site) or "",
                right=data.pop("right"),
                foot=[f"record {found.record}"],
                notes=[*notes, *([why_not] if why_not else [])],
            )
        return found, Paper(template="condemnation", head=head, data=data, pictures=pictures)

    def _impairments(self, shop: Shop, unit: str | None, *, only_open: bool) -> list[ListedImpairment]:
        from pinseal.service.impairments import IMPAIRMENT_KINDS, impairments
        from pinseal.service.office import find_one
        from pinseal.store.looking import records_of_kinds

        only = find_one(shop.find(unit), unit, where="in this shop").uid if unit else None
        records = [each for each in records_of_kinds(shop, IMPAIRMENT_KINDS) if only in (None, each.unit)]
        zone, veils = ZoneInfo(shop.settings().time_zone), shop.veils()
        found = impairments([veils.over_record(each) for each in records], now=self.now(), zone=zone)
        wanted = [each for each in found if each.is_open or not only_open]
        return [self._listed(shop, each) for each in wanted]

    def _listed(self, shop: Shop, impairment: Impairment) -> ListedImpairment:
        whole = shop.unit(impairment.unit)
        assert whole is not None, "a unit with records is there"
        loaner = (whole.away or {}).get("loaner", "")
        other = shop.unit(loaner) if loaner and loaner != "none" else None
        stands_in = (other.state.id or other.state.serial or "") if other else ""
        return ListedImpairment(impairment=impairment, unit=whole.state, stands_in=stands_in)


def _photo(kept: Path | None, sha256: str) -> tuple[dict[str, bytes], str]:
    """The photo of a proof by its name on the paper, or why it is not shown."""
    from pinseal.service.pictures import read_picture

    if kept is None or not kept.is_file():
        return {}, "A photo is on record, and its file is not here."
    content = kept.read_bytes()
    try:
        found = read_picture(content, sha256=sha256)
    except Refusal as refused:
        return {}, f"A file is on record as proof and cannot be shown here: {refused.what}."
    return {f"proof.{found.ending}": content}, ""
