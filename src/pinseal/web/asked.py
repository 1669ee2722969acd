"""What a person asked of the due list: the filters, the order and the page, read from the address and written back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from urllib.parse import urlencode

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.catalogue import marked, number
from pinseal.dates import DATE_STYLE, DATE_STYLES
from pinseal.reasons import Refusal
from pinseal.web.views import Trouble
from pinseal.web.words import read_day

SORTS = {
    "urgency": marked("most urgent first"),
    "by": marked("date"),
    "duty": marked("duty"),
    "unit": marked("unit"),
    "place": marked("place"),
}
TEXT_LENGTH_MAX = 200
_NAMES = ("state", "duty", "site", "text", "on", "sort", "down", "page", "all")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The filters of the due list. Empty means everything. `on_text` is the day as it was typed."""

    states: tuple[str, ...] = ()
    duty: str = ""
    site: str = ""
    text: str = ""
    on: date | None = None
    on_text: str = ""
    sort: str = "urgency"
    down: bool = False
    page: int = 1
    everything: bool = False

    def href(self, **changes: Any) -> str:
        """The address of the list with these changes. A change that is not of the page begins at the first page."""
        asked = replace(self, **({"page": 1} | changes))
        pairs = [("state", state) for state in asked.states]
        pairs += [(name, value) for name in ("duty", "site", "text") if (value := getattr(asked, name))]
        pairs += [("on", asked.on_text)] if asked.on_text else []
        pairs += [("sort", asked.sort)] if asked.sort != "urgency" else []
        pairs += [("down", "1")] if asked.down else []
        pairs += [("all", "1")] if asked.everything else []
        pairs += [("page", str(asked.page))] if asked.page > 1 else []
        return "/dues" + (f"?{urlencode(pairs)}" if pairs else "")

    @property
    def narrowed(self) -> bool:
        """Whether any filter is set."""
        return bool(self.states or self.duty or self.site or self.text)

    def words(self) -> str:
        """The filters in plain words; empty where none is set."""
        said = [
            _(" or ").join(map(_, self.states)),
            _(kinds.DUTIES.get(self.duty, "")),
            self.site and _("at %(site)s", site=self.site),
            self.text and _("“%(text)s”", text=self.text),
        ]
        return ", ".join(part for part in said if part)


def read_asked(pairs: Sequence[tuple[str, str]]) -> tuple[Asked, tuple[Trouble, ...]]:
    """Read the filters from the parts of an address; what cannot be read is told, never guessed."""
    troubles: list[Trouble] = []
    one = {name: value.strip() for name, value in pairs if name in _NAMES}
    states = tuple(dict.fromkeys(value for name, value in pairs if name == "state" and value))
    for state in states:
        if state not in kinds.STATES:
            troubles.append(
                Trouble(
                    text=_("“%(got)s” is not a state; the states are %(states)s.", got=state, states=", ".join(map(_, kinds.STATES))),
                    at="filter-states",
                )
            )
    duty, sort = one.get("duty", ""), one.get("sort") or "urgency"
    if duty and duty not in kinds.DUTIES:
        troubles.append(Trouble(text=_("“%(got)s” is not a duty; choose one of the list.", got=duty), at="filter-duty"))
    if sort not in SORTS:
        troubles.append(Trouble(text=_("The list cannot be sorted by “%(got)s”; choose one of the list.", got=sort), at="filter-sort"))
    if len(one.get("text", "")) > TEXT_LENGTH_MAX:
        troubles.append(
            Trouble(
                text=_("The text to look for is longer than %(n)s characters; shorten it.", n=number(TEXT_LENGTH_MAX)), at="filter-text"
            )
        )
    asked = Asked(
        states=tuple(state for state in kinds.STATES if state in states),
        duty=duty if duty in kinds.DUTIES else "",
        site=one.get("site", ""),
        text=one.get("text", "")[:TEXT_LENGTH_MAX],
        on=_day(one.get("on", ""), troubles),
        on_text=one.get("on", ""),
        sort=sort if sort in SORTS else "urgency",
        down=one.get("down") == "1",
        page=read_page(one.get("page", ""), troubles),
        everything=one.get("all") == "1",
    )
    return asked, tuple(troubles)


def _day(text: str, troubles: list[Trouble]) -> date | None:
    if not text:
        return None
    try:
        return read_day(text)
    except Refusal:
        example = DATE_STYLES[DATE_STYLE.get()]
        said = _("“%(got)s” is not a day; write it as in %(example)s or 2026-11-24.", got=text, example=example)
        troubles.append(Trouble(text=said, at="filter-on"))
        return None


def read_page(text: str, troubles: list[Trouble]) -> int:
    """The number of a page, 1 where none is given."""
    if not text:
        return 1
    if text.isascii() and text.isdigit() and 1 <= len(text) <= 6 and int(text) >= 1:
        return int(text)
    troubles.append(Trouble(text=_("“%(got)s” is not a page; the first page is shown.", got=text)))
    return 1
