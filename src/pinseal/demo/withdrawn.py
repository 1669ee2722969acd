"""The demo's two lists of withdrawn units, as data and as the TOML that a shop keeps. Both are invented."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from pinseal.demo.models import BAD_LOT, BAD_MODEL, ENDED_MODEL, MODELS


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoList:
    """One invented list of withdrawn units, with one entry. `meant` holds its last TOML lines: which units it means."""

    name: str
    title: str
    source: str
    published: date
    reason: str
    action: str
    meant: tuple[str, ...]

    def toml(self) -> str:
        """The list as a file."""
        said = {
            "title": self.title,
            "source": self.source,
            "published": self.published.isoformat(),
            "reason": self.reason,
            "action": self.action,
            "checked": "practice",
        }
        lines = [f'{name} = "{text}"' for name, text in said.items()]
        return "\n".join(("# Invented for the demo: no such model, lot or notice exists.", "[[withdrawal]]", *lines, *self.meant, ""))


BAD_LIST = DemoList(
    name="ostrel-10-lot-q17-118.toml",
    title="Ostrel 10, lot Q17-118: valve seats that let the pressure go",
    source="invented notice of an invented maker, for the demo",
    published=date(2022, 2, 28),
    reason="recall",
    action="take it out of use and send it back to the maker; do not charge it again",
    meant=(
        f'model = ["{MODELS[BAD_MODEL].name}"]',
        f'lot = ["{BAD_LOT}", "{BAD_LOT.replace("-", "")}"]',
        "made_from = 2017-03-01",
        "made_to = 2017-05-31",
    ),
)
ENDED_LIST = DemoList(
    name="haldrow-nine-parts.toml",
    title="Haldrow Nine: no valve parts are made any more",
    source="invented letter of an invented maker, for the demo",
    published=date(2026, 8, 15),
    reason="parts-ended",
    action="replace it; the halon leaves it only through a closed recovery system",
    meant=(f'model = ["{MODELS[ENDED_MODEL].name}"]', "made_from = 1985-01-01", "made_to = 1993-12-31"),
)
LISTS = (BAD_LIST, ENDED_LIST)
