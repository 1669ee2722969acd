"""Taking lists in by the command: the first one, next year's, doubts, counts, and what a killed import leaves. All lists invented."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.cli.conftest import Command

HEAD = "id,serial,site,place,agent,expelled by,shell,rechargeable,size,manufactured,last maintenance\n"
FIRST = HEAD + (
    "A-1,9001,Mill,Door 1,abc,stored-pressure,mild-steel,yes,10 lb,2014-06,2025-11-03\n"
    "A-2,9002,Mill,Door 2,co2,self-expelling,aluminium,yes,15 lb,2019,2025-11-03\n"
    "A-3,9003,Mill,Loft,water,stored-pressure,stainless-steel,yes,2.5 gal,2020-01,2025-11-03\n"
)
NEXT = HEAD + (
    "A-1,9001,Mill,Door 1,abc,stored-pressure,mild-steel,yes,10 lb,2014-06,2026-11-04\n"
    "A-2,9002,Mill,Boiler room,co2,self-expelling,aluminium,yes,15 lb,2019,2026-11-04\n"
    "A-4,9004,Mill,Gate,abc,stored-pressure,mild-steel,yes,5 lb,2026,\n"
)


@pytest.fixture
def bare(pinseal: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "bare.pinseal"
    pinseal("init", path, "--packs", "us-osha")
    monkeypatch.setenv("PINSEAL_SHOP", str(path))
    return path


def _write(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_first_list_makes_its_units_and_keeps_its_cells(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    taken = pinseal("import", _write(tmp_path, "first.csv", FIRST), "--json").json["taken"]
    assert taken == {"new": 3, "changed": 0, "placeholders": 0, "records": 3}
    history = pinseal("history", "A-2", "--json").json
    assert history["records"][0]["fields"]["manufactured"] == "2019"
    assert pinseal("verify").code == 0


def test_a_dry_run_writes_nothing(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    answer = pinseal("import", _write(tmp_path, "first.csv", FIRST), "--dry-run", "--json").json
    assert (len(answer["new"]), answer["taken"]) == (3, None)
    assert pinseal("due", "--json").json["summary"]["units"] == 0


def test_the_same_list_again_changes_nothing(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    path = _write(tmp_path, "first.csv", FIRST)
    pinseal("import", path)
    again = pinseal("import", path, "--json").json
    assert (again["same"], again["new"], again["changed"], again["vanished"]) == (3, [], [], [])
    assert again["taken"]["records"] == 0


def test_next_years_list_is_shown_and_then_moves_the_dates(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    pinseal("import", _write(tmp_path, "first.csv", FIRST))
    plan = pinseal("import", _write(tmp_path, "next.csv", NEXT), "--json").json
    changed = {line["name"].partition(" ")[0]: {c["fact"]: c["now"] for c in line["changes"]} for line in plan["changed"]}
    assert changed == {"A-1": {"last-maintenance": "2026-11-04"}, "A-2": {"place": "Boiler room", "last-maintenance": "2026-11-04"}}
    assert [n.partition(" ")[0] for n in plan["new"] + plan["vanished"]] == ["A-4", "A-3"]
    rows = {(r["unit"]["id"], r["duty"]): r for r in pinseal("due", "--json").json["rows"]}
    assert rows["A-1", "maintenance"]["latest"] == "2027-11-04"
    assert rows["A-3", "maintenance"]["latest"] == "2026-11-03"
    kinds = [r["kind"] for r in pinseal("history", "A-2", "--json").json["records"]]
    assert kinds == ["registered", "moved", "maintained"]


def test_a_serial_that_differs_under_a_known_number_is_asked_about(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    pinseal("import", _write(tmp_path, "first.csv", FIRST))
    swapped = _write(tmp_path, "swapped.csv", HEAD + "A-1,9077,Mill,Door 1,abc,stored-pressure,mild-steel,yes,10 lb,2014-06,\n")
    plan = pinseal("import", swapped, "--dry-run", "--json").json
    [doubt] = plan["uncertain"]
    assert doubt["readings"] == ["same", "new"]
    answered = pinseal("import", swapped, "--dry-run", "--json", "--answer", f"{doubt['id']}=same").json
    assert answered["uncertain"] == []
    assert answered["changed"][0]["changes"] == [{"fact": "serial", "was": "9001", "now": "9077"}]


def test_counted_units_become_placeholders_with_one_unknown_row_each(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    """Case E22 (common practice, no source): no due date is claimed before a date is read."""
    path = _write(tmp_path, "counts.csv", "Site,Type and size\nMill,7 x 5# ABC\n")
    plan = pinseal("import", path, "--json").json
    assert plan["taken"]["placeholders"] == 7
    rows = pinseal("due", "--json").json["rows"]
    assert [(r["state"], r["earliest"], r["latest"]) for r in rows] == [("unknown", None, None)] * 7
    assert pinseal("import", path, "--json").json["taken"]["placeholders"] == 0


def test_an_answer_without_a_reading_is_refused(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    refused = pinseal("import", _write(tmp_path, "first.csv", FIRST), "--answer", "who")
    assert (refused.code, "an answer is ID=READING" in refused.err) == (2, True)


def test_a_killed_import_leaves_the_shop_as_it_was(pinseal: Command, bare: Path, tmp_path: Path) -> None:
    rows = "".join(f"K-{n},K{n:06d},Mill,Bay {n},abc,stored-pressure,mild-steel,yes,10 lb,2014-06,2025-11-03\n" for n in range(5000))
    path = _write(tmp_path, "large.csv", HEAD + rows)
    words = [sys.executable, "-m", "pinseal", "import", str(path), "--shop", str(bare), "--yes"]
    wal = bare.with_name(bare.name + "-wal")
    started = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    size = wal.stat().st_size if wal.exists() else 0
    for _ in range(6000):  # until the import has begun to write, or is through
        if started.poll() is not None or (wal.exists() and wal.stat().st_size > size):
            break
        time.sleep(0.01)
    started.send_signal(signal.SIGKILL)
    started.wait()
    found = pinseal("due", "--json").json["summary"]["units"]
    assert found in (0, 5000)
    assert pinseal("verify").code == 0
    assert pinseal("import", path, "--json", "--yes").code == 0
    assert pinseal("due", "--json").json["summary"]["units"] == 5000
