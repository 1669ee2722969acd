"""From a form of a sheet to the entry that it means. What cannot be one is refused in words."""

from __future__ import annotations

import re
from collections.abc import Mapping

from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.sheets.entries import Entry
from pinseal.web.office_common import one

READING, UNIT, INSTRUMENT = "reading-", "unit-", "instrument-"
_SECONDS_MAX = 86_400
_BARE_NUMBER = re.compile(r"[+-]?(\d+([.,]\d+)?|[.,]\d+)", re.ASCII)
Form = Mapping[str, list[str]]


def entry_of(form: Form, *, now: int) -> Entry:
    """The entry of a form. `now` [s] against the moment when the form was shown tells how long it took. Raises `Refusal`."""
    act = one(form, "act")
    made = _MAKERS.get(act)
    if made is None:
        raise Refusal(
            what=_("this form says nothing"),
            rule=_("an entry is an answer, a confirmation or a fix"),
            got=act,
            do=_("press one of the buttons"),
        )
    return made(form, _seconds(form, now))


def _seconds(form: Form, now: int) -> int | None:
    """How long the form was looked at; None where that cannot be told."""
    text = one(form, "shown")
    if not (text.isascii() and text.isdigit() and len(text) <= 12):
        return None
    taken = now - int(text)
    return taken if 0 <= taken <= _SECONDS_MAX else None


def _step(form: Form, seconds: int | None) -> Entry:
    note = one(form, "note")
    said = {"answer": _needed(form, "answer", _("no answer was chosen"))} | ({"note": note} if note else {})
    names = [name.removeprefix(READING) for name in form if name.startswith(READING) and one(form, name)]
    readings = {name: reading_text(form, name) for name in names}
    instruments = {name: one(form, INSTRUMENT + name) for name in names if one(form, INSTRUMENT + name)}
    if said["answer"] in ("not-done", "not-fitted"):
        readings, instruments = {}, {}
    return Entry(kind="step", subject=one(form, "step"), said=said, readings=readings, instruments=instruments, seconds=seconds)


def reading_text(form: Form, name: str) -> str:
    """A reading of a form, with the unit that was chosen beside it."""
    return _with_unit(one(form, READING + name), one(form, UNIT + name))


def _with_unit(text: str, unit: str) -> str:
    """A bare number with the unit that was chosen beside it; `29 lb 6 oz` stays as typed."""
    return f"{text} {unit}" if unit and _BARE_NUMBER.fullmatch(text) else text


def _confirm(form: Form, seconds: int | None) -> Entry:
    return Entry(kind="confirm", subject=one(form, "group"), seconds=seconds)


def _fix(form: Form, seconds: int | None) -> Entry:
    said = {"how": _needed(form, "how", _("it is not said how it was put right")), "step": one(form, "step")}
    said |= {name: one(form, name) for name in ("part", "number", "count") if one(form, name)}
    return Entry(kind="fix", subject=one(form, "finding"), said=said, seconds=seconds)


def _override(form: Form, seconds: int | None) -> Entry:
    said = {
        "step": one(form, "step"),
        "reason": _needed(form, "reason", _("it is not said why the gate is overridden")),
        "supervisor": _needed(form, "supervisor", _("it is not said which supervisor overrides the gate")),
    }
    return Entry(kind="override", subject=one(form, "gate"), said=said, seconds=seconds)


def _extend(form: Form, seconds: int | None) -> Entry:
    return Entry(kind="extend", subject=_needed(form, "work", _("no work was chosen")), seconds=seconds)


def _abandon(form: Form, seconds: int | None) -> Entry:
    where = one(form, "where")
    said = {"left": _needed(form, "left", _("it is not said in which state the unit is left"))} | ({"where": where} if where else {})
    return Entry(kind="abandon", subject=_needed(form, "reason", _("it is not said why the sheet ends here")), said=said, seconds=seconds)


def _laid_out(form: Form, seconds: int | None) -> Entry:
    said = {"have": _needed(form, "have", _("it is not said whether it lies ready"))}
    return Entry(kind="laid-out", subject=_needed(form, "part", _("no part was named")), said=said, seconds=seconds)


def _needed(form: Form, name: str, what: str) -> str:
    if text := one(form, name):
        return text
    raise Refusal(what=what, rule=_("the record keeps it"), got=_("nothing"), do=_("say it, and send the form again"))


_MAKERS = {
    "step": _step,
    "confirm": _confirm,
    "fix": _fix,
    "override": _override,
    "extend": _extend,
    "abandon": _abandon,
    "laid-out": _laid_out,
}
