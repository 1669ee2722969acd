"""`print sheet` through a real shop: checks first, every test, what is missing, the stamp."""

import csv
import json

import pikepdf
import pypdfium2
import pytest
from pressure_shop import DAY, PROOF, FixedApp, check, make_shop, pressure_test, register

from pinseal.cli.command import run


@pytest.fixture
def shop(tmp_path, capsys):
    return make_shop(str(tmp_path / "pier.pinseal"), capsys)


def told(shop, *words):
    return json.loads(shop("print", "sheet", *(words or ("--on", DAY)), "--json").out)


def only_test(shop, *words):
    [day] = told(shop, *words)["days"]
    [test] = day["tests"]
    return test


def words_of(file):
    document = pypdfium2.PdfDocument(file)
    return " ".join(" ".join(page.get_textpage().get_text_range().replace("\u200b", "").split()) for page in document)


def test_a_jacket_test_that_passed_earns_the_stamp(shop):
    check(shop)
    register(shop)
    pressure_test(shop)
    test = only_test(shop)
    assert (test["total"], test["elastic"], test["permanent"], test["percent"], test["limit"]) == (
        "40.7 cm3",
        "39.8 cm3",
        "0.9 cm3",
        "2.211302… %",
        "10 %",
    )
    assert (test["serial"], test["specification"], test["marked_pressure"], test["made"]) == (
        "SN-U-1",
        "DOT-3AL1800",
        "1800 psi",
        "Apr 2011",
    )
    assert (test["disposition"], test["operator"], test["instrument"], test["missing"]) == ("passed", "Ida Quill", "WJ-1", [])
    assert test["stamp"]["square"] == ["Z0", "91"]
    assert (test["stamp"]["month"], test["stamp"]["year"], test["stamp"]["letter"]) == ("11", "26", "")


def test_the_check_of_the_jacket_comes_first_with_all_its_readings(shop):
    check(shop)
    [day] = told(shop)["days"]
    [entry] = day["checks"]
    assert (entry["cylinder_serial"], entry["pressure"], entry["total"], entry["elastic"], entry["permanent"], entry["operator"]) == (
        "S-CC-1",
        "3000 psi",
        "182.4 cm3",
        "182.4 cm3",
        "0 cm3",
        "Ida Quill",
    )
    assert entry["missing"] == []


def test_what_a_check_lacks_is_named(shop):
    check(shop, permanent_expansion="", check_pressure="")
    [day] = told(shop)["days"]
    assert day["checks"][0]["missing"] == ["pressure", "elastic", "permanent"]


@pytest.mark.parametrize(
    ("checks", "words"),
    [
        ([], "no check of WJ-1 on that day is on record"),
        ([{"on": "2026-11-19"}], "no check of WJ-1 on that day is on record"),
        ([{"result": "bad"}, {}], "a check of WJ-1 on that day was bad"),
    ],
)
def test_without_a_good_check_of_that_day_there_is_no_stamp(shop, checks, words):
    for each in checks:
        check(shop, **each)
    register(shop)
    pressure_test(shop)
    test = only_test(shop)
    assert test["stamp"] is None
    assert words in test["why_no_stamp"][0]


def test_a_proof_test_leaves_out_the_expansion_and_nothing_else(shop, tmp_path):
    """PHMSA letter 21-0100 of 2022-01-19, public copy."""
    check(shop, "TG-1", check_pressure="480 psi", certified_expansion="", total_expansion="", permanent_expansion="")
    register(shop, specification="4BW240")
    pressure_test(shop, **PROOF)
    test = only_test(shop)
    assert test["omitted"] == ["total", "elastic", "permanent", "percent"]
    assert not {"total", "elastic", "permanent", "percent"} & test.keys()
    assert test["missing"] == []
    assert test["stamp"]["letter"] == "S"
    shop("print", "sheet", "--on", DAY, "--out", str(tmp_path / "sheet.pdf"))
    assert "proof pressure test, which gives no expansion" in words_of(tmp_path / "sheet.pdf")


def test_what_is_not_on_record_is_named_and_never_guessed(shop, tmp_path):
    check(shop)
    register(shop, serial="X")
    pressure_test(shop, symbol="", dimensions="", visual="", total_expansion="", instrument="")
    test = only_test(shop)
    assert test["missing"] == ["dimensions", "symbol", "visual", "total", "elastic", "percent"]
    assert test["stamp"] is None
    shop("print", "sheet", "--on", DAY, "--out", str(tmp_path / "sheet.pdf"))
    assert "Not on record, and not guessed: actual dimensions: every test" in words_of(tmp_path / "sheet.pdf")


def test_a_pass_over_the_limit_is_told_and_not_stamped(shop):
    check(shop)
    register(shop)
    pressure_test(shop, permanent_expansion="4.08 cm3")
    test = only_test(shop)
    assert test["disposition"] == "recorded as passed: look again"
    assert test["stamp"] is None
    assert "10.024570… % exceeds the 10 % allowed" in test["against"][0]


def test_a_condemned_cylinder_tells_what_the_owner_is_told(shop, tmp_path):
    check(shop)
    register(shop)
    pressure_test(shop, permanent_expansion="5 cm3", result="fail", found="stayed wide")
    assert only_test(shop)["disposition"] == "failed: must be condemned"
    shop(
        "record", "condemned", "U-1", "--on", DAY, "--reason", "stayed too wide", "--told", "Pier Café by letter", "--told-on", "2026-11-21"
    )
    test = only_test(shop)
    assert (test["disposition"], test["tell_the_owner"]) == ("condemned on 20 Nov 2026", "condemned")
    assert test["told"] == "Pier Café by letter, 21 Nov 2026"
    shop("print", "sheet", "--on", DAY, "--out", str(tmp_path / "sheet.pdf"))
    text = words_of(tmp_path / "sheet.pdf")
    assert "may not be filled with hazardous material" in text
    assert "CONDEMNED on shoulder, top head or neck" in text
    assert "No test of this day has earned a stamp." in text


def test_another_shell_of_the_same_day_does_not_take_the_failed_one_from_the_sheet(shop):
    register(shop)
    pressure_test(shop, result="fail", found="leak", permanent_expansion="")
    shop("record", "shell-exchanged", "U-1", "--on", DAY, "--serial", "NEW-1", "--manufactured", "2026-01")
    test = only_test(shop)
    assert (test["serial"], test["made"]) == ("SN-U-1", "Apr 2011")


def test_a_correction_moves_a_test_to_its_day(shop):
    register(shop)
    pressure_test(shop)
    record = only_test(shop)["record"]
    shop("record", "corrected", "U-1", "--on", "2026-11-25", "--corrects", record, "--to-done", "2026-11-18")
    assert told(shop)["days"] == []
    assert only_test(shop, "--on", "2026-11-18")["record"] == record


def test_each_day_of_a_span_has_its_own_page(shop, tmp_path):
    for number, on in ((1, "2026-11-18"), (2, "2026-11-20")):
        register(shop, f"U-{number}")
        pressure_test(shop, f"U-{number}", on=on)
    out = tmp_path / "span.pdf"
    shop("print", "sheet", "--from", "2026-11-16", "--to", "2026-11-20", "--out", str(out))
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(out)]
    assert ["SN-U-1" in page for page in pages[:2]] == [True, False]
    assert ["SN-U-2" in page for page in pages[:2]] == [False, True]
    assert "Pressure tests, 16 Nov 2026 to 20 Nov 2026" in " ".join(pages[0].split())


def test_a_test_of_which_the_day_is_not_known_is_on_no_sheet_and_is_named(shop):
    register(shop)
    pressure_test(shop, on="2026-10")
    found = told(shop, "--from", "2026-10-01", "--to", "2026-10-31")
    assert found["days"] == []
    assert found["undated"] == ["U-1: water jacket (volumetric), Oct 2026"]


def test_a_hose_test_stands_apart(shop):
    register(shop)
    shop("record", "hose-test", "U-1", "--on", DAY, "--pressure", "1250 psi", "--result", "pass", "--instrument", "TG-1")
    [day] = told(shop)["days"]
    assert day["tests"] == []
    assert [(each["what"], each["pressure"], each["result"]) for each in day["other_tests"]] == [("hose", "1250 psi", "pass")]


def test_a_day_without_anything_says_so(shop, tmp_path):
    shop("print", "sheet", "--on", DAY, "--out", str(tmp_path / "none.pdf"))
    assert "No pressure test and no check of a test instrument is on record" in words_of(tmp_path / "none.pdf")


def test_a_shop_without_a_number_draws_no_stamp_and_says_why(tmp_path, capsys, shop):
    path = str(tmp_path / "other.pinseal")
    assert run(FixedApp(), ["init", path, "--packs", "us-osha"]) == 0

    def other(*words, code=0):
        capsys.readouterr()
        assert run(FixedApp(), [*words, "--shop", path]) == code
        return capsys.readouterr()

    register(other)
    pressure_test(other)
    assert any("no requalifier's number" in why for why in only_test(other)["why_no_stamp"])
    other("print", "sheet", "--on", DAY, "--out", str(tmp_path / "sheet.pdf"))
    assert "No stamp is drawn: the shop has no requalifier's number" in words_of(tmp_path / "sheet.pdf")


def test_the_table_says_the_same(shop, tmp_path):
    check(shop)
    register(shop)
    pressure_test(shop)
    test = only_test(shop)
    shop("print", "sheet", "--on", DAY, "--out", str(tmp_path / "tests.csv"))
    [row] = csv.DictReader((tmp_path / "tests.csv").read_text(encoding="utf-8").splitlines())
    for head, name in (
        ("serial number", "serial"),
        ("total expansion", "total"),
        ("percent", "percent"),
        ("disposition", "disposition"),
        ("operator", "operator"),
        ("record", "record"),
    ):
        assert row[head] == test[name]
    assert row["stamp"] == test["stamp"]["words"]
    shop("print", "sheet", "--on", DAY, "--out", str(tmp_path / "tests.xlsx"))
    assert (tmp_path / "tests.xlsx").read_bytes().startswith(b"PK")


def test_an_erased_name_is_on_no_sheet(shop, tmp_path):
    register(shop)
    pressure_test(shop, person="Ottoline Marsh")
    shop("people", "erase", "Ottoline Marsh", "--yes")
    assert only_test(shop)["operator"] == "erased person 1"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--on", DAY), "nothing is asked for"),
        (("--on", DAY, "--from", DAY, "--to", DAY, "--json"), "a day and a span are asked for at once"),
        (("--from", DAY, "--json"), "half a span is asked for"),
        (("--from", DAY, "--to", "2026-11-19", "--json"), "this span ends before it begins"),
        (("--on", DAY, "--out", "sheet.doc"), "this kind of file is not made here"),
    ],
)
def test_what_cannot_be_asked_for_is_refused_in_words(shop, words, said):
    told = shop("print", "sheet", *words, code=2)
    assert said in told.out + told.err


@pytest.mark.parametrize(("name", "said"), [("requalifier=Z1", "four letters or figures"), ("requalifier-until=2026", "full day")])
def test_a_number_that_cannot_be_is_refused(shop, name, said):
    assert said in shop("settings", "--firm", name, code=2).err


@pytest.mark.parametrize(
    "name",
    ["Ærøskøbing " * 18, "W" * 200, "消防站", "مستودع النفط", "#strong[x] *b* $y$ \\ @z"],
    ids=["long", "one", "chinese", "arabic", "markup"],
)
def test_names_of_any_kind_stay_on_the_page(shop, tmp_path, name):
    register(shop, serial=name.strip(), site=name.strip())
    pressure_test(shop, visual=name.strip(), result="fail", found=name.strip(), person=name.strip()[:100])
    out = tmp_path / "sheet.pdf"
    shop("print", "sheet", "--on", DAY, "--out", str(out))
    for page in pypdfium2.PdfDocument(out):
        text = page.get_textpage()
        boxes = [text.get_charbox(each) for each in range(text.count_chars())]
        assert max(box[2] for box in boxes) < page.get_width() - 40


def test_the_sheet_is_archivable_and_tagged(shop, tmp_path):
    check(shop)
    register(shop)
    pressure_test(shop)
    out = tmp_path / "sheet.pdf"
    shop("print", "sheet", "--on", DAY, "--out", str(out))
    with pikepdf.open(out) as document:
        assert document.Root.MarkInfo.Marked
        meta = document.Root.Metadata.read_bytes()
    assert b"pdfaid:part" in meta
    assert b"pdfuaid:part" in meta
