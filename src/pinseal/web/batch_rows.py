"""Batches of agent in words, and where the figures of a year are."""

from __future__ import annotations

from pinseal import kinds
from pinseal.catalogue import gettext as _
from pinseal.reasons import Refusal
from pinseal.records.batches import PurityTest
from pinseal.rules.agent_account import Stretch
from pinseal.service.agent_papers import certified, mass_words
from pinseal.service.batches import BatchAccount
from pinseal.web.date_words import date_words
from pinseal.web.office_list_views import BatchRow, StretchRow, YearLinks
from pinseal.web.words import agent_words


def batch_row(account: BatchAccount, system: str) -> BatchRow:
    """One batch as the page shows it."""
    batch = account.batch
    origin = _("recovered") if batch.origin == "recovered" else _(kinds.AGENT_ORIGINS[batch.origin])
    return BatchRow(
        name=batch.id or batch.uid,
        agent=agent_words(batch.agent),
        origin=_("%(origin)s, certified as recycled", origin=origin) if batch.certificates else origin,
        lot=batch.lot,
        left=_("unknown") if account.left_kg is None else mass_words(account.left_kg, system),
        used_up=_("used up %(day)s", day=date_words(batch.used_up.since)) if batch.used_up else "",
        tests=tuple(_test(each) for each in batch.tests),
        stretches=tuple(_stretch(each, system) for each in account.stretches),
        paper_href=f"/bench/agent/{batch.uid}/certificate.pdf" if _has_paper(account) else "",
    )


def _test(each: PurityTest) -> str:
    said = {"purity": each.purity, "method": each.method, "day": date_words(each.done)}
    return _("%(purity)s %% by %(method)s, %(day)s", **said) if each.passed else _("failed: %(purity)s %% by %(method)s, %(day)s", **said)


def _stretch(each: Stretch, system: str) -> StretchRow:
    return StretchRow(
        until=date_words(each.until),
        weighed=mass_words(each.weighed_kg, system),
        verdict=each.balance.verdict if each.balance else "unknown",
        because=each.balance.because[0] if each.balance else each.why,
        suspects=tuple(f"{one.entry.done.for_people()}: {one.words}" for one in each.suspects),
    )


def _has_paper(account: BatchAccount) -> bool:
    try:
        certified(account)
    except Refusal:
        return False
    return True


def year_links(year: int) -> YearLinks:
    """Where the figures of a year are."""
    base = f"/bench/agent/{year}"
    return YearLinks(year=str(year), href=f"{base}.pdf", csv_href=f"{base}.csv", xlsx_href=f"{base}.xlsx")
