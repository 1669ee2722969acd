"""Templates: each kind of page has one, and every text in it is escaped."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from pinseal import kinds
from pinseal.web import views

CAUTION = (
    "Pressurised vessels can kill.",
    "This program advises and records; it does not replace the nameplate, the maker's manual, the adopted code, the fire authority, "
    "or a licensed person.",
)
TEMPLATES: dict[type[Any], str] = {
    views.TodayPage: "today.html",
    views.DuesPage: "dues.html",
    views.UnitPage: "unit.html",
    views.ImportPage: "import.html",
    views.ReadingPage: "reading.html",
    views.RowsPage: "rows.html",
    views.TakenPage: "taken.html",
    views.StandardsPage: "standards.html",
    views.ProblemPage: "problem.html",
}
PLACES = (("/", "Today"), ("/dues", "Dues"), ("/import", "Import"), ("/standards", "Standards"))


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("pinseal.web"), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    environment.globals.update(caution=CAUTION, places=PLACES, style=style_href(), states=kinds.STATES)
    return environment


@cache
def style_href() -> str:
    """The address of the style sheet; it changes with its content, so that browsers may keep it."""
    content = (files("pinseal.web") / "static" / "pinseal.css").read_bytes()
    return f"/static/pinseal.css?v={hashlib.sha256(content).hexdigest()[:12]}"


def render(page: Any) -> str:
    """The HTML of a page of `views`."""
    return _environment().get_template(TEMPLATES[type(page)]).render(page=page, frame=page.frame)


def render_mark() -> str:
    """Our mark as a picture of its own, for the browser's tab."""
    return _environment().get_template("mark.svg.html").render(alone=True)
