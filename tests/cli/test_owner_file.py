"""`print file`: the owner's file through a real shop, read back from the paper."""

import json
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

SITE = "Pier Café"
PLATE = {"agent": "abc", "expelled-by": "stored-pressure", "shell": "mild-steel", "rechargeable": "yes", "manufactured": "2019-06"}


@pytest.fixture
def record(pinseal, shop):
    pinseal("settings", "--firm", "name=Quay Works", "--units", "us")

    def write(kind, unit, on, **fields):
        words = [word for name, value in fields.items() for word in (f"--{name}", value)]
        ran = pinseal("record", kind, unit, "--on", on, *words, "--json")
        assert ran.code == 0, ran.err
        return ran.json["record"]["uid"]

    return write


@pytest.fixture
def pier(record):
    """Four units: one all the year, one that came to the place of a condemned one, one that moved away."""
    for name, place in (("PC-1", "Kitchen, door"), ("PC-2", "Kitchen, hood"), ("PC-3", "Cellar, stair")):
        record("registered", name, "2024-02-01", site=SITE, place=place, **PLATE)
    record("maintained", "PC-1", "2026-03-03")
    for month in range(1, 12):
        if month != 5:
            record("inspected", "PC-1", f"2026-{month:02}-03")
    record("not-done", "PC-1", "2026-05-04", reason="locked", duty="inspection")
    record("found-deficient", "PC-1", "2025-12-01", finding="seal-broken", words="seal broken")
    record("remedied", "PC-1", "2026-01-03", finding="seal-broken", how="new seal")
    record("found-deficient", "PC-1", "2026-10-03", finding="hose-cracked", words="hose cracked", action="replace-part")
    record("found-deficient", "PC-2", "2026-06-01", finding="pitted", words="shell pitted")
    record("condemned", "PC-2", "2026-06-02", reason="pitted")
    record("registered", "PC-4", "2026-06-03", site=SITE, place="Kitchen, hood", **PLATE)
    record("moved", "PC-3", "2026-08-01", site="Mill", place="Gate")


def made(pinseal, folder, *words, name="file.pdf"):
    ran = pinseal("print", "file", SITE, "--out", folder / name, "--json", *words)
    assert ran.code == 0, ran.err
    return ran.json


def text_of(path):
    document = pypdfium2.PdfDocument(path)
    found = "\n".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return " ".join(found.split())


def test_the_fleet_of_the_year_reconciles(pinseal, pier, tmp_path):
    fleet = made(pinseal, tmp_path)["fleet"]
    assert fleet["start"] + len(fleet["came"]) - len(fleet["went"]) == fleet["end"] == 2
    assert [(each["unit"]["id"], each["why"]) for each in fleet["came"]] == [("PC-4", "new on record")]
    assert [(each["unit"]["id"], each["why"]) for each in fleet["went"]] == [
        ("PC-2", "condemned: pitted"),
        ("PC-3", "moved to another site"),
    ]
    assert (fleet["condemned"], fleet["replaced"]) == (1, 1)
    assert fleet["went"][0]["other"]["id"] == "PC-4"


def test_another_site_is_named_only_where_it_is_of_the_same_owner(pinseal, pier, tmp_path):
    made(pinseal, tmp_path)
    assert "Mill" not in text_of(tmp_path / "file.pdf")
    same = ("--owner-of", f"{SITE}=Pier Company; 1 Long Quay", "--owner-of", "Mill=Pier Company; 2 Weir Lane")
    assert pinseal("settings", *same).code == 0
    fleet = made(pinseal, tmp_path)["fleet"]
    assert [each["why"] for each in fleet["went"]] == ["condemned: pitted", "moved to Mill"]
    assert "Pier Company, 1 Long Quay" in text_of(tmp_path / "file.pdf")


def test_a_loaner_brings_nothing_of_the_site_that_it_was_at(pinseal, record, tmp_path):
    record("registered", "LN-1", "2024-02-01", site="Mill", place="Gate", **PLATE)
    record("found-deficient", "LN-1", "2026-02-01", finding="seal-broken", words="seal broken at the mill")
    record("remedied", "LN-1", "2026-02-03", finding="seal-broken", how="new seal")
    record("inspected", "LN-1", "2026-02-05")
    record("moved", "LN-1", "2026-03-01", site=SITE, place="Kitchen")
    told = made(pinseal, tmp_path)
    assert (told["deficiencies"]["found"], told["deficiencies"]["of_year"], told["done"]) == (0, [], [])
    assert told["units"][0]["months"]["2026-02"]["state"] == "absent"
    assert "Mill" not in json.dumps(told) and "mill" not in text_of(tmp_path / "file.pdf")


def test_the_deficiencies_of_the_year_reconcile(pinseal, pier, tmp_path):
    wrong = made(pinseal, tmp_path)["deficiencies"]
    assert (wrong["start"], wrong["found"], wrong["put_right"], wrong["left_with_their_unit"], wrong["end"]) == (1, 2, 1, 1, 1)
    [only] = wrong["open"]
    assert (only["words"], only["days_open"]) == ("hose cracked", 52)


def test_a_year_that_is_over_is_told_as_it_stood_at_its_end(pinseal, pier, tmp_path):
    told = made(pinseal, tmp_path, "--year", "2025")
    assert told["whole_year"] is True
    assert (told["fleet"]["start"], told["fleet"]["end"]) == (3, 3)
    assert [each["words"] for each in told["deficiencies"]["open"]] == ["seal broken"]
    assert told["months"][-1] == "2025-12"
    assert {unit["id"] for unit in told["units"]} == {"PC-1", "PC-2", "PC-3"}


def test_the_months_tell_who_looked_and_where_the_gaps_are(pinseal, pier, tmp_path):
    told = made(pinseal, tmp_path)
    one = next(unit for unit in told["units"] if unit["id"] == "PC-1")["months"]
    assert [one[code]["state"] for code in ("2025-12", "2026-03", "2026-05", "2026-11")] == ["none", "seen", "tried", "seen"]
    four = next(unit for unit in told["units"] if unit["id"] == "PC-4")["months"]
    assert [four[code]["state"] for code in ("2026-05", "2026-06", "2026-10", "2026-11")] == ["absent", "none", "none", "open"]
    assert told["gaps"] == 2 + 5


def test_the_paper_says_it_all(pinseal, pier, tmp_path):
    made(pinseal, tmp_path)
    text = text_of(tmp_path / "file.pdf")
    for words in ("Pier Café, 2026", "Quay Works", "the year is not over", "PC-1", "hose cracked", "replace the part", "condemned: pitted"):
        assert words in text
    for words in ("29 CFR 1910.157", "(from memory)", "Last maintenance: 3 Mar 2026", "3 Mar 2027", "Licensed practice", "gap", "tried"):
        assert words in text


def test_the_paper_is_archivable_tagged_and_has_bookmarks(pinseal, pier, tmp_path):
    made(pinseal, tmp_path)
    with pikepdf.open(tmp_path / "file.pdf") as pdf:
        with pdf.open_metadata() as about:
            assert about.pdfa_status == "2B"
            assert about["pdfuaid:part"] == "1"
        assert pdf.Root.MarkInfo.Marked
        with pdf.open_outline() as outline:
            titles = [child.title for item in outline.root for child in item.children]
    assert titles[:3] == ["How the duties of these units stand", "The year", "Open deficiencies"]
    assert "Monthly record" in titles


def test_a_site_of_many_units_comes_in_parts_with_an_index(pinseal, pier, tmp_path, monkeypatch):
    from pinseal.service import owner_file_words

    whole = owner_file_words.parts_of
    monkeypatch.setattr(owner_file_words, "parts_of", lambda units: whole(units, most=1))
    told = made(pinseal, tmp_path)
    assert [Path(file).name for file in told["files"]] == ["file.pdf", "file-part-1.pdf", "file-part-2.pdf"]
    front, one, two = (text_of(file) for file in told["files"])
    assert "The parts of this file" in front
    assert "every duty, by when" not in front
    assert ("PC-1" in one) and ("PC-4" not in one)
    assert "part 2 of 2" in two


@pytest.mark.parametrize(("count", "sizes"), [(0, [0]), (1, [1]), (450, [450]), (451, [226, 225]), (6000, [429] * 13 + [423])])
def test_parts_are_as_even_as_they_come_and_lose_nobody(count, sizes):
    from pinseal.service.owner_file_words import parts_of

    parts = parts_of(range(count), most=450)
    assert [len(part) for part in parts] == sizes
    assert [unit for part in parts for unit in part] == list(range(count))


def test_a_long_paper_in_a_process_of_its_own_is_the_same_paper(pinseal, pier, tmp_path, monkeypatch):
    from pinseal.app import owner_files

    made(pinseal, tmp_path, name="here.pdf")
    monkeypatch.setattr(owner_files, "_APART_FROM", 1)
    made(pinseal, tmp_path, name="apart.pdf")
    assert (tmp_path / "here.pdf").read_bytes() == (tmp_path / "apart.pdf").read_bytes()


def test_a_site_whose_units_have_all_gone_still_has_a_file(pinseal, record, tmp_path):
    record("registered", "PC-1", "2024-02-01", site=SITE, **PLATE)
    record("removed", "PC-1", "2026-02-01", reason="sold")
    told = made(pinseal, tmp_path)
    assert (told["fleet"]["start"], told["fleet"]["end"], told["units"]) == (1, 0, [])
    assert "No unit is in the fleet of this site." in text_of(tmp_path / "file.pdf")


@pytest.mark.parametrize("place", ["Ærøskøbing kajplads " * 10, "消防站, 二樓", "مستودع النفط", "#strong[x] *b* $y$ \\ @z"])
def test_places_of_any_kind_stay_on_the_page(pinseal, record, tmp_path, place):
    record("registered", "PC-1", "2024-02-01", site=SITE, place=place.strip(), **PLATE)
    record("inspected", "PC-1", "2026-10-03")
    made(pinseal, tmp_path)
    document = pypdfium2.PdfDocument(tmp_path / "file.pdf")
    for page in document:
        text = page.get_textpage()
        boxes = [text.get_charbox(each) for each in range(text.count_chars())]
        assert max(box[2] for box in boxes) < page.get_width() - 40
    document.close()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("Pier Cafe",), "for example Pier Café"),
        ((SITE, "--year", "2027"), "ask for a year that has begun"),
        ((SITE, "--year", "1850"), "a file is of a year from 1900"),
        ((SITE, "--year", "2001"), "no unit is on record at this site"),
        ((SITE, "--year", "this"), "not a valid integer"),
    ],
)
def test_what_cannot_be_told_is_refused_in_words(pinseal, pier, tmp_path, words, said):
    ran = pinseal("print", "file", *words, "--out", tmp_path / "x.pdf")
    assert ran.code == 2
    assert said in ran.err
    assert not (tmp_path / "x.pdf").exists()


def test_a_name_that_was_erased_does_not_come_back_on_the_paper(pinseal, record, shop, tmp_path):
    from tests.cli.conftest import FixedApp

    record("registered", "PC-1", "2024-02-01", site=SITE, **PLATE)
    assert pinseal("record", "inspected", "PC-1", "--on", "2026-10-03", "--person", "Ida Quill").code == 0
    FixedApp().erase_person(shop, "Ida Quill")
    told = made(pinseal, tmp_path)
    assert "Ida Quill" not in json.dumps(told)
    assert "Ida Quill" not in text_of(tmp_path / "file.pdf")
    assert "erased person 1" in text_of(tmp_path / "file.pdf")
