"""Which role may open which page: one table. A route without a row is refused to everybody.

The names are those of the routes (`Route(..., name="due-list")`). A page and the form that it sends may have two names,
so that the one can be read by more roles than may send the other.
"""

from __future__ import annotations

from pinseal.web.account import AUTHORITY, BENCH, OWNER, ROLES, SUPERVISOR, TECHNICIAN

EVERY_ROLE = frozenset(ROLES)
STAFF = frozenset({TECHNICIAN, BENCH, SUPERVISOR})
READERS = STAFF | {AUTHORITY}
LEAD = frozenset({SUPERVISOR})
FIELD = STAFF | {OWNER}  # who may do work at a unit; an owner only the inspections of their own sites

RIGHTS: dict[str, frozenset[str]] = {
    "today": EVERY_ROLE,
    "dues": EVERY_ROLE,
    "unit": EVERY_ROLE,
    "unit-code": EVERY_ROLE,
    "standards": EVERY_ROLE,
    "import": STAFF,
    "import-reading": STAFF,
    "import-rows": STAFF,
    "import-take-in": STAFF,
    "import-taken": STAFF,
    "unsent": STAFF,
    "sheets": READERS,
    "sheet": EVERY_ROLE,
    "sheet-sample": LEAD,
    "sheet-work": FIELD,
    "unit-sheet": FIELD,
    "sheet-marks": STAFF,
    "sheet-marks-file": STAFF,
    "labels": STAFF,
    "labels-file": STAFF,
    "search": EVERY_ROLE,
    "sites": EVERY_ROLE,
    "site": EVERY_ROLE,
    "site-owner": LEAD,
    "dues-month": EVERY_ROLE,
    "dues-file": EVERY_ROLE,
    "site-file": EVERY_ROLE,
    "prices": STAFF,
    "quotes": FIELD,  # an owner those of their own sites; an authority sees no price
    "quote": FIELD,
    "quote-file": FIELD,
    "quote-answer": FIELD,
    "quote-draft": STAFF,
    "quote-keep": STAFF,
    "invoice-figures": STAFF,
    "invoice-file": STAFF,
    "unit-worth": FIELD,
    "visit": EVERY_ROLE,  # whoever may see the site
    "visit-file": EVERY_ROLE,
    "owner-file": EVERY_ROLE,  # an owner only of their own sites
    "owner-file-paper": EVERY_ROLE,
    "owner-file-months": EVERY_ROLE,
    "owner-file-calendar": EVERY_ROLE,
    "owner-feed-make": FIELD,
    "owner-feed-end": FIELD,
    "unit-leak": EVERY_ROLE,
    "unit-photo": EVERY_ROLE,
    "unit-photo-add": FIELD,
    "deficiencies": EVERY_ROLE,
    "deficiencies-file": EVERY_ROLE,
    "deficiency": EVERY_ROLE,
    "deficiency-quote": STAFF,
    "deficiency-answer": FIELD,  # an owner answers what is quoted for their own sites
    "deficiency-mend": STAFF,
    "notices": EVERY_ROLE,
    "notice-paper": EVERY_ROLE,
    "notice-begin": STAFF,
    "notice-told": STAFF,
    "notice-cleared": STAFF,
    "unit-condemned": EVERY_ROLE,
    "loaners": EVERY_ROLE,
    "instruments": READERS,
    "instrument": READERS,
    "papers": STAFF,
    "settings": READERS,
    "settings-change": LEAD,
    "bench": READERS,
    "bench-charge": READERS,
    "bench-dial": READERS,
    "bench-agent": READERS,
    "bench-agent-return": READERS,
    "bench-agent-certificate": READERS,
    "bench-supply": READERS,
    "bench-supply-picture": READERS,
    "bench-supply-write": STAFF,
    "bench-unit": READERS,
    "bench-part": STAFF,
    "bench-tests": READERS,
    "bench-log": READERS,
    "bench-log-file": READERS,
    "unit-certification": EVERY_ROLE,  # whoever may see the unit; an employer keeps it
    "bench-check": STAFF,
    "bench-test": READERS,
    "bench-test-enter": STAFF,
    "bench-test-picture": READERS,
    "sign-out": EVERY_ROLE,
    "people": LEAD,
    "people-add": LEAD,
    "person": LEAD,
    "person-change": LEAD,
    "person-link": LEAD,
    "person-end": LEAD,
    "person-erase": LEAD,
    "person-key": LEAD,
    "person-key-end": LEAD,
    "unit-share": LEAD,
    "unit-share-make": LEAD,
    "unit-settle": LEAD,
    "unit-share-end": LEAD,
}

# The API: the scope that a token needs for a route, and the roles. Who is signed in has every scope of their role.
API_RIGHTS: dict[str, tuple[str, frozenset[str]]] = {
    "api-units": ("read", EVERY_ROLE),
    "api-unit": ("read", EVERY_ROLE),
    "api-dues": ("read", EVERY_ROLE),
    "api-deficiencies": ("read", EVERY_ROLE),
    "api-sheets": ("read", EVERY_ROLE),
    "api-sheet": ("read", EVERY_ROLE),
    "api-instruments": ("read", READERS),
    "api-people": ("read", LEAD),
    "api-decide": ("work", FIELD),
    "api-sheet-begin": ("work", FIELD),
    "api-sheet-enter": ("work", FIELD),
    "api-sheet-finish": ("work", FIELD),
    "api-door": ("door", FIELD),
    "api-day": ("door", FIELD),
    "api-photo": ("door", FIELD),
}

# Open to everybody: what a page needs to be drawn, and the doors themselves.
PUBLIC = frozenset({"mark", "favicon", "static", "sign-in", "welcome", "shared"})
PUBLIC |= {"calendar-feed"}  # the key in its address opens the days of one site
# How a phone comes to trust the shop, read before anybody can sign in.
PUBLIC |= {"trust", "trust-root", "trust-check", "trust-script", "trust-worker"}
# The field page and its files hold nothing of the shop, and unsent work must be reached when a session has ended.
PUBLIC |= {"field", "field-worker", "field-manifest", "field-file", "field-reader"}
# Mounts that ask for a sign-in or a token by themselves, and refuse in their own words.
ASKS_ITSELF = frozenset({"api"})


def may_open(role: str | None, name: str | None) -> bool:
    """Whether a role (None: nobody is signed in) may open a route. Deny by default."""
    if name is None:
        return False
    return name in PUBLIC or name in ASKS_ITSELF or (role is not None and role in RIGHTS.get(name, frozenset()))


def may_see_place(role: str | None, href: str) -> bool:
    """Whether a place of the menu is shown to a role: the route of a place has the place's name (`/dues` is `dues`)."""
    return may_open(role, href.strip("/") or "today")
