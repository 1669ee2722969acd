"""Where two records of a unit disagree, in plain sentences, and the act that settles it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pinseal import kinds
from pinseal.catalogue import gettext
from pinseal.service.disagreements import CONDEMNED, GONE, MISSING, OUTCOME, PLACE, READING, RESULT, Disagreement, Side
from pinseal.sheets.model import WORKS
from pinseal.web.date_words import date_words
from pinseal.web.office_sheet_page import outcome_words
from pinseal.web.office_views import DisagreementRow, UnitHead
from pinseal.web.words import record_words


def disagreement_row(each: Disagreement, unit: UnitHead | None = None) -> DisagreementRow:
    says, settle = _WORDS[each.matter]
    choices = tuple((side.fact.uid, f"{_did(side)}, {date_words(side.fact.done)}, {side.person}") for side in (each.one, each.other))
    return DisagreementRow(says=says(each), settle=settle(), choices=choices, unit=unit)


def rows_of(found: Sequence[Disagreement]) -> tuple[DisagreementRow, ...]:
    return tuple(disagreement_row(each) for each in found)


def _both(each: Disagreement) -> dict[str, str]:
    return {
        "one": each.one.person,
        "day": date_words(each.one.fact.done),
        "other": each.other.person,
        "later": date_words(each.other.fact.done),
    }


def _did(side: Side) -> str:
    return record_words(side.fact.kind)


def _missing(each: Disagreement) -> str:
    lost, seen = (each.one, each.other) if each.one.fact.kind == "not-done" else (each.other, each.one)
    return gettext(
        "%(one)s looked for it and did not find it (%(day)s); %(other)s had it in hand: %(did)s (%(later)s)",
        one=lost.person,
        day=date_words(lost.fact.done),
        other=seen.person,
        later=date_words(seen.fact.done),
        did=_did(seen),
    )


def _place(each: Disagreement) -> str:
    where, there = (" / ".join(s.fact.fields[n] for n in ("site", "place") if n in s.fact.fields) for s in (each.one, each.other))
    return gettext(
        "%(one)s says that it belongs at %(where)s (%(day)s); %(other)s says at %(there)s (%(later)s)",
        where=where,
        there=there,
        **_both(each),
    )


def _outcome(each: Disagreement) -> str:
    end, ending = (outcome_words(side.fact.fields.get("outcome", "")) for side in (each.one, each.other))
    work = gettext(kinds.DUTIES.get(each.about) or WORKS.get(each.about, each.about))
    return gettext(
        "%(one)s ended a job sheet (%(work)s) with “%(end)s” (%(day)s); %(other)s ended one with “%(ending)s” (%(later)s)",
        work=work,
        end=end,
        ending=ending,
        **_both(each),
    )


def _reading(each: Disagreement) -> str:
    first, second = (_value(side) for side in (each.one, each.other))
    return gettext(
        "%(one)s read %(what)s as %(first)s (%(day)s); %(other)s read %(second)s (%(later)s)",
        what=gettext(each.about),
        first=first,
        second=second,
        **_both(each),
    )


def _value(side: Side) -> str:
    verdict = gettext(kinds.VERDICTS.get(side.fact.fields.get("verdict", ""), ""))
    return ", ".join(text for text in (side.fact.fields.get("value", ""), verdict) if text)


def _result(each: Disagreement) -> str:
    failed, passed = (each.one, each.other) if each.one.fact.fields.get("result") == "fail" else (each.other, each.one)
    return gettext(
        "%(what)s: %(failed)s says that it failed (%(day)s); %(passed)s says that it passed (%(later)s)",
        what=_did(failed),
        failed=failed.person,
        day=date_words(failed.fact.done),
        passed=passed.person,
        later=date_words(passed.fact.done),
    )


def _condemned(each: Disagreement) -> str:
    return gettext(
        "%(one)s condemned it (%(day)s); after that, %(other)s recorded: %(did)s (%(later)s). It stays condemned",
        did=_did(each.other),
        **_both(each),
    )


def _gone(each: Disagreement) -> str:
    why = each.one.fact.fields.get("reason") or gettext("no reason said")
    return gettext(
        "%(one)s took it out of the fleet: %(why)s (%(day)s); after that, %(other)s recorded: %(did)s (%(later)s)",
        why=why,
        did=_did(each.other),
        **_both(each),
    )


_WORDS: dict[str, tuple[Callable[[Disagreement], str], Callable[[], str]]] = {
    MISSING: (_missing, lambda: gettext("look whether it hangs at its place, then void the record that is wrong")),
    PLACE: (_place, lambda: gettext("look where it hangs, then void the record that is wrong, or record it as moved there")),
    OUTCOME: (_outcome, lambda: gettext("ask both, then void the record that is wrong, or do the work once more on a new job sheet")),
    READING: (_reading, lambda: gettext("read it once more on an instrument with a good check, or void the reading that is wrong")),
    RESULT: (_result, lambda: gettext("keep it out of use until the test is done once more, or void the record that is wrong")),
    CONDEMNED: (
        _condemned,
        lambda: gettext("keep it out of use, look at the shell, then void the record that is wrong, or condemn it once more"),
    ),
    GONE: (_gone, lambda: gettext("look whether it is there, then record it as returned or as removed, or void the record that is wrong")),
}
