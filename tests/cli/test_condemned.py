"""`print notice --condemned` through a real shop."""

import hashlib
import io
import json
from datetime import UTC, datetime
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from PIL import Image

from pinseal.app import App
from pinseal.cli.command import run


class FixedApp(App):
    def now(self):
        return datetime(2026, 11, 28, 18, 0, tzinfo=UTC)


FIELDS = {
    "reason": "dent 9 mm deep and 60 mm wide",
    "proof": "photo with the serial",
    "made-unusable": "X over the specification, CONDEMNED on the shoulder",
    "told": "the manager, by hand",
    "told-on": "2026-11-20",
}


@pytest.fixture
def shop(tmp_path, capsys):
    path = str(tmp_path / "pier.pinseal")

    def ask(*words, code=0):
        assert run(FixedApp(), [*words, "--shop", path]) == code, capsys.readouterr()
        return capsys.readouterr()

    ask.path = Path(path)
    assert run(FixedApp(), ["init", path, "--packs", "us-osha", "--time-zone", "America/Chicago"]) == 0
    ask("settings", "--firm", "name=Quay Works", "--units", "us")
    plate = ("--agent", "co2", "--serial", "K-44", "--cylinder-specification", "DOT-3AL1800")
    ask("record", "registered", "PC-9", "--on", "2026-06-24", "--site", "Pier Café", "--place", "Kitchen door", *plate)
    return ask


def condemn(shop, **fields):
    said = {**FIELDS, **{name.replace("_", "-"): value for name, value in fields.items()}}
    words = [word for name, value in said.items() if value for word in (f"--{name}", value)]
    shop("record", "condemned", "PC-9", "--on", "2026-11-20", "--person", "Ida Quill", *words)


def printed(shop, tmp_path):
    """The file, its words in one line, and what the JSON twin says."""
    out = tmp_path / "condemned.pdf"
    said = json.loads(shop("print", "notice", "PC-9", "--condemned", "--out", str(out), "--json").out)
    pages = pypdfium2.PdfDocument(out)
    text = "\n".join(page.get_textpage().get_text_range() for page in pages)
    return out, " ".join(text.split()), said


def photo(shop, content):
    name = hashlib.sha256(content).hexdigest()
    with FixedApp()._open(shop.path) as kept:
        kept.add_file(name, content, person="Ida Quill", received=datetime(2026, 11, 20, tzinfo=UTC))
    return name


def a_jpeg():
    out = io.BytesIO()
    Image.new("RGB", (400, 300), (170, 30, 30)).save(out, "JPEG")
    return out.getvalue()


def test_the_notice_of_a_condemned_shell_names_the_owner_of_the_address_book(shop, tmp_path):
    condemn(shop)
    assert "not in the shop's address book" in printed(shop, tmp_path)[1]
    shop("settings", "--owner-of", "Pier Café=Pier Company; 1 Long Quay")
    assert "Pier Company, 1 Long Quay" in printed(shop, tmp_path)[1]


def test_the_owner_reads_why_and_what_must_not_be_done(shop, tmp_path):
    condemn(shop)
    _, text, said = printed(shop, tmp_path)
    for words in (
        "The shell of PC-9 is condemned",
        "K-44",
        "DOT-3AL1800",
        "dent 9 mm deep and 60 mm wide",
        "Do not fill or charge it",
        "from memory, fairly sure",
        "common practice, no source",
        "the manager, by hand, 20 Nov 2026",
        "Ida Quill",
        "Quay Works",
        "Licensed practice, the nameplate",
    ):
        assert words in text
    assert [each["id"] for each in said["needs"]] == ["proof", "marked-condemned", "owner-told"]
    assert said["missing"] == []
    assert len(pypdfium2.PdfDocument(tmp_path / "condemned.pdf")) == 1


def test_the_photo_of_the_proof_is_shown_with_words_in_its_place(shop, tmp_path):
    condemn(shop, file=photo(shop, a_jpeg()))
    out, _, _ = printed(shop, tmp_path)
    with pikepdf.open(out) as pdf:
        alts = [str(each.Alt) for each in pdf.objects if isinstance(each, pikepdf.Dictionary) and "/Alt" in each]
    assert alts == ["Photo of what condemns the shell: dent 9 mm deep and 60 mm wide"]
    red = pypdfium2.PdfDocument(out)[0].render(scale=1).to_pil().convert("RGB")
    assert sum(1 for each in red.get_flattened_data() if each[0] > 150 and each[1] < 60) > 1000


@pytest.mark.parametrize("content", [b"%PDF-1.7 no photo", a_jpeg()[:200]], ids=["no photo", "cut off"])
def test_a_file_that_is_no_photo_is_named_and_the_notice_is_printed(shop, tmp_path, content):
    condemn(shop, file=photo(shop, content))
    assert "A file is on record as proof and cannot be shown here" in printed(shop, tmp_path)[1]


def test_a_photo_that_is_not_here_is_named(shop, tmp_path):
    condemn(shop, file="a" * 64)
    assert "A photo is on record, and its file is not here." in printed(shop, tmp_path)[1]


def test_what_the_record_does_not_say_is_named(shop, tmp_path):
    condemn(shop, reason="", proof="", made_unusable="", told="", told_on="")
    _, text, said = printed(shop, tmp_path)
    assert said["missing"] == ["why it was condemned", "the proof", "how it was made unusable"]
    assert "Not on record: why it was condemned, the proof, how it was made unusable." in text


def test_the_shell_is_the_condemned_one_and_not_the_one_that_came_after(shop, tmp_path):
    condemn(shop)
    shop("record", "shell-exchanged", "PC-9", "--on", "2026-11-25", "--serial", "N-70")
    _, text, said = printed(shop, tmp_path)
    assert (said["serial"], said["other_shell"]) == ("K-44", True)
    assert "has another shell, N-70" in text


def test_a_shell_without_a_known_specification_is_told_what_either_kind_needs(shop, tmp_path):
    shop("record", "registered", "PC-10", "--on", "2026-06-24", "--agent", "abc")
    shop("record", "condemned", "PC-10", "--on", "2026-11-20", "--reason", "pitted")
    out = tmp_path / "c.pdf"
    said = json.loads(shop("print", "notice", "PC-10", "--condemned", "--out", str(out), "--json").out)
    assert [each["id"] for each in said["needs"]] == ["proof", "marked-condemned", "made-unusable", "owner-told"]
    assert [each["id"] for each in said["must_not"]] == ["fill", "marking", "hang", "open"]


@pytest.mark.parametrize("unit", ["PC-9", "PC-99"])
def test_a_shell_that_was_not_condemned_gets_no_notice(shop, unit):
    said = shop("print", "notice", unit, "--condemned", "--out", "x.pdf", code=2).err
    assert ("no shell of this unit was condemned" if unit == "PC-9" else "no such unit") in said


@pytest.mark.parametrize("name", ["Ærøskøbing " * 18, "消防站", "مستودع النفط", "#strong[x] *b* $y$ \\ @z", "9-" * 40, "x" * 120])
def test_words_of_any_kind_stay_on_the_page(shop, tmp_path, name):
    condemn(shop, reason=name.strip(), told=name.strip())
    out, _, _ = printed(shop, tmp_path)
    for page in pypdfium2.PdfDocument(out):
        text = page.get_textpage()
        assert max(text.get_charbox(each)[2] for each in range(text.count_chars())) < page.get_width() - 40
