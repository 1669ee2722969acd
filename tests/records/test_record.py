import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest
from record_makers import START, UNIT, Writer, draft, uid

from pinseal.reasons import Refusal
from pinseal.records.record import (
    canonical,
    check_sealed,
    check_text,
    check_uid,
    digest_of,
    distinct,
    instant_text,
    read_instant,
    same_deed,
    seal,
    uuid7,
)


def test_a_uuid_of_version_7_is_the_one_that_the_standard_prints():
    # RFC 9562, appendix A.6 (from memory): Tuesday 22 February 2022, 14:22:22 GMT-05:00
    at = datetime(2022, 2, 22, 14, 22, 22, tzinfo=timezone(timedelta(hours=-5)))
    made = uuid7(at=at, randomness=bytes.fromhex("18C4DC0C0C07398F"), sequence=0xCC3)
    assert made == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


def test_ids_of_one_batch_sort_as_they_were_made_beyond_one_millisecond_too():
    made = [uuid7(at=START, randomness=b"\xff" * 8, sequence=number) for number in (0, 1, 4095, 4096, 9000)]
    assert made == sorted(made)
    assert all(check_uid(each) == each for each in made)


def test_the_digest_covers_everything_but_the_time_of_receipt():
    record = Writer().write("inspected", "2026-01")
    assert digest_of(replace(record, received=START)) == record.digest
    for change in (
        {"person": "Bo Tarn"},
        {"fields": {"note": "x"}},
        {"previous": "0" * 64},
        {"unit": uid(9)},
        {"writer": "van-2"},
        {"kind": "opened"},
    ):
        assert digest_of(replace(record, **change)) != record.digest


def test_the_canonical_form_of_a_record_is_fixed_for_good():
    # A regression: other programs (the field page) must make the same bytes.
    record = seal(draft("noted", "2026-01", note="dented, 3 mm – «ça»"), uid=uid(1), writer="van-1", previous="")
    sent = {name: value for name, value in record.as_json().items() if name not in ("digest", "received")}
    assert canonical(sent).decode() == (
        '{"done":"2026-01","fields":{"note":"dented, 3 mm – «ça»"},"kind":"noted","person":"Ida Quill","previous":"",'
        f'"uid":"{uid(1)}","unit":"{UNIT}","writer":"van-1"}}'
    )
    assert json.loads(canonical(sent)) == sent


def test_a_record_whose_content_was_changed_on_the_way_is_refused():
    record = replace(Writer().write("inspected", "2026-01"), person="Bo Tarn")
    with pytest.raises(Refusal, match="does not carry the digest of its content"):
        check_sealed(record)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("  ", "note cannot be kept: it is empty"),
        ("x" * 10_001, "longer than 10000 characters"),
        ("a\x00b", "characters that cannot be printed"),
        ("a\ud800", "characters that cannot be printed"),
        (7, "note cannot be kept: it is empty"),
    ],
)
def test_text_that_cannot_be_kept_is_refused_in_words(text, words):
    with pytest.raises(Refusal, match=words):
        check_text("note", text)


@pytest.mark.parametrize("wrong", ["", "17", "017F22E2-79B0-7CC3-98C4-DC0C0C07398F", "017f22e2-79b0-4cc3-98c4-dc0c0c07398f"])
def test_a_uid_that_is_no_uuid_of_version_7_is_refused(wrong):
    with pytest.raises(Refusal, match="a uid is a UUID of version 7"):
        check_uid(wrong)


def test_the_same_deed_is_known_again_wherever_it_stands_in_the_chain():
    writer = Writer()
    writer.write("inspected", "2025-12")
    record = writer.write("inspected", "2026-01", note="clean")
    assert same_deed(record, draft("inspected", "2026-01", note="clean"), "van-1")
    assert not same_deed(record, draft("inspected", "2026-01", note="dirty"), "van-1")
    assert not same_deed(record, draft("inspected", "2026-01", note="clean"), "van-2")


def test_of_two_records_with_one_uid_the_same_one_counts_in_either_order():
    one = seal(draft("noted", "2026-01", note="one"), uid=uid(1), writer="van-1", previous="")
    two = seal(draft("noted", "2026-01", note="two"), uid=uid(1), writer="van-1", previous="")
    assert distinct([one, two]) == distinct([two, one, two])
    assert distinct([one, two])[1] == [uid(1)]
    assert distinct([one, one]) == ([one], [])


def test_a_moment_is_the_same_after_writing_and_reading():
    at = datetime(2026, 3, 29, 1, 59, 59, 123456, tzinfo=UTC)
    assert read_instant(instant_text(at)) == at
    assert instant_text(at.astimezone(timezone(timedelta(hours=2)))) == "2026-03-29T01:59:59.123456Z"


@pytest.mark.parametrize(
    "text",
    [
        "2026-03-29P01:59:59.123456Z",
        "2026-03-29 01:59:59.123456Z",
        "2026-03-29T01:59:59,123456Z",
        "2026-03-29T01:59:59.123Z",
        "2026-03-29T01:59:59.123456",
        "2026-03-29T01:59:59.123456+00:00",
        "2026-03-29T03:59:59.123456+02:00",
        "20260329T015959.123456Z",
        "2026-W13-7T01:59:59.123456Z",
    ],
)
def test_a_moment_that_is_written_in_any_other_way_is_not_read(text):
    assert datetime.fromisoformat(text)
    with pytest.raises(ValueError, match="is not how a moment is kept"):
        read_instant(text)
