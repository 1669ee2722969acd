"""Who may come in, for one shop's file: passphrases are hashed here, keys are made here, and only hashes are kept."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cached_property
from pathlib import Path
from threading import BoundedSemaphore, Lock
from typing import TYPE_CHECKING, Any

from pinseal.reasons import Refusal
from pinseal.store.accounts import ACTIVE, ERASED, KeptAccount, KeptToken, Session, spent
from pinseal.web.account import OWNER, ROLES, SUPERVISOR, Account
from pinseal.web.doorkeeper import SESSION_DAYS
from pinseal.web.people_desk import LINK_DAYS
from pinseal.web.people_doors import SCOPES, Key, Known, Wanted

if TYPE_CHECKING:
    from argon2 import PasswordHasher

    from pinseal.store import Shop

WELCOME = "welcome"  # the scope of a one-time link
_HASHED_AT_ONCE = 2  # a hash takes 64 MiB for a tenth of a second; more at once would only crowd the memory
_REMEMBERED_MAX = 2_000
_BYTES = 24
ALONE = Account(uid="", name="the demo", role=SUPERVISOR)


def digest_of(key: str) -> str:
    """The digest under which a key is kept. Keys are long and random, so a plain SHA-256 does."""
    return hashlib.sha256(key.encode()).hexdigest()


class ShopPeople:
    """Answers `web.people_doors.People` for one shop's file. `alone` is who is signed in by itself at the shop's machine."""

    def __init__(self, app: Any, path: Path, *, alone: Account | None = None) -> None:
        self.app, self.path, self.alone = app, path, alone
        self._lock, self._hashing = Lock(), BoundedSemaphore(_HASHED_AT_ONCE)
        self._remembered: dict[str, tuple[object, datetime, Account]] = {}

    @cached_property
    def _hasher(self) -> PasswordHasher:
        from argon2 import PasswordHasher

        return PasswordHasher()

    @cached_property
    def _nobody(self) -> str:
        """A hash that no passphrase fits: a name that is not known takes as long to refuse as one that is."""
        return self._hasher.hash(secrets.token_urlsafe(_BYTES))

    def _open(self, *, readonly: bool = False) -> Shop:
        shop: Shop = self.app._open(self.path, readonly=readonly)
        return shop

    def _now(self) -> datetime:
        now: datetime = self.app.now()
        return now

    def _version(self) -> object:
        files = (self.path, self.path.with_name(f"{self.path.name}-wal"))
        return tuple((f.stat().st_mtime_ns, f.stat().st_size) if f.exists() else None for f in files)

    def _forget(self) -> None:
        with self._lock:
            self._remembered.clear()

    # Who is who

    def by_itself(self) -> Account | None:
        return self.alone

    def of_session(self, key: str) -> Account | None:
        """The same answer again as long as the shop's file has not changed, so that a page costs no search for its reader."""
        digest, version = digest_of(key), self._version()
        with self._lock:
            kept = self._remembered.get(digest)
        if kept and kept[0] == version:
            return kept[2] if self._now() < kept[1] else None
        with self._open(readonly=True) as shop:
            session = shop.accounts().session(digest)
            account = shop.accounts().find(session.account) if session else None
        if session is None or account is None or not account.active or self._now() >= session.until:
            return None
        found = _account(account)
        with self._lock:
            if len(self._remembered) >= _REMEMBERED_MAX:
                self._remembered.clear()
            self._remembered[digest] = (version, session.until, found)
        return found

    def account_of(self, token: str) -> tuple[Account, frozenset[str]] | None:
        with self._open(readonly=True) as shop:
            kept = shop.accounts().token(digest_of(token))
            account = shop.accounts().find(kept.account) if kept else None
        if kept is None or account is None or not account.active or not kept.holds(self._now()):
            return None
        scopes = frozenset(kept.scopes) & frozenset(SCOPES)
        return (_account(account), scopes) if scopes else None

    # Signing in

    def sign_in(self, login: str, passphrase: str) -> str | None:
        with self._open(readonly=True) as shop:
            account = shop.accounts().by_login(login)
        known = account is not None and bool(account.secret)
        fits = self._fits(account.secret if account and account.secret else self._nobody, passphrase)
        if account is None or not known or not fits:
            return None
        return self._begin(account.uid)

    def _fits(self, secret: str, passphrase: str) -> bool:
        from argon2.exceptions import InvalidHashError, VerificationError

        with self._hashing:
            try:
                return self._hasher.verify(secret, passphrase)
            except (VerificationError, InvalidHashError):
                return False

    def _begin(self, account: str) -> str:
        key, now = secrets.token_urlsafe(_BYTES), self._now()
        session = Session(digest=digest_of(key), account=account, made=now, until=now + timedelta(days=SESSION_DAYS))
        with self._open() as shop:
            shop.accounts().begin_session(session)
        return key

    def sign_out(self, key: str) -> None:
        with self._open() as shop:
            shop.accounts().end_session(digest_of(key))
        self._forget()

    def _invited(self, shop: Shop, key: str) -> KeptAccount | None:
        token = shop.accounts().token(digest_of(key))
        if token is None or WELCOME not in token.scopes or not token.holds(self._now()):
            return None
        account = shop.accounts().find(token.account)
        return account if account and account.active else None

    def welcomed(self, key: str) -> Account | None:
        with self._open(readonly=True) as shop:
            account = self._invited(shop, key)
        return _account(account) if account else None

    def set_passphrase(self, key: str, passphrase: str) -> str:
        with self._hashing:
            secret = self._hasher.hash(passphrase)
        with self._open() as shop:
            account = self._invited(shop, key)
            if account is None:
                raise spent()
            shop.accounts().use_once(digest_of(key), replace(account, secret=secret), now=self._now())
        self._forget()
        return self._begin(account.uid)

    # People

    def known(self) -> Sequence[Known]:
        with self._open(readonly=True) as shop:
            accounts, tokens = shop.accounts().all(), shop.accounts().tokens()
        now = self._now()
        shown = [token for token in tokens if set(token.scopes) <= set(SCOPES)]
        return [
            Known(
                account=_account(account),
                login=account.login,
                state=account.state,
                ready=bool(account.secret),
                keys=tuple(_key(token, now) for token in shown if token.account == account.uid),
            )
            for account in accounts
            if account.state != ERASED
        ]

    def sites(self) -> Sequence[str]:
        from pinseal.store.door import sites_of

        with self._open(readonly=True) as shop:
            return [site for site in sites_of(shop) if site]

    def add(self, wanted: Wanted) -> tuple[str, str]:
        _check(wanted)
        uid = self.app._new_uid()
        account = KeptAccount(uid=uid, name=wanted.name, login=wanted.login, role=wanted.role, sites=wanted.sites)
        with self._open() as shop:
            shop.accounts().put(account, received=self._now())
        return uid, self.link(uid)

    def link(self, uid: str) -> str:
        with self._open() as shop:
            self._active(shop, uid)
            for token in shop.accounts().tokens(uid):
                if WELCOME in token.scopes and not token.ended:
                    shop.accounts().put_token(replace(token, ended=True), received=self._now())
        return self._give(uid, "one-time link", (WELCOME,), LINK_DAYS)

    def change(self, uid: str, wanted: Wanted) -> None:
        _check(wanted)
        with self._open() as shop:
            account = self._active(shop, uid)
            changed = replace(account, name=wanted.name, login=wanted.login, role=wanted.role, sites=wanted.sites)
            shop.accounts().put(changed, received=self._now())
        self._forget()

    def end(self, uid: str) -> None:
        with self._open() as shop:
            shop.accounts().end(uid, received=self._now())
        self._forget()

    def erase(self, uid: str) -> str:
        with self._open() as shop:
            account = shop.accounts().find(uid)
            if account is None or account.state == ERASED:
                raise _no_account(uid)
            shop.accounts().erase(uid, received=self._now())
            shown = shop.veil(account.name, received=self._now())
        self._forget()
        return shown

    def give_key(self, uid: str, name: str, scopes: Sequence[str], days: int) -> str:
        with self._open(readonly=True) as shop:
            self._active(shop, uid)
        return self._give(uid, name, tuple(scope for scope in SCOPES if scope in scopes), days)

    def end_key(self, uid: str, key_uid: str) -> None:
        with self._open() as shop:
            for token in shop.accounts().tokens(uid):
                if token.uid == key_uid and not token.ended:
                    shop.accounts().put_token(replace(token, ended=True), received=self._now())

    def _give(self, account: str, name: str, scopes: tuple[str, ...], days: int) -> str:
        key, now = secrets.token_urlsafe(_BYTES), self._now()
        token = KeptToken(
            uid=self.app._new_uid(), account=account, name=name, scopes=scopes, digest=digest_of(key), until=now + timedelta(days=days)
        )
        with self._open() as shop:
            shop.accounts().put_token(token, received=now)
        return key

    def _active(self, shop: Shop, uid: str) -> KeptAccount:
        account = shop.accounts().find(uid)
        if account is None or not account.active:
            raise _no_account(uid)
        return account

    # The first start

    def first_key(self) -> tuple[str, str] | None:
        """The sign-in name of a supervisor and a one-time key, where nobody has set a passphrase yet; else None.

        A shop without accounts gets one supervisor. Each start before the first passphrase gives a new key.
        """
        with self._open() as shop:
            accounts = [one for one in shop.accounts().all() if one.state == ACTIVE]
        if any(one.secret for one in accounts):
            return None
        lead = next((one for one in accounts if one.role == SUPERVISOR), None)
        if lead is None:
            wanted = Wanted(name="Supervisor", login="supervisor", role=SUPERVISOR)
            return wanted.login, self.add(wanted)[1]
        return lead.login, self.link(lead.uid)


def _account(kept: KeptAccount) -> Account:
    return Account(uid=kept.uid, name=kept.name, role=kept.role, sites=kept.sites)


def _key(token: KeptToken, now: datetime) -> Key:
    return Key(uid=token.uid, name=token.name, scopes=token.scopes, until=token.until, holds=token.holds(now))


def _check(wanted: Wanted) -> None:
    """Raises `Refusal` for a role that is none, and for an owner of nothing."""
    if wanted.role not in ROLES or not wanted.name.strip() or not wanted.login.strip():
        raise Refusal(
            what="this is no account", rule="it has a name, a name to sign in with, and a role", got=wanted.role, do="say all three"
        )
    if wanted.role == OWNER and not wanted.sites:
        raise Refusal(what="an owner without a site", rule="an owner sees their own sites", got=wanted.name, do="name at least one site")


def _no_account(uid: str) -> Refusal:
    return Refusal(what="there is no such account", rule="an account is named by its uid", got=uid, do="look at the page People")
