"""The routes of photos: a kept file as it is, and a form that adds a photo to a unit without script."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from pinseal.catalogue import gettext as _
from pinseal.dates import PartialDate
from pinseal.reasons import Refusal
from pinseal.service.pictures import BYTES_MAX, check_name, read_picture
from pinseal.web.date_words import date_words
from pinseal.web.guards import size_words
from pinseal.web.office_common import TEXT_MAX, Sight, not_here, one, person_of, see_other, sight
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.office_entries import Form
from pinseal.web.refusals import in_sentences
from pinseal.web.views import Trouble
from pinseal.web.words import read_day

_FIELDS = ("note", "day", "sheet")
# Shows the unit's page again with what is wrong, and with what was typed.
Again = Callable[[Request, tuple[Trouble, ...], dict[str, str]], Response]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A photo as the form sent it; `content` None where no file was chosen."""

    form: Form
    name: str
    content: bytes | None


class PhotoDesk:
    """Photos of units, for one shop. `again` makes the page for a form that was refused."""

    def __init__(self, office: OfficeRooms, again: Again) -> None:
        self.office, self.again = office, again

    def routes(self) -> list[BaseRoute]:
        return [
            Route("/units/{uid}/files/{sha256}", self.file, name="unit-photo"),
            Route("/units/{uid}/photos", self.add, methods=["POST"], name="unit-photo-add"),
        ]

    def file(self, request: Request) -> Response:
        """A kept file of a unit. Only what is plainly a picture is shown as one."""
        uid, sha256 = request.path_params["uid"], request.path_params["sha256"]
        found = self.office.photo(uid, sha256) if sight(self.office, request).sees(uid) else None
        if found is None:
            raise not_here()
        headers = {"cache-control": "private, max-age=86400"}  # its address is its content: it never changes
        if found.media_type:
            return Response(found.content, media_type=found.media_type, headers=headers)
        headers |= {"content-disposition": 'attachment; filename="file"'}
        return Response(found.content, media_type="application/octet-stream", headers=headers)

    async def add(self, request: Request) -> Response:
        """Keep a photo, with when it was taken and what it shows."""
        async with request.form(max_files=1, max_fields=len(_FIELDS) + 1) as form:
            texts = {name: [str(form.get(name) or "").strip()[:TEXT_MAX]] for name in _FIELDS}
            file = form.get("photo")
            chosen = isinstance(file, UploadFile) and bool(file.filename)
            content = await file.read(BYTES_MAX + 1) if isinstance(file, UploadFile) and chosen else None
            name = (file.filename or "").replace("\\", "/").rsplit("/", 1)[-1] if isinstance(file, UploadFile) else ""
        return await run_in_threadpool(self._add, request, Sent(form=texts, name=name, content=content))

    def _add(self, request: Request, sent: Sent) -> Response:
        seen, uid, sheet = sight(self.office, request), request.path_params["uid"], one(sent.form, "sheet")
        line = seen.books.sheet(sheet) if sheet else None
        if not seen.sees(uid) or (sheet and (line is None or line.unit != uid)):
            raise not_here()
        try:
            self._keep(seen, uid, sent, person_of(request))
        except Refusal as refused:
            typed = {name: one(sent.form, name) for name in _FIELDS}
            return self.again(request, (Trouble(text=in_sentences(refused), at="photo"),), typed)
        return see_other(f"/sheets/{sheet}#photos" if sheet else f"/units/{uid}#photos")

    def _keep(self, seen: Sight, uid: str, sent: Sent, person: str) -> None:
        if sent.content is None:
            raise Refusal(
                what=_("no photo was chosen"), rule=_("a photo is a JPEG or a PNG file"), got=_("nothing"), do=_("choose the file first")
            )
        if len(sent.content) > BYTES_MAX:
            rule = _("a photo has %(size)s at most", size=size_words(BYTES_MAX))
            raise Refusal(what=_("the photo is too large"), rule=rule, got=sent.name, do=_("take it at a smaller size"))
        picture = read_picture(sent.content, sha256=hashlib.sha256(sent.content).hexdigest())
        note = one(sent.form, "note")
        if not note:
            raise Refusal(
                what=_("it is not said what the photo shows"),
                rule=_("the record keeps it"),
                got=_("nothing"),
                do=_("say it in a few words"),
            )
        day = PartialDate.of(read_day(one(sent.form, "day")))
        if day.earliest > seen.about.today:
            raise Refusal(what=_("the day cannot be right"), rule=_("it is still to come"), got=date_words(day), do=_("correct the day"))
        if any(record.fields.get("file") == picture.sha256 for record in self.office.history(uid)):
            raise Refusal(
                what=_("this photo is there already"), rule=_("a photo is kept once for a unit"), got=sent.name, do=_("choose another")
            )
        self.office.keep_file(_name(sent.name, picture.sha256, picture.ending), sent.content, person)
        fields = {"file": picture.sha256, "note": note} | ({"sheet": one(sent.form, "sheet")} if one(sent.form, "sheet") else {})
        self.office.record(kind="noted", unit=uid, done=day, fields=fields, person=person)


def _name(given: str, sha256: str, ending: str) -> str:
    """The name of the file where it can be one, else one of our own: the name is only a word for people."""
    try:
        return check_name(given) or f"photo-{sha256[:12]}.{ending}"
    except Refusal:
        return f"photo-{sha256[:12]}.{ending}"
