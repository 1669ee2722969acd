"""A phone's file of unsent work, taken in at the shop's machine: through the same door as if the phone had sent it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.ground import Ground
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.service.unsent import TakenIn


class TakingUnsent(Ground):
    """What the command `take-in` does."""

    def take_in_unsent(self, path: Path, file: Path, *, person: str | None) -> TakenIn:
        """Hand a file to the door. Who has the shop's file may hand in anybody's work, as a supervisor may. Raises `Refusal`."""
        from functools import partial

        from pinseal.app.door import ShopDoor
        from pinseal.service.unsent import hand_in, read_unsent
        from pinseal.web.account import SUPERVISOR, Account

        if not file.is_file():
            raise Refusal(what="no such file", rule="a phone saves its unsent work as a file", got=str(file), do="check the path")
        unsent = read_unsent(file.read_bytes())
        account = Account(uid="", name=self._person(person), role=SUPERVISOR)
        door = ShopDoor(self, path)  # type: ignore[arg-type]
        return hand_in(unsent, take=partial(door.take, account=account), keep=partial(door.keep_photo, name="", account=account))
