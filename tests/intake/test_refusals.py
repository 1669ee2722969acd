"""What is no register is refused in words: what it is, which rule, and what to do."""

from __future__ import annotations

import os
import zipfile
from pathlib import Path

import pytest
import xlsxwriter
from tests.intake.lists import read, write

from pinseal.intake import workbooks
from pinseal.intake.questions import load_answers
from pinseal.intake.reader import read_register
from pinseal.reasons import Refusal


def refusal(path: Path, **options: object) -> Refusal:
    with pytest.raises(Refusal) as caught:
        read_register(path, **options)  # type: ignore[arg-type]
    assert caught.value.exit_code == 2
    return caught.value


def _file(folder: Path, content: bytes, name: str = "list.csv") -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty"),
        (b"\n\n  \n", "the file holds no text"),
        (b"\x89PNG\r\n\x1a\n" + bytes(200), "a PNG picture"),
        (b"\xff\xd8\xff\xe0" + bytes(200), "a JPEG picture"),
        (b"%PDF-1.7 ...", "a PDF document"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "an old office file"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le"), "locked with a password"),
        (b"Tag,Type\x00\x00\x01\x02\x03" + bytes(range(32)) * 9, "not a text list"),
        (b"dear reader,\nthis is a letter, and no list\n", "not a register of extinguishers"),
        (b"name,phone,email\nA,1,a@b\n", "not a register of extinguishers"),
        (b"1,Hall,5# ABC,2014\n2,Gate,10# ABC,2015\n", "1 | Hall | 5# ABC | 2014"),
        (b'Tag,Type,Made\n1,"' + b"x" * 200_000 + b'",2014\n', "cannot be told apart"),
    ],
)
def test_a_file_that_is_no_register(tmp_path: Path, content: bytes, words: str) -> None:
    assert words in str(refusal(_file(tmp_path, content)))


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    assert "no such file" in str(refusal(tmp_path / "none.csv"))
    assert "this is a folder" in str(refusal(tmp_path))


def test_a_pipe_is_no_plain_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "not a plain file" in str(refusal(tmp_path / "pipe"))


def _workbook(folder: Path) -> Path:
    path = folder / "list.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("List")
    sheet.write_row(0, 0, ["Tag", "Type", "Mfg"])
    sheet.write_row(1, 0, ["1", "5# ABC", "2014"])
    book.close()
    return path


def test_the_form_is_told_by_content_and_not_by_name(tmp_path: Path) -> None:
    path = _workbook(tmp_path).rename(tmp_path / "list.csv")
    assert read_register(path).form == "xlsx"
    assert read_register(write(tmp_path, "Tag,Type,Mfg\n1,5# ABC,2014\n", "list.xlsx")).form == "text"


def test_a_workbook_that_would_unpack_to_far_too_much(tmp_path: Path) -> None:
    path = _workbook(tmp_path)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/media/swollen.bin", bytes(workbooks.RATIO_FLOOR_BYTES + 1))
    assert "far too much" in str(refusal(path))


def test_a_workbook_with_one_stray_cell_far_out(tmp_path: Path) -> None:
    path = tmp_path / "far.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("List")
    sheet.write_row(0, 0, ["Tag", "Type", "Mfg"])
    sheet.write(1_048_575, 16_383, "x")
    book.close()
    assert "used area is too large" in str(refusal(path))


def test_a_workbook_that_declares_entities(tmp_path: Path) -> None:
    path = _workbook(tmp_path)
    swapped = tmp_path / "entities.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(swapped, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "xl/styles.xml":
                content = content.replace(b"?>", b'?><!DOCTYPE s [<!ENTITY a "b">]>', 1)
            new.writestr(name, content)
    assert "declares XML entities" in str(refusal(swapped))


@pytest.mark.parametrize(
    ("name", "words"), [("word/document.xml", "word-processor"), ("content.xml", "open-document"), ("a.txt", "packed folder")]
)
def test_other_packed_files(tmp_path: Path, name: str, words: str) -> None:
    path = tmp_path / "other.xlsx"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr(name, "x")
    assert words in str(refusal(path))


def test_a_damaged_workbook(tmp_path: Path) -> None:
    content = _workbook(tmp_path).read_bytes()
    assert "damaged" in str(refusal(_file(tmp_path, content[: len(content) // 2], "half.xlsx")))


def test_an_order_of_dates_that_is_none(tmp_path: Path) -> None:
    path = write(tmp_path, "Tag,Type,Mfg\n1,5# ABC,2014\n")
    assert "no order of day and month" in str(refusal(path, date_order="DYM"))


def test_an_answer_that_is_none_of_the_readings(tmp_path: Path) -> None:
    path = write(tmp_path, "Tag,Type,Mfg\n1,HALON 13#,2014\n")
    assert "none of its readings" in str(refusal(path, answers={"halon": "abc"}))


def test_an_answer_settles_all_cells_alike_and_unknown_closes_the_question(tmp_path: Path) -> None:
    text = "Tag,Type,Mfg\n1,HALON 13#,2014\n2,HALON 17#,2014\n"
    assert [question.rows for question in read(tmp_path, text).questions] == [(2, 3)]
    answered = read(tmp_path, text, answers={"halon": "halon-1211"})
    assert [unit.agent for unit in answered.units] == ["halon-1211", "halon-1211"]
    unsettled = read(tmp_path, text, answers={"halon": "unknown", "foam": "afff"})
    assert (unsettled.questions, unsettled.units[0].agent, unsettled.unused_answers) == ((), None, ("foam",))


def test_a_file_of_answers(tmp_path: Path) -> None:
    path = write(tmp_path, 'halon = "halon-1211"\n"count-6-8" = 7\n', "answers.toml")
    assert load_answers(path) == {"halon": "halon-1211", "count-6-8": "7"}


@pytest.mark.parametrize(("text", "words"), [("halon = [1]", "is not text"), ("halon: x", "is not TOML"), ("halon = true", "is not text")])
def test_a_file_of_answers_that_is_none(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        load_answers(write(tmp_path, text, "answers.toml"))


def test_a_missing_file_of_answers(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="cannot be read"):
        load_answers(tmp_path / "none.toml")
