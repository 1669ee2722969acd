"""What every paper of a shop starts from: its letterhead, the size of its pages, dates in its own style."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from pinseal.app.ground import Ground

if TYPE_CHECKING:
    from pinseal.documents.paper import PaperHead
    from pinseal.store import Settings


class Papers(Ground):
    """The desk at which papers are made."""

    def _head(
        self,
        settings: Settings,
        *,
        title: str,
        kind: str,
        form: str = "",
        right: Sequence[str] = (),
        foot: Sequence[str] = (),
        notes: Sequence[str] = (),
    ) -> PaperHead:
        """The head of a paper. `form` is the form of marks whose registration counts; `foot` what ties the paper to the records."""
        from zoneinfo import ZoneInfo

        from pinseal.documents.paper import LICENSED, PAGES, PaperHead
        from pinseal.rules.notices import moment_words

        firm, now = settings.firm_in(form), self.now()
        made = f"made {moment_words(now.astimezone(ZoneInfo(settings.time_zone)))} ({settings.time_zone})"
        reach = ", ".join(firm[name] for name in ("phone", "email") if firm.get(name))
        registered = f"registration {firm['registration']}" if firm.get("registration") else ""
        return PaperHead(
            title=title,
            kind=kind,
            shop=firm.get("name", "shop without a name on record"),
            shop_lines=[line for line in (firm.get("address", ""), reach, registered) if line],
            right=right,
            foot=[*foot, made],
            notes=[*notes, LICENSED],
            page=PAGES[settings.units],
            stamp=now,
        )


@contextmanager
def dates_as(settings: Settings) -> Iterator[None]:
    """Dates for people in the shop's own style, for as long as a paper is put together."""
    from pinseal.dates import DATE_STYLE

    before = DATE_STYLE.set(settings.date_style)
    try:
        yield
    finally:
        DATE_STYLE.reset(before)
