"""The pages of the shop: what they show, how they are narrowed, what they do with bad or hostile input."""

from __future__ import annotations

import pytest
from fake_office import TODAY, client_of, uid_of
from fake_rooms import FakeRooms
from page_checks import faults, text_of

from pinseal.dates import parse_date
from pinseal.reasons import Refusal, ShopUnusable
from pinseal.records.unit import Nameplate, UnitState
from pinseal.web.asked import Asked, read_asked
from pinseal.web.guards import HEADERS
from pinseal.web.listing import lines, narrowed

ADDRESSES = (
    "/",
    "/dues",
    "/dues?state=overdue&state=unknown&duty=maintenance&text=W-",
    "/dues?all=1&sort=by&down=1",
    "/dues?state=nonsense",
    f"/units/{uid_of(0)}",
    f"/units/{uid_of(3)}",
    f"/units/{uid_of(4)}",
    f"/units/{uid_of(8)}",
    "/units/nobody",
    "/import",
    "/standards",
    "/no-such-page",
)


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize("units", [0, 1, 3, 30])
def test_every_page_is_well_formed_and_carries_the_strict_headers(address, units):
    answer = client_of(FakeRooms(units)).get(address)
    assert faults(answer.text) == []
    assert {name: answer.headers[name] for name in HEADERS} == HEADERS
    assert "script" not in answer.headers["content-security-policy"]
    assert "unsafe" not in answer.headers["content-security-policy"]


def test_today_counts_by_state_and_lists_the_most_urgent_first(client, office):
    shown = text_of(client.get("/").text)
    summary = office.due_list(TODAY).summary()
    assert f"{summary['units']} units" in shown
    assert f"{summary['states']['overdue']} overdue" in shown
    assert shown.index("Most urgent") < shown.index("last day")
    assert client.get("/").text.count('class="c-state"') == 12


def test_an_empty_shop_says_what_to_do_first():
    shown = client_of(FakeRooms(0)).get("/").text
    assert "Nothing is here yet." in shown
    assert 'href="/import"' in shown


@pytest.mark.parametrize("units", [1, 3])
def test_the_list_shows_every_due_of_few_units(units):
    office = FakeRooms(units)
    rows = list(office.due_list(TODAY).all())
    shown = client_of(office).get("/dues").text
    assert shown.count('class="c-state"') == len(rows)
    assert all(reason in text_of(shown) for row in rows for reason in row.because)


def test_a_row_opens_into_its_reason_with_the_clause_and_how_it_was_checked(client):
    shown = text_of(client.get("/dues?text=W-008&duty=hydrostatic-test").text)
    assert "Why: hydrostatic test, last day between 1 Aug 2020 and 31 Aug 2027" in shown
    assert "What would settle it: shell" in shown
    assert "29 CFR 1910.157" in shown
    assert "read in a public copy of the text" in shown
    assert "us-nfpa10 may be overdue" in shown


def test_lines_are_the_rows_of_the_due_list(office):
    counted = UnitState(uid="x", row=9, placeholder=True, nameplate=Nameplate(agent="abc"))
    office.extra = (counted, UnitState(uid="y", id="gone", removed="stolen"))
    dues = office.due_list(TODAY)
    light = {(line.index, line.duty, line.state) for line in lines(dues)}
    assert light == {(due.index, due.duty, due.state) for due in dues.all()}
    assert len(list(lines(dues))) == dues.summary()["rows"]


def test_a_unit_that_is_only_counted_has_its_row(office):
    office.extra = (UnitState(uid="x", site="Sawmill", row=9, placeholder=True, nameplate=Nameplate(agent="abc")),)
    shown = text_of(client_of(office).get("/dues?site=Sawmill").text)
    assert "only counted on a list" in shown
    assert "find out: the unit itself" in shown


def test_filters_narrow_the_list_and_are_said_in_words(client, office):
    rows = [due for due in office.due_list(TODAY).all() if due.state == "overdue" and due.duty == "maintenance"]
    answer = client.get("/dues?state=overdue&duty=maintenance")
    assert answer.text.count('class="c-state"') == len(rows) > 0
    assert "Only overdue, maintenance." in text_of(answer.text)
    assert client.get("/dues?site=Ferry+hall&all=1").text.count("Airfield ramp, ") == 0
    assert "W-003" in client.get("/dues?text=w-003").text
    assert "No due fits." in client.get("/dues?text=no+such+thing").text


def test_the_count_of_a_state_keeps_the_other_filters_and_takes_its_own_off(client):
    shown = client.get("/dues?state=overdue&duty=maintenance").text
    assert 'href="/dues?duty=maintenance" aria-current="true"' in shown
    assert 'href="/dues?state=overdue&amp;state=due&amp;duty=maintenance"' in shown


@pytest.mark.parametrize("sort", ["urgency", "by", "duty", "unit", "place"])
def test_sorting_turns_round_and_loses_no_row(office, sort):
    dues = office.due_list(TODAY)
    up, _ = narrowed(dues, Asked(sort=sort))
    down, _ = narrowed(dues, Asked(sort=sort, down=True))
    assert set(up) == set(down) == set(lines(dues))
    assert list(up) != list(down)


def test_what_has_no_date_stands_last_both_ways(office):
    dues = office.due_list(TODAY)
    for down in (False, True):
        found, _ = narrowed(dues, Asked(sort="by", down=down))
        assert found[-1].state == "unknown" and found[0].state != "unknown"


def test_w_9_comes_before_w_10():
    office = FakeRooms(0, extra=[UnitState(uid=n, id=n, nameplate=Nameplate(agent="abc")) for n in ("W-10", "W-9", "A")])
    found, _ = narrowed(office.due_list(TODAY), Asked(sort="unit"))
    assert list(dict.fromkeys(line.index for line in found)) == [2, 1, 0]


def test_the_list_is_paged_and_can_be_put_on_one_page(client, office):
    total = office.due_list(TODAY).summary()["rows"]
    first = client.get("/dues").text
    assert f"1 to 50 of {total} rows" in first
    assert first.count('class="c-state"') == 50
    last = client.get("/dues?page=999").text
    assert f"101 to {total} of {total} rows" in last
    assert client.get("/dues?all=1").text.count('class="c-state"') == total


def test_the_list_can_be_asked_for_another_day(client, office):
    shown = text_of(client.get("/dues?on=1+Mar+2030").text)
    assert "on 1 Mar 2030" in shown
    assert f"{office.due_list(parse_date('2030-03-01').earliest).summary()['states']['overdue']} overdue" in shown


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("state=late", "“late” is not a state"),
        ("duty=painting", "“painting” is not a duty"),
        ("sort=colour", "cannot be sorted by “colour”"),
        ("on=31+Feb+2026", "“31 Feb 2026” is not a day"),
        ("on=2026", "“2026” is not a day"),
        ("page=minus", "“minus” is not a page"),
        ("page=²", "“²” is not a page"),
        (f"text={'x' * 300}", "longer than 200 characters"),
    ],
)
def test_a_filter_that_cannot_be_read_is_told_and_nothing_is_listed(client, query, words):
    answer = client.get(f"/dues?{query}")
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert "Nothing is listed until this is put right." in answer.text
    assert 'class="c-state"' not in answer.text
    assert faults(answer.text) == []


def test_what_was_typed_stays_in_the_form(client):
    shown = client.get("/dues?on=31+Feb+2026&text=ferry&site=Ferry+hall&duty=maintenance").text
    assert 'value="31 Feb 2026"' in shown
    assert 'value="ferry"' in shown
    assert '<option value="Ferry hall" selected>' in shown
    assert '<option value="maintenance" selected>' in shown


def test_filters_survive_a_round_through_the_address():
    asked = Asked(states=("overdue", "due"), duty="maintenance", site="Pier & hall", text="a=b", sort="unit", down=True, page=3)
    from urllib.parse import parse_qsl

    back, troubles = read_asked(parse_qsl(asked.href(page=3).partition("?")[2]))
    assert (back, troubles) == (asked, ())


HOSTILE = '"><script>alert(1)</script><img src=x onerror=alert(1)>'


def test_hostile_names_are_shown_as_text():
    unit = UnitState(uid=uid_of(0), id=HOSTILE, serial=HOSTILE, site=HOSTILE, place="' onmouseover='x", nameplate=Nameplate(agent="abc"))
    client = client_of(FakeRooms(1, extra=[unit]))
    for address in ("/", "/dues", f"/dues?text={HOSTILE}", f"/dues?on={HOSTILE}", f"/dues?site={HOSTILE}", f"/units/{HOSTILE}"):
        shown = client.get(address).text
        assert "<script" not in shown, address
        assert "<img" not in shown, address
        assert faults(shown) == [], address
    assert HOSTILE in text_of(client.get("/dues").text)


def test_a_unit_has_its_clocks_facts_line_and_history(client):
    shown = text_of(client.get(f"/units/{uid_of(1)}").text)
    for words in ("Clocks on 24 Nov 2026", "From birth to today", "serial RB-30701", "carbon dioxide", "pressure tested", "water jacket"):
        assert words in shown
    assert "manufacture Feb 2015" in client.get(f"/units/{uid_of(1)}").text


def test_a_corrected_record_is_shown_and_said_not_to_count(client):
    shown = text_of(client.get(f"/units/{uid_of(3)}").text)
    assert "does not count: it was corrected away" in shown
    assert "another unit was meant" in shown


def test_a_condemned_and_a_removed_unit_say_so_first(client):
    assert "Condemned: dent in the shell. The shell may never be charged again." in text_of(client.get(f"/units/{uid_of(4)}").text)
    removed = text_of(client.get(f"/units/{uid_of(8)}").text)
    assert "Out of the fleet: stolen. It owes no duty." in removed


def test_the_standards_tell_what_is_in_use_and_what_is_only_remembered(client, office):
    shown = text_of(client.get("/standards").text)
    assert "us-osha in use, " in shown
    assert "gb not in use" in shown
    remembered = sum(1 for pack in office.packs() for rule in pack.provisions if rule.checked in ("memory", "unsure"))
    assert remembered > 0
    assert shown.count("from memory, ") >= remembered
    assert "not chosen the packs" in text_of(client_of(FakeRooms(1, packs=())).get("/standards").text)


def test_no_pack_chosen_is_a_plain_page_that_says_what_to_do():
    answer = client_of(FakeRooms(1, packs=())).get("/dues")
    assert answer.status_code == 400
    assert "No rule pack is chosen" in text_of(answer.text)
    assert faults(answer.text) == []


def test_a_damaged_shop_is_a_plain_page(office):
    office.refuses = ShopUnusable(what="the shop is locked", rule="one program writes at a time", got="shop", do="close the other program")
    answer = client_of(office).get("/")
    assert answer.status_code == 503
    assert "The shop is locked" in text_of(answer.text)
    assert "Close the other program." in text_of(answer.text)
    assert faults(answer.text) == []


def test_our_own_fault_is_a_plain_page_without_a_traceback(office):
    class Broken(FakeRooms):
        def packs(self):
            raise KeyError("a secret detail")

    client = client_of(Broken(1))
    client._transport.raise_server_exceptions = False
    answer = client.get("/standards")
    assert answer.status_code == 500
    assert "The program made a mistake" in answer.text
    assert "secret" not in answer.text
    assert answer.headers["content-security-policy"] == HEADERS["content-security-policy"]


def test_a_refusal_of_a_page_shows_its_four_parts(office):
    office.refuses = Refusal(what="this day is too far", rule="years run to 2099", got="<2100>", do="choose another day")
    shown = text_of(client_of(office).get("/dues").text)
    for words in ("This day is too far", "Years run to 2099.", "<2100>", "Choose another day."):
        assert words in shown


def test_the_style_and_fonts_are_ours_and_may_be_kept(client):
    sheet = client.get("/static/pinseal.css")
    assert sheet.status_code == 200
    assert "max-age" in sheet.headers["cache-control"]
    assert "http:" not in sheet.text and "https:" not in sheet.text
    import re

    fonts = set(re.findall(r"url\((fonts/[^)]+)\)", sheet.text))
    assert len(fonts) == 6
    for font in fonts:
        assert client.get(f"/static/{font}").content[:4] == b"wOF2"
    assert "SIL Open Font License" in client.get("/static/fonts/OFL.txt").text.replace("SIL OPEN FONT LICENSE", "SIL Open Font License")
    assert client.get("/mark.svg").headers["content-type"] == "image/svg+xml"
    assert client.get("/dues").headers["cache-control"] == "no-store"


def test_a_state_is_always_a_shape_and_a_word(client):
    shown = client.get("/dues?all=1").text
    for state in ("withdraw", "overdue", "may be overdue", "due", "ahead", "unknown"):
        code = state.replace(" ", "-")
        assert f'<symbol id="shape-{code}"' in shown
        assert f'<use href="#shape-{code}"/></svg> {state}</span>' in shown
