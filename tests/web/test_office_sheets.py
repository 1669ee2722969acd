"""Job sheets on the office pages: nothing is taken twice, shut steps stay shut, and each role does only its own work."""

from __future__ import annotations

import re

import pytest
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER, TECH
from fake_rooms import FakeRooms, rooms_client
from office_hands import READINGS, begin, hidden, send, work_through
from page_checks import faults, text_of
from starlette.testclient import TestClient

UNIT = uid_of(0)


@pytest.fixture
def client(office: FakeRooms) -> TestClient:
    return rooms_client(office)


# -- working a sheet


def test_a_sheet_is_begun_for_what_is_due_and_worked_to_its_records(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "maintenance")
    page = work_through(client, here, READINGS)
    assert "bracket" not in text_of(page)
    done = client.post(here, data=hidden(page) | {"act": "finish"})
    assert done.url.path == here.removesuffix("/work")
    assert faults(done.text) == []
    words = text_of(done.text)
    assert "tag it" in words and "maintained" in words
    assert {"maintained", "inspected", "measured", "worked"} <= {record.kind for record in office.lives[UNIT]}


def test_a_reading_is_judged_and_told_at_once_with_number_and_unit(client: TestClient) -> None:
    here = begin(client, "maintenance")
    answer = send(client, here, act="step", step="gross-weight", answer="read", reading_gross="15", unit_gross="lb")
    words = text_of(answer.text)
    assert "fail" in words and "Weighs less than the nameplate allows" in words
    assert "Decision so far: recharge" in words


def test_nobody_reads_that_a_unit_is_to_be_tagged_while_steps_are_left(client: TestClient) -> None:
    words = text_of(client.get(begin(client, "maintenance")).text)
    assert "Decision so far: nothing against it so far, " in words
    assert "tag it" not in words


def test_pounds_with_ounces_stay_as_typed(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "maintenance")
    send(client, here, act="step", step="gross-weight", answer="read", reading_gross="17 lb 2 oz", unit_gross="lb")
    (_, entries), *_ = office.kept.values()
    assert entries[-1].readings == {"gross": "17 lb 2 oz"}


def test_what_cannot_be_read_is_told_and_stays_typed_and_nothing_is_kept(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "maintenance")
    answer = send(client, here, act="step", step="gross-weight", answer="read", reading_gross="heavy<b>", unit_gross="lb")
    assert answer.status_code == 400
    assert faults(answer.text) == []
    assert 'value="heavy&lt;b&gt;"' in answer.text
    assert next(iter(office.kept.values()))[1] == []


def test_a_shut_step_says_what_is_missing_and_offers_no_answer(client: TestClient) -> None:
    here = begin(client, "internal-examination", "recharge")
    page = client.get(f"{here}?step=valve-off")
    if page.status_code == 404:
        steps = re.findall(r"\?step=([\w-]+)", client.get(here).text)
        shut = next(step for step in steps if "This step is shut" in client.get(f"{here}?step={step}").text)
        page = client.get(f"{here}?step={shut}")
    words = text_of(page.text)
    assert "This step is shut. What is missing:" in words
    assert 'class="good"' not in page.text
    assert faults(page.text) == []


def test_a_shut_step_cannot_be_forced_by_a_form(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "internal-examination", "recharge")
    steps = list(dict.fromkeys(re.findall(r"\?step=([\w-]+)", client.get(here).text)))
    shut = next(step for step in steps if "This step is shut" in client.get(f"{here}?step={step}").text)
    sheet = office.sheet(here.split("/")[2])
    answer = send(client, here, act="step", step=shut, answer=sheet.work.job.step(shut).good_answers[0].code)
    assert answer.status_code == 400
    assert next(iter(office.kept.values()))[1] == []


def test_one_confirmation_covers_several_looks_and_each_can_be_denied(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "inspection")
    page = client.get(here).text
    assert "Look at each of these" in text_of(page)
    assert page.count('class="not-so"') > 2
    group = re.search(r'name="group" value="([^"]+)"', page)[1]
    one_by_one = client.get(f"{here}?each={group}").text
    assert 'name="group"' not in one_by_one and 'name="step"' in one_by_one
    send(client, here, act="confirm", group=group)
    assert next(iter(office.kept.values()))[1][-1].kind == "confirm"


def test_a_form_that_is_sent_twice_is_taken_once(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "maintenance")
    said = hidden(client.get(here).text) | {
        "act": "step",
        "step": "gross-weight",
        "answer": "read",
        "reading-gross": "17",
        "unit-gross": "lb",
    }
    assert client.post(here, data=said).status_code == 200
    again = client.post(here, data=said)
    assert again.status_code == 400
    assert "The sheet has moved on since this page was shown" in text_of(again.text)
    assert len(next(iter(office.kept.values()))[1]) == 1


def test_the_time_of_an_entry_is_from_showing_to_sending_and_nonsense_is_no_time(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "inspection")
    page = client.get(here).text
    group, said = re.search(r'name="group" value="([^"]+)"', page)[1], hidden(page)
    client.post(here, data=said | {"act": "confirm", "group": group, "shown": str(int(said["shown"]) - 90)})
    assert 90 <= next(iter(office.kept.values()))[1][-1].seconds <= 95
    send(client, here, act="step", step="inspection-noted", answer="done", shown="1e9999")
    entries = next(iter(office.kept.values()))[1]
    assert entries[-1].subject == "inspection-noted" and entries[-1].seconds is None


def test_a_finding_is_put_right_with_its_part(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "maintenance")
    found = _something_mendable(client, here, office)
    words = text_of(client.get(here).text)
    assert "Open on this unit" in words and "It is put right" in words
    mended = send(client, here, act="fix", finding=found.finding, step=found.step, how="new one fitted", part="bracket")
    assert mended.status_code == 200, text_of(mended.text)
    assert "Put right: new one fitted" in text_of(mended.text)


def _something_mendable(client: TestClient, here: str, office: FakeRooms):
    """Answer some step badly so that a fix on the spot settles it; the finding."""
    from pinseal.sheets.model import ON_THE_SPOT

    job = office.sheet(here.split("/")[2]).work.job
    for step in job.steps:
        for answer in step.answers:
            if answer.finding and job.findings[answer.finding].action in ON_THE_SPOT and step.stage == "look" and not step.wants:
                assert send(client, here, act="step", step=step.id, answer=answer.code).status_code == 200
                return office.sheet(here.split("/")[2]).work.open_stops()[-1]
    raise AssertionError("no step can be answered so")


def test_work_is_added_to_a_sheet(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "maintenance")
    added = send(client, here, act="extend", work="recharge")
    assert added.status_code == 200
    assert "recharge" in office.sheet(here.split("/")[2]).work.job.works


def test_a_sheet_is_broken_off_with_its_state_and_closed_by_that(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "maintenance")
    short = send(client, here, act="abandon", reason="called away")
    assert short.status_code == 400 and "in which state the unit is left" in text_of(short.text)
    done = send(client, here, act="abandon", reason="called away", left="as it was found", where="on its hook")
    assert done.url.path == here.removesuffix("/work")
    assert "broken off; as it was found" in text_of(done.text)
    assert client.get(here).url.path == here.removesuffix("/work")


def test_a_sheet_that_is_not_finished_says_what_is_missing(client: TestClient) -> None:
    here = begin(client, "maintenance")
    answer = send(client, here, act="finish")
    assert answer.status_code == 400
    assert "The sheet is not finished" in text_of(answer.text)


def test_a_unit_that_does_not_go_back_shows_the_steps_for_leaving(client: TestClient) -> None:
    here = begin(client, "maintenance")
    words = text_of(client.get(f"{here}?leaving=1").text)
    assert "it does not go back into service" in words
    assert "Back to the work" in words


def test_no_work_chosen_is_told(client: TestClient, office: FakeRooms) -> None:
    answer = client.post(f"/units/{UNIT}/sheet", data={})
    assert answer.status_code == 400
    assert "No work is chosen." in text_of(answer.text)
    assert office.kept == {}


def test_a_person_goes_on_with_the_own_open_sheet(client: TestClient) -> None:
    here = begin(client, "inspection")
    assert client.get(f"/units/{UNIT}/sheet").url.path == here


def test_a_confirmation_that_was_too_quick_is_looked_at_once_by_a_supervisor(client: TestClient, office: FakeRooms) -> None:
    here = begin(client, "inspection")
    page = work_through(client, here, READINGS)
    client.post(here, data=hidden(page) | {"act": "finish"})
    sheet = here.removesuffix("/work")
    assert "To look at as a sample 1" in text_of(client.get("/").text)
    assert "too quick to have looked" in text_of(client.get("/sheets?show=check").text)
    group = next(iter(office.kept.values()))[0].quick[0]
    client.post(f"{sheet}/sample", data={"group": group, "agrees": "no"})
    assert office.samples == [(sheet.split("/")[2], group, False, "Ida Quill")]
    odd = client.post(f"{sheet}/sample", data={"group": "nonsense", "agrees": "yes"})
    assert odd.status_code == 400
    assert rooms_client(office, TECH).post(f"{sheet}/sample", data={"group": group, "agrees": "yes"}).status_code == 403


# -- rights


def test_an_owner_sees_only_the_own_sites(office: FakeRooms) -> None:
    owner = rooms_client(office, SITES_OWNER)
    mine, other = uid_of(1), uid_of(0)
    assert owner.get(f"/units/{mine}").status_code == 200
    for path in (
        f"/units/{other}",
        f"/units/{other}/sheet",
        f"/units/{other}/leak.svg",
        f"/units/{other}/files/{'a' * 64}",
        "/sites/Airfield%20ramp",
    ):
        assert owner.get(path).status_code == 404, path
    for path in ("/", "/sites", "/search?q=RB-30700", "/deficiencies?show=all", "/loaners", "/dues/months", "/dues.csv"):
        page = owner.get(path)
        assert page.status_code == 200, path
        assert "Airfield ramp" not in page.text and "RB-30700<" not in page.text, path
    for path in ("/sheets", "/instruments", "/settings", "/bench", "/bench/agent"):
        assert owner.get(path).status_code == 403, path


def test_an_owner_of_an_empty_site_is_not_sent_to_the_import() -> None:
    page = rooms_client(FakeRooms(0), SITES_OWNER).get("/")
    assert "Nothing is here that you may see." in page.text and "/import" not in page.text
    assert faults(page.text) == []


def test_an_owner_does_inspections_and_nothing_more(office: FakeRooms) -> None:
    owner = rooms_client(office, SITES_OWNER)
    page = owner.get(f"/units/{uid_of(1)}/sheet").text
    assert re.findall(r'name="work" value="([^"]+)"', page) == ["inspection"]
    assert owner.post(f"/units/{uid_of(1)}/sheet", data={"work": ["maintenance"]}).status_code == 400
    here = begin(owner, "inspection", "maintenance", unit=uid_of(1))
    assert next(iter(office.kept.values()))[0].works == ("inspection",)
    assert send(owner, here, act="extend", work="recharge").status_code == 400
    theirs = begin(rooms_client(office), "maintenance", unit=uid_of(1))
    assert owner.get(theirs).status_code == 404


def test_an_authority_reads_sheets_and_enters_nothing(office: FakeRooms) -> None:
    here = begin(rooms_client(office), "inspection")
    reader = rooms_client(office, INSPECTOR)
    assert "Go on with it" not in reader.get(here.removesuffix("/work")).text
    assert reader.get(here).status_code == 403
    assert reader.post(here, data={"act": "finish", "expect": "1", "shown": "1"}).status_code == 403


def test_entries_are_signed_by_who_is_signed_in(office: FakeRooms) -> None:
    here = begin(rooms_client(office, TECH), "maintenance")
    send(
        rooms_client(office, TECH),
        here,
        act="step",
        step="gross-weight",
        answer="read",
        reading_gross="17",
        unit_gross="lb",
        person="Somebody Else",
    )
    (line, entries), *_ = office.kept.values()
    assert line.person == "Tobiah Marsh" and entries[0].person == "Tobiah Marsh"


def test_settings_are_shown_to_staff_and_changed_by_a_supervisor(client: TestClient, office: FakeRooms) -> None:
    said = {"packs": ["us-osha", "gb"], "units": "metric", "maintenance_basis": "tag-month", "time_zone": "Europe/London", "date_order": ""}
    assert "Choose anew" not in rooms_client(office, TECH).get("/settings").text
    assert rooms_client(office, TECH).post("/settings/change", data=said).status_code == 403
    assert "us-nfpa10@2022" in client.get("/settings").text
    assert "Kept." in text_of(client.post("/settings/change", data=said).text)
    assert office.changes == [
        ({"packs": "us-osha,gb", "units": "metric", "maintenance_basis": "tag-month", "time_zone": "Europe/London"}, "Ida Quill")
    ]
    odd = client.post("/settings/change", data=said | {"time_zone": "Nowhere"})
    assert odd.status_code == 400 and "There is no such time zone" in text_of(odd.text)
