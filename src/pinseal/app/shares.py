"""Links for an authority, for one shop's file: a key whose scopes name one unit and one record or day."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pinseal.app.people import digest_of
from pinseal.reasons import Refusal
from pinseal.service.prices import without_prices
from pinseal.store.accounts import KeptToken
from pinseal.web.account import Account
from pinseal.web.share_doors import Share, Shared

if TYPE_CHECKING:
    from pinseal.records.record import Record
    from pinseal.store import Shop

SHARED = "shared"
_BYTES = 24


class ShopShares:
    """Answers `web.share_doors.Shares` for one shop's file."""

    def __init__(self, app: Any, path: Path) -> None:
        self.app, self.path = app, path

    def shared(self, key: str) -> Shared | None:
        with self.app._open(self.path, readonly=True) as shop:
            token = shop.accounts().token(digest_of(key))
            if token is None or SHARED not in token.scopes or not token.holds(self.app.now()):
                return None
            return self._shown(shop, token)

    def _shown(self, shop: Shop, token: KeptToken) -> Shared | None:
        said = _said(token)
        unit = shop.unit(said["unit"])
        if unit is None:
            return None
        proofs, veils = shop.proofs(said["unit"]), shop.veils()
        told = {record.uid for record in without_prices([proof.record for proof in proofs])}
        some = [proof for proof in proofs if proof.record.uid in told and _is_meant(proof.record, said)]
        if not some:
            return None
        return Shared(
            unit=unit,
            history=[veils.over_record(proof.record) for proof in proofs],
            proofs=some,
            until=token.until,
            veiled=any(veils.over_record(proof.record) != proof.record for proof in some),
        )

    def shares(self, unit: str) -> Sequence[Share]:
        with self.app._open(self.path, readonly=True) as shop:
            tokens = shop.accounts().tokens()
        meant = [token for token in tokens if SHARED in token.scopes and _said(token)["unit"] == unit]
        return [self._share(token) for token in reversed(meant)]

    def _share(self, token: KeptToken) -> Share:
        said = _said(token)
        day = date.fromisoformat(said["day"]) if "day" in said else None
        holds = token.holds(self.app.now())
        return Share(uid=token.uid, name=token.name, record=said.get("record"), day=day, until=token.until, holds=holds)

    def share(self, unit: str, *, name: str, record: str | None, day: date | None, days: int, by: Account) -> str:
        key, now = secrets.token_urlsafe(_BYTES), self.app.now()
        what = f"record:{record}" if record else f"day:{day.isoformat() if day else ''}"
        token = KeptToken(
            uid=self.app._new_uid(),
            account=by.uid,
            name=name,
            scopes=(SHARED, f"unit:{unit}", what),
            digest=digest_of(key),
            until=now + timedelta(days=days),
        )
        with self.app._open(self.path) as shop:
            if not any(_is_meant(each, _said(token)) for each in without_prices(shop.records(unit))):
                raise Refusal(
                    what="there is nothing to show",
                    rule="a link shows what is on record of this unit, and never what the owner was quoted",
                    got=what,
                    do="choose a record or a day",
                )
            shop.accounts().put_token(token, received=now)
        return key

    def end_share(self, unit: str, uid: str) -> None:
        with self.app._open(self.path) as shop:
            for token in shop.accounts().tokens():
                if token.uid == uid and SHARED in token.scopes and _said(token)["unit"] == unit and not token.ended:
                    shop.accounts().put_token(replace(token, ended=True), received=self.app.now())


def _said(token: KeptToken) -> dict[str, str]:
    """What the scopes of a link name: `unit`, and `record` or `day`."""
    pairs = (scope.partition(":") for scope in token.scopes if ":" in scope)
    return {name: value for name, _, value in pairs}


def _is_meant(record: Record, said: dict[str, str]) -> bool:
    return record.uid == said["record"] if "record" in said else str(record.done) == said.get("day")
