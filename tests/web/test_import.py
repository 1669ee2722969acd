"""The way of a list: handed over, read, asked about, compared, taken in."""

from __future__ import annotations

import re

import pytest
from fake_office import LIST, client_of, uid_of
from fake_rooms import FakeRooms
from page_checks import faults, text_of

from pinseal.intake.register import Problem, RegisterUnit
from pinseal.web.import_pages import _cell, _reading_words
from pinseal.web.tray import Draft, Tray


@pytest.fixture
def handed(client):
    """The page of a list that was handed over, and its address."""
    answer = client.post("/import", files={"list": ("C:\\lists\\ramp <1>.csv", LIST)})
    assert answer.status_code == 200
    return str(answer.url.path), answer.text


def test_a_list_is_handed_over_and_read(client, office, handed):
    address, shown = handed
    assert re.fullmatch(r"/import/[\w-]{22}", address)
    assert faults(shown) == []
    words = text_of(shown)
    for said in ("ramp <1>.csv", "4 units · 3 open questions · 2 problems · 3 rows that are no units", "1 title, 1 blank, 1 header"):
        assert said in words
    assert "C:" not in words
    assert office.taken == []


def test_each_question_shows_its_raw_cell_and_readings_and_none_is_picked(handed):
    _, shown = handed
    words = text_of(shown)
    assert "Which halon is meant by “20# Halon”?" in words
    assert "In the list: 20# Halon · column Kind, rows 7, 8" in words
    assert "Halon 1211" in words and "Halon 1301" in words
    assert "month, day, year" in words
    assert "leave it open: it stays unknown" in words
    assert " checked>" not in shown


def test_a_doubt_about_a_match_is_asked_too(client, handed):
    address, shown = handed
    assert "may be unit 001 at Airfield ramp. Is it?" in text_of(shown)
    answered = client.post(address, data={"answer-same-12": "yes"}).text
    assert "Answered: 1." in text_of(answered)
    assert "did not ask for" not in answered


def test_an_answer_settles_its_rows_and_can_be_changed(client, handed):
    address, _ = handed
    shown = client.post(address, data={"answer-halon": "halon-1301", "answer-order-last": ""}).text
    assert faults(shown) == []
    assert "2 open questions" in text_of(shown)
    assert 'name="answer-halon" value="halon-1301" checked' in shown
    rows = text_of(client.get(f"{address}/rows").text)
    assert rows.count("Halon 1301") == 2
    again = client.post(address, data={"answer-halon": "halon-1211"}).text
    assert 'name="answer-halon" value="halon-1211" checked' in again


def test_an_answer_that_does_not_fit_is_told_and_changes_nothing(client, handed):
    address, _ = handed
    answer = client.post(address, data={"answer-halon": "<i>", "answer-order-last": "DMY"})
    assert answer.status_code == 400
    assert "The answer to halon is none of its readings" in text_of(answer.text)
    assert 'value="DMY" checked' in answer.text
    assert 'value="&lt;i&gt;" checked' in answer.text
    assert "3 open questions" in text_of(client.get(address).text)


def test_rows_stand_raw_beside_read_and_none_is_dropped(client, handed):
    address, _ = handed
    answer = client.get(f"{address}/rows")
    assert faults(answer.text) == []
    words = text_of(answer.text)
    for row in (1, 2, 3, 5, 6, 7, 8, 9):
        assert f"row {row} " in words
    assert "Nov 2015 11-15" in words
    assert "10 lb 10# ABC" in words
    assert "horn cracked" in words
    assert "counted, not listed" in words
    assert "“7 x 5# ABC”: stands for 7 units (7 x 5 lb ABC dry chemical)" in words
    assert "<b>tower</b>" in words and "<b>tower</b>" not in answer.text


def test_a_cell_that_asks_or_is_wrong_is_marked_by_a_word(client, handed):
    shown = client.get(f"{handed[0]}/rows").text
    assert shown.count("asks</span>") == 6
    assert shown.count("look</span>") == 1
    assert "manufactured, “2041”: this year has not come yet" in text_of(shown)
    assert shown.count("nothing read") == 0


def test_readings_that_are_dates_or_units_are_shown_as_people_write_them():
    assert [_reading_words(None, each) for each in ("2016-03", "l", "gal", "odd")] == ["Mar 2016", "L", "gal (US)", "odd"]
    assert _reading_words("shell", "mild-steel") == "mild steel"


def test_a_cell_out_of_which_nothing_was_read_says_so():
    unit = RegisterUnit(None, 4, cells=("see tag", "31/02/2020"), headings=("last_recharge", "manufactured"))
    problem = Problem(sheet=None, row=4, column="Baujahr", raw="31/02/2020", kind="impossible-date", why="there is no such day")
    assert _cell(unit, "last_recharge", (problem,), is_open=False).unread
    assert _cell(unit, "manufactured", (problem,), is_open=False).wrong
    assert not _cell(unit, "last_recharge", (problem,), is_open=True).unread


@pytest.mark.parametrize(("show", "rows"), [("problems", ["row 7", "row 9"]), ("units", ["row 5", "row 6", "row 7", "row 8"])])
def test_rows_can_be_narrowed(client, handed, show, rows):
    shown = client.get(f"{handed[0]}/rows?show={show}").text
    assert re.findall(r'<th scope="row">(row \d)</th>', shown) == rows


def test_other_rows_and_a_wrong_choice(client, handed):
    assert "title" in client.get(f"{handed[0]}/rows?show=other").text
    assert client.get(f"{handed[0]}/rows?show=nonsense").status_code == 404


def test_the_known_units_stand_beside_the_list(handed):
    words = text_of(handed[1])
    assert "001, 10 lb ABC dry chemical (row 5): place was stand 3, now stand 4; last maintenance was not said, now 14 Sep 2026" in words
    for said in ("the same 2", "changed 1", "new 1", "not in this list 3", "only counted 7"):
        assert said in words
    assert f"/units/{uid_of(0)}" in handed[1]


def test_a_list_is_taken_in_once_with_a_name_and_the_answers(client, office, handed):
    address, _ = handed
    client.post(address, data={"answer-halon": "halon-1211"})
    first = client.post(f"{address}/take-in", data={"person": "Somebody Else"})
    assert str(first.url.path) == f"{address}/taken"
    assert faults(first.text) == []
    assert "records 12" in text_of(first.text)
    assert client.post(f"{address}/take-in").url.path == f"{address}/taken"
    assert client.get(address).url.path == f"{address}/taken"
    assert office.taken == [("ramp <1>.csv", {"halon": "halon-1211"}, "Ida Quill")]


@pytest.mark.parametrize(
    ("person", "words"),
    [("", "Your name is missing"), ("x" * 201, "longer than 200 characters"), ("Nobody", "Nobody may not take in lists")],
)
def test_taking_in_without_a_good_name_is_told_where_nobody_signed_in_by_name(client, office, handed, person, words):
    client.cookies.set("pinseal", "key-of-alone")
    answer = client.post(f"{handed[0]}/take-in", data={"person": person})
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert f'value="{person}"' in answer.text
    assert faults(answer.text) == []
    assert office.taken == []


def test_nothing_can_be_taken_before_it_was(client, handed):
    assert client.get(f"{handed[0]}/taken").url.path == handed[0]


def test_no_file_and_a_file_that_is_no_list_are_told_on_the_form(client):
    empty = client.post("/import", files={"list": ("", b"")})
    assert empty.status_code == 400
    assert "No file was chosen." in empty.text
    assert client.post("/import", data={"list": "text"}).status_code == 400
    picture = client.post("/import", files={"list": ("photo.csv", b"\x89PNG....")})
    assert picture.status_code == 400
    assert "This is a picture (got photo.csv); a list is CSV or XLSX; hand over the list itself." in text_of(picture.text)
    assert faults(picture.text) == []


def test_a_list_that_lies_here_no_longer_is_said(client):
    for address in ("/import/gone", "/import/gone/rows", "/import/gone/taken"):
        answer = client.get(address)
        assert answer.status_code == 400
        assert "This list is no longer here" in text_of(answer.text)
    assert client.post("/import/gone/take-in", data={"person": "Ida"}).status_code == 400


def test_the_list_is_read_once_for_many_looks(client, office, handed):
    before = office.read_count
    for _ in range(3):
        client.get(handed[0])
        client.get(f"{handed[0]}/rows")
    assert office.read_count == before


def test_the_tray_gives_up_the_oldest_list_that_nobody_looked_at():
    from pinseal.reasons import Refusal
    from pinseal.web.doors import Upload

    tray = Tray(2)
    first, second = (tray.put(Draft(upload=Upload(name=name, content=b""))) for name in ("a", "b"))
    tray.get(first)
    tray.put(Draft(upload=Upload(name="c", content=b"")))
    assert tray.get(first).upload.name == "a"
    with pytest.raises(Refusal, match="no longer here"):
        tray.get(second)


def test_an_empty_shop_takes_its_first_list():
    client = client_of(FakeRooms(0))
    shown = client.post("/import", files={"list": ("a.csv", LIST)}).text
    assert faults(shown) == []
    assert "Take in 4 units" in shown
