"""Workbooks: what number formats, lines through cells, merged, hidden and broken cells say."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import xlsxwriter
from tests.intake.lists import TODAY

from pinseal.intake.reader import read_register
from pinseal.intake.register import Register

HEAD = ["Tag", "Type", "Mfg", "Annual"]


class Sheet:
    """A small workbook in the making."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "list.xlsx"
        self.book = xlsxwriter.Workbook(self.path)
        self.sheet = self.book.add_worksheet("List")
        self.sheet.write_row(0, 0, HEAD)

    def read(self) -> Register:
        self.book.close()
        return read_register(self.path, today=TODAY)


@pytest.mark.parametrize(
    ("pattern", "value", "shown"),
    [
        ("mmm-yy", "2014-06", "Jun-14"),
        ("mm/yyyy", "2014-06", "06/2014"),
        ("yyyy", "2014", "2014"),
        ("m/d/yyyy", "2014-06-09", "6/9/2014"),
        ("dd.mm.yyyy", "2014-06-09", "09.06.2014"),
        ("[$-409]mmmm yyyy;@", "2014-06", "June 2014"),
    ],
)
def test_a_date_cell_is_as_exact_as_it_is_shown(tmp_path: Path, pattern: str, value: str, shown: str) -> None:
    sheet = Sheet(tmp_path)
    sheet.sheet.write_row(1, 0, ["1", "5# ABC"])
    sheet.sheet.write_datetime(1, 2, date(2014, 6, 9), sheet.book.add_format({"num_format": pattern}))
    unit = sheet.read().units[0]
    assert str(unit.manufactured) == value
    assert unit.raw["manufactured"] == shown


def test_ids_keep_the_zeros_that_their_format_shows_and_sizes_their_unit(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    sheet.sheet.write_row(0, 0, ["Tag", "Type", "Size", "Serial"])
    sheet.sheet.write_number(1, 0, 102, sheet.book.add_format({"num_format": "0000"}))
    sheet.sheet.write_string(1, 1, "ABC")
    sheet.sheet.write_number(1, 2, 10, sheet.book.add_format({"num_format": '0" lb"'}))
    sheet.sheet.write_number(1, 3, 1234500000000)
    unit = sheet.read().units[0]
    assert (unit.id, str(unit.size), unit.serial) == ("0102", "10 lb", "1234500000000")


def test_a_row_with_a_line_through_it_is_removed_but_still_a_unit(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    line = sheet.book.add_format({"font_strikeout": True})
    sheet.sheet.write_row(1, 0, ["1", "5# ABC", "2014", "8/21/2023"], line)
    sheet.sheet.write_row(2, 0, ["2", "5# ABC", "2014"])
    sheet.sheet.write_string(2, 3, "8/21/2023", line)
    register = sheet.read()
    assert [unit.id for unit in register.units] == ["1", "2"]
    assert [(problem.row, problem.kind) for problem in register.problems] == [(2, "removed"), (3, "struck-cell")]


def test_a_line_through_the_letters_alone_counts_too(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    line, plain = sheet.book.add_format({"font_strikeout": True}), sheet.book.add_format({"bold": True})
    for column, text in enumerate(["1", "5# ABC", "2014", "8/21/2023"]):
        sheet.sheet.write_rich_string(1, column, line, text[:1] or " ", line, text[1:] or " ", plain)
    register = sheet.read()
    assert [(problem.row, problem.kind) for problem in register.problems] == [(2, "removed")]


def test_errors_and_formulas_never_calculated_are_problems(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    sheet.sheet.write_row(1, 0, ["1", "5# ABC"])
    sheet.sheet.write_formula(1, 2, "=1/0", None, "#DIV/0!")
    sheet.sheet.write_formula(1, 3, "=TODAY()", None, "")
    register = sheet.read()
    unit = register.units[0]
    assert (unit.manufactured, unit.last_maintenance) == (None, None)
    assert ("Mfg", "unreadable") in [(problem.column, problem.kind) for problem in register.problems]


def test_hidden_rows_and_sheets_are_read_and_said(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    sheet.sheet.write_row(1, 0, ["1", "5# ABC", "2014"])
    sheet.sheet.set_row(1, None, None, {"hidden": True})
    other = sheet.book.add_worksheet("Old wing")
    other.write_row(0, 0, HEAD)
    other.write_row(1, 0, ["2", "5# ABC", "2014"])
    other.hide()
    register = sheet.read()
    assert [(unit.id, unit.site) for unit in register.units] == [("1", None), ("2", "Old wing")]
    assert [(problem.sheet, problem.row, problem.kind) for problem in register.problems] == [
        ("List", 2, "hidden"),
        ("Old wing", 2, "hidden"),
    ]


def test_merged_buildings_reach_all_their_rows_and_group_headings_all_their_columns(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    sheet.sheet.write_row(0, 0, ["", "", "", "", ""])
    sheet.sheet.merge_range(0, 3, 0, 4, "Hydro test")
    sheet.sheet.write_row(1, 0, ["Building", "Tag", "Type", "Last", "Next"])
    sheet.sheet.merge_range(2, 0, 3, 0, "Mill")
    sheet.sheet.write_row(2, 1, ["1", "5# ABC", "2014", "2026"])
    sheet.sheet.write_row(3, 1, ["2", "5# ABC", "2015", "2027"])
    register = sheet.read()
    assert [(unit.site, unit.id, str(unit.last_hydrostatic_test)) for unit in register.units] == [
        ("Mill", "1", "2014"),
        ("Mill", "2", "2015"),
    ]
    assert [problem.kind for problem in register.problems] == ["next-due-column"]


def test_a_sheet_with_no_heading_is_read_as_its_neighbour_and_that_is_said(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    sheet.sheet.write_row(1, 0, ["1", "5# ABC", "2014", "8/21/2023"])
    other = sheet.book.add_worksheet("East yard")
    other.write_row(0, 0, ["2", "10# ABC", "2015", "8/22/2023"])
    other.write_row(1, 0, ["3", "CO2 5#", "2015", "8/22/2023"])
    register = sheet.read()
    assert [(unit.id, unit.agent, unit.site) for unit in register.units] == [
        ("1", "abc", None),
        ("2", "abc", "East yard"),
        ("3", "co2", "East yard"),
    ]
    assert [(problem.sheet, problem.kind) for problem in register.problems] == [("East yard", "no-header")]


def test_codes_come_from_a_sheet_of_codes(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path)
    sheet.sheet.write_row(0, 0, ["Nr.", "Typ", "Baujahr", "letzte Wartung"])
    sheet.sheet.write_row(1, 0, ["1", "K 5", "2014", "21.08.2023"])
    sheet.sheet.write_row(2, 0, ["2", "P 6", "2014", "21.08.2023"])
    legend = sheet.book.add_worksheet("Legende")
    legend.write_row(0, 0, ["Kürzel", "Bedeutung"])
    legend.write_row(1, 0, ["K", "Kohlendioxid"])
    legend.write_row(2, 0, ["P", "ABC-Pulver"])
    legend.write_row(3, 0, ["Zahl", "Füllung in kg"])
    units = sheet.read().units
    assert [(unit.agent, str(unit.size)) for unit in units] == [("co2", "5 kg"), ("abc", "6 kg")]


def test_dates_counted_from_1904_are_the_days_that_the_sheet_shows(tmp_path: Path) -> None:
    path = tmp_path / "mac.xlsx"
    book = xlsxwriter.Workbook(path, {"date_1904": True})
    sheet = book.add_worksheet("List")
    sheet.write_row(0, 0, HEAD)
    sheet.write_row(1, 0, ["1", "5# ABC"])
    sheet.write_datetime(1, 2, date(2014, 6, 9), book.add_format({"num_format": "m/d/yyyy"}))
    book.close()
    assert str(read_register(path, today=TODAY).units[0].manufactured) == "2014-06-09"
