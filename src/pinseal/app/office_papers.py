"""What the office pages ask of the shop for papers: impairments with their clocks, batches of agent, papers as files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from pinseal.app.pages import ShopOffice

if TYPE_CHECKING:
    from pinseal.app import App
    from pinseal.documents.paper import Paper
    from pinseal.documents.tables import Table
    from pinseal.records.record import Record
    from pinseal.service.batches import BatchAccount
    from pinseal.service.impairments import Impairment
    from pinseal.store import Shop


class ShopPapers(ShopOffice):
    """Papers of a shop, for its pages."""

    app: App

    def moment(self) -> datetime:
        from zoneinfo import ZoneInfo

        return self.app.now().astimezone(ZoneInfo(self._settings().time_zone))

    def impairments(self) -> Sequence[Impairment]:
        """Every impairment with its clocks as they stand now. The records are remembered, the clocks are not."""
        from zoneinfo import ZoneInfo

        from pinseal.app.kept_lists import as_before_without
        from pinseal.service.impairments import IMPAIRMENT_KINDS, impairments
        from pinseal.store.looking import records_of_kinds

        def make(shop: Shop) -> list[Record]:
            veils = shop.veils()
            return [veils.over_record(each) for each in records_of_kinds(shop, IMPAIRMENT_KINDS)]

        records: list[Record] = self._memory.get("impairments", make, as_before_without(IMPAIRMENT_KINDS))
        return impairments(records, now=self.app.now(), zone=ZoneInfo(self._settings().time_zone))

    def batches(self) -> Sequence[BatchAccount]:
        return self.app.agent_batches(self.path)

    def paper(self, what: str, subject: str, record: str = "") -> bytes:
        """A paper as PDF. Raises `Refusal` for one that cannot be made."""
        makers = {"notice": self._notice, "condemnation": self._condemnation, "certificate": self._certificate, "return": self._return}
        return makers[what](subject, record).draw("pdf").pages.pdf

    def return_table(self, year: int) -> Table:
        return self.app.return_table(self.app.agent_return(self.path, year))

    def _notice(self, unit: str, record: str) -> Paper:
        return self.app.impairment_notice(self.path, unit, record=record or None)[1]

    def _condemnation(self, unit: str, record: str) -> Paper:
        return self.app.condemnation_notice(self.path, unit, record=record or None)[1]

    def _certificate(self, batch: str, _record: str) -> Paper:
        return self.app.agent_certificate(self.path, batch)[1]

    def _return(self, year: str, _record: str) -> Paper:
        return self.app.return_paper(self.app.agent_return(self.path, int(year)))
