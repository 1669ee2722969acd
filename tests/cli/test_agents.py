"""`agents`, `print certificate` and `print return` through a real shop."""

import csv
import json
from datetime import UTC, datetime

import openpyxl
import pikepdf
import pypdfium2
import pytest

from pinseal.app import App
from pinseal.cli.command import run

AGENT = "halocarbon-hfc-236fa"
LB = 0.45359237


class FixedApp(App):
    def now(self):
        return datetime(2026, 11, 28, 18, 0, tzinfo=UTC)


@pytest.fixture
def shop(tmp_path, capsys):
    path = str(tmp_path / "quay.pinseal")

    def ask(*words, code=0):
        assert run(FixedApp(), [*words, "--shop", path]) == code, capsys.readouterr()
        return capsys.readouterr()

    assert run(FixedApp(), ["init", path, "--packs", "us-osha", "--time-zone", "America/Chicago"]) == 0
    ask("settings", "--firm", "name=Quay Works", "--units", "us")
    ask("instruments", "add", "S-1", "--what", "scale", "--resolution", "0.1 lb")
    for number in (1, 2, 3):
        ask("record", "registered", f"H-{number}", "--on", "2025-12-01", "--agent", AGENT, "--size", "9 lb")
    return ask


def store(shop, *, before="50 lb"):
    """A drum that was there before the year, one bought recycled, one for what is recovered."""
    if before:
        shop("agents", "add", "D-1", "--agent", AGENT, "--mass", before, "--origin", "virgin", "--lot", "H-88", "--on", "2025-12-01")
    words = ("--origin", "recycled", "--lot", "H-90", "--came-from", "Bay Supply", "--on", "2026-02-01")
    shop("agents", "add", "D-2", "--agent", AGENT, "--mass", "30 lb", *words)
    shop("agents", "recover", "R-4", "--agent", AGENT, "--lot", "R-4", "--came-from", "Pier Café", "--on", "2026-02-01")


def charge(shop, unit, mass, *, on, drum="D-2", **more):
    words = [word for name, value in more.items() for word in (f"--{name}", value)]
    shop("record", "recharged", unit, "--on", on, "--agent", AGENT, "--mass", mass, "--container", drum, *words)


def empty(shop, unit, mass, *, on, drum="R-4", way="recovered"):
    shop("record", "agent-taken-out", unit, "--on", on, "--agent", AGENT, "--mass", mass, "--container", drum, "--went-to", way)


def weigh(shop, batch, mass, on="2026-11-20"):
    shop("agents", "weigh", batch, "--mass", mass, "--on", on)


def a_year(shop):
    """H-1 is emptied and filled again from the recycled drum; everything is weighed, and D-2 lacks a little."""
    store(shop)
    empty(shop, "H-1", "8.9 lb", on="2026-03-01")
    charge(shop, "H-1", "9 lb", on="2026-03-02")
    charge(shop, "H-2", "9 lb", on="2026-04-02", fill="first")
    weigh(shop, "D-1", "50 lb")
    weigh(shop, "D-2", "11.9 lb")
    weigh(shop, "R-4", "8.9 lb")


def figures(shop, tmp_path, *more, year="2026"):
    said = json.loads(shop("print", "return", "--year", year, "--out", str(tmp_path / "r.pdf"), "--json", *more).out)
    return said, {code: None if kg is None else round(kg / LB, 3) for code, kg in said["agents"][0]["lines"].items()}


def words_of(path):
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(path)).split())


def test_a_year_that_closes_within_the_scale(shop, tmp_path):
    a_year(shop)
    said, lines = figures(shop, tmp_path)
    [agent] = said["agents"]
    assert lines == {
        "start": 50, "bought-virgin": 0, "bought-recycled": 30, "bought-unknown": 0, "recovered": 8.9, "recovered-elsewhere": 0,
        "charged-first": 9, "charged-service": 9, "charged-unsaid": 0, "sent-recycling": 0, "sent-destruction": 0, "sent-supplier": 0,
        "sent-sold": 0, "left": 70.8, "lost": 0.1, "discarded": 0,
    }  # fmt: skip
    assert (agent["verdict"], agent["misfits"], said["due"], said["scale"]["id"]) == ("pass", [], "2027-02-14", "S-1")
    text = words_of(tmp_path / "r.pdf")
    for words in (
        "Halogenated agents in 2026",
        "return due 14 Feb 2027",
        "not the return itself",
        "Quay Works",
        "read in a second-hand summary",
        "The year is not over: figures up to 28 Nov 2026.",
        "0.10 lb",
        "closes",
        "Licensed practice",
    ):
        assert words in text, words


def test_the_stock_of_the_next_year_begins_with_what_was_left(shop, tmp_path):
    shop("agents", "add", "D-1", "--agent", AGENT, "--mass", "50 lb", "--origin", "virgin", "--on", "2024-12-01")
    charge(shop, "H-1", "9 lb", on="2025-12-31", drum="D-1")
    charge(shop, "H-2", "1 lb", on="2026-01-01", drum="D-1")
    assert figures(shop, tmp_path, year="2025")[1]["left"] == 41
    assert figures(shop, tmp_path)[1]["start"] == 41


def test_a_stock_that_nobody_wrote_down_is_unknown_and_not_zero(shop, tmp_path):
    store(shop, before="")
    weigh(shop, "D-2", "30 lb")
    said, lines = figures(shop, tmp_path)
    assert (lines["start"], lines["lost"], said["agents"][0]["verdict"]) == (None, None, "unknown")
    assert "no stock is on record before the year begins" in said["agents"][0]["because"][0]


def test_a_store_that_is_said_to_be_empty_is_zero(shop, tmp_path):
    store(shop, before="0 lb")
    weigh(shop, "D-2", "30 lb")
    weigh(shop, "D-1", "0 lb")
    said, lines = figures(shop, tmp_path)
    assert (lines["start"], lines["left"], said["agents"][0]["verdict"]) == (0, 30, "pass")


def test_what_does_not_close_points_at_the_entry(shop, tmp_path):
    store(shop)
    charge(shop, "H-3", "9 kg", on="2026-04-03")  # it was 9 lb
    charge(shop, "H-2", "9 lb", on="2026-05-03", drum="nobody knows")
    weigh(shop, "D-2", "21 lb")
    said, _ = figures(shop, tmp_path)
    [agent] = said["agents"]
    assert agent["verdict"] == "fail"
    hints = [each["words"] for each in agent["misfits"]]
    assert "read in lb and written in kg" in hints[0]
    assert "no batch on record has this container or lot" in hints[1]
    assert "this weighing does not fit" in hints[2]
    text = words_of(tmp_path / "r.pdf")
    assert "H-3 · D-2" in text
    assert "too much" in text


def test_a_drum_that_nobody_weighed_cannot_show_a_loss(shop, tmp_path):
    store(shop)
    charge(shop, "H-1", "9 lb", on="2026-03-02")
    said, _ = figures(shop, tmp_path)
    assert said["agents"][0]["verdict"] == "unknown"
    assert "nobody weighed what is left of D-2 after" in " ".join(said["agents"][0]["because"])


def test_an_entry_without_a_mass_is_named(shop, tmp_path):
    a_year(shop)
    shop("record", "recharged", "H-3", "--on", "2026-05-01", "--agent", AGENT, "--container", "D-1")
    said, lines = figures(shop, tmp_path)
    assert said["agents"][0]["verdict"] == "unknown"
    assert [each["words"] for each in said["agents"][0]["misfits"]] == ["it has no mass that can be read"]
    assert (lines["charged-service"], lines["charged-unsaid"], lines["lost"]) == (18 - 9, None, None)


def test_virgin_agent_for_service_and_agent_thrown_away_stand_against_a_rule(shop, tmp_path):
    a_year(shop)
    empty(shop, "H-2", "2 lb", on="2026-05-01", way="discarded")
    charge(shop, "H-2", "9 lb", on="2026-05-02", drum="D-1")
    weigh(shop, "D-1", "41 lb", on="2026-11-21")
    said, lines = figures(shop, tmp_path)
    assert {each["rule"]: each["source"]["checked"] for each in said["agents"][0]["stands_against"]} == {
        "recycled-for-service": "second-hand",
        "recover": "second-hand",
    }
    assert (lines["discarded"], said["agents"][0]["verdict"]) == (2, "pass")


def test_no_rule_is_told_before_it_holds(shop, tmp_path):
    shop("agents", "add", "D-1", "--agent", AGENT, "--mass", "50 lb", "--origin", "virgin", "--on", "2024-12-01")
    charge(shop, "H-1", "9 lb", on="2025-12-31", drum="D-1", fill="service")
    said, _ = figures(shop, tmp_path, year="2025")
    assert (said["agents"][0]["stands_against"], said["due"]) == ([], None)


def test_what_is_sent_away_is_told_by_its_way(shop, tmp_path):
    store(shop)
    for way, mass in (("recycling", "1 lb"), ("destruction", "2 lb"), ("supplier", "3 lb"), ("sold", "4 lb")):
        shop("agents", "send", "D-1", "--mass", mass, "--for", way, "--to", "somebody", "--on", "2026-06-01")
    empty(shop, "H-1", "5 lb", on="2026-06-02", way="sent-for-recovery")
    weigh(shop, "D-1", "40 lb")
    said, lines = figures(shop, tmp_path)
    assert [lines[f"sent-{way}"] for way in ("recycling", "destruction", "supplier", "sold")] == [6, 2, 3, 4]
    assert (lines["recovered"], said["agents"][0]["verdict"]) == (5, "pass")


def test_the_table_says_the_same(shop, tmp_path):
    a_year(shop)
    _, lines = figures(shop, tmp_path, "--table", str(tmp_path / "r.csv"))
    rows = list(csv.reader((tmp_path / "r.csv").read_text(encoding="utf-8").splitlines()))
    assert rows[0] == ["Agent", "Line", "Mass, lb", "Mass, kg", "State", "Why"]
    assert [float(row[2]) for row in rows[1:17]] == list(lines.values())
    figures(shop, tmp_path, "--table", str(tmp_path / "r.xlsx"))
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx").active
    assert sheet["C2"].value == 50


def test_a_shop_without_such_agents_gets_a_paper_that_says_so(shop, tmp_path):
    said = json.loads(shop("print", "return", "--year", "2026", "--out", str(tmp_path / "r.pdf"), "--json").out)
    assert said["agents"] == []
    assert "No halogenated agent is on record in this year." in words_of(tmp_path / "r.pdf")


def certify(shop, *, mass="8.9 lb", purity=True, batch="R-4", **more):
    if purity:
        words = ("--laboratory", "Bay Lab", "--certificate", "L-5", "--on", "2026-11-21")
        shop("agents", "test", batch, "--purity", "99.6", "--method", "gas chromatography", *words)
    shop("agents", "certify", batch, "--certificate", "C-12", "--recycler", "Quay Works", "--mass", mass, "--on", "2026-11-22")


def test_the_certificate_says_every_field(shop, tmp_path):
    a_year(shop)
    certify(shop)
    out = tmp_path / "c.pdf"
    said = json.loads(shop("print", "certificate", "R-4", "--out", str(out), "--json").out)
    assert said["batch"]["certificates"][0]["number"] == "C-12"
    text = words_of(out)
    for words in (
        "HFC-236fa", "99.6 %", "gas chromatography", "R-4", "8.9 lb (4.04 kg)", "Pier Café", "22 Nov 2026", "Quay Works", "signature",
        "common practice, no source", "read in a second-hand summary",
    ):  # fmt: skip
        assert words in text, words
    with pikepdf.open(out) as pdf:
        assert pdf.Root.MarkInfo.Marked


@pytest.mark.parametrize(
    ("purity", "mass", "said"),
    [
        (False, "8.9 lb", "a purity test that it passed"),
        (True, "12 lb", "a paper speaks of no more agent than there is"),
    ],
)
def test_what_is_not_so_is_not_certified(shop, tmp_path, purity, mass, said):
    a_year(shop)
    certify(shop, purity=purity, mass=mass)
    assert said in shop("print", "certificate", "R-4", "--out", str(tmp_path / "c.pdf"), code=2).err
    assert not (tmp_path / "c.pdf").exists()


def test_a_batch_whose_last_test_failed_is_not_certified(shop, tmp_path):
    a_year(shop)
    certify(shop)
    shop("agents", "test", "R-4", "--purity", "90", "--method", "gas chromatography", "--result", "fail", "--on", "2026-11-23")
    assert "its last purity test failed" in shop("print", "certificate", "R-4", "--out", str(tmp_path / "c.pdf"), code=2).err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("agents", "add", "D-2", "--agent", AGENT, "--mass", "1 lb", "--origin", "virgin"), "this name is taken"),
        (("agents", "weigh", "Z-9", "--mass", "1 lb"), "there is no such batch of agent"),
        (("agents", "test", "D-2", "--purity", "120", "--method", "x"), "this is no purity"),
        (("agents", "send", "D-2", "--mass", "1 lb", "--for", "the sea"), "sent-for is one of"),
        (("agents", "weigh", "D-2", "--mass", "1 lb", "--on", "2027-01-01"), "this day is still to come"),
        (("print", "return", "--year", "2027", "--out", "x.pdf"), "there are no figures of this year"),
        (("print", "return", "--year", "2026", "--out", "x.pdf", "--table", "x.doc"), "a table ends in .xlsx or .csv"),
        (("print", "certificate", "Z-9", "--out", "x.pdf"), "there is no such batch of agent"),
    ],
)
def test_what_is_not_right_is_refused_in_words(shop, words, said):
    store(shop)
    assert said in shop(*words, code=2).err


def test_a_batch_that_is_used_up_takes_nothing_more(shop):
    store(shop)
    shop("agents", "end", "D-2", "--on", "2026-05-01")
    assert "this batch is used up" in shop("agents", "weigh", "D-2", "--mass", "1 lb", "--on", "2026-05-02", code=2).err


def test_the_list_says_what_should_be_there_and_what_the_scale_said(shop):
    a_year(shop)
    said = shop("agents").out
    assert "D-2: HFC-236fa, bought recycled, lot H-90, 11.90 lb should be there" in said
    assert "weighed 20 Nov 2026: 11.90 lb, closes: 0.10 lb short" in said


@pytest.mark.parametrize("name", ["Ærøskøbing " * 18, "消防站", "مستودع النفط", "#strong[x] *b* $y$ \\ @z", "x" * 120])
def test_names_of_any_kind_stay_on_the_page(shop, tmp_path, name):
    store(shop)
    shop("agents", "recover", name.strip()[:190], "--agent", AGENT, "--lot", name.strip(), "--came-from", name.strip(), "--mass", "9 lb")
    shop("agents", "test", name.strip()[:190], "--purity", "99", "--method", name.strip())
    shop("agents", "certify", name.strip()[:190], "--certificate", "C", "--recycler", name.strip(), "--mass", "9 lb")
    shop("print", "certificate", name.strip()[:190], "--out", str(tmp_path / "c.pdf"))
    for page in pypdfium2.PdfDocument(tmp_path / "c.pdf"):
        text = page.get_textpage()
        assert max(text.get_charbox(each)[2] for each in range(text.count_chars())) < page.get_width() - 40


@pytest.mark.parametrize("name", ["消防站" * 40, "x" * 190])
def test_what_does_not_fit_stays_on_the_page_whatever_it_is_called(shop, tmp_path, name):
    shop("agents", "add", name, "--agent", AGENT, "--mass", "50 lb", "--origin", "virgin", "--on", "2025-12-01")
    shop("agents", "weigh", name, "--mass", "10 lb", "--on", "2026-11-20")
    charge(shop, "H-1", "9 lb", on="2026-04-02", drum="nobody knows")
    figures(shop, tmp_path)
    for page in pypdfium2.PdfDocument(tmp_path / "r.pdf"):
        text = page.get_textpage()
        assert max(text.get_charbox(each)[2] for each in range(text.count_chars())) < page.get_width() - 40


@pytest.mark.parametrize(
    ("kind", "said"), [("batch-weighed", "`pinseal agents`"), ("bottle-read", "Bench, supply bottles"), ("paper-held", "`pinseal people`")]
)
def test_a_record_about_something_else_says_by_what_it_is_written(shop, kind, said):
    assert said in shop("record", kind, "H-1", code=2).err
