"""The demo as plain values: the same everywhere, of a bearable size, each deed a record that the shop can keep, all names invented."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from collections import Counter
from datetime import date
from pathlib import Path

from demo_shop import FIRST_KINDS, demo

from pinseal.demo import Demo, build, town
from pinseal.records.batch_kinds import BATCH_KINDS
from pinseal.records.bottle_kinds import BOTTLE_KINDS
from pinseal.records.job_kinds import JOB_KINDS
from pinseal.records.quote_kinds import QUOTE_KINDS
from pinseal.records.record import canonical, check_uid
from pinseal.records.record_kinds import KINDS, check_record
from pinseal.records.register_kinds import REGISTER_KINDS
from pinseal.records.withdrawals import load_withdrawals
from pinseal.store.settings import read_settings

# A regression, not a truth: whoever changes the demo says which of its dues moved, and writes the new digest here.
DIGEST = "2e8bc144210244932e1fbeaededc6677fe2858d45fd9c43e839ad267202ff09a"

# Real towns and common real surnames; a demo of invented names holds none of them.
_REAL = frozenset(
    re.findall(
        "[a-z]+",
        "london boston hamburg oslo rotterdam halifax seattle portland baltimore liverpool bristol dover naples genoa marseille lisbon "
        "smith jones williams brown taylor johnson miller davis garcia martinez muller schmidt rossi martin bernard",
    )
)


def _digest(found: Demo) -> str:
    deeds = [[d.kind, d.unit, str(d.done), dict(d.fields), d.person, d.uid] for d in found.deeds]
    rest = [found.shop_name, found.settings, str(found.day), str(found.taken_over), found.register_bytes.hex(), dict(found.answers)]
    return hashlib.sha256(canonical([*rest, [list(pair) for pair in found.withdrawals], deeds])).hexdigest()


def test_the_same_seed_makes_the_same_shop_again() -> None:
    assert _digest(build()) == _digest(demo()) == DIGEST


def test_no_order_of_a_set_leaks_into_it() -> None:
    folder = str(Path(__file__).parent)
    program = f"import sys; sys.path.insert(0, {folder!r}); import test_deeds; print(test_deeds._digest(test_deeds.build()))"
    found = {
        subprocess.run(
            [sys.executable, "-c", program], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, text=True, check=True
        ).stdout.strip()
        for seed in ("1", "2")
    }
    assert found == {DIGEST}


def test_it_stays_small() -> None:
    assert 10_000 < len(demo().deeds) < 29_000
    looks = [deed.done.earliest for deed in demo().deeds if deed.kind == "inspected"]
    assert min(looks) >= date(2025, 12, 1)
    assert len(looks) > 6_000


def test_every_deed_is_a_record_that_can_be_kept() -> None:
    for deed in demo().deeds:
        assert check_record(deed.kind, deed.fields) == dict(deed.fields)


def test_every_kind_of_deed_that_a_shop_writes_by_hand_occurs() -> None:
    kinds = Counter(deed.kind for deed in demo().deeds)
    by_sheet_or_register = {kind.code for kind in (*JOB_KINDS, *REGISTER_KINDS, *BOTTLE_KINDS, *BATCH_KINDS, *QUOTE_KINDS)}
    assert set(KINDS) - set(kinds) - by_sheet_or_register == {"sold-and-tagged", "matched"}
    assert kinds["maintained"] > 6_000


def test_deeds_come_in_order_after_the_takeover_and_not_after_the_day() -> None:
    days = [deed.done.latest for deed in demo().deeds]
    assert days == sorted(days)
    assert demo().taken_over < days[0]
    assert days[-1] <= demo().day


def test_uids_are_well_formed_and_given_once() -> None:
    uids = [check_uid(deed.uid) for deed in demo().deeds]
    assert len(set(uids)) == len(uids)


def test_every_deed_names_a_unit_that_is_known_by_then_and_by_one_name_only() -> None:
    keys = [row.key for row in demo().listed if row.key]
    assert len(set(keys)) == len(keys)
    numbers = Counter(row.meant["id"] for row in demo().listed if "id" in row.meant)
    serials = Counter(row.meant["serial"] for row in demo().listed if "serial" in row.meant)
    assert all((numbers + serials)[key] == 1 for key in keys)
    known = set(keys)
    for deed in demo().deeds:
        if deed.unit not in known:
            assert deed.kind in FIRST_KINDS
            assert deed.unit == deed.fields["name" if deed.kind == "person-registered" else "id"]
            assert deed.unit not in numbers
            known.add(deed.unit)


def test_a_correction_names_an_earlier_deed_of_the_same_unit() -> None:
    at = {deed.uid: place for place, deed in enumerate(demo().deeds)}
    corrections = [deed for deed in demo().deeds if deed.kind == "corrected"]
    assert len(corrections) == 4
    for place, deed in enumerate(demo().deeds):
        if deed.kind == "corrected":
            target = demo().deeds[at[deed.fields["corrects"]]]
            assert at[target.uid] < place
            assert target.unit == deed.unit


def test_one_number_hangs_at_two_sites() -> None:
    numbers = Counter(row.meant.get("id") for row in demo().listed if "id" in row.meant)
    assert [number for number, count in numbers.items() if count > 1] == ["117"]
    assert {row.meant["site"] for row in demo().listed if row.meant.get("id") == "117"} == {"Brannoch Sawmill", "Saltmeadow Brewery"}


def test_the_settings_are_those_of_a_shop() -> None:
    settings = read_settings(demo().settings)
    assert settings.packs == ("us-osha", "us-nfpa10", "us-dot")
    assert settings.today(demo().received) == demo().day


def test_the_withdrawal_lists_can_be_read() -> None:
    entries = [entry for name, text in demo().withdrawals for entry in load_withdrawals(text, name=name)]
    assert [entry.reason for entry in entries] == ["recall", "parts-ended"]
    assert all("invented" in entry.source for entry in entries)


def test_it_says_that_it_is_invented() -> None:
    assert "invented" in demo().shop_name
    assert "None of it exists" in demo().note
    assert b"invented for a demo" in demo().register_bytes


def test_people_are_the_invented_ones_and_no_name_is_a_common_real_one() -> None:
    named = {name for name, _, _ in town.TECHNICIANS} | {town.OFFICE} | {site.checks for site in town.SITES if site.checks}
    assert {deed.person for deed in demo().deeds} <= named
    words = {word for name in (*named, town.SHOP_NAME, *(site.name for site in town.SITES)) for word in re.findall(r"[a-z]+", name.lower())}
    assert not words & _REAL
