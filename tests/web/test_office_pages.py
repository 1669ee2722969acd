"""The office pages: they show what stands open, they take nothing twice, and they show an owner no more than their sites."""

from __future__ import annotations

import csv
import io
import re

import pytest
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER, TECH
from fake_rooms import BAD_GAUGE, SCALE, FakeRooms, rooms_client
from page_checks import faults, read_page, text_of
from starlette.testclient import TestClient

UNIT = uid_of(0)


@pytest.fixture
def office() -> FakeRooms:
    return FakeRooms()


@pytest.fixture
def client(office: FakeRooms) -> TestClient:
    return rooms_client(office)


def begin(client: TestClient, *works: str, unit: str = UNIT) -> str:
    """Begin a sheet; the address at which it is worked on."""
    begun = client.post(f"/units/{unit}/sheet", data={"work": list(works)})
    assert begun.status_code == 200, text_of(begun.text)
    return str(begun.url.path)


def hidden(page: str) -> dict[str, str]:
    return {name: re.search(rf'name="{name}" value="([^"]*)"', page)[1] for name in ("expect", "shown")}


def send(client: TestClient, here: str, **said: str):
    """Send a form of the page as it stands now."""
    return client.post(here, data=hidden(client.get(here).text) | {name.replace("_", "-"): value for name, value in said.items()})


def work_through(client: TestClient, here: str, readings: dict[str, str], *, most: int = 60) -> str:
    """Confirm and answer well what the page asks for, until it offers to finish; the page that does."""
    for _ in range(most):
        page = client.get(here).text
        form = page[page.index('class="answer"') :]
        said = hidden(page)
        if group := re.search(r'name="group" value="([^"]+)"', form):
            answer = client.post(here, data=said | {"act": "confirm", "group": group[1]})
        elif step := re.search(r'name="step" value="([^"]+)"', form):
            wanted = {name: text for name, text in readings.items() if f'name="{name}"' in form}
            chosen = re.search(r'name="answer" value="([^"]+)" class="good"', form)
            answer = client.post(here, data=said | {"act": "step", "step": step[1], "answer": chosen[1]} | wanted)
        else:
            return page
        assert answer.status_code == 200, text_of(answer.text)
    raise AssertionError("the sheet never comes to its end")


READINGS = {
    "reading-gross": "17", "unit-gross": "lb", "instrument-gross": "SC-1", "reading-gauge": "191", "unit-gauge": "psi",
    "reading-temperature": "60", "unit-temperature": "F", "reading-tag": "2611-77",
}  # fmt: skip


# -- every page


def paths(office: FakeRooms) -> list[str]:
    return [
        "/", "/sites", "/sites/Ferry%20hall", "/search", "/search?q=ferry+10+lb", f"/units/{UNIT}", "/sheets", "/sheets?show=open",
        "/deficiencies", "/deficiencies?show=all&age=30", "/deficiencies?show=right", "/loaners", "/instruments",
        f"/instruments/{SCALE.uid}", f"/instruments/{BAD_GAUGE.uid}", "/settings", "/bench", "/bench/agent", f"/bench/charge/{UNIT}",
        f"/bench/charge/{UNIT}?at=50&at-unit=F", "/dues/months", "/dues/months?month=late", f"/units/{UNIT}/sheet?new=1",
    ]  # fmt: skip


def test_every_page_is_sound_html_with_labels_and_without_script_or_style(client: TestClient, office: FakeRooms) -> None:
    for path in paths(office):
        page = client.get(path)
        assert page.status_code == 200, path
        assert faults(page.text) == [], path


def test_every_page_of_an_empty_shop_is_sound_and_says_what_to_do() -> None:
    client = rooms_client(FakeRooms(0))
    said = {"/": "Nothing is here yet.", "/sites": "Import a list", "/sheets": "No sheet is here.", "/loaners": "No unit is away.",
            "/deficiencies": "Nothing of this kind is on record.", "/bench": "Nothing waits at the bench.",
            "/bench/agent": "No agent was moved on record yet.", "/dues/months": "Nothing falls due."}  # fmt: skip
    for path, words in said.items():
        page = client.get(path)
        assert faults(page.text) == [], path
        assert words in text_of(page.text), path


def test_what_people_wrote_stays_text_on_every_page(client: TestClient, office: FakeRooms) -> None:
    for path in paths(office):
        page = client.get(path).text
        assert "<loose>" not in page and "TG-<2>" not in page, path
    assert "bracket <loose>" in text_of(client.get("/deficiencies").text).replace("Bracket", "bracket")


@pytest.mark.parametrize(
    "path",
    [
        "/sites/Nowhere", "/sites/", "/sheets?show=odd", "/sheets/gone", "/sheets/gone/work", "/units/gone/sheet", "/units/gone/leak.svg",
        "/instruments/gone", "/bench/charge/gone", f"/bench/dial/{UNIT}.svg", f"/bench/dial/{UNIT}.svg?at=nonsense",
        "/deficiencies?show=odd", "/deficiencies?age=12", "/dues/months?month=2026-13", "/dues.csv?duty=odd",
        f"/units/{UNIT}/files/{'c' * 64}",
    ],
)  # fmt: skip
def test_what_is_not_there_is_a_plain_page(client: TestClient, path: str) -> None:
    page = client.get(path)
    assert page.status_code == 404, page.text[:300]
    assert faults(page.text) == []


# -- today, deficiencies, loaners


def test_today_tells_what_stands_open_who_is_away_and_what_came_in(client: TestClient) -> None:
    words = text_of(client.get("/").text)
    assert "Open deficiencies 1" in words
    assert "27 Nov 2026" in words and "in its place: W-003" in words
    assert "Came in last" in words and "taken away" in words


def test_a_deficiency_is_open_until_a_remedy_and_then_stands_under_put_right(client: TestClient, office: FakeRooms) -> None:
    from record_makers import Writer

    assert "about" in text_of(client.get("/deficiencies").text) or "54 days ago" in text_of(client.get("/deficiencies").text)
    more = Writer("later", first=99_000).write("remedied", "2026-11-01", unit=UNIT, finding="bracket-loose", how="bolted")
    office.lives[UNIT] = [*office.lives[UNIT], more]
    assert "Nothing of this kind is on record." in text_of(client.get("/deficiencies").text)
    assert "Put right 1 Nov 2026: bolted" in text_of(client.get("/deficiencies?show=right").text)


def test_deficiencies_are_narrowed_by_age_and_site(client: TestClient) -> None:
    assert "001" in text_of(client.get("/deficiencies?age=30").text)
    assert "Nothing of this kind" in text_of(client.get("/deficiencies?age=90").text)
    assert "Nothing of this kind" in text_of(client.get("/deficiencies?site=Ferry+hall").text)


def test_loaners_say_back_by_when_and_what_stands_in(client: TestClient) -> None:
    words = text_of(client.get("/loaners").text)
    assert "1 unit is away" in words
    assert "27 Nov 2026 in 3 days 001" in words
    assert "W-003" in words


# -- sites and search


def test_a_site_lists_its_units_by_place_and_counts_each_once(client: TestClient) -> None:
    page = client.get("/sites/Ferry%20hall")
    words = text_of(page.text)
    assert "6 units, each by the worst of its duties" in words
    assert page.text.count('href="/units/') == 6
    assert "Airfield ramp" not in words


@pytest.mark.parametrize(
    ("question", "first"),
    [
        ("RB-30701", "002"),
        ("rb30701", "002"),
        ("0701", "002"),
        ("tag-4471", "002"),
        ("wheeled fuel depot", "W-003"),
        ("feryy pier 15 lb", "002"),
    ],
)
def test_a_unit_is_found_by_what_is_half_known(client: TestClient, question: str, first: str) -> None:
    page = client.get("/search", params={"q": question})
    assert re.search(r"<tbody>.*?<b>([^<]+)</b>", page.text, re.DOTALL)[1] == first


def test_a_word_that_no_unit_says_is_named_and_left_out(client: TestClient) -> None:
    words = text_of(client.get("/search", params={"q": "purple, near range hood"}).text)
    assert "No unit says “purple”; looked without it." in words
    assert "range hood" in words


def test_a_question_that_fits_nothing_says_so_and_stays_text(client: TestClient) -> None:
    page = client.get("/search", params={"q": "<script>zzzz</script>"})
    assert faults(page.text) == []
    assert "No unit fits." in text_of(page.text)


# -- a unit


def test_the_page_of_a_unit_runs_from_birth_to_today_with_its_next_job(client: TestClient) -> None:
    page = client.get(f"/units/{UNIT}")
    words = text_of(page.text)
    assert "From birth to today" in words
    assert "Next job sheet" in words and f"/units/{UNIT}/sheet" in page.text
    assert "Open deficiencies Bracket <loose>" in words
    assert words.index("2026") < words.rindex("2020")


def test_a_loaner_says_for_whom_it_stands_in(client: TestClient) -> None:
    assert "It stands in for 001." in text_of(client.get(f"/units/{uid_of(2)}").text)


def test_a_photo_is_a_picture_and_anything_else_is_only_handed_out(client: TestClient, office: FakeRooms) -> None:
    from record_makers import Writer

    shown = client.get(f"/units/{UNIT}/files/{'a' * 64}")
    assert shown.headers["content-type"] == "image/png"
    office.lives[UNIT].append(Writer("later", first=99_100).write("noted", "2026-11-02", unit=UNIT, note="a paper", file="b" * 64))
    paper = client.get(f"/units/{UNIT}/files/{'b' * 64}")
    assert paper.headers["content-type"] == "application/octet-stream"
    assert paper.headers["content-disposition"].startswith("attachment")


def test_many_looks_of_one_year_stand_on_one_line(client: TestClient, office: FakeRooms) -> None:
    from record_makers import Writer

    writer = Writer("monthly", first=99_200)
    office.lives[UNIT] = [*office.lives[UNIT], *(writer.write("inspected", f"2025-{m:02d}-03", unit=UNIT) for m in range(1, 13))]
    words = text_of(client.get(f"/units/{UNIT}").text)
    assert "inspected, 12 times" in words


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


# -- bench and months


def test_the_bench_lists_what_waits_there_and_open_bench_work(client: TestClient) -> None:
    assert "the bench since 20 Nov 2026" in text_of(client.get("/bench").text)
    begin(client, "recharge", "internal-examination")
    words = text_of(client.get("/bench").text)
    assert words.count("001") == 2 and "go on internal examination, recharge" in words


def test_a_charge_is_planned_only_from_what_is_known(client: TestClient) -> None:
    first = text_of(client.get(f"/bench/charge/{UNIT}").text)
    assert "Temperature of the shell now" in first and "target" not in first.split("Pressurised vessels")[0].split("Where to stop")[1]
    asked = {"at": "50", "at-unit": "F", "gas": "nitrogen", "regulator": "yes", "dew-point": "-70 F", "last": "plate"}
    page = client.get(f"/bench/charge/{UNIT}", params=asked)
    assert faults(page.text) == []
    dial = re.search(r'src="(/bench/dial/[^"]+)"', page.text)[1].replace("&amp;", "&")
    assert client.get(dial).headers["content-type"].startswith("image/svg+xml")
    assert "target" in text_of(page.text)
    bare = text_of(client.get(f"/bench/charge/{UNIT}", params=asked | {"regulator": "no"}).text)
    assert "Do not charge this unit." in bare and "stop the gas at" not in bare
    little = text_of(client.get(f"/bench/charge/{UNIT}", params={"at": "50", "at-unit": "F"}).text)
    assert "Do not charge yet, not known: " in little


def test_a_charge_without_a_nameplate_names_what_is_missing(client: TestClient) -> None:
    words = text_of(client.get(f"/bench/charge/{uid_of(5)}?at=50&at-unit=F").text)
    assert "No charge can be planned. What is not on record:" in words
    assert "water capacity" in words and "service pressure" in words


def test_a_temperature_that_cannot_be_read_is_told_and_stays_typed(client: TestClient) -> None:
    page = client.get(f"/bench/charge/{UNIT}", params={"at": "warm<b>", "at-unit": "F"})
    assert page.status_code == 400 and faults(page.text) == []
    assert 'value="warm&lt;b&gt;"' in page.text


def test_the_months_add_up_to_the_whole_list_and_the_file_has_every_row(client: TestClient) -> None:
    page = client.get("/dues/months")
    totals = [int(each.replace(",", "")) for each in re.findall(r'<td class="number"><b>([\d,]+)</b>', page.text)]
    whole = list(csv.DictReader(io.StringIO(client.get("/dues.csv").text)))
    assert sum(totals) == len(whole)
    late = list(csv.DictReader(io.StringIO(client.get("/dues.csv?month=late").text)))
    assert len(late) == totals[0] and {row["state"] for row in late} <= {"overdue", "may be overdue", "withdraw"}


def test_a_row_stands_in_the_month_of_its_first_day(client: TestClient) -> None:
    rows = list(csv.DictReader(io.StringIO(client.get("/dues.csv").text)))
    months = {row["first day"][:7] for row in rows if row["first day"] and row["state"] not in ("overdue", "may be overdue", "withdraw")}
    month = sorted(months)[3]
    wanted = [row for row in rows if row["first day"].startswith(month) and row["state"] in ("due", "ahead")]
    found = list(csv.DictReader(io.StringIO(client.get(f"/dues.csv?month={month}").text)))
    assert wanted and found == wanted
    assert len(list(csv.DictReader(io.StringIO(client.get("/dues.csv?month=1999-01").text)))) == 0


def test_a_cell_that_a_spreadsheet_would_run_is_only_text_in_the_file(office: FakeRooms) -> None:
    from record_makers import Writer

    life = office.lives[uid_of(3)]
    office.lives[uid_of(3)] = [*life, Writer("later", first=99_300).write("moved", "2026-11-02", unit=uid_of(3), place='=HYPERLINK("x")')]
    text = rooms_client(office).get("/dues.csv").text
    assert "'=HYPERLINK" in text and ",=HYPERLINK" not in text and ',"=HYPERLINK' not in text


def test_the_menu_shows_each_role_only_what_it_may_open(office: FakeRooms) -> None:
    links = set(read_page(rooms_client(office, SITES_OWNER).get("/").text).links)
    assert {"/sites", "/dues", "/deficiencies"} <= links
    assert not links & {"/bench", "/settings", "/people", "/sheets"}
