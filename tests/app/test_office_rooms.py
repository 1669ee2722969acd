"""The office pages over a real shop: a sheet worked on pages ends as records, and no page asks more of the store for more rows."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
import sqlalchemy as sa
from starlette.testclient import TestClient
from tests.cli.conftest import NOW, Command, FixedApp

from pinseal.app import memory
from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ALONE, ShopPeople
from pinseal.dates import parse_date
from pinseal.records.record import Draft, uuid7
from pinseal.service.registry import Signed
from pinseal.service.sheet_shapes import SheetAsked
from pinseal.sheets.entries import Entry, read_entry
from pinseal.store import Shop
from pinseal.web.people_doors import Wanted
from pinseal.web.site import build_site

PLATE = (
    "--agent=abc", "--expelled-by=stored-pressure", "--shell=mild-steel", "--rechargeable=yes", "--hose=none", "--wheeled=no",
    "--size=10 lb", "--gross-weight=17 lb", "--gross-weight-low=16.5 lb", "--gross-weight-high=17.5 lb", "--service-pressure=195 psi",
    "--gauge-low=175 psi", "--gauge-high=215 psi", "--charging-gas=nitrogen", "--water-capacity=16 lb", "--manufactured=2021-06",
)  # fmt: skip
BOTTLE = {"gas": "nitrogen", "water-capacity": "50 L"}
OURS = {"sec-fetch-site": "same-origin"}


def rooms_of(shop: Path) -> ShopRooms:
    return ShopRooms(FixedApp(), shop)


def client_of(shop: Path, office: ShopRooms | None = None) -> TestClient:
    rooms = office or rooms_of(shop)
    site = build_site(rooms, people=ShopPeople(rooms.app, shop, alone=ALONE))
    return TestClient(site, base_url="http://127.0.0.1:8000", client=("127.0.0.1", 50_000), headers=OURS)


@contextmanager
def counted() -> Iterator[list[str]]:
    """Every statement that goes to a store while the block runs."""
    said: list[str] = []

    def hear(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        said.append(statement)

    sa.event.listen(sa.Engine, "before_cursor_execute", hear)
    try:
        yield said
    finally:
        sa.event.remove(sa.Engine, "before_cursor_execute", hear)


def fill(shop: Path, numbers: range) -> None:
    """Units, each with a deficiency, a reading on a bad gauge, a recharge, and a way to the bench."""
    said = (
        ("registered", "2026-01-05", {"site": "Mill", **dict(part.removeprefix("--").split("=") for part in PLATE)}),
        ("found-deficient", "2026-10-05", {"finding": "bracket-loose", "words": "loose"}),
        ("recharged", "2026-02-05", {"opened": "yes", "agent": "abc", "mass": "10 lb", "lot": "L-7"}),
        ("tested", "2026-06-05", {"result": "pass", "instrument": "TG-1"}),
        ("taken-away", "2026-11-05", {"taken-to": "bench", "back-by": "2026-12-01"}),
    )
    drafts = [
        Draft(
            kind=kind, unit=unit_uid(number), person="Ida Quill", done=parse_date(done),
            fields=fields | ({"id": f"U-{number}", "place": f"Floor {number}"} if kind == "registered" else {}),
        )
        for number in numbers for kind, done, fields in said
    ]  # fmt: skip
    with Shop.open(shop) as opened:
        opened.write(drafts, writer="office", received=NOW)


def unit_uid(number: int) -> str:
    return uuid7(at=NOW, randomness=number.to_bytes(8, "big"), sequence=number)


def work(client: TestClient, unit: str, *, finish: bool) -> None:
    here = client.post(f"/units/{unit}/sheet", data={"work": ["inspection"]}).url.path
    for _ in range(9):
        page = client.get(here).text
        said = {name: re.search(rf'name="{name}" value="([^"]*)"', page)[1] for name in ("expect", "shown")}
        if group := re.search(r'name="group" value="([^"]+)"', page):
            sent = {"act": "confirm", "group": group[1]}
        elif step := re.search(r'name="act" value="step".*?name="step" value="([^"]+)"', page, re.DOTALL):
            sent = {"act": "step", "step": step[1], "answer": re.search(r'name="answer" value="([^"]+)" class="good"', page)[1]}
        else:
            sent = {"act": "finish"}
        if sent["act"] == "finish" and not finish:
            return
        answer = client.post(here, data=said | sent)
        assert answer.status_code == 200, answer.text
        if sent["act"] == "finish":
            return


def uids(office: ShopRooms) -> dict[str, str]:
    return {state.id or "": state.uid or "" for state in office.due_list(office.about().today).states}


def test_a_sheet_worked_on_pages_ends_as_records_in_the_chain(shop: Path, pinseal: Command) -> None:
    office = rooms_of(shop)
    client = client_of(shop, office)
    uid = uids(office)["T-1"]
    work(client, uid, finish=True)
    line = office.books().sheets[0]
    assert (line.outcome, line.is_open) == ("tag", False)
    assert {"inspected", "worked"} <= {record.kind for record in office.history(uid)}
    assert "inspected" in client.get(f"/sheets/{line.uid}").text
    assert pinseal("verify").code == 0


def test_a_quick_confirmation_is_checked_once_and_leaves_the_list(shop: Path) -> None:
    office = rooms_of(shop)
    client = client_of(shop, office)
    work(client, uids(office)["T-1"], finish=True)
    line = office.books().sheets[0]
    assert line.quick and not line.checked
    assert client.post(f"/sheets/{line.uid}/sample", data={"group": line.quick[0], "agrees": "yes"}).status_code == 200
    assert office.books().sheets[0].checked
    assert "To look at as a sample" not in client.get("/").text


def test_what_is_recorded_is_seen_at_once_by_search_and_books(shop: Path) -> None:
    client = client_of(shop)
    assert "No unit fits." in client.get("/search?q=U-9").text
    fill(shop, range(9, 10))
    assert "Floor 9" in client.get("/search?q=u9").text
    assert "loose" in client.get("/deficiencies").text.lower()


def test_a_tag_and_a_former_number_find_their_unit(shop: Path, pinseal: Command) -> None:
    assert pinseal("record", "retagged", "T-1", "--on", "2026-03-05", "--tag=99-881", "--id=T-77").code == 0
    client = client_of(shop)
    for text in ("99-881", "T-77", "T-1"):
        assert "T-77" in client.get("/search", params={"q": text}).text, text


def test_settings_change_for_good(shop: Path) -> None:
    client = client_of(shop)
    said = {"packs": ["us-osha"], "units": "metric", "maintenance_basis": "tag-month", "time_zone": "Europe/London", "date_order": "DMY"}
    assert client.post("/settings/change", data=said).status_code == 200
    assert rooms_of(shop).settings()["units"] == "metric"
    wrong = client.post("/settings/change", data=said | {"packs": ["no-such-pack"]})
    assert wrong.status_code == 400
    assert rooms_of(shop).settings()["packs"] == ["us-osha"]


def test_no_page_asks_the_store_more_often_for_more_rows(shop: Path, pinseal: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    """One row of everything first, then thirty: every page asks the same number of questions, with nothing remembered."""
    # A file that was written a moment ago is looked at twice; here the moment is over at once, so that the count hangs on no clock.
    monkeypatch.setattr(memory, "_SETTLED_S", 0.0)
    app, entries = FixedApp(), good_entries(shop, pinseal)
    first = _more(app, shop, range(1), entries)
    second = _more(app, shop, range(1, 30), entries)
    assert first.keys() == second.keys()
    assert {path: (first[path], second[path]) for path in first if first[path] != second[path]} == {}
    assert {path: count for path, count in second.items() if count >= 60} == {}


def good_entries(shop: Path, pinseal: Command) -> list[Entry]:
    """What was entered into the sheet of a unit without a fault, in under a second; and a gauge that was found bad."""
    assert pinseal("instruments", "add", "TG-1", "--what", "test-gauge", "--on", "2026-01-02").code == 0
    assert pinseal("instruments", "check", "TG-1", "--result", "bad", "--on", "2026-09-02").code == 0
    fill(shop, range(99, 100))
    office = rooms_of(shop)
    work(client_of(shop, office), unit_uid(99), finish=True)
    (line,) = office.books().sheets
    with Shop.open(shop, readonly=True) as opened:
        kept = opened.sheet(line.uid)
    return [read_entry(each.entry) for each in kept.entries if "closed" not in each.entry]


def _more(app: FixedApp, shop: Path, numbers: range, entries: Sequence[Entry]) -> dict[str, int]:
    """More rows of everything; then how many statements each page takes."""
    fill(shop, numbers)
    for number in numbers:
        unit, signed = unit_uid(number), Signed(person="Ida Quill", device="office")
        app.add_instrument(shop, {"id": f"IN-{number}", "what": "test-gauge"}, signed)
        app.add_person(shop, {"name": f"Person {number}", "role": "technician"}, signed)
        ShopPeople(app, shop, alone=ALONE).add(Wanted(name=f"Hand {number}", login=f"hand-{number}", role="technician"))
        app.write_bottle(shop, "receive", "", {**BOTTLE, "id": f"B-{number}"}, person="Ida Quill", device="office")
        asked = SheetAsked(unit=unit, works=["inspection"])
        app.finish(shop, asked, sheet_uid=None, entries=[replace(each, uid=None) for each in entries], person="Ida Quill", writer="office")
        app.begin_or_resume(shop, SheetAsked(unit=unit, works=["hydrostatic-test"]), person="Ida Quill", writer="office")
    return _counts(shop)


def _counts(shop: Path) -> dict[str, int]:
    """How many statements each page takes, each page with a memory of its own."""
    office, unit = rooms_of(shop), unit_uid(0)
    sheet = next(line.uid for line in office.books().sheets if line.unit == unit and not line.is_open)
    found = next(each.record for each in office.books().deficiencies if each.unit == unit)
    instrument = next(each.instrument.uid for each in office.instruments() if each.instrument.id == "TG-1")
    paths = [
        "/", "/dues", "/dues?site=Mill", "/dues.csv", "/dues/months", "/dues/months?month=2026-12", "/sites", "/sites/Mill",
        "/inventory.csv?site=Mill", "/search?q=mill", "/sheets", "/sheets?show=open", "/deficiencies", "/deficiencies.csv", "/loaners",
        "/instruments", "/people", "/papers", "/bench", "/bench/agent", "/bench/tests", "/bench/supply", "/settings",
        f"/bench/unit/{unit}", f"/bench/charge/{unit}", f"/units/{unit}", f"/sheets/{sheet}",
        f"/deficiencies/{found}", f"/instruments/{instrument}",
    ]  # fmt: skip
    counts = {}
    for path in paths:
        client = client_of(shop)
        with counted() as said:
            assert client.get(path).status_code == 200, path
        counts[path] = len(said)
    return counts


def test_nothing_is_asked_twice_to_resume_a_sheet(shop: Path) -> None:
    app = FixedApp()
    fill(shop, range(1))
    uid = app.begin_or_resume(shop, SheetAsked(unit=unit_uid(0), works=["maintenance"]), person="Ida Quill", writer="office").uid
    with counted() as said:
        app.resume(shop, uid)
    tables = Counter(found[1] for statement in said if (found := re.search(r"\bFROM (\w+)", statement)))
    assert (tables["settings"], tables["subjects"]) == (1, 1)


@pytest.fixture(scope="module")
def demo_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "tolberhaven.pinseal"
    FixedApp().demo(path, on=None)
    return path


def test_every_office_page_of_the_demo_shop_is_there(demo_shop: Path) -> None:
    office = rooms_of(demo_shop)
    client = client_of(demo_shop, office)
    states = office.due_list(office.about().today).states
    removed = next(state for state in states if state.removed)
    instrument = next(each for each in office.instruments() if each.standing.code == "bad")
    for path, words in {
        "/": "Open deficiencies",
        "/sites": "Harbor Hospital",
        "/sites/Town%20Hall": "by the worst of its duties",
        "/search?q=boiler+10+lb": "Boiler",
        "/deficiencies": "open",
        "/loaners": "3 units are away",
        "/instruments": "found bad",
        f"/instruments/{instrument.instrument.uid}": "are in doubt",
        "/bench": "the bench since",
        "/bench/agent": "Without a lot number",
        "/dues/months": "Dec 2026",
        "/sheets": "Library on the Green",
        f"/units/{removed.uid}": "From birth to",
    }.items():
        page = client.get(path)
        assert page.status_code == 200, path
        assert words in page.text, path
