"""Lists of units that were withdrawn: by recall, or because their parts can no longer be had. Dated data of a shop."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from pinseal import kinds
from pinseal.dates import PartialDate, parse_date
from pinseal.reasons import Refusal
from pinseal.records.unit import UnitState, letters_and_figures

REASONS: dict[str, str] = {"recall": "recalled", "parts-ended": "parts can no longer be had"}
_TEXTS = ("title", "source", "published", "reason", "action", "checked")
_LISTS = ("model", "lot")
_SPANS = ("made_from", "made_to")
_KEYS = (*_TEXTS, *_LISTS, *_SPANS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal:
    """One entry: the models, lots and span of manufacture that are meant, why, since when, and what to do.

    An empty `model` or `lot` means any; a span that is not given is open. At least one of them is given.
    """

    title: str
    source: str
    published: PartialDate
    reason: str
    action: str
    checked: str
    model: tuple[str, ...] = ()
    lot: tuple[str, ...] = ()
    made_from: PartialDate | None = None
    made_to: PartialDate | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """Whether a unit is meant: `yes`, `no`, or `perhaps` with the nameplate facts that would settle it."""

    answer: str
    missing: tuple[str, ...] = ()


def load_withdrawals(text: str, *, name: str) -> tuple[Withdrawal, ...]:
    """Read a list: `[[withdrawal]]` tables in TOML. Raises `Refusal` that names the file, the entry and what to do."""
    try:
        read = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        raise _refused(name, "this is no TOML", str(wrong), "mend the file at that place") from wrong
    entries = read.pop("withdrawal", None)
    if read or not isinstance(entries, list) or not entries:
        raise _refused(
            name,
            "a list holds [[withdrawal]] tables and nothing else",
            ", ".join(map(str, read)) or "none",
            "write one table for each entry",
        )
    return tuple(_entry(entry, f"{name}, entry {number}") for number, entry in enumerate(entries, start=1))


def _entry(entry: Mapping[str, object], where: str) -> Withdrawal:
    unknown = [key for key in entry if key not in _KEYS]
    if unknown:
        raise _refused(where, f"the keys are {', '.join(_KEYS)}", ", ".join(unknown), "check the spelling of the key")
    texts = {key: _text(entry, key, where) for key in _TEXTS}
    lists = {key: _list(entry, key, where) for key in _LISTS}
    spans = {key: _date(str(entry[key]), key, where) for key in _SPANS if key in entry}
    _one_of(texts["reason"], REASONS, "reason", where)
    _one_of(texts["checked"], kinds.CHECKED, "checked", where)
    _check_meant(lists, spans, where)
    return Withdrawal(
        title=texts["title"],
        source=texts["source"],
        published=_date(texts["published"], "published", where),
        reason=texts["reason"],
        action=texts["action"],
        checked=texts["checked"],
        model=lists["model"],
        lot=lists["lot"],
        made_from=spans.get("made_from"),
        made_to=spans.get("made_to"),
    )


def _text(entry: Mapping[str, object], key: str, where: str) -> str:
    value = entry.get(key)
    if isinstance(value, date):  # TOML's own dates are as good as text
        return value.isoformat()
    if not isinstance(value, str) or not value.strip():
        raise _refused(where, f"{key} must be given, as text", "" if value is None else str(value), f"write {key}")
    return value.strip()


def _list(entry: Mapping[str, object], key: str, where: str) -> tuple[str, ...]:
    value = entry.get(key, [])
    values = [value] if isinstance(value, str) else value
    if not isinstance(values, list) or not all(isinstance(each, str) and each.strip() for each in values):
        raise _refused(where, f"{key} is a text or a list of texts", str(value), f'write {key} = ["first", "second"]')
    return tuple(values)


def _date(text: str, key: str, where: str) -> PartialDate:
    try:
        return parse_date(text)
    except Refusal as refused:
        raise _refused(where, f"{key} is YYYY, YYYY-MM or YYYY-MM-DD", text, refused.do) from refused


def _one_of(code: str, table: Mapping[str, str], key: str, where: str) -> None:
    if code not in table:
        raise _refused(where, f"{key} is one of {', '.join(table)}", code, f"use one of the listed codes for {key}")


def _check_meant(lists: Mapping[str, tuple[str, ...]], spans: Mapping[str, PartialDate], where: str) -> None:
    if not any(lists.values()):
        raise _refused(where, "an entry names a model or a lot", "neither", "say which units are meant")
    first, last = spans.get("made_from"), spans.get("made_to")
    if first and last and first.earliest > last.latest:
        raise _refused(where, "made_from is not after made_to", f"{first} to {last}", "check the two dates")


def _refused(where: str, rule: str, got: str, do: str) -> Refusal:
    return Refusal(what=f"the list of withdrawn units cannot be read ({where})", rule=rule, got=got, do=do)


def matches(entry: Withdrawal, unit: UnitState, on: date) -> Match:
    """Whether an entry means a unit on a day. Nothing is meant before the list was published.

    A fact that the unit does not say leaves the answer at `perhaps`, unless another fact already says no.
    """
    answers = {
        "published": entry.published.earliest <= on,
        "model": _among(entry.model, unit.nameplate.model),
        "lot": _among(entry.lot, unit.nameplate.lot),
        "manufactured": _made_within(entry, unit.dates.get("manufactured")),
    }
    if False in answers.values():
        return Match(answer="no")
    missing = tuple(name for name, answer in answers.items() if answer is None)
    return Match(answer="perhaps" if missing else "yes", missing=missing)


def _among(named: tuple[str, ...], said: str | None) -> bool | None:
    if not named:
        return True
    return None if said is None else letters_and_figures(said) in {letters_and_figures(each) for each in named}


def _made_within(entry: Withdrawal, made: PartialDate | None) -> bool | None:
    if entry.made_from is None and entry.made_to is None:
        return True
    if made is None:
        return None
    first = entry.made_from.earliest if entry.made_from else date.min
    last = entry.made_to.latest if entry.made_to else date.max
    if made.latest < first or made.earliest > last:
        return False
    return True if first <= made.earliest and made.latest <= last else None
