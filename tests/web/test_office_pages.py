"""The office pages: they show what stands open, and they show an owner no more than their sites."""

from __future__ import annotations

import csv
import io
import re

import pytest
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER
from fake_rooms import BAD_GAUGE, SCALE, FakeRooms, rooms_client
from office_hands import begin
from page_checks import faults, read_page, text_of
from starlette.testclient import TestClient

UNIT = uid_of(0)


@pytest.fixture
def client(office: FakeRooms) -> TestClient:
    return rooms_client(office)


# -- every page


def paths(office: FakeRooms) -> list[str]:
    return [
        "/", "/sites", "/sites/Ferry%20hall", "/search", "/search?q=ferry+10+lb", f"/units/{UNIT}", "/sheets", "/sheets?show=open",
        "/deficiencies", "/deficiencies?show=all&age=30", "/deficiencies?show=done", "/loaners", "/instruments",
        f"/instruments/{SCALE.uid}", f"/instruments/{BAD_GAUGE.uid}", "/settings", "/bench", "/bench/agent", "/bench/tests",
        f"/bench/test/{UNIT}", f"/bench/charge/{UNIT}",
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
    assert "Put right 1 Nov 2026: bolted" in text_of(client.get("/deficiencies?show=done").text)


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


def test_an_owner_is_told_only_which_words_their_own_units_do_not_say(office: FakeRooms) -> None:
    question = {"q": "hood hodd airfeild ramp extinguisher"}
    lead, inspector = (
        text_of(client.get("/search", params=question).text) for client in (rooms_client(office), rooms_client(office, INSPECTOR))
    )
    assert "Read “airfeild” as “airfield”." in lead and "Read “airfeild” as “airfield”." in inspector
    own = text_of(rooms_client(office, SITES_OWNER).get("/search", params=question).text)
    for word in ("airfeild", "ramp"):  # words of a site that is not theirs
        assert f"No unit says “{word}”; looked without it." in own
        assert f"No unit says “{word}”" not in lead
    assert "airfield" not in own.replace("airfeild", "").lower()


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


# -- bench and months


def test_the_bench_lists_what_waits_there_and_open_bench_work(client: TestClient) -> None:
    assert "the bench since 20 Nov 2026" in text_of(client.get("/bench").text)
    begin(client, "recharge", "internal-examination")
    page = client.get("/bench").text
    assert page.count(f'<a href="/units/{UNIT}"><b>') == 1, "one row, whatever brought it here"
    assert "not proved empty of pressure internal examination, recharge" in text_of(page)


def test_the_cautions_of_a_charge_stand_beside_its_dial(client: TestClient) -> None:
    words = text_of(client.get(f"/bench/charge/{UNIT}?at=50&at-unit=F").text)
    for each in ("Never fill past the date of the pressure test", "put a shield before the gauge", "no higher than the ceiling",
                 "they are right: stop and ask", "pressure test due"):  # fmt: skip
        assert each in words, each


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
