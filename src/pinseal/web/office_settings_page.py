"""What the shop has chosen, in words, and the form to choose anew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pinseal import kinds
from pinseal.catalogue import SOURCE, held_languages, marked, pgettext, spoken
from pinseal.catalogue import gettext as _
from pinseal.standards.model import Pack
from pinseal.web.office_common import Sight
from pinseal.web.office_list_views import SettingsPage
from pinseal.web.pages import frame
from pinseal.web.views import Choice, Fact, Trouble

UNITS = {"us": marked("US customary: psi, lb, F"), "metric": marked("metric: bar, kg, C"), "si": marked("SI units")}
ORDERS = {
    "": marked("ask for each list"),
    "MDY": marked("month, day, year"),
    "DMY": marked("day, month, year"),
    "YMD": marked("year, month, day"),
}
STYLES = {
    "words": marked("24 Nov 2026: day, month in letters, year"),
    "iso": marked("2026-11-24: year, month, day (ISO 8601)"),
    "mdy": marked("11/24/2026: month, day, year"),
}
FORM_NAMES = ("language", "packs", "units", "date_style", "currency", "maintenance_basis", "time_zone", "date_order")


def settings_page(
    seen: Sight, said: Mapping[str, Any], packs: Sequence[Pack], *, may_change: bool, saved: bool, troubles: tuple[Trouble, ...] = ()
) -> SettingsPage:
    """The settings as they hold now. A pack that is chosen in an edition of its own keeps it."""
    chosen = {str(name).partition("@")[0]: str(name) for name in said["packs"]}
    assume = ", ".join(f"{_(name.replace('-', ' '))} {code}" for name, code in said.get("assume", {}).items())
    return SettingsPage(
        frame=frame(seen.about, title=_("Settings"), here="/settings"),
        facts=(
            Fact(name=_("rule packs"), value=", ".join(chosen.values()) or _("none chosen")),
            Fact(name=_("units"), value=_(UNITS.get(said["units"], said["units"]))),
            Fact(name=_("dates on the pages"), value=_(STYLES[said["date_style"]])),
            Fact(name=_("currency of prices"), value=said["currency"] or _("not chosen")),
            Fact(name=_("yearly maintenance"), value=_(kinds.MAINTENANCE_BASES[said["maintenance_basis"]])),
            Fact(name=_("time zone"), value=said["time_zone"]),
            Fact(name=_("dates in lists"), value=_(ORDERS[said["date_order"] or ""])),
            Fact(name=_("taken for granted where a unit does not say"), value=assume or _("nothing")),
        ),
        may_change=may_change,
        packs=tuple(
            Choice(value=chosen.get(each.id, each.id), label=f"{each.id}: {_(each.title)}", chosen=each.id in chosen) for each in packs
        ),
        units=_choices(UNITS, said["units"]),
        styles=_choices(STYLES, said["date_style"]),
        currency=said["currency"] or "",
        bases=_choices(kinds.MAINTENANCE_BASES, said["maintenance_basis"]),
        orders=_choices(ORDERS, said["date_order"] or ""),
        time_zone=said["time_zone"],
        saved=saved,
        languages=languages(str(said.get("language", SOURCE))),
        troubles=troubles,
    )


def languages(chosen: str) -> tuple[Choice, ...]:
    """The languages that pages are held in, each by its own name; none to choose as long as English is the only one."""
    held = held_languages()
    return tuple(Choice(value=tag, label=_own_name(tag), chosen=tag == chosen) for tag in held) if len(held) > 1 else ()


def _own_name(tag: str) -> str:
    with spoken(tag):
        return pgettext("the name of this language, in itself", "English")


def _choices(table: Mapping[str, str], chosen: str) -> tuple[Choice, ...]:
    return tuple(Choice(value=code, label=_(label), chosen=code == chosen) for code, label in table.items())
