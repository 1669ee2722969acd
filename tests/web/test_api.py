"""The API's reads and works: who may what, whose sites, one shape of error; and whatever schemathesis thinks of asking."""

from __future__ import annotations

import pytest
import schemathesis
from door_shop import LEAD, MILL, NOW, PIER, TODAY, good_entries, make_shop, rooms_of, signed_in, unit_state, unit_uid
from hypothesis import HealthCheck, given, settings
from schemathesis.specs.openapi.checks import positive_data_acceptance
from starlette.testclient import TestClient

from pinseal.dates import PartialDate
from pinseal.records.record import Draft
from pinseal.store import Shop
from pinseal.web.api_app import build_api

MISSING = unit_uid(77)
PRICED = ("deficiency-quoted", "quote-answered", "18450", "77123")
READS = ("/units", f"/units/{unit_uid(0)}", "/dues", "/deficiencies", "/sheets", "/instruments", "/people")


@pytest.fixture
def shop(tmp_path):
    return make_shop(tmp_path)


def ask(shop, token: str, path: str):
    return signed_in(*shop, token=token).get(f"/api{path}")


@pytest.mark.parametrize("path", READS)
def test_a_supervisor_reads_everything_and_nobody_reads_nothing(shop, path: str) -> None:
    assert ask(shop, "lead-read", path).status_code == 200
    refused = ask(shop, "", path)
    assert (refused.status_code, set(refused.json()["error"])) == (401, {"what", "rule", "got", "do"})


@pytest.mark.parametrize("path", READS)
def test_a_token_without_the_scope_to_read_is_refused(shop, path: str) -> None:
    assert ask(shop, "lead-door", path).status_code == 403


def test_people_are_for_supervisors_and_instruments_not_for_owners(shop) -> None:
    assert [ask(shop, f"{who}-read", "/people").status_code for who in ("tech", "bench", "owner", "inspector")] == [403] * 4
    assert [ask(shop, f"{who}-read", "/instruments").status_code for who in ("tech", "owner")] == [200, 403]


def test_an_owner_sees_only_the_units_of_their_sites(shop) -> None:
    whole, own = (ask(shop, f"{who}-read", "/units").json()["units"] for who in ("lead", "owner"))
    assert {each["site"] for each in whole} == {MILL, PIER}
    assert {each["site"] for each in own} == {MILL}
    of_pier = next(each["uid"] for each in whole if each["site"] == PIER)
    assert ask(shop, "owner-read", f"/units/{of_pier}").status_code == ask(shop, "lead-read", f"/units/{MISSING}").status_code == 404
    assert of_pier not in {row["unit"]["uid"] for row in ask(shop, "owner-read", "/dues").json()["rows"]}


def test_what_an_owner_searches_for_is_answered_from_their_own_units_alone(shop) -> None:
    def found(token: str, **asked: str) -> list[str]:
        return [each["id"] for each in signed_in(*shop, token=token).get("/api/units", params=asked).json()["units"]]

    of_pier = unit_state(2).serial  # a word that no unit of the owner has is left out, as one that nobody has
    assert found("owner-read", text=f"{of_pier} room") == found("owner-read", text="room") == ["M-000", "M-001", "M-003", "M-004"]
    assert found("owner-read", text=of_pier, site=PIER) == []
    for everywhere in ("inspector-read", "lead-read"):
        assert found(everywhere, text=f"{of_pier} room") == ["M-002"]
    assert found("lead-read", text=f"{of_pier} room", site=MILL) == found("owner-read", text="room")


def quoted(shop, unit: int = 0) -> None:
    """A finding of a unit that was quoted and agreed, and whose price was corrected since."""
    uids, signed = [unit_uid(800 + n) for n in range(5)], {"unit": unit_uid(unit), "person": LEAD.name}
    price = {"deficiency": uids[0], "price-minor": "18450", "currency": "EUR", "work": "a new hose"}
    said = (
        ("found-deficient", {"finding": "hose", "words": "the hose is cracked", "action": "mend"}),
        ("deficiency-quoted", price),
        ("quote-answered", {"quoted": uids[1], "answer": "agreed", "answered-by": "Osric Lane"}),
        ("corrected", {"corrects": uids[1], "to-price-minor": "77123", "reason": "a slip"}),
    )
    drafts = [
        Draft(kind=kind, done=PartialDate.of(TODAY), fields=fields, uid=uid, **signed)
        for uid, (kind, fields) in zip(uids, said, strict=False)
    ]
    with Shop.open(shop[1]) as opened:
        opened.write(drafts, writer="office", received=NOW)


def test_prices_are_read_by_those_whom_they_concern(shop) -> None:
    quoted(shop)
    paths = [f"/units/{unit_uid(0)}", "/deficiencies?every=true", "/units", "/dues", "/sheets"]

    def told(token: str) -> str:
        return "".join(ask(shop, token, path).text for path in paths)

    for token in ("lead-read", "tech-read", "bench-read", "owner-read"):
        assert {"deficiency-quoted", "quote-answered", "18450", "77123"} <= {each for each in PRICED if each in told(token)}, token
    assert [each for each in (*PRICED, "a new hose") if each in told("inspector-read")] == []
    assert "found-deficient" in told("inspector-read") and "the hose is cracked" in told("inspector-read")


def test_an_owner_reads_no_price_of_another_site(shop) -> None:
    quoted(shop, 2)
    assert ask(shop, "owner-read", f"/units/{unit_uid(2)}").status_code == 404
    everything = "".join(ask(shop, "owner-read", path).text for path in ("/units", "/dues", "/deficiencies?every=true", "/sheets"))
    assert [each for each in (*PRICED, "the hose is cracked") if each in everything] == []
    assert "18450" in ask(shop, "lead-read", f"/units/{unit_uid(2)}").text


def test_no_price_goes_along_with_a_phone(shop) -> None:
    quoted(shop)
    day = ask(shop, "tech-door", "/door/day").text
    assert "the hose is cracked" in day and [each for each in PRICED if each in day] == []


def test_a_sheet_is_begun_entered_and_finished_and_its_records_are_there(shop) -> None:
    client = signed_in(*shop)
    unit = unit_uid(0)
    begun = client.post("/api/sheets", json={"unit": unit, "works": ["inspection"]})
    assert begun.status_code == 201
    uid = begun.json()["uid"]
    for entry in good_entries(*shop, unit=unit):
        taken = client.post(f"/api/sheets/{uid}/entries", json={"entry": entry.as_json()})
        assert taken.status_code == 200, taken.json()
    done = client.post(f"/api/sheets/{uid}/finish")
    assert done.status_code == 200, done.json()
    with Shop.open(shop[1], readonly=True) as opened:
        assert {"inspected", "worked"} <= {record.kind for record in opened.records(unit)}
        assert opened.verify().holds
    again = client.post(f"/api/sheets/{uid}/finish")
    assert again.status_code == 400, again.json()
    assert "closed" in again.json()["error"]["what"]


def test_a_shut_step_is_refused_in_words_and_nothing_is_kept(shop) -> None:
    client = signed_in(*shop)
    uid = client.post("/api/sheets", json={"unit": unit_uid(0), "works": ["recharge"]}).json()["uid"]
    refused = client.post(f"/api/sheets/{uid}/entries", json={"entry": {"step": "valve-off-portable", "answer": "off"}})
    assert refused.status_code == 400
    assert "no-pressure" in refused.json()["error"]["rule"]
    assert client.get(f"/api/sheets/{uid}").json()["entries"] == []


def test_a_decision_from_a_few_facts_writes_nothing(shop) -> None:
    facts = {"unit": unit_uid(0), "works": ["maintenance"], "entries": [{"step": "lever-looks-right", "answer": "stiff"}]}
    told = signed_in(*shop).post("/api/decide", json=facts)
    assert told.status_code == 200
    assert told.json()["progress"]["decision"]["decision"] == "teardown"
    assert signed_in(*shop).get("/api/sheets").json()["sheets"] == []


def test_an_authority_reads_and_works_nothing(shop) -> None:
    client = signed_in(*shop, token="inspector-read+work+door")
    assert client.get("/api/units").status_code == 200
    assert client.post("/api/sheets", json={"unit": unit_uid(0), "works": ["inspection"]}).status_code == 403
    assert client.post("/api/door", json={"device": "phone-0009"}).status_code == 403


@pytest.mark.filterwarnings("ignore")
def test_no_request_that_fits_the_description_gets_an_answer_that_does_not(shop) -> None:
    api = build_api(rooms_of(*shop))
    schema = schemathesis.openapi.from_asgi("/openapi.json", api)
    headers = {"authorization": "Bearer lead-read+work+door"}

    count = 0
    for found in schema.get_all_operations():
        operation = found.ok()

        @given(case=operation.as_strategy())
        @settings(max_examples=12, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
        def one(case) -> None:
            answer = case.call(headers=headers)
            assert answer.status_code < 500, (case.method, case.path, answer.status_code, answer.content[:300])
            # A refusal in words is an answer: no schema can say that a photo must have the digest of its address.
            case.validate_response(answer, excluded_checks=[positive_data_acceptance])

        one()
        count += 1
    assert count >= 15


def test_the_description_is_there_for_a_program(shop) -> None:
    client: TestClient = signed_in(*shop)
    paths = client.get("/api/openapi.json").json()["paths"]
    assert {"/units", "/door", "/door/day", "/sheets/{uid}/entries"} <= set(paths)
