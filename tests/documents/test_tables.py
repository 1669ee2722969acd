"""Tables as files, read back by other libraries: the csv module and openpyxl."""

import csv
import io
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook

from pinseal.dates import PartialDate
from pinseal.documents import tables
from pinseal.documents.tables import Column, Table, csv_lines, write_xlsx
from pinseal.money import Money

EVIL = ("=1+1", "+1", "-1", "@SUM(A1)", "{=1}", "http://a.example", "\t=1", "0012")
COLUMNS = (Column(head="text", width=20), Column(head="day"), Column(head="known", width=9), Column(head="price"), Column(head="count"))
ROWS = (
    ("a", date(2026, 11, 24), PartialDate(2014, 6, 9), Money(18450, "EUR"), 3),
    ("b", None, PartialDate(2014, 6), Money(18450, "JPY"), None),
    ("", date(2026, 2, 28), PartialDate(2014), Money(5, "KWD"), 0),
)


def workbook(path: Path, rows=ROWS, title: str = "Dues", **kwargs):
    file = path / "table.xlsx"
    write_xlsx(Table(title=title, columns=COLUMNS, rows=iter(rows)), file, **kwargs)
    return load_workbook(file)


def test_a_workbook_has_a_frozen_bold_head_and_its_widths(tmp_path: Path) -> None:
    sheet = workbook(tmp_path)["Dues"]
    assert sheet.freeze_panes == "A2"
    assert [cell.value for cell in sheet[1]] == ["text", "day", "known", "price", "count"]
    assert all(cell.font.bold for cell in sheet[1])
    assert round(sheet.column_dimensions["A"].width) > round(sheet.column_dimensions["C"].width)


def test_a_date_known_to_the_day_is_a_date_and_one_known_to_a_month_or_year_is_text(tmp_path: Path) -> None:
    rows = list(workbook(tmp_path)["Dues"].iter_rows(min_row=2, values_only=True))
    assert [row[1] and row[1].isoformat() for row in rows] == ["2026-11-24T00:00:00", None, "2026-02-28T00:00:00"]
    assert [row[2] if isinstance(row[2], str) else row[2].isoformat() for row in rows] == ["2014-06-09T00:00:00", "2014-06", "2014"]


@pytest.mark.parametrize(("style", "shown"), [("words", "d mmm yyyy"), ("iso", "yyyy-mm-dd"), ("mdy", "mm/dd/yyyy")])
def test_dates_are_shown_as_the_shop_writes_them(tmp_path: Path, style: str, shown: str) -> None:
    assert workbook(tmp_path, date_style=style)["Dues"]["B2"].number_format == shown


def test_money_is_a_number_with_the_decimals_of_its_currency(tmp_path: Path) -> None:
    sheet = workbook(tmp_path)["Dues"]
    assert [sheet[f"D{row}"].value for row in (2, 3, 4)] == [184.5, 18450, 0.005]
    assert [sheet[f"D{row}"].number_format for row in (2, 3, 4)] == ["#,##0.00", "#,##0", "#,##0.000"]


def test_no_text_becomes_a_formula_a_link_or_a_number(tmp_path: Path) -> None:
    sheet = workbook(tmp_path, rows=[(text, None, None, None, None) for text in EVIL])["Dues"]
    cells = [row[0] for row in sheet.iter_rows(min_row=2)]
    assert [cell.value for cell in cells] == list(EVIL)
    assert {cell.data_type for cell in cells} == {"s"}
    assert not any(cell.hyperlink for cell in cells)


def test_rows_beyond_one_sheet_go_on_in_the_next(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "ROWS_MAX", 3)
    book = workbook(tmp_path, rows=[(str(n), None, None, None, n) for n in range(5)])
    assert book.sheetnames == ["Dues", "Dues 2", "Dues 3"]
    assert [row[4] for name in book.sheetnames for row in book[name].iter_rows(min_row=2, values_only=True)] == list(range(5))


def test_a_title_that_no_sheet_may_have_is_made_one(tmp_path: Path) -> None:
    assert workbook(tmp_path, title="Inventory 'a/b:c*?[x]' " + "y" * 60).sheetnames[0].startswith("Inventory 'a-b-c---x-'")


def test_csv_quotes_what_a_spreadsheet_would_take_for_a_formula() -> None:
    rows = [(text, None, None, None, None) for text in EVIL] + [ROWS[0], ROWS[1]]
    read = list(csv.reader(io.StringIO("".join(csv_lines(Table(title="x", columns=COLUMNS, rows=rows))))))
    assert [row[0] for row in read[1:6]] == ["'=1+1", "'+1", "'-1", "'@SUM(A1)", "{=1}"]
    assert not any(row[0].startswith(("=", "+", "-", "@", "\t")) for row in read)
    assert read[-2] == ["a", "2026-11-24", "2014-06-09", "184.50", "3"]
    assert read[-1] == ["b", "", "2014-06", "18450", ""]


def test_a_decimal_is_a_number_with_its_places_and_a_negative_one_is_no_formula(tmp_path: Path) -> None:
    table = Table(title="Masses", columns=[Column(head="kg")], rows=[[Decimal("-19.842")], [Decimal("3")]])
    assert list(csv_lines(table))[1:] == ["-19.842\r\n", "3\r\n"]
    write_xlsx(table, tmp_path / "m.xlsx")
    sheet = load_workbook(tmp_path / "m.xlsx").active
    assert [(sheet[place].value, sheet[place].number_format) for place in ("A2", "A3")] == [(-19.842, "0.000"), (3, "0")]
