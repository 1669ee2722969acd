"""Templates: each kind of page has one, and every text in it is escaped."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from pinseal import catalogue, kinds
from pinseal.catalogue import marked
from pinseal.web import (
    bench_log_views,
    bench_views,
    notice_views,
    office_list_views,
    office_unit_views,
    office_views,
    office_visit_views,
    owner_views,
    people_views,
    print_views,
    quote_views,
    share_views,
    trust_views,
    unsent_views,
    views,
)
from pinseal.web.account import SIGNED_IN
from pinseal.web.rights import may_open, may_see_place

CAUTION = (
    marked("Pressurised vessels can kill."),
    marked(
        "This program advises and records; it does not replace the nameplate, the maker's manual, the adopted code, the fire authority, "
        "or a licensed person."
    ),
)
TEMPLATES: dict[type[Any], str] = {
    views.DuesPage: "dues.html",
    views.ImportPage: "import.html",
    views.ReadingPage: "reading.html",
    views.RowsPage: "rows.html",
    views.TakenPage: "taken.html",
    views.StandardsPage: "standards.html",
    views.ProblemPage: "problem.html",
    people_views.SignInPage: "sign_in.html",
    people_views.WelcomePage: "welcome.html",
    people_views.PeoplePage: "people.html",
    people_views.PersonPage: "person.html",
    people_views.PapersPage: "papers.html",
    share_views.SharedPage: "shared.html",
    share_views.SharePage: "share.html",
    trust_views.TrustPage: "trust.html",
    trust_views.CheckPage: "check.html",
    **unsent_views.TEMPLATES,
    **office_views.TEMPLATES,
    **office_list_views.TEMPLATES,
    **office_unit_views.TEMPLATES,
    **office_visit_views.TEMPLATES,
    **owner_views.TEMPLATES,
    **bench_log_views.TEMPLATES,
    **quote_views.TEMPLATES,
    **bench_views.TEMPLATES,
    **notice_views.TEMPLATES,
    **print_views.TEMPLATES,
}
PLACES = (
    ("/", marked("Today")),
    ("/dues", marked("Dues")),
    ("/sites", marked("Sites")),
    ("/sheets", marked("Sheets")),
    ("/deficiencies", marked("Deficiencies")),
    ("/bench", marked("Bench")),
)
MORE_PLACES = (
    ("/field", marked("Field page")),
    ("/notices", marked("Notices")),
    ("/quotes", marked("Quotes")),
    ("/prices", marked("Price book")),
    ("/loaners", marked("Loaners")),
    ("/instruments", marked("Instruments")),
    ("/import", marked("Import")),
    ("/unsent", marked("Unsent work")),
    ("/standards", marked("Standards")),
    ("/papers", marked("Licences and papers")),
    ("/people", marked("People")),
    ("/settings", marked("Settings")),
)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("pinseal.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    environment.policies["ext.i18n.trimmed"] = True
    environment.newstyle_gettext = True  # type: ignore[attr-defined]  # the extension's switch: values go in by name, escaped
    environment.globals.update(_=_say, gettext=_say, ngettext=_say_counted, pgettext=_say_in, word=catalogue.gettext, told=_told)
    environment.filters["told"] = _told
    environment.globals.update(number=catalogue.number, language=catalogue.language)
    environment.globals.update(
        caution=CAUTION,
        places=PLACES,
        more_places=MORE_PLACES,
        style=style_href(),
        static=static_href,
        states=kinds.STATES,
        may_open=may_open,
        may_see_place=may_see_place,
    )
    return environment


def _say(message: str, **values: object) -> Markup:
    """A message written in a template. It may hold marks of HTML; the values are data and are escaped.

    Only for messages that stand in the template: a text that comes as data is looked up by `word`, and escaped whole.
    """
    return Markup(catalogue.gettext(message)) % values  # noqa: S704 - a message of ours or of a translator


def _say_counted(one: str, many: str, count: int, **values: object) -> Markup:
    """The form that goes with a count; `%(n)s` is the count as people write it."""
    return Markup(catalogue.form_of(one, many, count)) % ({"n": catalogue.number(count)} | values)  # noqa: S704


def _told(text: str, capital: bool = False) -> str:
    """A sentence that the rooms below have put together, with a capital letter at its start where it is asked for.

    Where the catalogue has it, in the language of the shop; else it stays English, and is marked so for whoever reads it aloud.
    """
    found = catalogue.gettext(text)
    shown = f"{found[:1].upper()}{found[1:]}" if capital else found
    if not text or found != text or catalogue.language() == catalogue.SOURCE:
        return shown
    return Markup('<span lang="{}">{}</span>').format(catalogue.SOURCE, shown)


def _say_in(context: str, message: str, **values: object) -> Markup:
    return Markup(catalogue.pgettext(context, message)) % values  # noqa: S704


def style_href() -> str:
    """The address of the style sheet."""
    return static_href("pinseal.css")


@cache
def static_href(name: str) -> str:
    """The address of a static file; it changes with its content, so that browsers may keep it."""
    content = (files("pinseal.web") / "static" / name).read_bytes()
    return f"/static/{name}?v={hashlib.sha256(content).hexdigest()[:12]}"


def render(page: Any) -> str:
    """The HTML of a page of `views`."""
    return _environment().get_template(TEMPLATES[type(page)]).render(page=page, frame=page.frame, account=SIGNED_IN.get())


def render_mark() -> str:
    """Our mark as a picture of its own, for the browser's tab."""
    return _environment().get_template("mark.svg.html").render(alone=True)


def field_html(*, folder: str, reader: str) -> str:
    """The field page, its files under `folder`, the reader of codes under `reader`. It stands alone: no frame, nothing of the shop."""
    return _environment().get_template("field.html").render(folder=folder, reader=reader)
