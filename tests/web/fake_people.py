"""Hand-written people: everybody here is invented. The key of a session is `key-of-` and the uid."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from pinseal.reasons import Refusal
from pinseal.web.account import AUTHORITY, BENCH, OWNER, SUPERVISOR, TECHNICIAN, Account
from pinseal.web.people_doors import Key, Known, Wanted
from pinseal.web.sign_in import spent

LEAD = Account(uid="lead", name="Ida Quill", role=SUPERVISOR)
TECH = Account(uid="tech", name="Tobiah Marsh", role=TECHNICIAN)
SHOP = Account(uid="bench", name="Nell Harrow", role=BENCH)
SITES_OWNER = Account(uid="owner", name="Osric Lane", role=OWNER, sites=("Ferry hall",))
INSPECTOR = Account(uid="inspector", name="Maud Fell", role=AUTHORITY)
ALONE = Account(uid="", name="the demo", role=SUPERVISOR)
EVERYBODY = (LEAD, TECH, SHOP, SITES_OWNER, INSPECTOR)
PASSPHRASE = "three <small> words"


class FakePeople:
    """`People` by hand. `link-of-UID` is a one-time link that holds; `token-of-UID` a key that opens reading."""

    def __init__(self, *more: Account) -> None:
        self.accounts = {account.uid: account for account in (*EVERYBODY, *more)}
        self.ended: set[str] = set()
        self.said: list[tuple[object, ...]] = []
        self.keys = [Key(uid="k1", name="<b>tablet</b>", scopes=("read", "door"), until=datetime(2027, 3, 1, tzinfo=UTC), holds=True)]
        self.alone: Account | None = None

    def key_of(self, account: Account) -> str:
        return f"key-of-{account.uid or 'alone'}"

    def of_session(self, key: str) -> Account | None:
        if key == "key-of-alone":
            return ALONE
        uid = key.removeprefix("key-of-")
        return None if uid in self.ended or uid == key else self.accounts.get(uid)

    def account_of(self, token: str) -> tuple[Account, frozenset[str]] | None:
        account = self.accounts.get(token.removeprefix("token-of-")) if token.startswith("token-of-") else None
        return (account, frozenset({"read"})) if account else None

    def by_itself(self) -> Account | None:
        return self.alone

    def sign_in(self, login: str, passphrase: str) -> str | None:
        return f"key-of-{login.lower()}" if login.lower() in self.accounts and passphrase == PASSPHRASE else None

    def sign_out(self, key: str) -> None:
        self.ended.add(key.removeprefix("key-of-"))

    def welcomed(self, key: str) -> Account | None:
        return self.accounts.get(key.removeprefix("link-of-")) if key.startswith("link-of-") else None

    def set_passphrase(self, key: str, passphrase: str) -> str:
        account = self.welcomed(key)
        if account is None:
            raise spent()
        self.said.append(("passphrase", account.uid, passphrase))
        return self.key_of(account)

    def known(self) -> Sequence[Known]:
        def state(uid: str) -> str:
            return "ended" if uid in self.ended else "active"

        return [
            Known(account=one, login=one.uid, state=state(one.uid), ready=one is not TECH, keys=tuple(self.keys))
            for one in self.accounts.values()
        ]

    def add(self, wanted: Wanted) -> tuple[str, str]:
        if wanted.login in self.accounts:
            raise Refusal(what="this name for signing in is taken", rule="each has its own", got=wanted.login, do="choose another one")
        self.said.append(("add", wanted))
        return "new", "link-of-new"

    def link(self, uid: str) -> str:
        return f"link-of-{uid}"

    def change(self, uid: str, wanted: Wanted) -> None:
        self.said.append(("change", uid, wanted))

    def end(self, uid: str) -> None:
        if uid == "lead":
            raise Refusal(what="this is the last supervisor", rule="a shop has one", got=uid, do="make another one first")
        self.said.append(("end", uid))

    def erase(self, uid: str) -> str:
        self.said.append(("erase", uid))
        return "erased person 1"

    def give_key(self, uid: str, name: str, scopes: Sequence[str], days: int) -> str:
        self.said.append(("key", uid, name, tuple(scopes), days))
        return "a-key-shown-once"

    def end_key(self, uid: str, key_uid: str) -> None:
        self.said.append(("key-end", uid, key_uid))

    def sites(self) -> Sequence[str]:
        return ("Airfield ramp", "Ferry hall")
