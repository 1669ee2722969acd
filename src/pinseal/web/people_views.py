"""What the pages of signing in and of people are given."""

from __future__ import annotations

from dataclasses import dataclass

from pinseal.web.views import Choice, Frame, Trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class SignInPage:
    """Where a person signs in. `goes_to` is the page that was asked for; `login` as it was typed."""

    frame: Frame
    troubles: tuple[Trouble, ...] = ()
    login: str = ""
    goes_to: str = "/"


@dataclass(frozen=True, slots=True, kw_only=True)
class WelcomePage:
    """Where a person sets a passphrase, by a one-time link."""

    frame: Frame
    name: str
    here: str
    length_min: int
    troubles: tuple[Trouble, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """One account in the list."""

    name: str
    href: str
    login: str
    role: str
    sites: tuple[str, ...]
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonForm:
    """What was typed for a person; `sites` are those of the shop."""

    name: str = ""
    login: str = ""
    roles: tuple[Choice, ...] = ()
    sites: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Handed:
    """Something secret that is shown once: what it is for, and the text to hand over."""

    title: str
    text: str
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PeoplePage:
    """Everybody who may come in, and the form that lets somebody in."""

    frame: Frame
    rows: tuple[PersonRow, ...]
    form: PersonForm
    troubles: tuple[Trouble, ...] = ()
    handed: Handed | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRow:
    """One key of a program or a device."""

    uid: str
    name: str
    scopes: str
    until: str
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonPage:
    """One account, and what can be done with it."""

    frame: Frame
    name: str
    here: str
    login: str
    standing: str
    active: bool
    form: PersonForm
    keys: tuple[KeyRow, ...]
    scopes: tuple[Choice, ...]
    troubles: tuple[Trouble, ...] = ()
    handed: Handed | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperRow:
    """One paper of a person. `state` is a state of the due list, for its shape; `word` says how the paper stands."""

    state: str
    word: str
    what: str
    number: str
    by: str
    until: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingView:
    """How a person's papers stand for one thing. `because` names the rule."""

    state: str
    word: str
    because: str
    until: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HolderRow:
    """One person of the register: the paper of each kind that counts longest, the earlier ones, and how they stand."""

    name: str
    role: str
    work: StandingView
    mark: StandingView
    papers: tuple[PaperRow, ...]
    earlier: tuple[PaperRow, ...]
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PapersPage:
    """The people of the register with their papers; those whom something is missing stand first."""

    frame: Frame
    rows: tuple[HolderRow, ...]
    may_let_in: bool
