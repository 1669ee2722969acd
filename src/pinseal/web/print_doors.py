"""What the print pages ask of the shop beside `office_doors.OfficeRooms`. Any call may raise `Refusal` or `ShopUnusable`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal, Protocol

from pinseal.service.marks import OfferedMark, PrintAsked
from pinseal.standards.stocks import Stock


class Ready(Protocol):
    """Something that may be printed. Nothing is drawn before `draw`."""

    @property
    def stock(self) -> Stock: ...
    @property
    def notes(self) -> tuple[str, ...]: ...
    @property
    def marks(self) -> Sequence[Any]: ...
    @property
    def labels(self) -> Sequence[Any]: ...

    def first_page(self) -> Ready:
        """What stands on the first page alone."""
        ...

    def draw(self, form: Literal["pdf", "svg", "png"], *, ppi: float = 200) -> Any:
        """The pages (`pages.files`) and what the person who prints should know of them (`notes`)."""
        ...


class PrintRooms(Protocol):
    """The shop as the print pages need it."""

    def marks_of(self, sheet: str) -> tuple[OfferedMark, ...]:
        """Every mark that states something, and why it is not printed from this sheet, where it is not."""
        ...

    def prepare(self, asked: PrintAsked) -> Ready:
        """What is asked for, where it may be printed. Raises `Refusal`."""
        ...

    def stocks_for(self, mark: str, site: str | None) -> tuple[Stock, ...]:
        """The stocks held on which a mark may go at a site; none where the mark is not printed there."""
        ...
