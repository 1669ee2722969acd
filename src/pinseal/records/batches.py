"""The batches of agent of a shop, as their records make them: origin, weighings, purity tests, certificates, what was sent away."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pinseal.dates import PartialDate
from pinseal.records.corrections import Fact, Mark
from pinseal.records.record import Record
from pinseal.records.registers import Withdrawn, about_subject, counting_facts

BEGINNINGS = ("batch-received", "batch-recovered")


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchEntry:
    """One record that is about mass. `mass` as typed (empty: none), `sent_for` a key of `kinds.BATCH_WAYS`."""

    record: str
    kind: str
    done: PartialDate
    mass: str = ""
    sent_for: str = ""
    sent_to: str = ""
    instrument: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PurityTest:
    """One test of purity; `purity` in percent, as typed."""

    record: str
    done: PartialDate
    purity: str
    method: str
    passed: bool
    laboratory: str = ""
    certificate: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchCertificate:
    """One paper that says that the batch is recycled agent, and of how much it speaks."""

    record: str
    done: PartialDate
    number: str
    recycler: str
    mass: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AgentBatch:
    """One batch. `origin` is a key of `kinds.AGENT_ORIGINS`, or `recovered`.

    One whose beginning has not come in has an empty `id` and no agent. Entries, tests and certificates are in order.
    """

    uid: str
    id: str = ""
    agent: str | None = None
    origin: str = "unknown"
    lot: str = ""
    container: str = ""
    came_from: str = ""
    paper: str = ""
    began: PartialDate | None = None
    entries: tuple[BatchEntry, ...] = ()
    tests: tuple[PurityTest, ...] = ()
    certificates: tuple[BatchCertificate, ...] = ()
    used_up: Withdrawn | None = None
    marks: tuple[Mark, ...] = ()

    @property
    def is_recycled(self) -> bool:
        """Bought as recycled, or recovered and certified since."""
        return self.origin == "recycled" or bool(self.certificates)


def fold_batch(records: Iterable[Record]) -> AgentBatch:
    """What the records of one batch make of it. Begun again, what is said anew holds; what is not said again stays."""
    facts, marks, uid = counting_facts(records)
    found = AgentBatch(uid=uid, marks=marks)
    for fact in facts:
        found = _taken(found, fact)
    return found


def fold_batches(records: Iterable[Record]) -> list[AgentBatch]:
    """Every batch of agent among records of any subject, in the order of the uids."""
    return [fold_batch(some) for some in about_subject(records, "batch")]


def _taken(found: AgentBatch, fact: Fact) -> AgentBatch:
    said = fact.fields
    if fact.kind in BEGINNINGS:
        found = replace(
            found,
            id=said["id"],
            agent=said["agent"],
            origin=said.get("origin", "recovered"),
            lot=said.get("lot", found.lot),
            container=said.get("container", found.container),
            came_from=said.get("came-from", found.came_from),
            paper=said.get("certificate", found.paper),
            began=found.began or fact.done,
            used_up=None,
        )
    if fact.kind == "batch-tested":
        return replace(found, tests=(*found.tests, _test(fact)))
    if fact.kind == "batch-certified":
        paper = BatchCertificate(record=fact.uid, done=fact.done, number=said["certificate"], recycler=said["recycler"], mass=said["mass"])
        return replace(found, certificates=(*found.certificates, paper))
    if fact.kind == "batch-used-up":
        found = replace(found, used_up=Withdrawn(since=fact.done, reason=said.get("reason", "no reason said")))
    if fact.kind in (*BEGINNINGS, "batch-weighed", "batch-sent", "batch-used-up"):
        return replace(found, entries=(*found.entries, _entry(fact)))
    return found


def _entry(fact: Fact) -> BatchEntry:
    said = fact.fields
    return BatchEntry(
        record=fact.uid,
        kind=fact.kind,
        done=fact.done,
        mass=said.get("mass", "0 kg" if fact.kind in ("batch-used-up", "batch-recovered") else ""),
        sent_for=said.get("sent-for", ""),
        sent_to=said.get("sent-to", ""),
        instrument=said.get("instrument", ""),
    )


def _test(fact: Fact) -> PurityTest:
    said = fact.fields
    return PurityTest(
        record=fact.uid,
        done=fact.done,
        purity=said["purity"],
        method=said["purity-method"],
        passed=said.get("result") != "fail",
        laboratory=said.get("laboratory", ""),
        certificate=said.get("certificate", ""),
    )
