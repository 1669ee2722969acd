"""Lists as files for a spreadsheet, written by the command."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests.cli.conftest import Command


def rows_of(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))


def test_the_dues_as_a_workbook_are_those_of_the_due_list(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    file = tmp_path / "dues.xlsx"
    made = pinseal("table", "dues", "--out", file, "--json").json
    listed = pinseal("due", "--json").json["rows"]
    heads, *rows = load_workbook(file)["Dues"].iter_rows(values_only=True)
    assert made["rows"] == len(rows) == len(listed)
    last = {f"{row[heads.index('last day')]:%Y-%m-%d}" for row in rows if row[heads.index("last day")]}
    assert last == {row["latest"] for row in listed if row["latest"]}


def test_the_dues_of_one_month_and_duty(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    assert pinseal("table", "dues", "--out", tmp_path / "a.csv", "--month", "late", "--duty", "hydrostatic-test").code == 0
    assert {(row["state"], row["duty"]) for row in rows_of(tmp_path / "a.csv")} == {("overdue", "hydrostatic test")}
    assert pinseal("table", "dues", "--out", tmp_path / "b.csv", "--month", "1999-01").out.strip().endswith("0 rows.")


def test_the_inventory_of_a_site_has_one_row_a_unit(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    assert pinseal("table", "inventory", "--out", tmp_path / "i.csv").code == 0
    assert [row["id"] for row in rows_of(tmp_path / "i.csv")] == ["T-1"]


def test_a_deficiency_on_its_way_by_commands_alone(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    found = pinseal("record", "found-deficient", "T-1", "--on", "2026-11-01", "--finding=pin-damaged", "--words=pin bent", "--json").json
    price = {"deficiency": found["record"]["uid"], "price-minor": "1850", "currency": "eur", "quote": "Q-1"}
    words = [f"--{name}={value}" for name, value in price.items()]
    quoted = pinseal("record", "deficiency-quoted", "T-1", "--on", "2026-11-03", *words, "--json").json
    answer = (f"--quoted={quoted['record']['uid']}", "--answer=agreed", "--answered-by=Ola Brandt")
    assert pinseal("record", "quote-answered", "T-1", "--on", "2026-11-04", *answer).code == 0
    assert pinseal("table", "deficiencies", "--show", "agreed", "--out", tmp_path / "d.csv").code == 0
    (row,) = rows_of(tmp_path / "d.csv")
    assert (row["price"], row["currency"], row["answered by"], row["days open"]) == ("18.50", "EUR", "Ola Brandt", "23")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("dues", "--out", "dues.pdf"), "ends in .xlsx or .csv"),
        (("dues", "--out", "there.csv"), "nothing is written over"),
        (("dues", "--out", "none/dues.xlsx"), "cannot be written"),
        (("dues", "--out", "none/dues.csv"), "cannot be written"),
        (("dues", "--out", "dues.csv", "--month", "2026-13"), "2026-12"),
        (("inventory", "--out", "i.csv", "--site", "Nowhere"), "no unit is at this site"),
        (("deficiencies", "--out", "d.csv", "--show", "odd"), "quoted"),
    ],
)
def test_what_cannot_be_written_is_refused_in_words_and_leaves_nothing(
    pinseal: Command, shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("there.csv").write_text("mine", encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    refused = pinseal("table", *words)
    assert refused.code == 2
    assert told in refused.err
    assert sorted(tmp_path.rglob("*")) == before
    assert Path("there.csv").read_text(encoding="utf-8") == "mine"
