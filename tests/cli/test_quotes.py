"""`prices`, `quotes`, `print quote`, `print invoice-figures`, `repair-or-replace` through a real shop. Prices are invented."""

from __future__ import annotations

import csv
import json
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from itertools import count
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from pinseal.app import App
from pinseal.cli.command import run

BOOK = (Path(__file__).parents[2] / "docs" / "examples" / "prices.toml").read_text(encoding="utf-8")
SITE = "Pier Café"
PLATE = {
    "agent": "abc", "expelled-by": "stored-pressure", "shell": "mild-steel", "rechargeable": "yes", "hose": "none", "wheeled": "no",
    "size": "10 lb", "model": "Carnmoss 10",
}  # fmt: skip


TICKS = count()


class FixedApp(App):
    """Its clock goes on by a millisecond with each question, so that what comes later is later."""

    def now(self):
        return datetime(2026, 11, 28, 18, 0, tzinfo=UTC) + timedelta(milliseconds=next(TICKS) % 50_000)


class Shop:
    """A shop with a site of two units: PC-1 due for a pressure test, PC-2 for its yearly maintenance."""

    def __init__(self, folder: Path, capsys) -> None:
        self.folder, self.path, self.capsys = folder, str(folder / "pier.pinseal"), capsys
        assert run(FixedApp(), ["init", self.path, "--packs", "us-osha,us-nfpa10", "--time-zone", "America/Chicago"]) == 0
        self.ask("settings", "--firm", "name=Quay Works", "--units", "us", "--currency", "USD")
        self.unit("PC-1", **{"manufactured": "2014-06-01", "last-maintenance": "2026-10-01", "last-internal-examination": "2021-03-01"})
        self.unit("PC-2", **{"manufactured": "2024-02-01", "last-maintenance": "2025-11-01"})

    def ask(self, *words: str, code: int = 0):
        self.capsys.readouterr()
        got = run(FixedApp(), [*words, "--shop", self.path])
        said = self.capsys.readouterr()
        assert got == code, (words, said)
        return said

    def json(self, *words: str):
        return json.loads(self.ask(*words, "--json").out)

    def record(self, kind: str, unit: str, on: str, **fields: str) -> str:
        words = [word for name, value in fields.items() for word in (f"--{name}", value)]
        return self.json("record", kind, unit, "--on", on, "--person", "Ida Quill", *words)["record"]["uid"]

    def unit(self, name: str, site: str = SITE, **more: str) -> str:
        return self.record("registered", name, "2024-06-24", site=site, place="Kitchen door", **PLATE, **more)

    def prices(self, text: str = BOOK, name: str = "prices.toml", *more: str):
        (self.folder / name).write_text(text, encoding="utf-8")
        return self.ask("prices", "import", str(self.folder / name), *more)


@pytest.fixture
def shop(tmp_path, capsys) -> Shop:
    found = Shop(tmp_path, capsys)
    found.prices()
    return found


def lines(found) -> dict[str, str]:
    return {f"{each['name']} {each['words']}".strip(): str(Decimal(each["amount_minor"]) / 100) for each in found["lines"]}


def text_of(file: Path) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(file))


# PC-1: 34.00 + 26.00 + 10 lb x 3.15 = 31.50; PC-2: 14.50; sum 106.00, above the minimum of 95.00; travel 40.00; 146.00
# tax 6.25 % of 146.00 = 9.125 -> 9.13; total 155.13
def test_a_quote_of_a_site_worked_by_hand(shop: Shop) -> None:
    found = shop.json("print", "quote", SITE)
    assert lines(found) == {
        "PC-1 hydrostatic test, low pressure": "34",
        "PC-1 recharge, over 5 lb, up to 20 lb": "26",
        "PC-1 agent": "31.5",
        "PC-2 maintenance": "14.5",
        "travel": "40",
    }
    assert (found["subtotal_minor"], found["tax_minor"], found["total_minor"], found["whole"]) == (146_00, 9_13, 155_13, True)
    assert "hydrostatic test due" in found["lines"][0]["why"] or "overdue" in found["lines"][0]["why"]
    assert found["state"] == "draft"


def test_prices_hold_from_a_day_and_older_books_for_the_days_before(shop: Shop) -> None:
    shop.prices(BOOK.replace('"14.50"', '"15.50"').replace("2026-01-01", "2026-11-28"), "new.toml")
    shop.prices(BOOK.replace('"14.50"', '"99.50"').replace("2026-01-01", "2027-01-01"), "later.toml")
    assert lines(shop.json("print", "quote", SITE))["PC-2 maintenance"] == "15.5"
    shop.record("maintained", "PC-2", "2026-11-20")
    assert lines(shop.json("print", "invoice-figures", SITE, "--on", "2026-11-20"))["PC-2 maintenance"] == "14.5"
    assert "new prices begin" in shop.ask("print", "invoice-figures", SITE, "--on", "2026-11-20", "--to", "2026-11-28", code=2).err
    assert len(shop.json("prices")["kept"]) == 3


def test_a_csv_of_prices_takes_its_terms_from_the_book_in_force(shop: Shop) -> None:
    shop.prices("id;service;price;agent\nM;maintenance;16,50;\n", "new.csv", "--from", "2026-11-01")
    found = shop.json("print", "quote", SITE)
    assert lines(found)["PC-2 maintenance"] == "16.5"
    assert found["tax_percent"] == "25/4"
    assert [each["words"] for each in found["unpriced"]] == ["hydrostatic test", "recharge", "agent", "travel"]


@pytest.mark.parametrize(
    ("text", "name", "said"),
    [
        ("a,b\n1,2\n", "p.csv", "heads of the columns"),
        ("id,service,price\nM,maintenance,1,2,3\n", "p.csv", "more cells than columns"),
        ("id,service,price\nM,polishing,1\n", "p.csv", "unknown service"),
        ("title = ", "p.toml", "not readable as TOML"),
        ("", "p.toml", "is not said"),
    ],
)
def test_a_file_that_is_no_price_book_is_refused_and_nothing_is_kept(shop: Shop, text: str, name: str, said: str) -> None:
    (shop.folder / name).write_text(text, encoding="utf-8")
    assert said in shop.ask("prices", "import", str(shop.folder / name), code=2).err
    assert len(shop.json("prices")["kept"]) == 1


def test_without_a_price_book_there_is_no_quote(tmp_path, capsys) -> None:
    bare = Shop(tmp_path, capsys)
    assert "no price book is kept" in bare.ask("print", "quote", SITE, code=2).err
    assert "No price book holds" in bare.ask("prices").out


def test_a_site_that_nobody_knows_is_refused_with_names_that_are_near(shop: Shop) -> None:
    assert "Pier Café" in shop.ask("print", "quote", "Pier Cafe", code=2).err


def deficiency(shop: Shop) -> str:
    return shop.record("found-deficient", "PC-2", "2026-11-02", finding="bracket-loose", words="bracket loose", action="repair")


def test_a_deficiency_is_quoted_by_the_book_and_agreed_to_with_the_quote(shop: Shop) -> None:
    found = deficiency(shop)
    made = shop.json("print", "quote", SITE, "--keep", "--valid-until", "2026-12-31")
    assert made["number"] == "26-0001"
    line = next(each for each in made["lines"] if each["record"] == found)
    assert line["amount_minor"] == 27_50
    answered = shop.json("quotes", "answer", "26-0001", "--agreed", "--lines", line["number"], "--by", "Merrin Oakshaw")
    assert answered["state"] == "partly agreed"
    assert answered["agreed_minor"] == 27_50
    assert answered["answers"][0]["by"] == "Merrin Oakshaw"
    assert answered["answers"][0]["at"] == "2026-11-28T12:00:00-06:00"
    history = shop.json("history", "PC-2")["records"]
    assert [each["fields"].get("answered-by") for each in history if each["kind"] == "quote-answered"] == ["Merrin Oakshaw"]
    # Put right: billed at the agreed price, from the record of the mending.
    mended = shop.record("remedied", "PC-2", "2026-11-28", finding="bracket-loose", how="a new bracket", deficiency=found)
    billed = [each for each in shop.json("print", "invoice-figures", SITE, "--on", "2026-11-28")["lines"] if each["record"] == mended]
    assert [(each["amount_minor"], "agreed by Merrin Oakshaw" in each["why"]) for each in billed] == [(27_50, True)]


def test_a_declined_line_is_in_no_later_quote_and_it_is_said_why(shop: Shop) -> None:
    deficiency(shop)
    shop.ask("print", "quote", SITE, "--keep")
    assert shop.json("quotes", "answer", "26-0001", "--declined", "--by", "Merrin Oakshaw", "--reason", "next year")["state"] == "declined"
    again = shop.json("print", "quote", SITE)
    assert "PC-2: bracket loose not quoted, because Merrin Oakshaw declined it on 28 Nov 2026." in again["left_out"]
    assert not any("repair" in each["words"] for each in again["lines"])


def test_a_unit_that_a_finding_condemns_is_quoted_as_a_new_one_and_nothing_else(shop: Shop) -> None:
    shop.record("found-deficient", "PC-1", "2026-11-02", finding="test-failed", words="bulge", action="condemn")
    found = shop.json("print", "quote", SITE)
    assert [each["service"] for each in found["lines"] if each["name"] == "PC-1"] == ["new-unit"]
    assert found["left_out"] == ["PC-1: hydrostatic test not quoted, because another unit takes its place."]


def test_a_kept_quote_stays_as_it_was_told(shop: Shop) -> None:
    before = shop.json("print", "quote", SITE, "--keep")
    shop.prices(BOOK.replace('"14.50"', '"99.00"').replace("2026-01-01", "2026-11-28"), "new.toml")
    shop.record("maintained", "PC-2", "2026-11-28")
    assert shop.json("quotes", "show", "26-0001")["lines"] == before["lines"]
    assert shop.json("print", "quote", SITE, "--keep")["number"] == "26-0002"
    assert shop.ask("verify").out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("quotes", "answer", "26-0001", "--agreed", "--lines", "77", "--by", "M"), "no such line"),
        (("quotes", "answer", "26-0009", "--agreed", "--by", "M"), "no such quote"),
        (("quotes", "answer", "26-0001", "--by", "M"), "one of them"),
        (("print", "quote", SITE, "--valid-until", "2027-01-01"), "say --keep too"),
        (("print", "quote", SITE, "--keep", "--valid-until", "2026-11-01"), "the day cannot be right"),
        (("print", "quote"), "no site is named"),
        (("print", "quote", SITE, "--csv", "x.txt"), "ends in .csv"),
        (("print", "invoice-figures", SITE, "--on", "2026-11-20", "--to", "2026-11-01"), "no days of a visit"),
        (("repair-or-replace", "PC-1", "--years", "41"), "1 to 40 years"),
    ],
)
def test_what_is_not_right_is_refused_in_words(shop: Shop, words: tuple[str, ...], said: str) -> None:
    shop.ask("print", "quote", SITE, "--keep")
    assert said in shop.ask(*words, code=2).err


def test_an_invoice_holds_what_was_done_with_the_agent_that_was_used(shop: Shop) -> None:
    on = "2026-11-20"
    shop.record("opened", "PC-1", on)
    shop.record("tested", "PC-1", on, method="proof-pressure", result="pass")
    shop.record("recharged", "PC-1", on, opened="yes", agent="abc", mass="9 lb 8 oz")
    shop.record("part-fitted", "PC-1", on, part="hose", count="2")
    shop.record("part-fitted", "PC-1", on, part="gauge")
    found = shop.json("print", "invoice-figures", SITE, "--on", on)
    assert lines(found) == {
        "PC-1 internal examination": "0",
        "PC-1 hydrostatic test, low pressure": "34",
        "PC-1 recharge, over 5 lb, up to 20 lb": "26",
        "PC-1 agent": "29.93",
        "PC-1 part: hose": "42",
        "travel": "40",
    }
    assert [each["words"] for each in found["unpriced"]] == ["part: gauge"]
    assert all(each["record"] for each in found["lines"] if each["name"])


def test_agent_that_went_back_into_its_unit_is_not_billed(shop: Shop) -> None:
    on = "2026-11-20"
    shop.record("agent-taken-out", "PC-1", on, agent="abc", mass="9.5 lb", **{"went-to": "returned-to-unit"})
    shop.record("recharged", "PC-1", on, agent="abc", mass="10 lb")
    [agent] = [each for each in shop.json("print", "invoice-figures", SITE, "--on", on)["lines"] if each["service"] == "agent"]
    assert (agent["amount_minor"], agent["quantity"]) == (1_58, "10 lb filled in, 9.5 lb of it put back: 0.5 lb")


def test_a_filling_that_renewed_the_agent_is_billed_once(shop: Shop) -> None:
    on = "2026-11-20"
    shop.record("recharged", "PC-1", on, agent="abc")
    shop.record("agent-renewed", "PC-1", on, agent="abc", mass="10 lb")
    found = shop.json("print", "invoice-figures", SITE, "--on", on)
    assert [each["amount_minor"] for each in found["lines"] if each["service"] == "agent"] == [31_50]
    assert "agent" not in [each["words"] for each in found["unpriced"]]


def test_what_a_correction_voids_or_moves_is_billed_as_it_counts(shop: Shop) -> None:
    wrong = shop.record("maintained", "PC-2", "2026-11-20")
    moved = shop.record("maintained", "PC-1", "2026-11-20")
    shop.record("corrected", "PC-2", "2026-11-21", corrects=wrong, void="yes")
    shop.record("corrected", "PC-1", "2026-11-21", corrects=moved, **{"to-done": "2026-11-19"})
    assert shop.json("print", "invoice-figures", SITE, "--on", "2026-11-20")["lines"] == []
    assert "PC-1 maintenance" in lines(shop.json("print", "invoice-figures", SITE, "--on", "2026-11-19"))


def test_a_day_that_is_not_known_and_a_stranger_s_work_are_named_and_not_billed(shop: Shop) -> None:
    shop.ask("people", "add", "Ida Quill", "--role", "technician")
    shop.ask("record", "maintained", "PC-1", "--on", "2026-11-20", "--person", "Site Porter")
    shop.record("maintained", "PC-2", "2026-11")
    found = shop.json("print", "invoice-figures", SITE, "--on", "2026-11-20")
    assert found["lines"] == []
    assert found["left_out"] == [
        "PC-1: maintenance not billed, because Site Porter is not in the shop's register of people.",
        "PC-2: maintenance not billed, because its day is only known as Nov 2026.",
    ]


def test_two_records_of_one_work_are_billed_once(shop: Shop) -> None:
    shop.record("maintained", "PC-2", "2026-11-20")
    shop.record("maintained", "PC-2", "2026-11-20")
    found = shop.json("print", "invoice-figures", SITE, "--on", "2026-11-20")
    assert [each["words"] for each in found["lines"]] == ["maintenance", "travel", "to the minimum of a visit"]
    assert "twice for one day" in found["left_out"][0]


def test_a_unit_is_billed_where_it_hung_on_that_day(shop: Shop) -> None:
    shop.record("maintained", "PC-2", "2026-11-20")
    shop.record("moved", "PC-2", "2026-11-25", site="Ice Works", place="door")
    assert "PC-2 maintenance" in lines(shop.json("print", "invoice-figures", SITE, "--on", "2026-11-20"))
    assert shop.json("print", "invoice-figures", "Ice Works", "--on", "2026-11-20")["lines"] == []


def test_the_csv_for_the_accounts_adds_up_to_the_paper(shop: Shop) -> None:
    file = shop.folder / "accounts.csv"
    found = shop.json("print", "quote", SITE, "--csv", str(file))
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert sum(Decimal(row["amount"]) for row in rows) == Decimal(found["total_minor"]) / 100
    assert [row["line"] for row in rows] == ["1", "2", "3", "4", "5", "tax"]
    assert rows[0]["source"] == "price H-LOW"
    assert "there is a file of this name" in shop.ask("print", "quote", SITE, "--csv", str(file), code=2).err


def test_the_papers_say_what_they_rest_on(shop: Shop) -> None:
    out = shop.folder / "quote.pdf"
    shop.ask("settings", "--owner-of", f"{SITE}=Pier Company; 1 Long Quay")
    shop.ask("print", "quote", SITE, "--keep", "--valid-until", "2026-12-31", "--out", str(out))
    text = text_of(out)
    for words in ("Quote for Pier Café", "quote 26-0001", "holds until 31 Dec 2026", "155.13 USD", "sales tax, 6.25 %", "Quay Works",
                  "Kitchen door", "price H-LOW", "Example prices (invented)", "Licensed practice", "Agreed for the owner",
                  "For Pier Company, 1 Long Quay"):  # fmt: skip
        assert words in text
    shop.ask("quotes", "answer", "26-0001", "--agreed", "--by", "Merrin Oakshaw")
    shop.ask("print", "quote", "--quote", "26-0001", "--out", str(out))
    assert "Merrin Oakshaw agreed (all lines) on 28 Nov 2026 at 12:00" in text_of(out)
    assert "come to 146.00 USD, before sales tax" in text_of(out)
    with pikepdf.open(out) as pdf, pdf.open_metadata() as about:
        assert about["pdfaid:part"] == "2"
        assert "/StructTreeRoot" in pdf.Root


def test_figures_of_an_empty_day_say_so(shop: Shop) -> None:
    out = shop.folder / "figures.pdf"
    shop.ask("print", "invoice-figures", SITE, "--on", "2026-11-20", "--out", str(out))
    assert "There is nothing to bill." in text_of(out)
    assert "no invoice" in text_of(out)


@pytest.mark.parametrize(
    "name", ["消防站", "مستودع النفط", "#strong[x] *b* $y$ \\ @z", "Ærøskøbing " * 18], ids=["zh", "ar", "markup", "long"]
)
def test_names_in_any_script_stay_on_the_page(shop: Shop, name: str) -> None:
    shop.unit("=1+1", name.strip(), **{"manufactured": "2024-02-01", "last-maintenance": "2025-11-01"})
    out = shop.folder / "quote.pdf"
    shop.ask("print", "quote", name.strip(), "--out", str(out), "--csv", str(shop.folder / "a.csv"))
    page = pypdfium2.PdfDocument(out)[0]
    text = page.get_textpage()
    assert max(text.get_charbox(each)[2] for each in range(text.count_chars())) < page.get_width() - 40
    assert "'=1+1" in (shop.folder / "a.csv").read_text(encoding="utf-8")


def test_repair_or_replace_counts_the_duties_to_come_by_the_clocks(shop: Shop) -> None:
    found = shop.json("repair-or-replace", "PC-1", "--years", "12")
    jobs = shop.ask("forecast", shop.path, "--unit", "PC-1", "--years", "12").out
    kept = [each["service"] for each in found["keep"]["costs"]]
    assert kept.count("maintenance") == jobs.count("maintenance")
    assert kept.count("hydrostatic-test") == jobs.count("hydrostatic test") > 0
    assert sum(each["amount_minor"] for each in found["keep"]["costs"]) == found["keep"]["total_minor"]
    assert found["replace"]["costs"][0]["service"] == "new-unit"
    assert found["answer"] in ("keep", "replace", "too close")
    assert any("without interest" in each for each in found["assumptions"])


def test_a_condemned_unit_is_replaced_whatever_it_costs(shop: Shop) -> None:
    shop.record("condemned", "PC-1", "2026-11-20", reason="dent in the shell")
    found = shop.json("repair-or-replace", "PC-1")
    assert (found["answer"], found["because"][0]) == ("replace", "the shell is condemned: dent in the shell")


def test_an_unpriced_duty_leaves_the_answer_open_and_says_which(shop: Shop) -> None:
    shop.unit("PC-3", **{"manufactured": "2024-02-01", "last-maintenance": "2026-10-01"})
    shop.prices("id,service,price\nM,maintenance,14.50\nN,new-unit,20\n", "bare.csv", "--from", "2026-11-28")
    found = shop.json("repair-or-replace", "PC-3")
    assert found["answer"] == "unknown"
    assert any("hydrostatic test" in each for each in found["because"])
    assert not found["keep"]["whole"]
