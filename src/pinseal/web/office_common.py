"""What every office page needs: who asks and what they may see, forms read with a bound, refusals as sentences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from pinseal.records.unit import UnitState
from pinseal.service.books import Books
from pinseal.service.duelist import DueList
from pinseal.service.following import places_by_uid
from pinseal.web.account import AUTHORITY, OWNER, Account
from pinseal.web.doors import About
from pinseal.web.office_doors import OfficeRooms
from pinseal.web.render import render

TEXT_MAX = 4_000
_FIELDS_MAX = 200


def account_of(request: Request) -> Account | None:
    """Who is signed in; None where nobody is asked to sign in."""
    found = getattr(request.state, "account", None)
    return found if isinstance(found, Account) else None


def person_of(request: Request) -> str:
    """The name under which an entry is signed; empty where nobody is signed in."""
    account = account_of(request)
    return account.name if account else ""


def is_staff(request: Request) -> bool:
    """Whether this person does the shop's work. Where nobody signs in, everybody does."""
    account = account_of(request)
    return account is None or account.role not in (AUTHORITY, OWNER)


def reach_of(request: Request) -> frozenset[str] | None:
    """The sites that may be shown; None means every site."""
    account = account_of(request)
    return account.reach if account else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """The shop as one person may see it today: its units by uid, the due list with their places in it, and the books of these units.

    `prices` says whether the person may see what the owner was quoted: an authority reads everything else.
    """

    about: About
    dues: DueList
    reach: frozenset[str] | None
    places: Mapping[str, int]
    books: Books
    prices: bool = True

    def state(self, uid: str) -> UnitState | None:
        place = self.places.get(uid)
        return None if place is None else self.dues.states[place]

    def sees(self, uid: str) -> bool:
        return uid in self.places


def sight(office: OfficeRooms, request: Request) -> Sight:
    """What the person of this request may see."""
    account = account_of(request)
    return sight_of(office, reach_of(request), prices=account is None or account.sees_prices)


def sight_of(office: OfficeRooms, reach: frozenset[str] | None, *, prices: bool = True) -> Sight:
    """The shop as somebody sees it who may see these sites and nothing else; None is every site."""
    about = office.about()
    dues, books = office.within(reach).due_list(about.today), office.books()
    places = dues.kept.once(places_by_uid)
    return Sight(about=about, dues=dues, reach=reach, places=places, books=books if reach is None else books.only(places), prices=prices)


def answer(page: Any, *, bad: bool = False) -> Response:
    return HTMLResponse(render(page), 400 if bad else 200)


def see_other(address: str) -> Response:
    return RedirectResponse(address, 303)


async def form_of(request: Request) -> dict[str, list[str]]:
    """The texts of a form by the names of their fields, cut at a length that no honest field reaches."""
    async with request.form(max_files=0, max_fields=_FIELDS_MAX) as form:
        found: dict[str, list[str]] = {}
        for name, value in form.multi_items():
            found.setdefault(name, []).append(str(value).strip()[:TEXT_MAX])
        return found


def one(form: Mapping[str, list[str]], name: str) -> str:
    return form.get(name, [""])[-1]


def not_here() -> HTTPException:
    """The same answer for what is not there and for what this person may not see."""
    return HTTPException(404)
