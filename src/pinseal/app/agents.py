"""Batches of agent: what is recorded of them, their certificates, and the figures of the year."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from pinseal.app.papers import Papers, dates_as
from pinseal.app.registers import Registers
from pinseal.reasons import Refusal

if TYPE_CHECKING:
    from pinseal.documents.paper import Paper
    from pinseal.documents.tables import Table
    from pinseal.records.corrections import Fact
    from pinseal.service.agent_return import Scale, YearReturn
    from pinseal.service.batches import BatchAccount
    from pinseal.service.registry import Signed
    from pinseal.store import Settings, Shop

FIRST_YEAR = 1990


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeReturn:
    """The figures of a year with the names of the units that they name, and the system of units of the shop."""

    found: YearReturn
    names: Mapping[str, str]
    settings: Settings

    @property
    def system(self) -> str:
        return self.settings.units


class Agents(Registers, Papers):
    """What is done with batches of agent."""

    def agent_batches(self, path: Path) -> list[BatchAccount]:
        """Every batch with its account up to today, in the order of their names; those that are used up last."""
        from pinseal.service.agent_ledger import LEDGER_KINDS, movements
        from pinseal.service.batches import account_of, assigned
        from pinseal.store.looking import records_of_kinds

        with self._open(path, readonly=True) as shop:
            batches, scale = shop.batches(), _scale(shop, None)
            given = assigned(batches, movements(records_of_kinds(shop, LEDGER_KINDS)))
            today = shop.settings().today(self.now())
        found = [account_of(each, given.by_batch.get(each.uid, ()), scale_kg=scale.kg, on=today) for each in batches]
        return sorted(found, key=lambda each: (each.batch.used_up is not None, each.batch.id.casefold(), each.batch.uid))

    def begin_batch(self, path: Path, kind: str, fields: Mapping[str, str], signed: Signed) -> str:
        """A batch comes: `batch-received` or `batch-recovered`. Returns its uid. Raises `Refusal`."""
        from pinseal.service import batches

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return batches.begin_batch(shop, who, kind, done=done, fields=fields).uid

    def add_to_batch(self, path: Path, kind: str, name: str, fields: Mapping[str, str], signed: Signed) -> str:
        """Something is recorded of a batch. Returns its uid. Raises `Refusal`."""
        from pinseal.service import batches

        with self._open(path) as shop:
            who, done = self._signing(shop, signed)
            return batches.add_to_batch(shop, who, kind, name, done=done, fields=fields).uid

    def agent_certificate(self, path: Path, name: str) -> tuple[BatchAccount, Paper]:
        """The certificate of a batch of recycled agent. Raises `Refusal` that names what it lacks."""
        from pinseal.documents.paper import Paper
        from pinseal.service.agent_papers import certificate_data
        from pinseal.service.batches import find_batch

        accounts = self.agent_batches(path)
        batch = find_batch([each.batch for each in accounts], name)
        account = next(each for each in accounts if each.batch is batch)
        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
        with dates_as(settings):
            data = certificate_data(account)
            foot = [f"records {account.batch.tests[-1].record}, {account.batch.certificates[-1].record}"]
            head = self._head(settings, title=data.pop("title"), kind="Certificate of recycled agent", right=data.pop("right"), foot=foot)
        return account, Paper(template="agent_certificate", head=head, data=data)

    def agent_return(self, path: Path, year: int, *, scale: Fraction | None = None) -> MadeReturn:
        """The figures of a year. `scale` [kg]: how far one weighing may be wrong (k = 2), that of the register unless said."""
        from pinseal.service.agent_ledger import LEDGER_KINDS, movements
        from pinseal.service.agent_return import year_return
        from pinseal.store.looking import records_of_kinds

        with self._open(path, readonly=True) as shop:
            settings = shop.settings()
            today = settings.today(self.now())
            _check_year(year, today)
            moved = movements(records_of_kinds(shop, LEDGER_KINDS))
            charged = sorted({each.unit for each in moved if each.into and each.done.year == year})
            found = year_return(
                year, today=today, batches=shop.batches(), moved=moved, facts=_facts(shop, charged), scale=_scale(shop, scale)
            )
            wanted = {misfit.unit for each in found.agents for misfit in each.misfits if misfit.unit}
            names = {s.uid: s.id or s.serial or s.uid for s in shop.units() if s.uid and s.uid in wanted} if wanted else {}
        return MadeReturn(found=found, names=names, settings=settings)

    def return_paper(self, made: MadeReturn) -> Paper:
        """The figures of a year as a paper."""
        from pinseal.documents.paper import Paper
        from pinseal.service.agent_papers import return_data

        with dates_as(made.settings):
            data = return_data(made.found, made.names, made.system)
            head = self._head(
                made.settings,
                title=data.pop("title"),
                kind="Figures for the yearly return",
                right=data.pop("right"),
                notes=data.pop("notes"),
            )
        return Paper(template="agent_return", head=head, data=data)

    def write_return(self, made: MadeReturn, file: Path) -> int:
        """Write the figures of a year to a new file, `.csv` or `.xlsx`; returns the rows. Raises `Refusal`."""
        from pinseal.app.tables import check_ending, new_file

        check_ending(file)
        return new_file(file, self.return_table(made), made.settings.date_style)

    def return_table(self, made: MadeReturn) -> Table:
        """The figures of a year as a table."""
        from pinseal.documents.tables import Column, Table
        from pinseal.measures import SYSTEMS
        from pinseal.service.agent_papers import RETURN_HEADS, return_rows

        unit = SYSTEMS["us" if made.system == "us" else "metric"]["mass"]
        columns = [
            Column(head=head.format(unit=unit), width=width) for head, width in zip(RETURN_HEADS, (22, 34, 12, 12, 18, 60), strict=True)
        ]
        return Table(title=f"Agents {made.found.year}", columns=columns, rows=return_rows(made.found, made.system))


def _check_year(year: int, today: date) -> None:
    if not FIRST_YEAR <= year <= today.year:
        rule = f"a year from {FIRST_YEAR} to {today.year}, which is the year that runs"
        raise Refusal(what="there are no figures of this year", rule=rule, got=str(year), do="say --year 2026")


def _scale(shop: Shop, said: Fraction | None) -> Scale:
    from pinseal.service.agent_return import Scale
    from pinseal.service.batches import scale_doubt_kg

    if said is not None:
        return Scale(kg=said)
    kg, name = scale_doubt_kg(shop.instruments())
    return Scale(kg=kg, name=name)


def _facts(shop: Shop, units: Sequence[str]) -> Mapping[str, Sequence[Fact]]:
    """The facts of some units, corrections applied."""
    from pinseal.records.corrections import apply_corrections
    from pinseal.records.record import distinct
    from pinseal.store.looking import records_of_units

    return {unit: apply_corrections(distinct(some)[0])[0] for unit, some in records_of_units(shop, units).items()}
