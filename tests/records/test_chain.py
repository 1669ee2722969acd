from dataclasses import replace
from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st
from record_makers import Writer

from pinseal.records.chain import receipt_of, verify_chain, verify_receipts

AT = datetime(2026, 2, 1, tzinfo=UTC)


def history(writer=None, length=4):
    writer = writer or Writer()
    return [writer.write("inspected", f"2026-{month:02d}-10") for month in range(1, length + 1)]


def test_a_whole_chain_gives_its_length_and_head():
    records = history()
    (chain,) = verify_chain(records)
    assert (chain.writer, chain.length, chain.head, chain.first_break) == ("van-1", 4, records[-1].digest, None)


@given(st.permutations(range(4)))
def test_the_order_of_arrival_does_not_matter(order):
    records = history()
    assert verify_chain([records[place] for place in order]) == verify_chain(records)


def test_each_writer_has_a_chain_of_its_own():
    chains = verify_chain([*history(Writer("van-2", first=50), 2), *history(Writer("van-1"), 3)])
    assert [(chain.writer, chain.length) for chain in chains] == [("van-1", 3), ("van-2", 2)]


def test_a_cut_tail_shows_as_a_shorter_chain_with_another_head():
    records = history()
    (chain,) = verify_chain(records[:3])
    assert (chain.length, chain.head, chain.first_break) == (3, records[2].digest, None)


def test_records_after_one_that_has_not_come_in_wait_and_break_nothing():
    records = history()
    (chain,) = verify_chain([records[0], *records[2:]])
    assert (chain.length, chain.waiting, chain.first_break) == (1, len(records) - 2, None)
    (headless,) = verify_chain(records[1:])
    assert (headless.length, headless.waiting) == (0, len(records) - 1)


def test_a_changed_record_among_those_that_wait_is_named():
    records = history()
    records[2] = replace(records[2], fields={"note": "all was well"})
    (chain,) = verify_chain([records[0], *records[2:]])
    assert chain.first_break.record == records[2].uid


def test_a_changed_record_is_named():
    records = history()
    records[2] = replace(records[2], fields={"note": "all was well"})
    (chain,) = verify_chain(records)
    assert (chain.length, chain.first_break.record) == (2, records[2].uid)
    assert chain.first_break.expected == f"the digest {records[2].digest}"
    assert "breaks at" in str(chain.first_break)


def test_two_records_after_one_are_a_break():
    one, other = Writer(), Writer(first=20)
    first = one.write("inspected", "2026-01-10")
    other.head = one.head
    second, also = one.write("inspected", "2026-02-10"), other.write("opened", "2026-02-11")
    (chain,) = verify_chain([also, first, second])
    assert (chain.length, chain.first_break.record) == (1, also.uid)


def receipts(records):
    made, head = [], ""
    for number, record in enumerate(records, start=1):
        made.append(receipt_of(record, number=number, received=AT, previous=head))
        head = made[-1].digest
    return made


def test_the_receipts_are_a_chain_of_their_own():
    records = history()
    chain = verify_receipts(receipts(records), {record.uid: record.digest for record in records})
    assert (chain.length, chain.first_break) == (4, None)
    assert chain.as_json()["break"] is None


def test_broken_receipts_are_named():
    records = history()
    digests = {record.uid: record.digest for record in records}
    whole = receipts(records)
    cut = verify_receipts([whole[0], *whole[2:]], digests)
    assert (cut.length, cut.first_break.expected, cut.first_break.found) == (1, "receipt number 2", "receipt number 3")
    late = verify_receipts([*whole[:3], replace(whole[3], received=AT.replace(year=2027))], digests)
    assert (late.length, late.first_break.record) == (3, records[3].uid)
    other = verify_receipts(whole, digests | {records[1].uid: "0" * 64})
    assert other.first_break.found == f"the record's digest {'0' * 64}"
    none = verify_receipts(whole[:3], digests)
    assert (none.first_break.record, none.first_break.found) == (records[3].uid, "none")
    assert none.as_json()["break"] == {"record": records[3].uid, "expected": "a receipt", "found": "none"}
