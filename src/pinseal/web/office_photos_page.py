"""Photos and papers of a unit, from every record that names a file: when, what it shows, who."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from pinseal.catalogue import gettext as _
from pinseal.records.corrections import Fact, apply_corrections
from pinseal.records.record import Record, distinct
from pinseal.records.record_kinds import KINDS
from pinseal.service.pictures import BYTES_MAX
from pinseal.web.date_words import date_words, day_date
from pinseal.web.guards import size_words
from pinseal.web.office_common import Sight
from pinseal.web.office_views import PhotoForm, PhotoView
from pinseal.web.views import Trouble

# What a record says in words, the weightiest first.
_TOLD = ("note", "words", "found", "how", "reason", "proof", "finding", "quantity", "mark", "part")
_CODE = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*", re.ASCII)


def file_names(records: Sequence[Record]) -> list[str]:
    """The files that some records name, each once."""
    return list(dict.fromkeys(record.fields["file"] for record in records if "file" in record.fields))


def photo_views(records: Sequence[Record], media: Mapping[str, str], uid: str, sheet: str | None = None) -> tuple[PhotoView, ...]:
    """One for each kept file that a record which counts names, the latest first; with `sheet` those of that sheet alone.

    `media` gives the type of each file that is kept: empty for one that is no picture.
    """
    facts, _ = apply_corrections(distinct(records)[0])
    people = {record.uid: record.person for record in records}
    named = {fact.fields["file"]: fact for fact in facts if "file" in fact.fields and sheet in (None, fact.fields.get("sheet"))}
    kept = [(sha256, fact) for sha256, fact in named.items() if sha256 in media]
    return tuple(_view(sha256, fact, people.get(fact.uid, ""), media[sha256], uid) for sha256, fact in reversed(kept))


def _view(sha256: str, fact: Fact, person: str, media: str, uid: str) -> PhotoView:
    return PhotoView(
        href=f"/units/{uid}/files/{sha256}",
        when=date_words(fact.done),
        what=shows(fact),
        who=person,
        picture=bool(media),
    )


def shows(fact: Fact) -> str:
    """What a file shows, by the record that names it: its own words, and what was done where that is more than a remark."""
    label = _(KINDS[fact.kind].label) if fact.kind in KINDS else fact.kind
    words = next((fact.fields[name] for name in _TOLD if fact.fields.get(name)), "")
    if _CODE.fullmatch(words):
        words = words.replace("-", " ")
    if fact.kind == "noted":
        return words or _("not said what it shows")
    return f"{label}: {words}" if words else label


def photo_form(
    seen: Sight, uid: str, *, sheet: str = "", troubles: tuple[Trouble, ...] = (), typed: Mapping[str, str] | None = None
) -> PhotoForm:
    """The form that adds a photo; `typed` is what a refused one said."""
    said = typed or {}
    return PhotoForm(
        href=f"/units/{uid}/photos",
        sheet=sheet,
        note=said.get("note", ""),
        day=said.get("day") or day_date(seen.about.today),
        size_max=size_words(BYTES_MAX),
        troubles=troubles,
    )
