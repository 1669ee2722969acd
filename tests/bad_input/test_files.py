"""Files that are no list, at every door that takes one. All names and bytes invented."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from tests.bad_input.bad_input_tools import HEAD, check_refusal, check_refusal_as_json, check_whole, long_list
from tests.cli.conftest import Command

PICTURE = b"\x89PNG\r\n\x1a\n" + bytes(400)
CARDS = """Unit,A-1
Type,ABC 10 lb
Serial,K1
Made,
Last annual,2025-04-02

Unit,A-2
Type,CO2 5 lb
Serial,
Made,2016
Last annual,2025-04-02
"""
OLD_OFFICE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"

NO_LISTS: dict[str, tuple[bytes, str]] = {
    "empty.csv": (b"", "the file is empty"),
    "blank.csv": (b"\n\n  \n,,,\n", "the file holds no text"),
    "picture.csv": (PICTURE, "this is not a register"),
    "photo.xlsx": (b"\xff\xd8\xff\xe0" + bytes(400), "this is not a register"),
    "paper.csv": (b"%PDF-1.7\n" + bytes(400), "this is not a register"),
    "noise.csv": (bytes(range(256)) * 40, "this is not a text list"),
    "prose.txt": (b"Dear Sir\nplease look at our extinguishers\n", "this is not a register of extinguishers"),
    "heads.csv": (b"id\n", "this is not a register of extinguishers"),
    "old.xls": (OLD_OFFICE + bytes(4000), "this is an old office file"),
    "locked.xlsx": (OLD_OFFICE + bytes(600) + "EncryptedPackage".encode("utf-16-le") + bytes(600), "locked with a password"),
    "quote.csv": (b'id,place,type,made\nA1,"hall,abc,2015\nA2,gate,co2,2016\n', "a quote mark is opened and never closed"),
    "cut.xlsx": (b"PK\x03\x04" + bytes(900), "the workbook is damaged"),
}


def _bomb(path: Path) -> Path:
    """A workbook of some kilobytes that would unpack to 100 MB."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", "<workbook/>")
        packed.writestr("xl/worksheets/sheet1.xml", bytes(100_000_000))
    return path


@pytest.mark.parametrize("name", list(NO_LISTS))
def test_a_file_that_is_no_list_is_refused_at_every_door(pinseal: Command, shop: Path, tmp_path: Path, name: str) -> None:
    content, what = NO_LISTS[name]
    path = tmp_path / name
    path.write_bytes(content)
    for words in (("read", path), ("due", path, "--packs", "us-osha"), ("forecast", path, "--packs", "us-osha"), ("import", path)):
        check_refusal(pinseal(*words), 2, what)
    check_refusal_as_json(pinseal("read", path, "--json"), 2, what)
    assert path.read_bytes() == content
    check_whole(pinseal, shop, records=1)


def test_a_zip_bomb_is_refused_before_it_unpacks(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    path = _bomb(tmp_path / "bomb.xlsx")
    assert path.stat().st_size < 200_000
    check_refusal(pinseal("read", path), 2, "would unpack to far too much", "100000000")
    check_refusal(pinseal("import", path), 2, "would unpack to far too much")
    check_whole(pinseal, shop, records=1)


@pytest.mark.parametrize(
    ("name", "what"), [("nothing.csv", "there is no such file"), ("folder", "this is a folder"), ("", "this is a folder")]
)
def test_a_path_that_is_no_file_is_refused(pinseal: Command, shop: Path, tmp_path: Path, name: str, what: str) -> None:
    (tmp_path / "folder").mkdir()
    path = tmp_path / name if name else ""
    check_refusal(pinseal("read", path), 2, what)
    check_refusal(pinseal("import", path), 2, what)
    check_whole(pinseal, shop, records=1)


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null", "/dev/full"])
def test_a_device_is_not_read(pinseal: Command, device: str) -> None:
    check_refusal(pinseal("read", device), 2, "this is not a plain file")


def test_a_workbook_with_formulas_and_errors_gives_its_units_and_names_the_errors(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    path = tmp_path / "errors.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        sheet = book.add_worksheet("Mill")
        sheet.write_row(0, 0, ["id", "place", "type", "made", "last service"])
        sheet.write_row(1, 0, ["A1", "hall", "ABC 5 lb"])
        sheet.write_formula(1, 3, "=1/0", None, "#DIV/0!")
        sheet.write_formula(1, 4, "=DATE(2025,3,7)", book.add_format({"num_format": "dd/mm/yyyy"}), 45723)
        sheet.write_row(2, 0, ["A2", "gate", "CO2 5 lb", 2016])
        sheet.write_formula(2, 4, "=VLOOKUP(9,A1:B2,2)", None, "#N/A")
    answer = pinseal("read", path, "--json").json
    assert [(u["id"], u["manufactured"], u["last_maintenance"]) for u in answer["units"]] == [
        ("A1", None, "2025-03-07"),
        ("A2", "2016", None),
    ]
    assert [(p["row"], p["column"]) for p in answer["problems"] if p["kind"] == "unreadable"] == [(2, "made"), (3, "last service")]
    assert pinseal("import", path).code == 0
    check_whole(pinseal, shop, records=3)


def test_one_cell_that_cannot_be_kept_as_it_stands_does_not_stop_a_list(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    path = tmp_path / "odd.csv"
    rows = [
        "B1,9001,Mill,\x1b[31mred\x1b[0m hall,abc,,,,,2014,",
        "B2,9002,Mill,\u202eexe.gnp,co2,,,,,2015,",
        f"B3,9003,Mill,{'x' * 30_000},abc,,,,,2016,",
    ]
    path.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")
    done = pinseal("import", path)
    assert (done.code, done.err) == (0, "")
    assert pinseal("history", "B1", "--json").json["records"][0]["fields"]["place"] == "[31mred [0m hall"
    shown = pinseal("due", "--all").out
    assert "\x1b]" not in shown
    assert "\u202e" not in shown
    assert max(map(len, shown.splitlines())) < 400
    check_whole(pinseal, shop, records=4)


def test_another_number_at_another_place_is_a_new_unit_however_alike(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    """Owners buy many of a kind. To ask of each new one whether it is an old one would be noise."""
    path = tmp_path / "list.csv"
    row = "{0},,,{1},abc,stored-pressure,mild-steel,yes,10 lb,2014-06,2025-11-03\n"
    path.write_text(HEAD + row.format("D1", "gate") + row.format("D2", "loft"), encoding="utf-8")
    assert len(pinseal("import", path, "--json").json["new"]) == 2
    path.write_text(HEAD + row.format("D3", "yard") + row.format("D4", "loft"), encoding="utf-8")
    plan = pinseal("import", path, "--json").json
    assert [name.partition(",")[0] for name in plan["new"]] == ["D3"]
    assert [asked["words"].split(",")[0] for asked in plan["uncertain"]] == ["Is D4"]
    assert "0 new, 1 not sure" in pinseal("import", path, "--dry-run").out


@pytest.mark.parametrize("letters", ["🔥 7", "מחסן ראשי", "مخزن", "仓库", "Łódź", "👨‍🚒 post", "a\u00a0b"])
def test_letters_of_any_script_are_kept(pinseal: Command, shop: Path, tmp_path: Path, letters: str) -> None:
    path = tmp_path / "letters.csv"
    path.write_text(HEAD + f"C1,9001,Mill,{letters},abc,,,,,2014,\n", encoding="utf-8")
    assert pinseal("import", path).code == 0
    assert letters.replace("\u00a0", " ") in pinseal("history", "C1").out.replace("\u00a0", " ")
    check_whole(pinseal, shop, records=2)


def test_a_list_of_three_hundred_columns_is_read(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "wide.csv"
    heads = ["id", "agent", "manufactured", *(f"note {n}" for n in range(297))]
    path.write_text(
        ",".join(heads) + "\n" + "\n".join(",".join([f"W{n}", "abc", "2015", *["x"] * 297]) for n in range(5)), encoding="utf-8"
    )
    answer = pinseal("read", path, "--json").json
    assert [u["id"] for u in answer["units"]] == ["W0", "W1", "W2", "W3", "W4"]
    assert pinseal("read", path).code == 0


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (PICTURE, "the answers file is not TOML"),
        (b"halon halon-1211\n", "the answers file is not TOML"),
        (None, "the answers file cannot be read"),
    ],
)
def test_an_answers_file_that_cannot_be_read_is_refused(pinseal: Command, tmp_path: Path, content: bytes | None, what: str) -> None:
    path = tmp_path / "list.csv"
    path.write_text(long_list(2), encoding="utf-8")
    answers = tmp_path / "answers.toml"
    if content is not None:
        answers.write_bytes(content)
    check_refusal(pinseal("read", path, "--answers", answers), 2, what, "answers.toml")


@pytest.mark.parametrize(("content", "words"), [(PICTURE, "bytes that are no text"), (None, "No such file"), (b"title", "this is no TOML")])
def test_a_withdrawal_list_that_cannot_be_read_is_refused(
    pinseal: Command, shop: Path, tmp_path: Path, content: bytes | None, words: str
) -> None:
    path = tmp_path / "recall.toml"
    if content is not None:
        path.write_bytes(content)
    check_refusal(pinseal("withdrawals", path), 2, "the list of withdrawn units cannot be read", words)
    check_whole(pinseal, shop, records=1)


def test_cards_in_two_columns_with_open_fields_are_one_unit_each(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "cards.csv"
    path.write_text(
        CARDS,
        encoding="utf-8",
    )
    answer = pinseal("read", path, "--json").json
    assert [(u["id"], u["serial"], u["agent"], u["manufactured"]) for u in answer["units"]] == [
        ("A-1", "K1", "abc", None),
        ("A-2", None, "co2", "2016"),
    ]
    assert len(answer["units"]) + len(answer["not_units"]) == 11


def test_a_column_of_codes_is_read_by_the_sheet_that_explains_them(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "codes.xlsx"
    with xlsxwriter.Workbook(str(path)) as book:
        units, key = book.add_worksheet("List"), book.add_worksheet("Key")
        units.write_row(0, 0, ["No", "Code", "Where", "Built"])
        for number, code in enumerate(["P6", "C5", "W9", "P12", "C5"], 1):
            units.write_row(number, 0, [number, code, f"room {number}", 2010 + number])
        meanings = [("Code", "Meaning"), ("P6", "6 kg ABC powder"), ("C5", "5 kg CO2"), ("W9", "9 l water"), ("P12", "12 kg powder ABC")]
        for row, pair in enumerate(meanings):
            key.write_row(row, 0, pair)
    found = pinseal("read", path, "--json").json["units"]
    assert [(u["id"], u["agent"], u["site"]) for u in found] == [
        ("1", "abc", None),
        ("2", "co2", None),
        ("3", "water", None),
        ("4", "abc", None),
        ("5", "co2", None),
    ]


def test_a_heading_unit_over_numbers_is_the_number(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "unit.csv"
    path.write_text("Unit,Place,Kind,Made\nA1,Gate,5 lb ABC,2015\nA2,Yard,5 lb CO2,2016\n", encoding="utf-8")
    assert [(u["id"], u["agent"]) for u in pinseal("read", path, "--json").json["units"]] == [("A1", "abc"), ("A2", "co2")]


@pytest.mark.soak
def test_a_list_of_two_hundred_megabytes_is_answered_whole(pinseal: Command, tmp_path: Path) -> None:
    path = tmp_path / "large.csv"
    row = "U-{0:07d},S{0:08d},Site {1},Floor {2},abc,,,,10 lb,2014-06,2025-11-03\n"
    written = 0
    with path.open("w", encoding="utf-8") as file:
        written += file.write(HEAD)
        count = 0
        while written < 200_000_000:
            written += file.write("".join(row.format(n, n % 400, n % 9) for n in range(count, count + 1000)))
            count += 1000
    done = pinseal("read", path)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith(f"{count} units read\n")
