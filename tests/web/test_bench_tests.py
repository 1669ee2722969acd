"""The test bench: a test is judged by the sheet's own judge, written through the open sheet or not at all, and told field by field."""

from __future__ import annotations

import re

import pytest
from bench_rooms import CC, HIGH, LOW, PLAIN, SILENT, STAMPED, WJ, BenchRooms
from fake_people import INSPECTOR, SITES_OWNER, TECH
from fake_rooms import rooms_client
from page_checks import faults, text_of
from starlette.testclient import TestClient

from pinseal.web.guards import HEADERS

READ = {
    "reading-pressure": "3000", "unit-pressure": "psi", "instrument-pressure": "TG-9", "reading-held": "40", "reading-total": "92.0",
    "unit-total": "mL", "reading-permanent": "8.4", "unit-permanent": "mL",
}  # fmt: skip
CHECK = {"jacket": "WJ-1", "cylinder": "CC-1", "at": "3000 psi", "certified": "182.0", "read": "182.9"}


@pytest.fixture
def office() -> BenchRooms:
    return BenchRooms()


@pytest.fixture
def client(office: BenchRooms) -> TestClient:
    return rooms_client(office)


def judged(client: TestClient, unit: str = STAMPED, **changes: str):
    return client.get(f"/bench/test/{unit}", params=READ | {name.replace("_", "-"): value for name, value in changes.items()})


def result_of(page: str) -> str:
    return text_of(page[page.index('<section id="result"') : page.index("</section>")]) if 'id="result"' in page else ""


# -- a plain calculation


def test_a_jacket_test_is_judged_and_drawn_and_nothing_is_recorded(client: TestClient, office: BenchRooms) -> None:
    before = {uid: len(life) for uid, life in office.lives.items()}
    page = judged(client)
    words = result_of(page.text)
    assert words.startswith("Judged, not recorded pass on expansion alone")
    assert "9.13 % of the total expansion stayed; that is within the 10 % allowed" in words
    picture = client.get(re.search(r'src="(/bench/test/[^"]+picture\.svg[^"]*)"', page.text)[1].replace("&amp;", "&"))
    assert picture.headers["content-type"] == "image/svg+xml"
    assert "9.13 %" in picture.text
    assert "Nothing is recorded here: no sheet with this test is open for this unit." in text_of(page.text)
    assert {uid: len(life) for uid, life in office.lives.items()} == before
    assert not office.kept


@pytest.mark.parametrize(
    ("total", "permanent", "verdict"), [("180", "18", "pass"), ("180", "18.000000001", "fail"), ("180,0", "17,99", "pass")]
)
def test_exactly_a_tenth_passes_and_a_hair_more_fails(client: TestClient, total: str, permanent: str, verdict: str) -> None:
    words = result_of(judged(client, reading_total=total, reading_permanent=permanent).text)
    assert words.startswith(f"Judged, not recorded {verdict}")


def test_a_marked_rejection_limit_is_judged_beside_the_percent(client: TestClient) -> None:
    more = {"reading_total": "56.3", "reading_permanent": "0.3", "unit_rejection": "mL"}
    assert "pass" in result_of(judged(client, reading_rejection="56.0", **more).text)[:40]
    over = result_of(judged(client, reading_rejection="55.9", **more).text)
    assert over.startswith("Judged, not recorded fail")
    assert "exceeds the marked rejection limit 55.9 cm3" in over


def test_a_pressure_below_the_stamp_makes_it_no_test(client: TestClient) -> None:
    words = result_of(judged(client, reading_pressure="2990").text)
    assert words.startswith("Judged, not recorded unknown")
    assert "below the smallest one for DOT-3AL1800" in words


def test_an_instrument_that_may_not_be_used_or_does_not_fit_makes_it_no_valid_test(client: TestClient) -> None:
    bad = result_of(judged(client, instrument_pressure="TG-<2>").text)
    assert "but no valid test" in bad
    assert "found it bad" in bad
    assert "its range ends at 1000 psi" in result_of(judged(client, instrument_pressure=LOW.id).text)
    assert "its range ends at 1000 psi" in text_of(client.get(f"/bench/test/{STAMPED}").text), "it is said before the test too"
    assert "no valid test" not in result_of(judged(client, instrument_pressure=HIGH.id).text)
    assert "counts for that day" in result_of(judged(client, instrument_total=WJ.id).text), "the jacket was checked yesterday"


def test_a_proof_test_is_judged_by_the_nameplate_with_its_warning(client: TestClient) -> None:
    page = client.get(f"/bench/test/{PLAIN}")
    assert "test pressure 585 psi" in text_of(page.text)
    assert "not above twice the service pressure" in text_of(page.text)
    read = {"by": "proof", "reading-pressure": "585", "unit-pressure": "psi", "reading-held": "60"}
    assert result_of(client.get(f"/bench/test/{PLAIN}", params=read).text).startswith("Judged, not recorded pass")
    assert result_of(client.get(f"/bench/test/{PLAIN}", params=read | {"reading-held": "29"}).text).startswith(
        "Judged, not recorded unknown"
    )
    assert "below the 585 psi" in result_of(client.get(f"/bench/test/{PLAIN}", params=read | {"reading-pressure": "584"}).text)


def test_a_unit_whose_kind_is_not_known_has_no_test_and_says_why(client: TestClient) -> None:
    page = client.get(f"/bench/test/{SILENT}")
    assert faults(page.text) == []
    assert "No pressure test here. It is not known what kind of unit this is." in text_of(page.text)
    assert '<form class="answer"' not in page.text


# -- what cannot be


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("reading-total", "ninety", "Total expansion “ninety” cannot be read"),
        ("reading-total", "92 psi", "Total expansion “92 psi” cannot be read"),
        ("reading-total", "1,200", "a comma before three figures can mean thousands or a decimal"),
        ("reading-permanent", "-1", "a volume is not below zero"),
        ("reading-permanent", "", "Permanent expansion is missing: read it and enter it."),
        ("reading-pressure", "3" * 90, "at most 60 characters"),
        ("reading-held", "<b>long</b>", "Seconds held “<b>long</b>” cannot be read"),
    ],
)
def test_what_cannot_be_read_is_told_beside_its_field_and_kept_as_typed(client: TestClient, name: str, typed: str, words: str) -> None:
    page = judged(client, **{name: typed})
    field = name.removeprefix("reading-")
    assert page.status_code == 400
    assert faults(page.text) == []
    assert words in text_of(page.text)
    assert f'href="#r-{field}"' in page.text
    assert re.search(rf'<input id="r-{field}"[^>]*aria-invalid="true" aria-describedby="t-{field}"', page.text)
    assert result_of(page.text) == "", "nothing is judged while a reading cannot be read"
    assert "<b>long</b>" not in page.text


def test_every_wrong_field_is_told_at_once(client: TestClient) -> None:
    words = text_of(judged(client, reading_total="x", reading_permanent="y", reading_held="z").text)
    assert all(f"“{each}" in words for each in "xyz")


def test_readings_that_cannot_belong_together_are_no_test(client: TestClient) -> None:
    assert "larger than the total" in result_of(judged(client, reading_total="8.4", reading_permanent="92").text)
    assert "from 0.01 cm3 to 100 L" in result_of(judged(client, reading_total="0.001", reading_permanent="0").text)


@pytest.mark.parametrize(
    "path", ["/bench/test/gone", f"/bench/test/{STAMPED}/picture.svg", f"/bench/test/{PLAIN}/picture.svg?reading-total=1"]
)
def test_what_is_not_there_is_a_plain_page(client: TestClient, path: str) -> None:
    page = client.get(path)
    assert page.status_code == 404
    assert faults(page.text) == []


# -- through the sheet


def opened(client: TestClient, unit: str = STAMPED) -> str:
    begun = client.post(f"/units/{unit}/sheet", data={"work": ["hydrostatic-test"]})
    return str(begun.url.path).removesuffix("/work")


def test_while_a_gate_of_the_sheet_is_shut_the_test_is_a_calculation_and_the_gate_is_told(client: TestClient, office: BenchRooms) -> None:
    opened(client)
    page = client.get(f"/bench/test/{STAMPED}")
    words = text_of(page.text)
    assert "This test is shut on the sheet. What is missing:" in words
    assert "not proved empty of pressure" in words
    assert "Nothing is recorded here: the test is shut on the sheet." in words
    refused = client.post(f"/bench/test/{STAMPED}/enter", data=READ | {"step": "test-jacket", "answer": "read", "expect": "1"})
    assert refused.status_code == 400
    assert next(iter(office.kept.values()))[1] == [], "a form that goes round the page is refused by the sheet's own gate"


def walked(client: TestClient, here: str, until: str) -> None:
    """Answer the sheet well until a step is asked for. What is weighed falls from full to empty."""
    weights = iter(("29", "14", "14", "14"))
    said = {"reading-approval": "A-1", "reading-test-figure": "DOT-3AL1800", "reading-calibration": "182.0 at 3000, read 182.1"}
    for _ in range(60):
        page = client.get(f"{here}/work").text
        form = page[page.index('class="answer"') :]
        data = {name: re.search(rf'name="{name}" value="([^"]*)"', page)[1] for name in ("expect", "shown")}
        if group := re.search(r'name="group" value="([^"]+)"', form):
            answer = client.post(f"{here}/work", data=data | {"act": "confirm", "group": group[1]})
        else:
            step = re.search(r'name="step" value="([^"]+)"', form)[1]
            if step == until:
                return
            more = {name: text for name, text in said.items() if f'name="{name}"' in form}
            more |= {"reading-gross": next(weights), "unit-gross": "lb"} if 'name="reading-gross"' in form else {}
            good = re.search(r'name="answer" value="([^"]+)" class="good"', form)[1]
            answer = client.post(f"{here}/work", data=data | {"act": "step", "step": step, "answer": good} | more)
        assert answer.status_code == 200, text_of(answer.text)
    raise AssertionError(f"the sheet never comes to {until}")


def enter(client: TestClient, **changes: str):
    page = client.get(f"/bench/test/{STAMPED}").text
    hidden = {name: re.search(rf'name="{name}" value="([^"]*)"', page)[1] for name in ("step", "expect", "shown")}
    sent = hidden | READ | {"answer": "read"} | {name.replace("_", "-"): value for name, value in changes.items()}
    return client.post(f"/bench/test/{STAMPED}/enter", data=sent)


def test_a_test_is_written_through_the_open_sheet_and_stands_on_it(client: TestClient, office: BenchRooms) -> None:
    here = opened(client)
    walked(client, here, "test-jacket")
    assert "This writes on the open sheet." in text_of(client.get(f"/bench/test/{STAMPED}").text)
    done = enter(client)
    assert done.status_code == 200
    assert result_of(done.text).startswith("On the sheet pass on expansion alone Both expansions read")
    entry = next(iter(office.kept.values()))[1][-1]
    assert (entry.subject, entry.readings["total"], entry.instruments) == ("test-jacket", "92.0 mL", {"pressure": "TG-9"})
    assert entry.person == "Ida Quill"
    assert "Water jacket: DOT-3AL1800 needs at least 3000 psi" in text_of(client.get("/bench/tests").text)
    assert "9.13 %" in text_of(client.get(here).text), "the sheet itself shows the same verdict"


def test_what_cannot_be_read_or_used_is_not_written(client: TestClient, office: BenchRooms) -> None:
    here = opened(client)
    walked(client, here, "test-jacket")
    entries = len(next(iter(office.kept.values()))[1])
    for changes, words in (
        ({"reading_total": "lots"}, "Total expansion “lots” cannot be read"),
        ({"instrument_total": "WJ-1"}, "WJ-1 may not be used"),
        ({"instrument_pressure": "none such"}, "there is no such instrument"),
        ({"expect": "1"}, "the sheet has moved on"),
    ):
        page = enter(client, **changes)
        assert page.status_code == 400, changes
        assert words.casefold() in text_of(page.text).casefold()
        assert 'value="8.4"' in page.text, "what was typed stays"
    assert len(next(iter(office.kept.values()))[1]) == entries


def test_an_open_sheet_can_be_asked_without_writing_on_it(client: TestClient, office: BenchRooms) -> None:
    walked(client, opened(client), "test-jacket")
    entries = len(next(iter(office.kept.values()))[1])
    assert result_of(judged(client).text).startswith("Judged, not recorded pass")
    assert len(next(iter(office.kept.values()))[1]) == entries


def test_without_a_sheet_a_form_that_is_sent_records_nothing(client: TestClient, office: BenchRooms) -> None:
    page = client.post(f"/bench/test/{STAMPED}/enter", data=READ | {"step": "test-jacket", "answer": "read"})
    assert page.status_code == 400
    assert "No sheet with this test is open, so nothing was recorded." in text_of(page.text)
    assert client.post(f"/bench/test/{STAMPED}/enter", data=READ | {"step": "no-such-step"}).status_code == 404


# -- the daily check


def test_the_daily_check_lets_the_jacket_be_used_today(client: TestClient, office: BenchRooms) -> None:
    assert "water jacket not checked today" in text_of(client.get("/bench/tests").text)
    page = client.post("/bench/tests/check", data=CHECK)
    assert page.status_code == 200
    assert "WJ-1 water jacket checked today" in text_of(page.text)
    check = office.tools[-2].checks[-1]
    assert (check.good, check.against) == (True, CC.id)
    assert check.value is not None
    assert "0.49 % off; 1 % is allowed" in check.value


@pytest.mark.parametrize(("read", "good"), [("183.82", True), ("183.8200001", False), ("180.18", True), ("180.17", False)])
def test_exactly_one_percent_is_within_the_daily_check(client: TestClient, office: BenchRooms, read: str, good: bool) -> None:
    client.post("/bench/tests/check", data=CHECK | {"read": read})
    assert office.tools[-2].checks[-1].good is good


def test_a_calibrated_cylinder_that_keeps_some_expansion_makes_the_check_bad(client: TestClient, office: BenchRooms) -> None:
    """49 CFR 180.205(g)(4), public copy as amended to 2010-09-01: it shows no permanent expansion."""
    client.post("/bench/tests/check", data=CHECK | {"permanent": "0"})
    assert office.tools[-2].checks[-1].good
    client.post("/bench/tests/check", data=CHECK | {"permanent": "0.1"})
    check = office.tools[-2].checks[-1]
    assert not check.good
    assert "a calibrated cylinder shows no permanent expansion" in (check.value or "")


def test_a_bad_daily_check_is_recorded_and_bars_the_jacket(client: TestClient) -> None:
    words = text_of(client.post("/bench/tests/check", data=CHECK | {"read": "190"}).text)
    assert "the jacket reads wrong and may not be used" in words
    assert "WJ-1 water jacket found bad" in words


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"jacket": ""}, "The jacket is not said."),
        ({"jacket": "CC-1"}, "The jacket is none of the register."),
        ({"cylinder": "<i>"}, "The calibrated cylinder is none of the register."),
        ({"read": "lots"}, "The expansion that was read “lots” cannot be read"),
        ({"certified": "0"}, "certified and read expansion are both above zero"),
        ({"at": "3000"}, "The pressure “3000” cannot be read"),
        ({"permanent": "-1"}, "The expansion that stayed “-1 cm3” cannot be read"),
    ],
)
def test_a_daily_check_that_cannot_be_read_records_nothing(
    client: TestClient, office: BenchRooms, changes: dict[str, str], words: str
) -> None:
    page = client.post("/bench/tests/check", data=CHECK | changes)
    assert page.status_code == 400
    assert faults(page.text) == []
    assert words in text_of(page.text)
    assert len(office.tools[-2].checks) == 1


def test_a_calibrated_cylinder_that_vouches_for_nothing_checks_no_jacket(client: TestClient, office: BenchRooms) -> None:
    from dataclasses import replace

    office.tools = [replace(each, checks=()) if each.id == CC.id else each for each in office.tools]
    assert "vouches for nothing" in text_of(client.post("/bench/tests/check", data=CHECK).text)


# -- who may, and what the browser may


def test_only_staff_records_and_an_inspector_may_look(office: BenchRooms) -> None:
    looking, owner, tech = (rooms_client(office, account) for account in (INSPECTOR, SITES_OWNER, TECH))
    assert looking.get("/bench/tests").status_code == 200
    assert "Record the check" not in looking.get("/bench/tests").text
    assert looking.post("/bench/tests/check", data=CHECK).status_code == 403
    assert looking.post(f"/bench/test/{STAMPED}/enter", data=READ).status_code == 403
    assert owner.get(f"/bench/test/{STAMPED}").status_code == 403
    assert tech.get(f"/bench/test/{STAMPED}").status_code == 200


def test_the_page_runs_one_file_of_ours_and_no_other(client: TestClient) -> None:
    page = client.get(f"/bench/test/{STAMPED}")
    policy = page.headers["content-security-policy"]
    assert policy == HEADERS["content-security-policy"] + "; script-src 'self'"
    script = re.findall(r'<script type="module" src="([^"]+)"></script>', page.text)
    assert len(script) == 1
    assert page.text.count("<script") == 1
    assert "javascript" in client.get(script[0]).headers["content-type"]
    assert "script-src" not in client.get("/bench").headers["content-security-policy"]
