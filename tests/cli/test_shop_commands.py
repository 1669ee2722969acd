"""Commands on a shop, from the first record to the last export. Cases E1 and E24 are common practice, no source."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.cli.conftest import Command


def _row(answer: object, duty: str) -> dict[str, object]:
    return next(r for r in answer["rows"] if r["duty"] == duty)  # type: ignore[index,call-overload,no-any-return]


def test_dues_of_a_shop_have_uids_and_the_packs_with_their_editions(pinseal: Command, shop: Path) -> None:
    answer = pinseal("due", "--on", "2026-05-01", "--json").json
    assert answer["packs"] == [{"pack": "us-osha", "edition": "2026-01-01"}, {"pack": "us-nfpa10", "edition": "2022"}]
    assert {r["unit"]["id"] for r in answer["rows"]} == {"T-1"}
    assert _row(answer, "hydrostatic-test")["latest"] == "2026-06-30"
    assert answer["summary"]["units"] == 1


def test_a_record_moves_the_next_dates(pinseal: Command, shop: Path) -> None:
    made = pinseal("record", "tested", "T-1", "--on", "2026-06-10", "--method", "proof-pressure", "--json").json
    assert {m["duty"] for m in made["moved"]} == {"hydrostatic-test", "internal-examination"}
    answer = pinseal("due", shop, "--on", "2026-07-01", "--json").json
    assert _row(answer, "hydrostatic-test")["earliest"] == "2038-06-10"
    assert _row(answer, "internal-examination")["earliest"] == "2032-06-10"


def test_the_past_is_seen_as_it_was(pinseal: Command, shop: Path) -> None:
    pinseal("record", "tested", "T-1", "--on", "2026-06-10")
    assert _row(pinseal("due", "--on", "2026-05-01", "--json").json, "hydrostatic-test")["latest"] == "2026-06-30"


def test_the_same_record_twice_changes_nothing(pinseal: Command, shop: Path) -> None:
    uid = "01a21015-253c-7000-b174-5c9e9c3f6fc6"
    words = ("record", "maintained", "T-1", "--on", "2026-11-03", "--uid", uid, "--json")
    assert pinseal(*words).json["record"] == pinseal(*words).json["record"]
    assert len(pinseal("history", "T-1", "--json").json["records"]) == 2


def test_other_content_under_a_known_uid_is_refused(pinseal: Command, shop: Path) -> None:
    uid = "01a21015-253c-7000-b174-5c9e9c3f6fc6"
    pinseal("record", "maintained", "T-1", "--on", "2026-11-03", "--uid", uid)
    refused = pinseal("record", "maintained", "T-1", "--on", "2026-11-04", "--uid", uid)
    assert refused.code == 2
    assert uid in refused.err


def test_a_correction_counts_and_the_first_record_stays(pinseal: Command, shop: Path) -> None:
    wrong = pinseal("record", "tested", "T-1", "--on", "2026-06-10", "--json").json["record"]["uid"]
    pinseal("record", "corrected", "T-1", "--corrects", wrong, "--to-done", "2025-06-10")
    assert _row(pinseal("due", "--json").json, "hydrostatic-test")["earliest"] == "2037-06-10"
    assert [r["kind"] for r in pinseal("history", "T-1", "--json").json["records"]] == ["registered", "tested", "corrected"]


def test_work_that_could_not_be_done_is_on_record_and_moves_nothing(pinseal: Command, shop: Path) -> None:
    made = pinseal("record", "not-done", "T-1", "--on", "2026-11-03", "--reason", "room locked", "--duty", "maintenance", "--json")
    assert made.json["moved"] == []
    pinseal("record", "maintained", "T-1", "--on", "2026-12-04")
    findings = pinseal("audit", "--on", "2026-12-31", "--json").json["findings"]
    assert [(f["duty"], f["verdict"], f["late_days"]) for f in findings] == [("maintenance", "late", [31, 31])]


def test_a_removed_unit_owes_nothing_and_is_counted(pinseal: Command, shop: Path) -> None:
    pinseal("record", "condemned", "T-1", "--on", "2026-06-10", "--reason", "deep pits")
    answer = pinseal("due", "--json").json
    assert answer["rows"] == []
    assert answer["summary"]["removed"] == 1
    assert pinseal("explain", "T-1").out.rstrip().endswith("it is out of the fleet.")


def test_a_unit_on_a_withdrawal_list_is_withdrawn(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    pinseal("record", "registered", "T-2", "--agent", "abc", "--model", "Quern 10", "--lot", "7B", "--manufactured", "2020")
    page = tmp_path / "recall.toml"
    page.write_text(
        '[[withdrawal]]\ntitle = "Invented recall 1"\nsource = "invented for this test"\npublished = "2026-02-01"\nreason = "recall"\n'
        'action = "take it out of use"\nchecked = "practice"\nmodel = ["Quern 10"]\nlot = ["7B"]\n'
    )
    kept = pinseal("withdrawals", page)
    assert kept.code == 0, kept.err
    rows = [r for r in pinseal("due", "--json").json["rows"] if r["unit"]["id"] == "T-2"]
    assert [r["state"] for r in rows if r["duty"] == "retirement"] == ["withdraw"]
    assert all(r["withdrawn"] for r in rows)


def test_settings_are_kept_and_used(pinseal: Command, shop: Path) -> None:
    assert pinseal("settings", "--maintenance-basis", "strict-365", "--json").json["maintenance_basis"] == "strict-365"
    pinseal("record", "maintained", "T-1", "--on", "2026-11-03")
    assert _row(pinseal("due", "--json").json, "maintenance")["latest"] == "2027-11-03"
    refused = pinseal("settings", "--packs", "us-oshaa")
    assert (refused.code, "no such rule pack" in refused.err) == (2, True)


def test_the_shops_time_zone_decides_what_today_is(pinseal: Command, shop: Path) -> None:
    assert pinseal("due", "--json").json["on"] == "2026-11-24"
    pinseal("settings", "--time-zone", "Pacific/Kiritimati")
    assert pinseal("due", "--json").json["on"] == "2026-11-25"


def test_backup_restore_verify(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    assert pinseal("backup", tmp_path / "b.pinseal", "--json").code == 0
    assert pinseal("restore", tmp_path / "b.pinseal", tmp_path / "r.pinseal").code == 0
    answer = pinseal("verify", "--shop", tmp_path / "r.pinseal", "--json")
    assert answer.code == 0
    again = pinseal("restore", tmp_path / "b.pinseal", tmp_path / "r.pinseal")
    assert again.code == 2


def test_a_unit_number_that_fits_several_gives_the_candidates(pinseal: Command, shop: Path) -> None:
    pinseal("record", "registered", "T-9", "--serial", "T-1", "--agent", "co2")
    refused = pinseal("record", "maintained", "T-1", "--json")
    assert refused.code == 2
    assert refused.json["error"]["what"] == "2 units fit"
    assert "0099" in refused.json["error"]["got"]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("record", "tested", "T-7"), 2, "no such unit"),
        (("record", "polished", "T-1"), 2, "no such kind of record"),
        (("record", "tested", "T-1", "--method", "hammer"), 2, "method"),
        (("record", "tested", "T-1", "--method"), 2, "a field without its value"),
        (("record", "tested", "T-1", "--on", "2026-02-30"), 2, "calendar"),
        (("due", "--on", "2026"), 2, "a full day is needed"),
        (("due", "--assume", "shell=tin"), 2, "unknown shell"),
        (("due", "--packs", "us-nfpa10@1899"), 2, "holds no such edition"),
        (("due", "--packs", ""), 2, "no rule pack is chosen"),
        (("forecast", "--years", "99"), 2, "too long"),
        (("explain", "nobody"), 2, "no such unit"),
        (("init",), 2, "already"),
        (("history",), 2, "UNIT"),
    ],
)
def test_wrong_words_are_refused_in_words(pinseal: Command, shop: Path, words: tuple[str, ...], code: int, said: str) -> None:
    refused = pinseal(*words)
    assert (refused.code, said in refused.err) == (code, True), refused.err
    shaped = pinseal(*words, "--json")
    assert set(shaped.json["error"]) == {"what", "rule", "got", "do"}


def test_no_packs_is_refused(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "bare.pinseal"
    pinseal("init", path)
    refused = pinseal("due", path, "--json")
    assert refused.code == 2
    assert refused.json["error"]["what"] == "no rule pack is chosen"


def test_a_damaged_shop_exits_with_three(pinseal: Command, shop: Path) -> None:
    content = bytearray(shop.read_bytes())
    content[4096:8192] = b"\xff" * 4096
    shop.write_bytes(content)
    assert pinseal("verify", "--json").code == 3


def test_a_unit_that_may_be_on_a_list_is_unknown_and_one_that_is_too_old_stays_withdrawn(
    pinseal: Command, shop: Path, tmp_path: Path
) -> None:
    pinseal("record", "registered", "T-2", "--agent", "abc", "--rechargeable", "yes", "--manufactured", "2020")
    pinseal("record", "registered", "T-3", "--agent", "abc", "--rechargeable", "no", "--manufactured", "2010")
    page = tmp_path / "recall.toml"
    page.write_text(
        '[[withdrawal]]\ntitle = "Invented recall 2"\nsource = "invented for this test"\npublished = "2026-02-01"\nreason = "recall"\n'
        'action = "take it out of use"\nchecked = "practice"\nmodel = ["Quern 10"]\n'
    )
    pinseal("withdrawals", page)
    rows = {(r["unit"]["id"], r["duty"]): r for r in pinseal("due", "--json").json["rows"]}
    assert (rows["T-2", "retirement"]["state"], rows["T-2", "retirement"]["missing"]) == ("unknown", ["model"])
    assert (rows["T-3", "retirement"]["state"], rows["T-3", "retirement"]["earliest"]) == ("withdraw", "2022-01-01")
    assert "model" in rows["T-3", "retirement"]["missing"]
