"""What signing in and the page of people ask of the shop. `app.people` answers; tests answer with a hand-written fake.

Keys (of sessions, of one-time links, of programs) are texts that cannot be guessed; the shop keeps only their digests.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Protocol

from pinseal.catalogue import marked
from pinseal.web.account import Account

SCOPES: dict[str, str] = {
    "read": marked("read: units, dues, sheets, registers"),
    "work": marked("work: begin, fill and finish job sheets"),
    "door": marked("door: take the day along and send it back"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """A key of a program or a device, without the key itself."""

    uid: str
    name: str
    scopes: tuple[str, ...]
    until: datetime
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """An account as the page of people shows it. `state` is active, ended or erased; `ready` once a passphrase is set."""

    account: Account
    login: str
    state: str
    ready: bool
    keys: tuple[Key, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a supervisor asks for a person: the name, the name to sign in with, the role, an owner's sites."""

    name: str
    login: str
    role: str
    sites: tuple[str, ...] = field(default=())


class Doors(Protocol):
    """Who may come in. Calls come from several threads at once."""

    def of_session(self, key: str) -> Account | None:
        """Whose session a key is; None where it is nobody's, is over, or its account has ended."""
        ...

    def account_of(self, token: str) -> tuple[Account, frozenset[str]] | None:
        """Whose program holds this key, and what the key opens; None where it opens nothing."""
        ...

    def by_itself(self) -> Account | None:
        """Who is signed in by itself at the shop's own machine: somebody in the invented shop, nobody in a real one."""
        ...

    def sign_in(self, login: str, passphrase: str) -> str | None:
        """The key of a new session, or None where name and passphrase do not belong together."""
        ...

    def sign_out(self, key: str) -> None:
        """End a session."""
        ...

    def welcomed(self, key: str) -> Account | None:
        """Whose one-time link this is; None where it opens nothing any more."""
        ...

    def set_passphrase(self, key: str, passphrase: str) -> str:
        """Use a one-time link up, keep the passphrase, and give the key of a session. Raises `Refusal`."""
        ...


class People(Doors, Protocol):
    """The accounts, as a supervisor works on them. Every call may raise `Refusal`."""

    def known(self) -> Sequence[Known]:
        """Every account but erased ones, in the order of their making, each with its keys."""
        ...

    def add(self, wanted: Wanted) -> tuple[str, str]:
        """Let a person in: the uid of the account, and the key of the one-time link to hand over."""
        ...

    def link(self, uid: str) -> str:
        """The key of a new one-time link, by which a person sets a new passphrase. Links given before open nothing any more."""
        ...

    def change(self, uid: str, wanted: Wanted) -> None:
        """Another role, other sites, another name."""
        ...

    def end(self, uid: str) -> None:
        """Nobody signs in to this account any more."""
        ...

    def erase(self, uid: str) -> str:
        """Take a person's name out of the accounts, and show it nowhere. Returns what is shown in its place."""
        ...

    def give_key(self, uid: str, name: str, scopes: Sequence[str], days: int) -> str:
        """A new key for a program or a device of this person. It is shown once."""
        ...

    def end_key(self, uid: str, key_uid: str) -> None:
        """End a key of this person."""
        ...

    def sites(self) -> Sequence[str]:
        """The names of the shop's sites."""
        ...
