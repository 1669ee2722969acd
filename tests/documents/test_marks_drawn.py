"""Marks as drawn: true size, nothing on top of anything, the longest texts fit, every asked field can be read in the file."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import combinations

import numpy as np
import pikepdf
import pypdfium2
import pytest
from mark_makers import EVERY, STAMP, longest, made, stock_of
from PIL import Image

from pinseal.documents.marks import UnitLabel, boxes_of, draw_labels, draw_marks
from pinseal.reasons import Refusal
from pinseal.rules.marks import EarnedMark
from pinseal.standards.stocks import Stock, shipped_stocks

POINT_MM = 25.4 / 72
PPI = 300


def _pdf(mark: EarnedMark, stock: Stock) -> bytes:
    return draw_marks([mark], stock, stamp=STAMP, agents=["abc"]).pages.pdf


def _text(pdf: bytes) -> str:
    found = " ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))
    return " ".join(found.replace("\u200b", "").replace("\ufffe", "").split())


def _ink(png: bytes) -> np.ndarray:
    """Where anything is printed: rows and columns of a page."""
    return np.asarray(Image.open(io.BytesIO(png)).convert("L")) < 200


@pytest.mark.parametrize(("form", "mark"), EVERY)
def test_every_field_that_the_form_asks_for_can_be_read(form: str, mark: str) -> None:
    drawn = made(form, mark)
    text = _text(_pdf(drawn, stock_of(form, mark)))
    for ruled in drawn.rule.fields:
        if ruled.what in ("signature", "seal"):
            continue
        shown = {"month-year": "Nov", "work": "Maintenance", "level": "2", "day": "24 Nov 2026"}.get(ruled.what, drawn.values[ruled.what])
        shown = "Powder" if ruled.what == "unit-type" and ruled.what in drawn.rule.punched else shown
        assert shown in text, f"{ruled.what} of {form} {mark}"
    for words in drawn.rule.texts:
        assert words.what in text
    if "signature" in {each.what for each in drawn.rule.fields}:
        assert "Signature, by hand" in text


@pytest.mark.parametrize(("form", "mark"), EVERY)
def test_a_pdf_of_marks_is_archivable_with_its_fonts_inside(form: str, mark: str) -> None:
    made_file = pikepdf.open(io.BytesIO(_pdf(made(form, mark), stock_of(form, mark))))
    with made_file.open_metadata() as said:
        assert said.pdfa_status == "2B"
    fonts = [each for each in made_file.objects if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/FontDescriptor"]
    assert fonts and all("/FontFile2" in each or "/FontFile3" in each for each in fonts)


@pytest.mark.parametrize(("form", "mark"), EVERY)
def test_a_page_has_the_size_of_its_stock(form: str, mark: str) -> None:
    stock = stock_of(form, mark)
    width, height = pypdfium2.PdfDocument(_pdf(made(form, mark), stock))[0].get_size()
    assert width * POINT_MM == pytest.approx(stock.page_width, abs=0.2)
    assert height * POINT_MM == pytest.approx(stock.page_height, abs=0.2)


@pytest.mark.parametrize("make", [made, longest], ids=["usual", "longest"])
@pytest.mark.parametrize(("form", "mark"), EVERY)
def test_no_part_lies_on_another_or_beyond_its_cell(form: str, mark: str, make: object) -> None:
    stock = stock_of(form, mark)
    drawn = boxes_of([make(form, mark)], stock)  # type: ignore[operator]
    cell = next(box for box in drawn if box["what"] == "cell")
    assert (cell["width"], cell["height"]) == pytest.approx((stock.cell_width, stock.cell_height), abs=0.2)
    parts = [box for box in drawn if box["what"] not in ("cell", "rule", "outer", "hole")]
    assert parts
    for box in parts:
        assert box["x"] >= cell["x"] and box["x"] + box["width"] <= cell["x"] + cell["width"] + 0.2, box
        assert box["y"] >= cell["y"] and box["y"] + box["height"] <= cell["y"] + cell["height"] + 0.2, box
    for one, other in combinations(parts, 2):
        apart = _apart(one, other)
        assert apart >= -0.2, f"{one['what']} and {other['what']} overlap by {-apart:.2f} mm"


def _apart(one: dict, other: dict) -> float:
    """How far two boxes are apart [mm]; below zero they overlap."""
    x = max(one["x"], other["x"]) - min(one["x"] + one["width"], other["x"] + other["width"])
    y = max(one["y"], other["y"]) - min(one["y"] + one["height"], other["y"] + other["height"])
    return max(x, y)


def test_a_cell_is_drawn_at_its_place_and_size_to_a_fifth_of_a_millimetre() -> None:
    """Measured in the pixels of the printed page: the frame of the second cell of a sheet."""
    stock = shipped_stocks()["labels-a4"]
    page = draw_marks([made("us", "test-label")], stock, stamp=STAMP, start=4, form="png", ppi=PPI).pages.files[0]
    ink = _ink(page)
    ink[int(285 / 25.4 * PPI) :] = False  # the check rule in the foot
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    left, top = stock.left + stock.pitch_x, stock.top + stock.pitch_y
    measured = [columns[0], columns[-1] + 1, rows[0], rows[-1] + 1]
    expected = [left, left + stock.cell_width, top, top + stock.cell_height]
    assert [each * 25.4 / PPI for each in measured] == pytest.approx(expected, abs=0.2)


def test_the_check_rule_is_a_hundred_millimetres() -> None:
    stock = shipped_stocks()["codes-a4"]
    ink = _ink(draw_labels("code-label", [UnitLabel(id="A", kind="", place="")], stock, stamp=STAMP, form="png", ppi=PPI).pages.files[0])
    foot = ink[int(286 / 25.4 * PPI) :]
    columns = np.flatnonzero(foot.any(axis=0))
    assert (columns[-1] + 1 - columns[0]) * 25.4 / PPI == pytest.approx(100, abs=0.3)


def test_prescribed_words_are_bold_and_at_least_ten_points() -> None:
    """28 TAC 34.520(c)(1): all capitals, at least 10-point boldface."""
    page = pypdfium2.PdfDocument(_pdf(longest("us-tx", "tag"), stock_of("us-tx", "tag")))[0]
    text = page.get_textpage()
    first = text.get_text_range().index("DO NOT REMOVE")
    import ctypes

    import pypdfium2.raw as raw

    assert raw.FPDFText_GetFontSize(text.raw, first) >= 9.99
    name, flags = ctypes.create_string_buffer(80), ctypes.c_int()
    raw.FPDFText_GetFontInfo(text.raw, first, name, 80, ctypes.byref(flags))
    assert b"SemiBold" in name.value


def test_a_ring_has_the_hole_of_its_stock() -> None:
    drawn = boxes_of([made("us", "collar")], shipped_stocks()["collar-card"])
    assert next(box for box in drawn if box["what"] == "hole")["width"] == pytest.approx(34, abs=0.2)
    assert sum(box["what"] == "month" for box in drawn) == 12


def test_the_cell_that_a_hole_goes_through_is_framed_and_not_filled() -> None:
    """A punched month is shown by a hole: a filled cell would be a printed date. Dark pixels tell them apart."""
    dark = [
        _ink(draw_marks([made(form, "tag")], shipped_stocks()["tag-card"], stamp=STAMP, form="png").pages.files[0]).mean()
        for form in ("us-la", "us")
    ]
    assert dark[0] < dark[1]


def _reddish(stock: Stock) -> int:
    page = draw_marks([made("us-tx", "red-tag")], stock, stamp=STAMP, form="png").pages.files[0]
    red, green, _ = np.moveaxis(np.asarray(Image.open(io.BytesIO(page)).convert("RGB")).astype(int), 2, 0)
    return int((red - green > 60).sum())


def test_a_red_tag_is_printed_in_red_on_white_stock_and_in_dark_ink_on_red_stock() -> None:
    """Red ink on red card cannot be read."""
    red_card = shipped_stocks()["red-card"]
    assert _reddish(red_card) == 0
    assert _reddish(replace(red_card, colour="white")) > 5000


def test_a_text_that_cannot_fit_is_refused_with_the_name_of_the_mark() -> None:
    whole_book = "a very long story about a hose " * 120
    with pytest.raises(Refusal, match=r"does not fit on this stock, even small .got PC-9 service tag on tag-card"):
        _pdf(made("us-tx", "tag", work_done=whole_book), shipped_stocks()["tag-card"])


def test_a_word_without_a_space_is_broken_and_stays_inside() -> None:
    stock = stock_of("us-tx", "tag")
    drawn = boxes_of([made("us-tx", "tag", unit_place="W" * 200)], stock)
    assert all(box["x"] + box["width"] <= stock.cell_width for box in drawn)
    assert "W" * 200 in _text(_pdf(made("us-tx", "tag", unit_place="W" * 200), stock)).replace(" ", "")


def test_a_name_in_any_script_is_drawn_and_one_without_a_font_is_told() -> None:
    names = "Ελένη Київ 消防 نور"
    drawn = draw_marks([made("us", "tag", person_name=f"{names} 😀")], stock_of("us", "tag"), stamp=STAMP)
    assert drawn.notes == ("no font here has U+1F600 GRINNING FACE: its number is printed in its place",)


def test_marks_go_on_from_the_first_free_cell_over_several_pages() -> None:
    stock = shipped_stocks()["tags-a4"]
    drawn = boxes_of([made("us", "tag")] * 3, stock, start=5)
    cells = [(box["page"], round(box["x"]), round(box["y"])) for box in drawn if box["what"] == "cell"]
    assert cells == [(1, 72, 148), (1, 140, 148), (2, 4, 8)]


@pytest.mark.parametrize("start", [0, 7, -1])
def test_a_cell_that_is_not_there_is_refused(start: int) -> None:
    with pytest.raises(Refusal, match="no such cell"):
        draw_marks([made("us", "tag")], shipped_stocks()["tags-a4"], stamp=STAMP, start=start)


def test_the_same_marks_give_the_same_file() -> None:
    assert _pdf(made("us-tx", "tag"), stock_of("us-tx", "tag")) == _pdf(made("us-tx", "tag"), stock_of("us-tx", "tag"))
