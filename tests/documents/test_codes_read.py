"""Codes are read back from the printed pixels by an independent reader (ZXing-C++)."""

from __future__ import annotations

import io

import pytest
import zxingcpp
from mark_makers import STAMP
from PIL import Image

from pinseal.documents.marks import UnitLabel, boxes_of, draw_labels
from pinseal.standards.stocks import Stock, shipped_stocks

UID = "018f2b7c-9d3e-7abc-8def-0123456789ab"


def _label(text: str, address: str = f"https://tolberhaven.example/u/{UID}") -> UnitLabel:
    return UnitLabel(id=text, kind="ABC dry chemical, 10 lb", place="Pier Café, Kitchen door", address=address)


def _read(labels: list[UnitLabel], stock: Stock, *, ppi: float) -> list[tuple[str, str]]:
    pages = draw_labels("code-label", labels, stock, stamp=STAMP, form="png", ppi=ppi).pages.files
    found = [code for page in pages for code in zxingcpp.read_barcodes(Image.open(io.BytesIO(page)).convert("L"))]
    return sorted((str(code.format).replace("BarcodeFormat.", "").replace(" ", ""), code.text) for code in found)


@pytest.mark.parametrize("ppi", [203, 300], ids=["thermal printer", "laser printer"])
@pytest.mark.parametrize("text", ["PC-9", "7", "AF-0117", "TOLBER-HANGAR-B-01", "a b/c.d"])
@pytest.mark.parametrize("stock", ["code-roll", "codes-a4", "codes-letter"])
def test_both_codes_of_a_label_are_read_back(text: str, stock: str, ppi: float) -> None:
    found = _read([_label(text)], shipped_stocks()[stock], ppi=ppi)
    assert ("QRCode", f"https://tolberhaven.example/u/{UID}") in found
    assert ("Code128", text) in found
    assert len(found) == 2


def test_a_sheet_of_labels_is_read_back_whole() -> None:
    labels = [_label(f"AF-{number:03d}", f"https://tolberhaven.example/u/{number}") for number in range(24)]
    found = _read(labels, shipped_stocks()["codes-a4"], ppi=300)
    assert [text for kind, text in found if kind == "Code128"] == [f"AF-{number:03d}" for number in range(24)]
    assert len([text for kind, text in found if kind == "QRCode"]) == 24


def test_a_short_address_is_still_a_full_qr_code_and_no_micro_one() -> None:
    assert ("QRCode", "7") in _read([_label("X", "7")], shipped_stocks()["code-roll"], ppi=300)


def test_a_long_address_is_read_back() -> None:
    address = f"https://{'long-' * 30}name.example/shop/u/{UID}"
    assert ("QRCode", address) in _read([_label("PC-9", address)], shipped_stocks()["codes-a4"], ppi=300)


@pytest.mark.parametrize(
    ("text", "why"),
    [("Küche-1", "characters that Code 128 does not hold"), ("消防-7", "characters"), ("X" * 40, "finer than 0.19 mm")],
)
def test_a_number_that_no_bar_code_holds_is_said_and_the_label_still_printed(text: str, why: str) -> None:
    made = draw_labels("code-label", [_label(text)], shipped_stocks()["code-roll"], stamp=STAMP, form="png", ppi=300)
    assert len(made.notes) == 1 and made.notes[0].startswith(f"{text}: no bar code") and why in made.notes[0]
    found = zxingcpp.read_barcodes(Image.open(io.BytesIO(made.pages.files[0])).convert("L"))
    assert [code.text for code in found] == [f"https://tolberhaven.example/u/{UID}"]


def test_a_shop_without_an_address_prints_the_number_and_its_bars() -> None:
    assert _read([_label("PC-9", "")], shipped_stocks()["code-roll"], ppi=300) == [("Code128", "PC-9")]


@pytest.mark.parametrize("text", ["PC-9", "TOLBER-HANGAR-B-0117", "消防-7", "X" * 40])
@pytest.mark.parametrize("stock", ["code-roll", "codes-a4", "codes-letter"])
def test_number_and_codes_keep_clear_of_each_other(text: str, stock: str) -> None:
    held = shipped_stocks()[stock]
    label = UnitLabel(
        id=text,
        kind="urea-potassium bicarbonate dry chemical, wheeled, 350 lb",
        place="Long store " * 18,
        address=f"https://a.example/u/{UID}",
    )
    drawn = {box["what"]: box for box in boxes_of([], held, labels=[label])}
    code, number = drawn["qr"], drawn["id"]
    assert number["x"] >= code["x"] + code["width"]
    assert number["x"] + number["width"] <= drawn["cell"]["x"] + held.cell_width
    if "bars" in drawn:
        assert drawn["bars"]["y"] >= code["y"] + code["height"]
        assert drawn["bars"]["y"] >= number["y"] + number["height"] - 0.2
