"""What a shop has chosen: its rule packs, how it writes units and dates, its time zone, and what it takes for granted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from datetime import date, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pinseal import kinds
from pinseal.dates import DATE_STYLES, parse_day
from pinseal.money import DECIMALS
from pinseal.reasons import Refusal
from pinseal.records.fields import checked
from pinseal.records.record_kinds import NAMEPLATE_FIELDS
from pinseal.records.site_owner import SiteOwner

_WEB = re.compile(r"https?://[^\s?#]{1,200}")
_TEXT_MAX = 300
UNITS: dict[str, str] = {"si": "SI units", "us": "US customary units", "metric": "metric units of the trade"}
DATE_ORDERS: dict[str, str] = {"MDY": "month, day, year", "DMY": "day, month, year", "YMD": "year, month, day"}
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*", re.ASCII)
# What marks and papers say of the firm. A registration or class that counts in one form only is `registration:us-tx`.
FIRM: dict[str, str] = {
    "name": "its name",
    "address": "its street address, on one line",
    "phone": "its telephone number",
    "email": "where to write to",
    "registration": "the number under which it is registered or licensed",
    "class": "the class of that registration",
    "requalifier": "the number of its approval to requalify cylinders, four letters or figures (49 CFR 180.213(d))",
    "requalifier-until": "the last day of that approval, YYYY-MM-DD",
}
_PER_FORM = ("registration", "class")
_CODES: dict[str, dict[str, str]] = {
    "units": UNITS, "date_order": DATE_ORDERS, "date_style": DATE_STYLES, "maintenance_basis": kinds.MAINTENANCE_BASES,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """The settings of a shop. `assume` gives nameplate facts that are taken for granted where a unit does not say them.

    `time_zone` (a name of the IANA database) decides what today is. `date_order` None means that a list is asked;
    `date_style` is how the pages write a date. `currency` (ISO 4217) is that of the shop's prices; None means not chosen yet.
    `language` is a tag of BCP 47; pages are English where they do not have it.
    `firm` is who the shop is (`FIRM`). `marks` says which form of marks holds at a site; the key `*` is for every other site.
    `sites` is the address book: whose a site is and where, `OWNER; ADDRESS` or the address alone.
    `web_address` is where the shop's pages are reached, for the codes on labels; empty means that they have no address.
    """

    packs: tuple[str, ...] = ()
    units: str = "si"
    date_order: str | None = None
    date_style: str = "words"
    currency: str | None = None
    time_zone: str = "UTC"
    language: str = "en"
    maintenance_basis: str = "anniversary"
    assume: Mapping[str, str] = field(default_factory=dict)
    firm: Mapping[str, str] = field(default_factory=dict)
    marks: Mapping[str, str] = field(default_factory=dict)
    sites: Mapping[str, str] = field(default_factory=dict)
    web_address: str = ""

    def __post_init__(self) -> None:
        for name, table in _CODES.items():
            code = getattr(self, name)
            if code not in table and not (code is None and name == "date_order"):
                raise _refused(name, f"{name} is one of {', '.join(table)}", str(code))
        if not all(isinstance(pack, str) and pack.strip() for pack in self.packs):
            raise _refused("packs", "each pack is a name, for example us-nfpa10", repr(self.packs))
        _zone(self.time_zone)
        if not _LANGUAGE.fullmatch(self.language):
            raise _refused("language", "a tag of BCP 47, for example en or pt-BR", self.language)
        if self.currency is not None and self.currency not in DECIMALS:
            raise _refused("currency", "three letters of ISO 4217 that people pay with, for example EUR or USD", self.currency)
        for name, value in self.assume.items():
            known = next((each for each in NAMEPLATE_FIELDS if each.name == name), None)
            if known is None:
                raise _refused("assume", f"only a fact of the nameplate: {', '.join(each.name for each in NAMEPLATE_FIELDS)}", name)
            checked(known, value, kind="registered")
        _check_firm(self.firm)
        if not all(isinstance(site, str) and site and isinstance(form, str) and form for site, form in self.marks.items()):
            raise _refused("marks", "a site, or *, and the form that holds there, as in *=us-tx", repr(dict(self.marks)))
        for site, text in self.sites.items():
            if not site or not isinstance(text, str) or not text.strip() or len(text) > _TEXT_MAX or not SiteOwner.read(text).address:
                rule = f"a site and its owner and address, as in Pier Café=Pier Company; 1 Long Quay, at most {_TEXT_MAX} characters"
                raise _refused("sites", rule, f"{site}={text}"[:120])
        if self.web_address and not _WEB.fullmatch(self.web_address):
            raise _refused("web_address", "an address that starts with https:// or http:// and has no query", self.web_address)

    def firm_in(self, form: str) -> dict[str, str]:
        """What is known of the firm, with the registration and class that count in a form of marks.

        >>> Settings(firm={"name": "Quay Works", "registration:us-tx": "ECR-1"}).firm_in("us-tx")
        {'name': 'Quay Works', 'registration': 'ECR-1'}
        """
        own = {name: self.firm[f"{name}:{form}"] for name in _PER_FORM if f"{name}:{form}" in self.firm}
        return {name: text for name, text in self.firm.items() if name in FIRM} | own

    def form_at(self, site: str | None) -> str | None:
        """The form of marks that holds at a site; None where none was chosen."""
        return self.marks.get(site or "*", self.marks.get("*"))

    def owner_at(self, site: str | None) -> str:
        """The owner and the address of a site on one line; empty where the address book does not say.

        >>> Settings(sites={"Pier Café": "Pier Company; 1 Long Quay"}).owner_at("Pier Café")
        'Pier Company, 1 Long Quay'
        >>> Settings(sites={"Pier Café": "1 Long Quay"}).owner_at("Pier Café")
        'Pier Café, 1 Long Quay'
        """
        return SiteOwner.read(self.sites.get(site or "", "")).line(site or "")

    def today(self, now: datetime) -> date:
        """The day that it is in the shop at a moment.

        >>> from datetime import UTC
        >>> Settings(time_zone="Pacific/Auckland").today(datetime(2026, 11, 24, 23, 0, tzinfo=UTC)).isoformat()
        '2026-11-25'
        """
        assert now.tzinfo is not None
        return now.astimezone(_zone(self.time_zone)).date()

    def as_json(self) -> dict[str, object]:
        return {each.name: _plain(getattr(self, each.name)) for each in fields(self)}


def _check_firm(firm: Mapping[str, str]) -> None:
    for name, text in firm.items():
        plain, _, form = name.partition(":")
        if plain not in FIRM or (form and plain not in _PER_FORM):
            raise _refused(
                "firm", f"it says {', '.join(FIRM)}; {' and '.join(_PER_FORM)} may be for one form, as in registration:us-tx", name
            )
        if not isinstance(text, str) or not text.strip() or len(text) > _TEXT_MAX:
            raise _refused("firm", f"{name} is a text of 1 to {_TEXT_MAX} characters", repr(text)[:60])
    if "requalifier" in firm:
        from pinseal.rules.requalification import checked_requalifier  # late: few shops have one

        checked_requalifier(firm["requalifier"])
    if "requalifier-until" in firm:
        parse_day(firm["requalifier-until"])


def read_settings(said: Mapping[str, object]) -> Settings:
    """The inverse of `Settings.as_json`. Raises `Refusal` for an unknown setting or a wrong value."""
    known = {each.name for each in fields(Settings)}
    unknown = [name for name in said if name not in known]
    if unknown:
        raise _refused(unknown[0], f"the settings are {', '.join(sorted(known))}", unknown[0])
    values = {name: tuple(value) if isinstance(value, list) else value for name, value in said.items()}
    return Settings(**values)  # type: ignore[arg-type]


def _plain(value: object) -> object:
    if isinstance(value, tuple):
        return list(value)
    return dict(value) if isinstance(value, Mapping) else value


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as unknown:
        raise _refused("time_zone", "a name of the IANA time zone database, for example Europe/Lisbon", name) from unknown


def _refused(name: str, rule: str, got: str) -> Refusal:
    return Refusal(what=f"the setting {name.replace('_', ' ')} cannot be used", rule=rule, got=got, do="correct the setting")
