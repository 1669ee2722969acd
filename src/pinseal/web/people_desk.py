"""The pages of people: who may come in, with which role; for supervisors only."""

from __future__ import annotations

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked
from pinseal.reasons import Refusal
from pinseal.web.account import OWNER, ROLES
from pinseal.web.date_words import day_date
from pinseal.web.doors import Office
from pinseal.web.pages import frame
from pinseal.web.people_doors import SCOPES, Key, Known, People, Wanted
from pinseal.web.people_views import Handed, KeyRow, PeoplePage, PersonForm, PersonPage, PersonRow
from pinseal.web.refusals import in_one_line
from pinseal.web.render import render
from pinseal.web.views import Choice, Trouble

LINK_DAYS = 7
KEY_DAYS_MAX = 366
_TEXT_MAX = 200
_SITES_MAX = 2_000
_HAND_OVER = marked("It opens once, within %(n)s days. Hand it over by a way that only this person reads. It is not shown again.")
_KEY_TOLD = marked("Put it into the program or device now. It is not shown again; only its digest is kept.")


class PeopleDesk:
    """The accounts of one shop, as pages."""

    def __init__(self, office: Office, people: People) -> None:
        self.office, self.people = office, people

    def routes(self) -> list[Route]:
        acts: tuple[tuple[str, Callable[[Request, str, FormData], Response]], ...] = (
            ("change", self._change),
            ("link", self._link),
            ("end", self._end),
            ("erase", self._erase),
            ("key", self._key),
            ("key-end", self._end_key),
        )
        return [
            Route("/people", lambda _: self._all(), name="people"),
            Route("/people", self.add, methods=["POST"], name="people-add"),
            Route("/people/{uid}", lambda request: self._one(request.path_params["uid"]), name="person"),
            *(Route(f"/people/{{uid}}/{name}", _posted(act), methods=["POST"], name=f"person-{name}") for name, act in acts),
        ]

    # Everybody

    def _all(self, *troubles: Trouble, wanted: Wanted | None = None, handed: Handed | None = None) -> Response:
        page = PeoplePage(
            frame=frame(self.office.about(), title=_("People"), here="/people"),
            rows=tuple(_row(known) for known in self.people.known()),
            form=self._form(wanted),
            troubles=troubles,
            handed=handed,
        )
        return HTMLResponse(render(page), 400 if troubles else 200)

    def _form(self, wanted: Wanted | None) -> PersonForm:
        said = wanted or Wanted(name="", login="", role="technician")
        sites = sorted({*self.people.sites(), *said.sites})
        return PersonForm(
            name=said.name,
            login=said.login,
            roles=tuple(Choice(value=code, label=_(label), chosen=code == said.role) for code, label in ROLES.items()),
            sites=tuple(Choice(value=site, label=site, chosen=site in said.sites) for site in sites),
        )

    async def add(self, request: Request) -> Response:
        """Let a person in; the link to hand over is shown once."""
        async with request.form(max_files=0, max_fields=_SITES_MAX) as form:
            return await run_in_threadpool(self._add, request, form)

    def _add(self, request: Request, form: FormData) -> Response:
        wanted = _wanted(form)
        trouble = _trouble(wanted)
        if trouble:
            return self._all(trouble, wanted=wanted)
        try:
            _uid, key = self.people.add(wanted)
        except Refusal as refusal:
            return self._all(_told(refusal), wanted=wanted)
        return self._all(handed=_link_for(request, wanted.name, key))

    # One

    def _known(self, uid: str) -> Known:
        found = next((known for known in self.people.known() if known.account.uid == uid), None)
        if found is None:
            raise HTTPException(404)
        return found

    def _one(self, uid: str, *troubles: Trouble, wanted: Wanted | None = None, handed: Handed | None = None) -> Response:
        known = self._known(uid)
        account = known.account
        said = wanted or Wanted(name=account.name, login=known.login, role=account.role, sites=account.sites)
        page = PersonPage(
            frame=frame(self.office.about(), title=account.name or _("A person"), here="/people"),
            name=account.name,
            here=f"/people/{uid}",
            login=known.login,
            standing=_standing(known),
            active=known.state == "active",
            form=self._form(said),
            keys=tuple(_key_row(key) for key in known.keys),
            scopes=tuple(Choice(value=code, label=_(label)) for code, label in SCOPES.items()),
            troubles=troubles,
            handed=handed,
        )
        return HTMLResponse(render(page), 400 if troubles else 200)

    def _change(self, _request: Request, uid: str, form: FormData) -> Response:
        wanted = _wanted(form)
        trouble = _trouble(wanted)
        if trouble:
            return self._one(uid, trouble, wanted=wanted)
        try:
            self.people.change(uid, wanted)
        except Refusal as refusal:
            return self._one(uid, _told(refusal), wanted=wanted)
        return RedirectResponse(f"/people/{uid}", 303)

    def _link(self, request: Request, uid: str, _form: FormData) -> Response:
        return self._one(uid, handed=_link_for(request, self._known(uid).account.name, self.people.link(uid)))

    def _end(self, _request: Request, uid: str, _form: FormData) -> Response:
        try:
            self.people.end(uid)
        except Refusal as refusal:
            return self._one(uid, _told(refusal))
        return RedirectResponse("/people", 303)

    def _erase(self, _request: Request, uid: str, form: FormData) -> Response:
        if str(form.get("sure", "")) != "yes":
            return self._one(uid, Trouble(text=_("Say that you are sure. A name that was erased does not come back."), at="sure"))
        try:
            self.people.erase(uid)
        except Refusal as refusal:
            return self._one(uid, _told(refusal))
        return RedirectResponse("/people", 303)

    def _key(self, _request: Request, uid: str, form: FormData) -> Response:
        name, days = str(form.get("name", "")).strip(), str(form.get("days", ""))
        scopes = [str(value) for value in form.getlist("scope") if value in SCOPES]
        if not 0 < len(name) <= _TEXT_MAX or not scopes:
            return self._one(uid, Trouble(text=_("A key has a name, and opens at least one thing."), at="key-name"))
        if not (days.isascii() and days.isdigit() and len(days) <= 3 and 1 <= int(days) <= KEY_DAYS_MAX):
            return self._one(uid, Trouble(text=_("A key holds from 1 to %(n)s days.", n=KEY_DAYS_MAX), at="key-days"))
        key = self.people.give_key(uid, name, scopes, int(days))
        return self._one(uid, handed=Handed(title=_("The key “%(name)s”", name=name), text=key, told=_(_KEY_TOLD)))

    def _end_key(self, _request: Request, uid: str, form: FormData) -> Response:
        self.people.end_key(uid, str(form.get("key", "")))
        return RedirectResponse(f"/people/{uid}", 303)


def _posted(act: Callable[[Request, str, FormData], Response]) -> Callable[[Request], object]:
    async def endpoint(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=_SITES_MAX) as form:
            return await run_in_threadpool(act, request, request.path_params["uid"], form)

    return endpoint


def _wanted(form: FormData) -> Wanted:
    said = {name: " ".join(str(form.get(name, "")).split()) for name in ("name", "login", "role")}
    sites = tuple(dict.fromkeys(str(value) for value in form.getlist("site"))) if said["role"] == OWNER else ()
    return Wanted(**said, sites=sites)


def _trouble(wanted: Wanted) -> Trouble | None:
    if not 0 < len(wanted.name) <= _TEXT_MAX:
        return Trouble(text=_("A name is missing, or is very long. Records say who did something by this name."), at="name")
    if not 0 < len(wanted.login) <= _TEXT_MAX:
        return Trouble(text=_("The name to sign in with is missing, or is very long."), at="login")
    if wanted.role not in ROLES:
        return Trouble(text=_("Choose a role."), at="role")
    if wanted.role == OWNER and not wanted.sites:
        return Trouble(text=_("An owner has at least one site; choose it below."), at="sites")
    return None


def _told(refusal: Refusal) -> Trouble:
    return Trouble(text=in_one_line(refusal))


def _row(known: Known) -> PersonRow:
    account = known.account
    return PersonRow(
        name=account.name,
        href=f"/people/{account.uid}",
        login=known.login,
        role=_(account.role),
        sites=account.sites if account.role == OWNER else (),
        standing=_standing(known),
    )


def _standing(known: Known) -> str:
    if known.state != "active":
        return marked("ended")
    return marked("may come in") if known.ready else marked("has not set a passphrase yet")


def _key_row(key: Key) -> KeyRow:
    until = day_date(key.until.date())
    return KeyRow(uid=key.uid, name=key.name, scopes=", ".join(key.scopes), until=until, holds=key.holds)


def _link_for(request: Request, name: str, key: str) -> Handed:
    address = str(request.base_url.replace(path=f"/welcome/{key}", query=""))
    return Handed(title=_("One-time link for %(name)s", name=name), text=address, told=_(_HAND_OVER, n=LINK_DAYS))
