"""Batches of agent fold like every other subject: by day and uid, corrections first, whatever order they arrive in."""

from __future__ import annotations

from itertools import permutations

import pytest
from record_makers import Writer, uid

from pinseal.reasons import Refusal
from pinseal.records.batches import fold_batch, fold_batches
from pinseal.records.fold import fold_all
from pinseal.records.record_kinds import check_record
from pinseal.records.registers import other_subjects

BATCH = uid(78)
AGENT = "halocarbon-hfc-236fa"
BEGUN = {"id": "R-4", "agent": AGENT, "lot": "R-2026-4", "came-from": "Pier Café"}
PAPER = {"certificate": "C-12", "recycler": "Quay Works", "mass": "8.9 lb"}


def test_the_order_of_arrival_does_not_matter() -> None:
    writer = Writer()
    life = [
        writer.write("batch-recovered", "2026-02-01", unit=BATCH, **BEGUN),
        writer.write("batch-weighed", "2026-03-01", unit=BATCH, mass="8.9 lb"),
        writer.write("batch-tested", "2026-03-02", unit=BATCH, purity="99.6", **{"purity-method": "gas chromatography"}),
        writer.write("batch-certified", "2026-03-03", unit=BATCH, **PAPER),
        writer.write("batch-used-up", "2026-04-03", unit=BATCH),
    ]
    found = fold_batch(life)
    assert (found.id, found.origin, found.is_recycled, found.tests[0].purity) == ("R-4", "recovered", True, "99.6")
    assert [each.mass for each in found.entries] == ["0 kg", "8.9 lb", "0 kg"]
    assert found.used_up is not None
    assert all(fold_batch(some) == found for some in permutations(life))


def test_a_test_that_failed_is_no_test_that_passed() -> None:
    writer = Writer()
    tested = {"purity": "97", "purity-method": "gas chromatography", "result": "fail"}
    found = fold_batch(
        [
            writer.write("batch-recovered", "2026-02-01", unit=BATCH, **BEGUN),
            writer.write("batch-tested", "2026-03-02", unit=BATCH, **tested),
        ]
    )
    assert [each.passed for each in found.tests] == [False]


def test_a_mass_can_be_corrected() -> None:
    writer = Writer()
    begun = writer.write("batch-received", "2026-02-01", unit=BATCH, id="D-1", agent=AGENT, mass="500 lb", origin="virgin")
    mend = writer.write("corrected", "2026-02-02", unit=BATCH, corrects=begun.uid, **{"to-mass": "50 lb"})
    assert [each.mass for each in fold_batch([begun, mend]).entries] == ["50 lb"]


def test_a_batch_is_never_counted_as_an_extinguisher() -> None:
    writer = Writer()
    records = [writer.write("batch-recovered", "2026-02-01", unit=BATCH, **BEGUN), writer.write("registered", "2026-01-02", agent="abc")]
    assert other_subjects(records) == {BATCH: "batch"}
    assert BATCH not in fold_all(records)
    assert [each.id for each in fold_batches(records)] == ["R-4"]


@pytest.mark.parametrize(
    ("kind", "fields", "words"),
    [
        ("batch-received", {"id": "D-1", "agent": "oil", "mass": "50 lb", "origin": "virgin"}, "agent is one of"),
        ("batch-received", {"id": "D-1", "agent": AGENT, "mass": "50 lb"}, "origin must be given"),
        ("batch-received", {"id": "D-1", "agent": AGENT, "mass": "50", "origin": "virgin"}, "mass is a number and a unit"),
        ("batch-sent", {"mass": "5 lb", "sent-for": "the sea"}, "sent-for is one of recycling"),
        ("batch-certified", {"certificate": "C-1", "mass": "5 lb"}, "recycler must be given"),
    ],
)
def test_a_wrong_record_of_a_batch_is_refused_in_words(kind: str, fields: dict[str, str], words: str) -> None:
    with pytest.raises(Refusal) as refused:
        check_record(kind, fields)
    assert words in str(refused.value)
