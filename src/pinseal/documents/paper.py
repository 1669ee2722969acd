"""What every paper shares: who speaks, about what, resting on what. The frame itself is `templates/paper_parts.typ`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from pinseal.documents.typeset import Form, Typeset, typeset

PAGES: Mapping[str, str] = {"us": "us-letter", "metric": "a4", "si": "a4"}
LICENSED = "Licensed practice, the nameplate, the maker's manual and local rules come first."


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperHead:
    """The head and foot of a paper.

    `title` is what it is about, `kind` what sort of paper it is, `right` the lines beside the letterhead (date, number), `foot` what it
    rests on (packs, when it was made, the digest that ties it to the records), `notes` what the reader must know at its end.
    `page` is a name of a paper size that Typst knows, `lying` turns it on its side. `stamp` is the moment that the file
    carries, with its time zone.
    """

    title: str
    kind: str
    shop: str
    stamp: datetime
    shop_lines: Sequence[str] = ()
    right: Sequence[str] = ()
    foot: Sequence[str] = ()
    notes: Sequence[str] = (LICENSED,)
    page: str = "a4"
    lying: bool = False
    language: str = "en"

    def as_data(self) -> dict[str, Any]:
        return {
            "kind": self.kind,
            "shop": self.shop,
            "shop_lines": list(self.shop_lines),
            "right": list(self.right),
            "foot": list(self.foot),
            "notes": list(self.notes),
            "page": self.page,
            "lying": self.lying,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A paper that was set: its pages, and what the person who prints should know."""

    pages: Typeset

    @property
    def notes(self) -> tuple[str, ...]:
        return tuple(f"no font here has {each}; its number stands in its place" for each in self.pages.uncovered)


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A paper ready to be set: its template, its head, what it says, and the pictures that it shows by name (JPEG, PNG, SVG)."""

    template: str
    head: PaperHead
    data: Mapping[str, Any]
    pictures: Mapping[str, bytes] = field(default_factory=dict)

    def draw(self, form: Form = "pdf", *, ppi: float = 144) -> Drawn:
        """Set it. The head goes to the template under the name `head`."""
        assert "head" not in self.data, "the head has a place of its own"
        pages = typeset(
            self.template,
            {**self.data, "head": self.head.as_data()},
            title=self.head.title,
            stamp=self.head.stamp,
            form=form,
            ppi=ppi,
            pictures=self.pictures,
            language=self.head.language,
        )
        return Drawn(pages=pages)
