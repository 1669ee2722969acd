"""`notices` and `print notice` through a real shop."""

import json
from datetime import UTC, datetime

import pypdfium2
import pytest

from pinseal.app import App
from pinseal.cli.command import run

AT = "2026-11-25T09:00-06:00"


class FixedApp(App):
    def now(self):
        return datetime(2026, 11, 28, 18, 0, tzinfo=UTC)


@pytest.fixture
def shop(tmp_path, capsys):
    path = str(tmp_path / "pier.pinseal")

    def ask(*words, code=0):
        assert run(FixedApp(), [*words, "--shop", path]) == code, capsys.readouterr()
        return capsys.readouterr()

    assert run(FixedApp(), ["init", path, "--packs", "us-osha", "--time-zone", "America/Chicago"]) == 0
    ask("settings", "--firm", "name=Quay Works", "--units", "us")
    ask("record", "registered", "PC-9", "--on", "2026-06-24", "--site", "Pier Café", "--place", "Kitchen door", "--agent", "abc")
    return ask


def impair(shop, **more):
    fields = {"at": AT, "impairments": "valve leaks; hose cracked", "rules-of": "us-tx", "number": "R-7"} | more
    words = [word for name, value in fields.items() for word in (f"--{name}", value)]
    said = json.loads(shop("record", "impaired", "PC-9", "--on", "2026-11-25", *words, "--json").out)
    return said["record"]["uid"] if "record" in said else said["uid"]


def clocks(shop):
    [found] = json.loads(shop("notices", "--json").out)["impairments"]
    return {each["id"]: each["state"] for each in found["clocks"]}


def test_the_clocks_of_an_impaired_unit_are_listed(shop):
    impair(shop)
    assert clocks(shop) == {"tx-owner": "overdue", "tx-authority": "overdue", "tx-copy": "due", "tx-clearance": "not begun"}


def test_a_notice_that_was_given_stops_its_clock(shop):
    uid = impair(shop)
    at = "2026-11-25T09:10-06:00"
    shop("record", "notice-given", "PC-9", "--on", "2026-11-25", "--impairment", uid, "--party", "owner", "--at", at, "--how", "by hand")
    assert clocks(shop)["tx-owner"] == "done"


def test_the_paper_says_what_is_impaired_and_who_must_be_told(shop, tmp_path):
    impair(shop)
    shop("print", "notice", "PC-9", "--out", str(tmp_path / "notice.pdf"))
    text = pypdfium2.PdfDocument(tmp_path / "notice.pdf")[0].get_textpage().get_text_range()
    for words in (
        "Unit PC-9 is out of order",
        "valve leaks",
        "hose cracked",
        "Pier Café, Kitchen door",
        "red tag R-7",
        "34.521(a)",
        "Quay Works",
    ):
        assert words in text
    assert "28 TAC" in text
    assert "Mon 30 Nov 2026" in text
    assert "Wed 2 Dec 2026" in text


def test_the_notice_names_the_owner_of_the_address_book_however_long(shop, tmp_path):
    impair(shop)
    long = f"Pier Company; {'1 Long Quay ' * 22}Tolberhaven"
    for said, wanted in (("", "not in the shop's address book"), (long, "Pier Company, 1 Long Quay")):
        shop("settings", "--owner-of", f"Pier Café={said}")
        shop("print", "notice", "PC-9", "--out", str(tmp_path / "notice.pdf"))
        page = pypdfium2.PdfDocument(tmp_path / "notice.pdf")[0]
        text = page.get_textpage()
        assert wanted in " ".join(text.get_text_range().split())
        boxes = [text.get_charbox(each) for each in range(text.count_chars())]
        assert max(box[2] for box in boxes) < page.get_width() - 40


def test_a_cleared_impairment_says_so(shop, tmp_path):
    uid = impair(shop)
    shop(
        "record",
        "impairment-cleared",
        "PC-9",
        "--on",
        "2026-11-27",
        "--impairment",
        uid,
        "--at",
        "2026-11-27T10:00-06:00",
        "--how",
        "new valve",
    )
    shop("print", "notice", "PC-9", "--out", str(tmp_path / "notice.pdf"))
    text = pypdfium2.PdfDocument(tmp_path / "notice.pdf")[0].get_textpage().get_text_range()
    assert "It was cleared." in text
    assert "new valve" in text


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("print", "notice", "PC-9", "--out", "x.pdf"), "nothing to give notice of"),
        (("record", "impaired", "PC-9", "--on", "2026-11-25", "--at", "2026-11-25T09:00", "--impairments", "x"), "difference from UTC"),
        (("record", "notice-given", "PC-9", "--on", "2026-11-25", "--party", "boss", "--at", AT, "--impairment", "x"), "cannot be read"),
    ],
)
def test_what_is_not_right_is_refused_in_words(shop, words, said):
    assert said in shop(*words, code=2).err


@pytest.mark.parametrize(
    "name", ["Ærøskøbing " * 18, "消防站", "مستودع النفط", "#strong[x] *b* $y$ \\ @z"], ids=["long", "chinese", "arabic", "markup"]
)
def test_names_of_any_kind_stay_on_the_page(shop, tmp_path, name):
    impair(shop, impairments=name.strip())
    out = tmp_path / "notice.pdf"
    shop("print", "notice", "PC-9", "--out", str(out))
    page = pypdfium2.PdfDocument(out)[0]
    text = page.get_textpage()
    width = page.get_width()
    boxes = [text.get_charbox(each) for each in range(text.count_chars())]
    assert max(box[2] for box in boxes) < width - 40
