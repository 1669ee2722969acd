import pytest

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.records.fields import TYPES
from pinseal.records.record_kinds import ALIASES, FIELD_OF_FACT, KINDS, check_record, kind_of, subject_of

UID = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


def test_every_duty_names_a_kind_of_record():
    assert {duty: kind_of(duty).satisfies for duty in kinds.DUTIES} == {duty: duty for duty in kinds.DUTIES}


def test_every_kind_is_whole_and_uses_the_codes_of_the_trade():
    for code, kind in KINDS.items():
        assert kind.code == code == code.lower()
        assert kind.label
        assert kind.help
        assert set(kind.sets) <= set(kinds.FACTS)
        assert {field.type for field in kind.fields} <= set(TYPES)
        assert len({field.name for field in kind.all_fields}) == len(kind.all_fields)
        assert set(kind.one_of) <= {field.name for field in kind.all_fields}
    assert not set(ALIASES) & set(KINDS)


def test_one_name_has_one_type_in_every_kind():
    types = {}
    for kind in KINDS.values():
        for field in kind.all_fields:
            assert types.setdefault(field.name, field.type) == field.type


def test_a_registered_record_can_give_every_dated_fact():
    fields = check_record("registered", dict.fromkeys(FIELD_OF_FACT.values(), "2019-06"))
    assert len(fields) == len(kinds.FACTS)


def test_names_may_be_written_as_programs_write_them():
    assert check_record("hydrostatic_test", {"test_method": "water-jacket"}) == {"method": "water-jacket"}
    assert check_record("recharge", {"recharge opened": "yes"}) == {"opened": "yes"}
    assert check_record("registered", {"Expelled By": "cartridge"}) == {"expelled-by": "cartridge"}
    assert check_record("taken-away", {"to": "bench"}) == {"taken-to": "bench"}
    assert check_record("agent-taken-out", {"to": "recovered"}) == {"went-to": "recovered"}
    assert check_record("instrument-checked", {"result": "good"}) == {"check": "good"}


def test_what_a_job_sheet_writes_can_name_the_sheet_and_a_second_person():
    written = [kind for kind in KINDS.values() if kind.work or kind.code in ("condemned", "moved", "noted", "not-done", "measured", "left")]
    assert len(written) > 12
    for kind in written:
        assert {"sheet", "helper"} <= {field.name for field in kind.fields}, kind.code


def test_one_record_about_an_extinguisher_makes_its_subject_one():
    assert subject_of(["instrument-checked", "instrument-withdrawn", "noted", "corrected"]) == "instrument"
    assert subject_of(["paper-held"]) == "person"
    assert subject_of(["paper-held", "tested"]) == "unit"
    assert subject_of(["corrected"]) == subject_of(["a kind of tomorrow"]) == subject_of([]) == "unit"


@pytest.mark.parametrize(
    ("kind", "fields", "words"),
    [
        ("polished", {}, "there is no such kind of record"),
        ("inspected", {"weather": "fine"}, "a record inspected has no such field"),
        ("inspected", {"note": ""}, "note cannot be kept: it is empty"),
        ("tested", {"pressure": "585"}, "pressure is a number and a unit of pressure"),
        ("tested", {"method": "guess"}, "method is one of proof-pressure, water-jacket"),
        ("tested", {"result": "maybe"}, "result is one of pass, fail"),
        ("recharged", {"mass": "2.5 gal"}, "mass is a number and a unit of mass"),
        ("recharged", {"opened": "perhaps"}, "opened is yes or no"),
        ("registered", {"manufactured": "2014-02-30"}, "manufactured is YYYY, YYYY-MM or YYYY-MM-DD"),
        ("registered", {"agent": "foam"}, "agent is one of abc"),
        ("registered", {"size": "big"}, "size is a number and a unit of mass or volume"),
        ("registered", {"row": "-3"}, "row is a whole number"),
        ("registered", {"gross-weight": "195 psi"}, "gross-weight is a mass"),
        ("registered", {"gross-weight": "6 oz 29 lb"}, "gross-weight is a mass"),
        ("registered", {"test-pressure": "600"}, "test-pressure is a pressure"),
        ("registered", {"charging-gas": "oxygen"}, "charging-gas is one of nitrogen, argon, air, helium"),
        ("measured", {"quantity": "weight"}, "value must be given"),
        ("measured", {"quantity": "weight", "value": "9 kg", "verdict": "fine"}, "verdict is one of pass, fail, too-close, unknown"),
        ("marked", {"mark": "sticker"}, "mark is one of tag, collar"),
        ("taken-away", {"to": "the moon"}, "taken-to is one of bench, van"),
        ("taken-away", {"back-by": "2026-03"}, "back-by is a full day"),
        ("agent-taken-out", {"to": "drain"}, "went-to is one of recovered, discarded"),
        ("tested", {"percent": "9.4 %"}, "percent is a number of percent"),
        ("tested", {"held": "30"}, "held is a number and s or min"),
        ("recharged", {"dew-point": "dry"}, "dew-point is a temperature"),
        ("left", {}, "state must be given"),
        ("worked", {"sheet": UID}, "outcome must be given"),
        ("sample-checked", {"sheet": UID, "confirmation": "pin"}, "agrees must be given"),
        ("instrument-registered", {"id": "S-1", "what": "thing"}, "what is one of scale, regulator"),
        ("instrument-checked", {"result": "fair"}, "check is one of good, bad"),
        ("instrument-checked", {"result": "good", "until": "2026"}, "until is a full day"),
        ("person-registered", {"name": "Ida Quill", "role": "boss"}, "role is one of technician"),
        ("paper-ended", {"reason": "given back"}, "number must be given"),
        ("noted", {"file": "photo.jpg"}, "file is the SHA-256 of a file"),
        ("matched", {"to": "the blue one"}, "to is the uid of a record or unit"),
        ("matched", {}, "to must be given"),
        ("not-done", {}, "reason must be given"),
        ("not-done", {"reason": "no access", "duty": "polish"}, "duty is one of inspection"),
        ("moved", {}, "one of site, place must be given"),
        ("retagged", {}, "one of tag, id must be given"),
        ("corrected", {"void": "yes"}, "corrects must be given"),
        ("corrected", {"corrects": UID}, "a correction says what is right"),
        ("corrected", {"corrects": UID, "to-weather": "fine"}, "a record corrected has no such field"),
        ("corrected", {"corrects": UID, "to-weather": "not-said"}, "a record corrected has no such field"),
        ("corrected", {"corrects": UID, "to-done": "not-said"}, "to-done is YYYY"),
        ("corrected", {"corrects": UID, "void": "yes", "to-site": "Pier"}, "voids a record or mends it, not both"),
    ],
)
def test_a_wrong_record_is_refused_in_words(kind, fields, words):
    with pytest.raises(Refusal) as refused:
        check_record(kind, fields)
    assert words in str(refused.value)
    assert refused.value.do
