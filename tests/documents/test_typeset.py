"""The typesetter: data stays data, the same bytes each time, archivable and tagged, fonts inside, no silent boxes."""

from __future__ import annotations

import io
import unicodedata
from datetime import UTC, datetime
from importlib.resources import files

import pikepdf
import pypdfium2
import pytest
from fontTools.ttLib import TTFont

from pinseal.documents.typeset import Typeset, typeset

STAMP = datetime(2026, 3, 4, 5, 6, 7, tzinfo=UTC)
FONTS = files("pinseal.documents").joinpath("fonts")
SCRIPTS = {
    "Latin": "Ærøskøbing Łódź Đà Nẵng",
    "Greek": "Πειραιάς",
    "Cyrillic": "Владивосток Київ",
    "Hebrew": "נמל ישן",
    "Arabic": "مستودع",
    "Devanagari": "मुंबई",
    "Thai": "คลังสินค้า",
    "Chinese": "消防站 滅火器",
    "Japanese": "消火器の倉庫",
    "Korean": "소화기 창고",
}


def _set(*lines: str, form: str = "pdf") -> Typeset:
    return typeset("plain", {"lines": lines}, title="Proof", stamp=STAMP, form=form)  # type: ignore[arg-type]


def _text(pdf: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))


def test_what_people_typed_is_never_read_as_markup() -> None:
    typed = '#sys.inputs *bold* _slant_ $x^2$ @ref <label> "quoted" \\ // comment'
    assert typed in _text(_set(typed).pdf)


def test_the_same_call_gives_the_same_bytes() -> None:
    assert _set("one", "two").pdf == _set("one", "two").pdf


def test_another_moment_gives_another_date_and_nothing_of_the_clock() -> None:
    made = pikepdf.open(io.BytesIO(_set("one").pdf))
    assert str(made.docinfo["/CreationDate"]) == "D:20260304050607Z"


def test_a_pdf_is_archivable_and_tagged() -> None:
    made = pikepdf.open(io.BytesIO(_set("one").pdf))
    with made.open_metadata() as said:
        assert said.pdfa_status == "2B"
        assert said["pdfuaid:part"] == "1"
    assert made.Root.MarkInfo.Marked
    assert str(made.Root.Lang) == "en"


def test_every_font_is_inside_the_file() -> None:
    made = pikepdf.open(io.BytesIO(_set(*SCRIPTS.values()).pdf))
    fonts = [each for each in made.objects if isinstance(each, pikepdf.Dictionary) and each.get("/Type") == "/FontDescriptor"]
    assert len(fonts) >= 6
    assert all("/FontFile2" in each or "/FontFile3" in each for each in fonts)


@pytest.mark.parametrize("script", SCRIPTS)
def test_names_in_this_script_are_covered_and_drawn(script: str) -> None:
    made = _set(SCRIPTS[script])
    assert made.uncovered == ()
    assert "notdef" not in repr(made.pdf)


@pytest.mark.parametrize("script", ["Latin", "Greek", "Cyrillic", "Chinese", "Japanese", "Korean"])
def test_names_in_this_script_can_be_copied_out(script: str) -> None:
    assert SCRIPTS[script].replace(" ", "") in _text(_set(SCRIPTS[script]).pdf).replace(" ", "")


def test_a_character_without_a_font_is_named_and_drawn_as_its_number() -> None:
    made = _set("Hall 😀")
    assert made.uncovered == ("U+1F600 GRINNING FACE",)
    assert "Hall [U+1F600]" in _text(made.pdf)


def test_half_a_character_and_control_characters_do_no_harm() -> None:
    made = _set("a\x00b\x07c\ud800d")
    assert made.uncovered == ("U+D800",)
    assert "a b c[U+D800]d" in _text(made.pdf)


def test_letters_with_marks_apart_are_composed() -> None:
    assert "é" in _text(_set("e\u0301").pdf)


def test_the_list_of_covered_characters_is_that_of_the_fonts() -> None:
    held: set[int] = set()
    for each in FONTS.iterdir():
        if each.name.endswith((".ttf", ".otf")):
            held |= set(TTFont(io.BytesIO(each.read_bytes())).getBestCmap())
    listed: set[int] = set()
    for line in FONTS.joinpath("covered.txt").read_text(encoding="ascii").split():
        first, _, last = line.partition("-")
        listed |= set(range(int(first, 16), int(last or first, 16) + 1))
    assert listed <= held
    left_out = {unicodedata.category(chr(code)) for code in held - listed}
    assert left_out <= {"Cc", "Cf", "Co", "Cn", "Zl", "Zp"}, "what is held and not listed is no letter"


def test_every_covered_character_can_be_set() -> None:
    """PDF/UA-1 refuses some characters; none of them may reach it."""
    codes = [ord(each) for line in FONTS.joinpath("covered.txt").read_text(encoding="ascii").split() for each in _ends(line)]
    made = _set("".join(chr(code) for code in codes))
    assert made.uncovered == ()


def _ends(line: str) -> tuple[str, str]:
    first, _, last = line.partition("-")
    return chr(int(first, 16)), chr(int(last or first, 16))


def test_the_fonts_come_with_their_licence_and_stay_small() -> None:
    assert "SIL OPEN FONT LICENSE Version 1.1" in FONTS.joinpath("OFL.txt").read_text(encoding="utf-8")
    assert sum(len(each.read_bytes()) for each in FONTS.iterdir()) < 8 * 1024 * 1024


def test_a_picture_of_each_page_comes_as_png_and_svg() -> None:
    assert _set("one", form="png").files[0].startswith(b"\x89PNG")
    assert _set("one", form="svg").files[0].startswith(b"<svg")
