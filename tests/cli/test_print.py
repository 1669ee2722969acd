"""`pinseal print`: from a finished sheet to a file, with the refusals on the way."""

from __future__ import annotations

import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from tests.cli.conftest import Command, FixedApp

from pinseal.service.marks import NOT_YET_COUNTED
from pinseal.service.sheet_shapes import OpenedSheet, SheetAsked
from pinseal.sheets.entries import Entry

ANSWERS = Path(__file__).resolve().parents[2] / "docs" / "examples" / "yearly.answers.json"
PLATE = {
    "serial": "NB-0448", "site": "Pier Café", "place": "Kitchen door", "agent": "abc", "expelled-by": "stored-pressure",
    "shell": "mild-steel", "wheeled": "no", "rechargeable": "yes", "hose": "none", "cylinder-specification": "none", "size": "10 lb",
    "gross-weight": "17 lb 8 oz", "gross-weight-low": "17 lb 2 oz", "gross-weight-high": "17 lb 14 oz", "service-pressure": "195 psi",
    "gauge-low": "170 psi", "gauge-high": "220 psi", "manufactured": "2022-05", "last-inspection": "2026-10-26",
    "last-maintenance": "2025-11-03",
}  # fmt: skip


EARLIER = ("--on", "2026-01-05")  # records of one moment have no order


@pytest.fixture
def printed(pinseal: Command, shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A shop with PC-9, whose yearly sheet Ida finished; the working folder is its own."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(ANSWERS, tmp_path)
    firm = [
        "--firm",
        "name=Quay Works (invented)",
        "--firm",
        "address=14 Ropewalk",
        "--firm",
        "phone=555 0142",
        "--firm",
        "registration:us-tx=E-1",
    ]
    for words in (
        ["settings", *firm, "--marks", "*=us", "--web-address", "https://quay.example/"],
        ["instruments", "add", "S-1", "--what", "scale", "--resolution", "0.5 oz", "--uncertainty", "0.5 oz"],
        ["instruments", "check", "S-1", "--result", "good", "--on", "2026-06-01"],
        ["people", "add", "Ida Quill", "--role", "technician"],
        [
            "people",
            "paper",
            "Ida Quill",
            "--paper",
            "licence",
            "--number",
            "L-204",
            "--jurisdiction",
            "Texas",
            "--until",
            "2027-03-31",
            *EARLIER,
        ],
        ["record", "registered", "PC-9", "--on", "2026-11-23", *[f"--{name}={text}" for name, text in PLATE.items()]],
        ["finish", "PC-9", "--from", ANSWERS.name, "--on", "2026-11-24", "--duties", "inspection,maintenance", "--person", "Ida Quill"],
    ):
        ran = pinseal(*words)
        assert ran.code == 0, ran.err
    return tmp_path


def test_a_tag_is_printed_in_the_form_of_the_shop(pinseal: Command, printed: Path) -> None:
    said = pinseal("print", "tag", "PC-9", "--out", "tag.pdf", "--preview", "tag.png", "--json").json
    assert said["files"] == ["tag.pdf", "tag.png"]
    assert (printed / "tag.pdf").read_bytes().startswith(b"%PDF")
    assert (printed / "tag.png").read_bytes().startswith(b"\x89PNG")
    mark = said["marks"][0]
    assert (mark["mark"], mark["form"], mark["on"], mark["years"][0]) == ("tag", "us", "2026-11-24", 2026)
    assert mark["fields"]["person-name"]["text"] == "Ida Quill"


def test_the_form_of_a_site_goes_before_that_of_the_shop(pinseal: Command, printed: Path) -> None:
    assert pinseal("settings", "--marks", "Pier Café=us-tx").code == 0
    said = pinseal("print", "tag", "PC-9", "--owner", "Pier Café, 1 Long Quay", "--out", "t.pdf", "--json").json
    assert said["marks"][0]["form"] == "us-tx"
    assert said["marks"][0]["fields"]["firm-registration"]["text"] == "E-1"


def test_the_owner_is_read_in_the_address_book_unless_typed(pinseal: Command, printed: Path) -> None:
    """28 TAC 34.520(c)(9) asks for owner and address; a form that does not ask takes them where they are known."""

    def owner(*more: str) -> str:
        said = pinseal("print", "tag", "PC-9", "--form", "us-tx", "--out", "t.pdf", "--json", *more).json
        return str(said["marks"][0]["fields"]["owner"]["text"])

    assert pinseal("settings", "--owner-of", "Pier Café=Pier Company; 1 Long Quay", "--owner-of", "Elsewhere=2 Short Quay").code == 0
    assert owner() == "Pier Company, 1 Long Quay"
    assert owner("--owner", "Somebody, 3 Quay") == "Somebody, 3 Quay"
    assert pinseal("settings", "--owner-of", "Pier Café=1 Long Quay").code == 0
    assert owner() == "Pier Café, 1 Long Quay"
    assert pinseal("settings", "--owner-of", "Pier Café=").code == 0
    assert pinseal("print", "tag", "PC-9", "--form", "us-tx", "--out", "no.pdf").code == 2


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["tag", "T-1"], "this unit has no finished job sheet"),
        (["tag", "PC-9", "--form", "us-tx"], "no owner and address"),
        (["tag", "PC-9", "--form", "us-fl"], "of Texas, and does not count here"),
        (["tag", "PC-9", "--form", "us-nv"], "a printing company prints it"),
        (["tag", "PC-9", "--form", "us-zz"], "there is no such form of marks"),
        (["tag", "PC-9", "--stock", "vellum"], "there is no such stock"),
        (["tag", "PC-9", "--stock", "codes-a4"], "it is made for: unit code label"),
        (["tag", "PC-9", "--form", "us-il", "--years", "3"], "1 year (41 Ill. Adm. Code 251.300"),
        (["tag", "PC-9", "--start", "2"], "its cells are numbered 1 to 1"),
        (["tag", "PC-9", "--sheet", "nonsense"], "this unit has no such job sheet"),
        (["tag", "PC-9", "T-1"], "T-1: this unit has no finished job sheet"),
        (["recharge", "PC-9"], "no recharge is on its record"),
        (["collar", "PC-9"], "does not say that the valve was off"),
        (["label", "PC-9", "--kind", "test"], "no passed pressure test is on its record"),
        (["red", "PC-9"], "the unit went back into use"),
        (["codes"], "no unit is meant"),
        (["codes", "--site", "Nowhere"], "no unit is meant"),
    ],
)
def test_what_may_not_be_printed_is_refused_and_writes_nothing(pinseal: Command, printed: Path, words: list[str], why: str) -> None:
    ran = pinseal("print", *words, "--out", "no.pdf")
    assert ran.code == 2
    assert why in ran.err
    assert not (printed / "no.pdf").exists()


@pytest.mark.parametrize(("out", "preview"), [("tag.docx", None), ("tag", None), ("tag.pdf", "tag.jpg")])
def test_a_file_of_another_kind_is_refused(pinseal: Command, printed: Path, out: str, preview: str | None) -> None:
    more = ["--preview", preview] if preview else []
    ran = pinseal("print", "codes", "PC-9", "--out", out, *more)
    assert ran.code == 2
    assert not list(printed.glob("tag*"))


def test_a_licence_that_ran_out_before_the_work_signs_nothing(pinseal: Command, printed: Path) -> None:
    assert pinseal("people", "end", "Ida Quill", "--number", "L-204", "--reason", "given back", "--on", "2026-11-24").code == 0
    ran = pinseal("print", "tag", "PC-9", "--out", "t.pdf")
    assert ran.code == 2
    assert "no such paper of Ida Quill is in date" in ran.err


def test_a_shop_without_a_form_is_asked_to_choose(pinseal: Command, printed: Path) -> None:
    assert pinseal("settings", "--marks", "*=").code == 0
    ran = pinseal("print", "tag", "PC-9", "--out", "t.pdf")
    assert ran.code == 2
    assert "no form of marks is chosen" in ran.err


def test_labels_of_a_site_hold_the_short_address_and_run_over_pages(pinseal: Command, printed: Path) -> None:
    for number in range(3):
        assert pinseal("record", "registered", f"SM-{number}", "--on", "2026-11-23", "--site", "Sawmill").code == 0
    said = pinseal("print", "codes", "--site", "sawmill", "--out", "codes.svg", "--json").json
    assert said["units"] == ["SM-0", "SM-1", "SM-2", "T-1"]
    assert said["files"] == ["codes.svg", "codes-2.svg", "codes-3.svg", "codes-4.svg"]
    assert said["notes"] == []


def test_a_shop_without_an_address_is_told_that_the_camera_code_is_missing(pinseal: Command, shop: Path, tmp_path: Path) -> None:
    said = pinseal("print", "codes", "T-1", "--out", tmp_path / "c.pdf", "--json").json
    assert "no code for a camera" in said["notes"][0]


def test_forms_and_stocks_are_listed_with_their_rules(pinseal: Command) -> None:
    assert "us-tx    Texas: " in pinseal("print", "forms").out
    assert "type of work, punched (34.520(c)(7))" in pinseal("print", "forms", "us-tx").out
    assert pinseal("print", "forms", "us-tx", "--json").json["marks"]["tag"]["owner"]["clause"] == "34.520(c)(9)"
    assert "codes-a4" in pinseal("print", "stocks").out
    assert {each["id"] for each in pinseal("print", "stocks", "--json").json} >= {"tag-card", "code-roll"}
    assert pinseal("print", "stocks", "codes-a4").code == 2


def test_wrong_settings_of_the_firm_are_refused(pinseal: Command, shop: Path) -> None:
    for words, why in (
        (["--firm", "logo=x"], "it says name, address"),
        (["--firm", "phone:us-tx=1"], "may be for one form"),
        (["--firm", "name"], "a change is NAME=TEXT"),
        (["--firm", f"name={'x' * 301}"], "1 to 300 characters"),
        (["--marks", "*=us-zz"], "there is no such form of marks"),
        (["--owner-of", "Pier Café=Pier Company;"], "a site and its owner and address"),
        (["--owner-of", f"Pier Café={'x' * 301}"], "at most 300 characters"),
        (["--web-address", "ftp://quay.example"], "starts with https://"),
    ):
        ran = pinseal("settings", *words)
        assert ran.code == 2
        assert why in ran.err, ran.err


@pytest.fixture
def away(pinseal: Command, printed: Path) -> str:
    """The uid of a second sheet of PC-9: the needle stands low, and it goes to the bench while L-1 stands in."""
    shutil.copy(ANSWERS.with_name("away.answers.json"), printed)
    dated = {"manufactured": "2024-05", "last-inspection": "2026-11-20", "last-maintenance": "2026-11-02"}
    same = ("agent", "expelled-by", "shell", "wheeled", "rechargeable", "hose", "size")
    stand_in = {**{name: PLATE[name] for name in same}, "rating": "4-A:80-B:C", **dated}
    said = [f"--{name}={text}" for name, text in stand_in.items()]
    assert pinseal("record", "registered", "L-1", "--on", "2026-11-23", "--site", "Shop", "--place", "Van", *said).code == 0
    work = ["--duties", "maintenance", "--from", "away.answers.json", "--on", "2026-11-24", "--person", "Ida Quill"]
    ran = pinseal("finish", "PC-9", *work)
    assert ran.code == 0, ran.err
    found = re.search(r"Sheet ([0-9a-f-]{36})", ran.out)
    assert found is not None
    return found[1]


def test_a_unit_that_is_out_of_order_gets_a_red_tag_with_what_is_wrong(pinseal: Command, away: str) -> None:
    said = pinseal("print", "red", "PC-9", "--sheet", away, "--out", "red.pdf", "--json").json
    fields = said["marks"][0]["fields"]
    assert "Pressure below what a full unit shows today" in fields["impairments"]["text"]
    assert fields["owner"]["text"] == "Pier Café"
    assert said["stock"] == "red-card"


def test_a_unit_that_is_out_of_order_gets_no_service_tag(pinseal: Command, away: str) -> None:
    ran = pinseal("print", "tag", "PC-9", "--sheet", away, "--out", "t.pdf")
    assert ran.code == 2
    assert "a service tag waits until it does; a red tag is due" in ran.err
    assert "marks that this sheet earned: red tag" in ran.err


def test_the_red_tag_of_texas_asks_for_the_owners_address(pinseal: Command, away: str) -> None:
    words = ["print", "red", "PC-9", "--sheet", away, "--form", "us-tx", "--out", "red.pdf"]
    assert "no owner and address" in pinseal(*words).err
    assert pinseal(*words, "--owner", "Pier Café, 1 Long Quay").code == 0


# -- before the sheet closes

LEFT = ("service-tag", "back-to-its-place")


def _open_sheet(shop: Path, *, until: str, unit: str = "PC-9") -> OpenedSheet:
    """A second yearly sheet of the unit, answered well up to a step, and left open."""
    app = FixedApp()
    asked = SheetAsked(unit=unit, works=("inspection", "maintenance"), on=date(2026, 11, 24))
    sheet = app.begin_or_resume(shop, asked, person="Ida Quill", writer="bench")
    for step in sheet.work.job.steps:
        if step.id == until:
            break
        if sheet.work.is_wanted(step):
            readings = {"gross-weight": {"gross": "17 lb 9 oz"}, "gauge-reading": {"gauge": "180 psi", "temperature": "41 F"}}.get(
                step.id, {}
            )
            entry = Entry(kind="step", subject=step.id, said={"answer": step.good_answers[0].code}, readings=readings)
            sheet, _ = app.enter(shop, sheet, entry, person="Ida Quill")
    return sheet


def test_a_tag_is_printed_from_a_sheet_that_is_open_but_for_its_marks_and_says_so(pinseal: Command, printed: Path, shop: Path) -> None:
    sheet = _open_sheet(shop, until="service-tag")
    before = len(pinseal("history", "PC-9", "--json").json)
    said = pinseal("print", "tag", "PC-9", "--out", "tag.pdf", "--json").json
    mark = said["marks"][0]
    assert (mark["sheet"], mark["sheet_is_open"], mark["fields"]["person-name"]["text"]) == (sheet.uid, True, "Ida Quill")
    assert said["notes"][0] == NOT_YET_COUNTED
    assert len(pinseal("history", "PC-9", "--json").json) == before  # nothing is written


def test_the_tag_that_is_printed_ahead_says_what_the_closed_sheet_says(pinseal: Command, printed: Path, shop: Path) -> None:
    sheet = _open_sheet(shop, until="service-tag")
    ahead = pinseal("print", "tag", "PC-9", "--out", "a.pdf", "--json").json["marks"][0]
    app = FixedApp()
    for step in LEFT:
        answer = "on" if step == "service-tag" else "back"
        sheet, _ = app.enter(shop, sheet, Entry(kind="step", subject=step, said={"answer": answer}), person="Ida Quill")
    app.close_sheet(shop, sheet, person="Ida Quill", writer="bench")
    after = pinseal("print", "tag", "PC-9", "--sheet", sheet.uid, "--out", "b.pdf", "--json").json["marks"][0]
    changed = {"sheet_is_open", "doubts"}
    assert {k: v for k, v in ahead.items() if k not in changed} == {k: v for k, v in after.items() if k not in changed}
    assert not after["sheet_is_open"]


def test_a_sheet_that_lacks_a_step_prints_nothing_and_names_the_one_that_was_finished(pinseal: Command, printed: Path, shop: Path) -> None:
    _open_sheet(shop, until="gauge-reading")
    ran = pinseal("print", "tag", "PC-9", "--out", "tag.pdf")
    assert ran.code == 2
    assert "the open sheet is not finished for its tag" in ran.err
    assert "not answered: Read gauge and temperature" in ran.err
    finished = re.search(r"--sheet ([0-9a-f-]{36})", ran.err)
    assert finished
    assert pinseal("print", "tag", "PC-9", "--sheet", finished[1], "--out", "tag.pdf").code == 0


def test_an_entry_that_takes_the_gate_back_refuses_the_second_print(pinseal: Command, printed: Path, shop: Path) -> None:
    sheet = _open_sheet(shop, until="service-tag")
    assert pinseal("print", "tag", "PC-9", "--out", "tag.pdf").code == 0
    FixedApp().enter(shop, sheet, Entry(kind="step", subject="pin-in-new-seal", said={"answer": "pin"}), person="Ida Quill")
    ran = pinseal("print", "tag", "PC-9", "--out", "again.pdf")
    assert ran.code == 2
    assert "no-open-stops: open: Pull pin missing" in ran.err
    assert not (printed / "again.pdf").exists()
