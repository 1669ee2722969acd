"""The hash that ties a paper to its records."""

import hashlib
from dataclasses import replace

from record_makers import Writer

from pinseal.records.record import digest_of, text_of
from pinseal.records.tie import tie

ABOUT = {"paper": "visit report", "site": "Pier Café", "from": "2026-11-24", "to": "2026-11-24"}


def some(count=3):
    writer = Writer()
    return [writer.write("inspected", f"2026-0{month}-05", note="fine") for month in range(1, count + 1)]


def test_the_hash_is_the_sha_256_of_the_stated_text():
    records = some()
    lines = sorted(f"{each.uid} {hashlib.sha256(text_of(each).encode()).hexdigest()}" for each in records)
    head = '{"form":"pinseal tie 1","from":"2026-11-24","paper":"visit report","site":"Pier Café","to":"2026-11-24"}'
    wanted = hashlib.sha256("".join(f"{line}\n" for line in (head, *lines)).encode()).hexdigest()
    assert tie(ABOUT, records).hash == wanted


def test_the_order_of_arrival_and_repeats_change_nothing():
    records = some()
    assert tie(ABOUT, records).hash == tie(ABOUT, [*reversed(records), records[0]]).hash


def test_another_record_another_site_and_one_record_less_each_change_it():
    records = some()
    changed = replace(records[1], fields={"note": "Fine"})
    changed = replace(changed, digest=digest_of(changed))
    hashes = {
        tie(ABOUT, records).hash,
        tie(ABOUT, records[1:]).hash,
        tie(ABOUT, [records[0], changed, records[2]]).hash,
        tie(ABOUT | {"site": "Pier Cafe"}, records).hash,
    }
    assert len(hashes) == 4


def test_a_paper_that_rests_on_nothing_still_says_what_it_is_about():
    assert tie(ABOUT, []).lines == ()
    assert tie(ABOUT, []).hash != tie(ABOUT | {"to": "2026-11-25"}, []).hash
