"""`print certification` through a real shop: what the rule asks for is there, or the certificate is refused."""

import json

import pypdfium2
import pytest
from pressure_shop import DAY, make_shop, pressure_test, register


@pytest.fixture
def shop(tmp_path, capsys):
    return make_shop(str(tmp_path / "pier.pinseal"), capsys)


def maintain(shop, unit="U-1", *, on=DAY, person="Ida Quill"):
    shop("record", "maintenance", unit, "--on", on, *(("--person", person) if person else ()))


def words_of(file):
    pages = [page.get_textpage().get_text_range().replace("\u200b", "") for page in pypdfium2.PdfDocument(file)]
    return [" ".join(page.split()) for page in pages]


def certified(shop, tmp_path, *words):
    out = str(tmp_path / "certificate.pdf")
    told = json.loads(shop("print", "certification", *words, "--out", out, "--json").out)
    return told["certificates"], words_of(out)


def refused(shop, *words):
    said = shop("print", "certification", *words, "--out", "never.pdf", code=2)
    return said.out + said.err


def test_a_pressure_test_is_certified_with_date_name_and_number(shop, tmp_path):
    register(shop)
    pressure_test(shop)
    [found], [page] = certified(shop, tmp_path, "U-1")
    assert (found["date"], found["person"], found["unit"]["serial"]) == (DAY, "Ida Quill", "SN-U-1")
    assert found["asked_for"] == ["date", "signature", "identifier"]
    for words in (
        "20 Nov 2026",
        "SN-U-1",
        "Ida Quill",
        "Signature of the person who performed the test",
        "3000 psi",
        "29 CFR 1910.157 (f)(16)",
        "until it is tested again".capitalize(),
        "Licensed practice, the nameplate",
    ):
        assert words in page


def test_a_yearly_maintenance_is_recorded_with_its_date(shop, tmp_path):
    register(shop)
    maintain(shop)
    [found], [page] = certified(shop, tmp_path, "U-1", "--of", "maintenance")
    assert found["asked_for"] == ["date", "identifier"]
    assert "(e)(3)" in page
    assert "One year after the last entry or the life of the shell" in page


def test_each_unit_has_a_page_of_its_own(shop, tmp_path):
    for unit in ("U-1", "U-2", "U-3"):
        register(shop, unit)
        pressure_test(shop, unit)
    found, pages = certified(shop, tmp_path, "U-3", "U-1", "U-2")
    assert [each["unit"]["id"] for each in found] == ["U-3", "U-1", "U-2"]
    assert [("SN-U-3" in page, "SN-U-1" in page) for page in pages] == [(True, False), (False, True), (False, False)]


def test_an_older_test_says_that_it_is_not_the_newest(shop, tmp_path):
    register(shop)
    pressure_test(shop, on="2021-11-18")
    [old], _ = certified(shop, tmp_path, "U-1")
    pressure_test(shop)
    assert certified(shop, tmp_path, "U-1")[0][0]["date"] == DAY
    [found], [page] = certified(shop, tmp_path, "U-1", "--record", old["record"])
    assert found["later"] == DAY
    assert "this is not the newest" in page


def test_the_number_is_that_of_the_shell_that_was_tested(shop, tmp_path):
    register(shop)
    pressure_test(shop)
    shop("record", "shell-exchanged", "U-1", "--on", "2026-11-25", "--serial", "NEW-1")
    assert certified(shop, tmp_path, "U-1")[0][0]["unit"]["serial"] == "SN-U-1"


def test_what_is_not_asked_for_and_is_not_on_record_is_named(shop, tmp_path):
    register(shop, specification="none")
    pressure_test(shop, method="", pressure="", total_expansion="", permanent_expansion="")
    [found], [page] = certified(shop, tmp_path, "U-1")
    assert found["not_on_record"] == ["test pressure", "method"]
    assert "Not on record: test pressure, method." in page


def test_a_maintenance_without_a_name_is_still_its_date(shop, tmp_path):
    register(shop)
    maintain(shop, person="")
    assert certified(shop, tmp_path, "U-1", "--of", "maintenance")[0][0]["not_on_record"] == ["who did it"]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"on": "2026-11"}, "it says the date"),
        ({"person": "not said"}, "who did it is not on record"),
        ({"result": "fail", "found": "leak at the neck"}, "a failed test is not certified"),
        ({"permanent_expansion": "9 cm3"}, "this test does not fit the rules"),
    ],
)
def test_what_the_rule_asks_for_and_lacks_is_refused(shop, said, words):
    register(shop)
    pressure_test(shop, **said)
    assert words in refused(shop, "U-1")


def test_nothing_is_certified_that_was_not_done(shop):
    register(shop)
    assert "there is nothing to certify" in refused(shop, "U-1")
    assert "there is nothing to certify" in refused(shop, "U-1", "--of", "maintenance")
    assert "no such unit" in refused(shop, "U-9")


def test_a_record_that_is_void_certifies_nothing(shop, tmp_path):
    register(shop)
    pressure_test(shop)
    [found], _ = certified(shop, tmp_path, "U-1")
    shop("record", "corrected", "U-1", "--on", "2026-11-25", "--corrects", found["record"], "--void", "yes")
    assert "there is nothing to certify" in refused(shop, "U-1")


def test_a_name_that_was_erased_signs_nothing_anew(shop):
    register(shop)
    pressure_test(shop, person="Ottoline Marsh")
    shop("people", "erase", "Ottoline Marsh", "--yes")
    assert "the name was erased" in refused(shop, "U-1")


def test_one_record_is_of_one_unit(shop):
    assert "one record is of one unit" in refused(shop, "U-1", "U-2", "--record", "x")


@pytest.mark.parametrize(
    "name",
    ["Ærøskøbing " * 18, "W" * 200, "消防站", "مستودع النفط", "#strong[x] *b* $y$ \\ @z"],
    ids=["long", "one", "chinese", "arabic", "markup"],
)
def test_names_of_any_kind_stay_on_the_page(shop, tmp_path, name):
    register(shop, serial=name.strip(), site=name.strip(), place=name.strip())
    pressure_test(shop, person=name.strip()[:100], instrument=name.strip()[:50])
    out = tmp_path / "certificate.pdf"
    shop("print", "certification", "U-1", "--out", str(out))
    for page in pypdfium2.PdfDocument(out):
        text = page.get_textpage()
        boxes = [text.get_charbox(each) for each in range(text.count_chars())]
        assert max(box[2] for box in boxes) < page.get_width() - 40
