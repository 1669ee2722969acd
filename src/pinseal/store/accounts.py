"""Who may come in, as it lies in the shop: accounts, the keys that links and programs hold, and sessions.

Secrets come here as hashes and leave as hashes; what hashes them stands above. Accounts and tokens are only added to:
the newest row of a uid counts. Sessions come and go.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from pinseal.reasons import Refusal
from pinseal.records.record import instant_text, read_instant
from pinseal.store import schema
from pinseal.store.making import next_number

ACTIVE, ENDED, ERASED = "active", "ended", "erased"
_LEAD = "supervisor"

Opening = Callable[[], AbstractContextManager[sa.Connection]]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptAccount:
    """One account as it stands. `login` is what is typed to sign in; `secret` a passphrase's hash, empty where none is set.

    `person` is the uid of the person on record that the account belongs to, where that is known.
    """

    uid: str
    name: str
    login: str
    role: str
    sites: tuple[str, ...] = ()
    secret: str = ""
    state: str = ACTIVE
    person: str | None = None

    @property
    def active(self) -> bool:
        return self.state == ACTIVE


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptToken:
    """One key: whose it is, what it opens, and until when. The key itself is not kept, only its digest."""

    uid: str
    account: str
    name: str
    scopes: tuple[str, ...]
    digest: str
    until: datetime
    ended: bool = False

    def holds(self, now: datetime) -> bool:
        return not self.ended and now < self.until


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """One browser that is signed in."""

    digest: str
    account: str
    made: datetime
    until: datetime


class Accounts:
    """The accounts of an open shop. Each call that changes something is one transaction."""

    def __init__(self, writing: Opening, reading: Opening, wipe: Callable[[], None]) -> None:
        self._writing, self._reading, self._wipe = writing, reading, wipe

    # Accounts

    def all(self) -> list[KeptAccount]:
        """Every account as it stands, ended and erased ones too, in the order of their making."""
        with self._reading() as connection:
            return list(_accounts(connection).values())

    def find(self, uid: str) -> KeptAccount | None:
        with self._reading() as connection:
            return _accounts(connection).get(uid)

    def by_login(self, login: str) -> KeptAccount | None:
        """The active account of a sign-in name; letter case aside."""
        with self._reading() as connection:
            return _by_login(connection, login)

    def put(self, account: KeptAccount, *, received: datetime) -> None:
        """Keep a new account, or how a known one stands from now on.

        Raises `Refusal` for a sign-in name that another account has, and where the shop would be left without a supervisor.
        """
        with self._writing() as connection:
            _put(connection, account, received)

    def end(self, uid: str, *, received: datetime) -> None:
        """Nobody signs in to this account any more; its sessions and tokens end with it. Raises `Refusal`."""
        with self._writing() as connection:
            _put(connection, replace(_known(connection, uid), state=ENDED), received)
            _end_doors(connection, uid, received)

    def erase(self, uid: str, *, received: datetime) -> None:
        """Take the name, the sign-in name and the passphrase of an account out of the shop's file. It stays as an empty row.

        Raises `Refusal` for the last supervisor. Records keep the name that they were made with (see `Veils`).
        """
        with self._writing() as connection:
            account = _known(connection, uid)
            _put(connection, replace(account, name="", login="", secret="", person=None, state=ERASED), received)
            _end_doors(connection, uid, received)
            blank(connection, schema.accounts, schema.accounts.c.uid == uid)
            blank(connection, schema.tokens, schema.tokens.c.account == uid)
        self._wipe()

    # Tokens

    def put_token(self, token: KeptToken, *, received: datetime) -> None:
        """Keep a key's digest, or that the key has ended."""
        with self._writing() as connection:
            _put_token(connection, token, received)

    def tokens(self, account: str | None = None) -> list[KeptToken]:
        """Every key as it stands, or those of one account."""
        with self._reading() as connection:
            return [token for token in _tokens(connection) if account in (None, token.account)]

    def token(self, digest: str) -> KeptToken | None:
        """The key of a digest, ended or not."""
        with self._reading() as connection:
            return next(iter(_tokens(connection, schema.tokens.c.digest == digest)), None)

    def use_once(self, digest: str, account: KeptAccount, *, now: datetime) -> None:
        """End a one-time key and keep what it was for (a new passphrase) in the same step. Raises `Refusal`.

        Every session of the account ends: whoever set the passphrase signs in anew.
        """
        with self._writing() as connection:
            token = next(iter(_tokens(connection, schema.tokens.c.digest == digest)), None)
            if token is None or not token.holds(now) or token.account != account.uid:
                raise spent()
            _put_token(connection, replace(token, ended=True), now)
            _put(connection, account, now)
            connection.execute(sa.delete(schema.sessions).where(schema.sessions.c.account == account.uid))

    # Sessions

    def begin_session(self, session: Session) -> None:
        """Keep a session, and forget those that are over."""
        table = schema.sessions
        with self._writing() as connection:
            connection.execute(sa.delete(table).where(table.c.until <= instant_text(session.made)))
            row = {"digest": session.digest, "account": session.account}
            connection.execute(sa.insert(table), row | {"made": instant_text(session.made), "until": instant_text(session.until)})

    def session(self, digest: str) -> Session | None:
        table = schema.sessions
        with self._reading() as connection:
            row = connection.execute(sa.select(table).where(table.c.digest == digest)).mappings().first()
        return None if row is None else Session(**{**row, "made": read_instant(row["made"]), "until": read_instant(row["until"])})

    def end_session(self, digest: str) -> None:
        table = schema.sessions
        with self._writing() as connection:
            connection.execute(sa.delete(table).where(table.c.digest == digest))


def spent() -> Refusal:
    """What is said of a link that opens nothing any more."""
    return Refusal(
        what="this link does not open anything any more",
        rule="a one-time link opens once, and only until its last day",
        got="",
        do="ask a supervisor of the shop for a new one",
    )


def blank(connection: sa.Connection, table: sa.Table, where: sa.ColumnElement[bool]) -> None:
    """Empty the columns of some rows that erasing may empty, in the caller's transaction."""
    connection.execute(sa.update(table).where(where).values(dict.fromkeys(schema.BLANKED[table.name], "")))


def _accounts(connection: sa.Connection) -> dict[str, KeptAccount]:
    """The newest row of each account, in the order of their first rows."""
    table = schema.accounts
    found = {row["uid"]: row for row in connection.execute(sa.select(table).order_by(table.c.number)).mappings()}
    return {uid: _account(row) for uid, row in found.items()}


def _account(row: sa.RowMapping) -> KeptAccount:
    said: dict[str, Any] = {name: row[name] for name in ("uid", "name", "login", "role", "secret", "state", "person")}
    return KeptAccount(**said, sites=tuple(row["sites"]))


def _known(connection: sa.Connection, uid: str) -> KeptAccount:
    account = _accounts(connection).get(uid)
    if account is None or account.state == ERASED:
        raise Refusal(what="there is no such account", rule="an account is named by its uid", got=uid, do="look at the page People")
    return account


def _by_login(connection: sa.Connection, login: str) -> KeptAccount | None:
    wanted = login.strip().casefold()
    found = (one for one in _accounts(connection).values() if one.active and one.login.casefold() == wanted)
    return next(found, None) if wanted else None


def _put(connection: sa.Connection, account: KeptAccount, received: datetime) -> None:
    known = _accounts(connection)
    other = _by_login(connection, account.login)
    if account.active and other is not None and other.uid != account.uid:
        raise Refusal(what="this name for signing in is taken", rule="each account has its own", got=account.login, do="choose another one")
    after = known | {account.uid: account}
    had = any(one.active and one.role == _LEAD for one in known.values())
    if had and not any(one.active and one.role == _LEAD for one in after.values()):
        raise Refusal(
            what="this is the last supervisor",
            rule="a shop has a supervisor at all times, else nobody could let anybody in",
            got=account.name or account.uid,
            do="make somebody else supervisor first",
        )
    row = {name: getattr(account, name) for name in ("uid", "name", "login", "role", "secret", "state", "person")}
    more = {"number": next_number(connection, schema.accounts), "sites": list(account.sites), "received": instant_text(received)}
    connection.execute(sa.insert(schema.accounts), row | more)


def _end_doors(connection: sa.Connection, account: str, received: datetime) -> None:
    connection.execute(sa.delete(schema.sessions).where(schema.sessions.c.account == account))
    for token in _tokens(connection):
        if token.account == account and not token.ended:
            _put_token(connection, replace(token, ended=True), received)


def _tokens(connection: sa.Connection, *where: sa.ColumnElement[bool]) -> list[KeptToken]:
    table = schema.tokens
    found = {row["uid"]: row for row in connection.execute(sa.select(table).where(*where).order_by(table.c.number)).mappings()}
    return [_token(row) for row in found.values()]


def _token(row: sa.RowMapping) -> KeptToken:
    said: dict[str, Any] = {name: row[name] for name in ("uid", "account", "name", "digest", "ended")}
    return KeptToken(**said, scopes=tuple(row["scopes"]), until=read_instant(row["until"]))


def _put_token(connection: sa.Connection, token: KeptToken, received: datetime) -> None:
    row = {name: getattr(token, name) for name in ("uid", "account", "name", "digest", "ended")}
    more = {"number": next_number(connection, schema.tokens), "scopes": list(token.scopes)}
    times = {"until": instant_text(token.until), "received": instant_text(received)}
    connection.execute(sa.insert(schema.tokens), row | more | times)
