"""Links for an authority: what they show, who makes them, and how they end."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from fake_office import client_of, records_of, uid_of
from fake_people import LEAD, TECH
from fake_rooms import FakeRooms
from page_checks import faults, text_of

from pinseal.reasons import Refusal
from pinseal.records.chain import receipt_of
from pinseal.records.fold import fold
from pinseal.records.proof import prove
from pinseal.records.record import digest_of
from pinseal.web.share_doors import Share, Shared

UNTIL = datetime(2026, 12, 25, tzinfo=UTC)


def shared(number=1, *, count=1, veiled=False, change=lambda record: record):
    records = records_of(number)
    some = [change(record) for record in records[-count:]]
    chain = [record.digest for record in records]
    receipts = {r.uid: receipt_of(r, number=n, received=UNTIL, previous="") for n, r in enumerate(records, 1)}
    proofs = [prove(record, chain=chain, receipt=receipts[record.uid]) for record in some]
    return Shared(unit=fold(records), history=records, proofs=proofs, until=UNTIL, veiled=veiled)


class FakeShares:
    def __init__(self, found=None):
        self.found, self.said = found, []

    def shared(self, key):
        return self.found if key == "right" else None

    def shares(self, unit):
        record = records_of(1)[0].uid
        return [
            Share(uid="s1", name="<Fire> office", record=record, day=None, until=UNTIL, holds=True),
            Share(uid="s2", name="Fire office", record=None, day=UNTIL.date(), until=UNTIL, holds=False),
        ]

    def share(self, unit, *, name, record, day, days, by):
        if record == "none":
            raise Refusal(what="nothing", rule="", got="", do="")
        self.said.append((unit, name, record, day, days, by))
        return "new-key"

    def end_share(self, unit, uid):
        self.said.append((unit, uid))


def visitor(found):
    return client_of(FakeRooms(2), account=None, shares=FakeShares(found))


def test_a_link_shows_the_record_with_what_stands_behind_it():
    found = shared()
    record = found.proofs[0].record
    page = visitor(found).get("/shared/right")
    assert page.status_code == 200
    assert faults(page.text) == []
    said = text_of(page.text)
    assert "until 25 Dec 2026" in said
    assert "What stands behind it holds" in said
    for words in (record.digest, record.previous, record.person, "number", "2026-12-25 00:00:00 UTC"):
        assert words in said
    assert page.headers["cache-control"] == "no-store"
    assert "noindex" in page.headers["x-robots-tag"]


def test_the_text_on_the_page_is_the_one_that_the_digest_is_made_of():
    import hashlib

    found = shared()
    page = text_of(visitor(found).get("/shared/right").text)
    text = found.proofs[0].text
    assert text in page
    assert hashlib.sha256(text.encode()).hexdigest() == found.proofs[0].record.digest


def test_a_link_shows_nothing_else_of_the_shop():
    found = shared(1)
    page = visitor(found).get("/shared/right").text
    for other in found.history[:-1]:
        assert other.digest not in page.replace(found.proofs[0].record.previous, "")
    assert "/units/" not in page
    assert "Airfield ramp" not in page


def test_a_record_that_was_changed_is_told():
    found = shared(change=lambda record: replace(record, person="Somebody Else"))
    said = text_of(visitor(found).get("/shared/right").text)
    assert "What stands behind it does not hold" in said
    assert "not the one that its digest was made of" in said


def test_a_changed_record_that_was_sealed_anew_is_told():
    def sealed_anew(record):
        changed = replace(record, person="Somebody Else")
        return replace(changed, digest=digest_of(changed))

    said = text_of(visitor(shared(change=sealed_anew)).get("/shared/right").text)
    assert "does not follow the record" in said
    assert "receipt is missing, or is not for this record" in said


def test_a_voided_record_says_so():
    found = shared(3, count=len(records_of(3)))
    assert "void" in text_of(visitor(found).get("/shared/right").text).lower()


def test_where_a_name_is_veiled_the_text_with_the_name_is_left_out():
    found = shared(veiled=True)
    said = text_of(visitor(found).get("/shared/right").text)
    assert found.proofs[0].text not in said
    assert "asked that their name is not shown" in said


def test_a_link_that_opens_nothing_says_so():
    assert visitor(shared()).get("/shared/wrong").status_code == 400


@pytest.fixture
def shares():
    return FakeShares()


@pytest.fixture
def lead(shares):
    return client_of(FakeRooms(2), account=LEAD, shares=shares)


def test_the_page_of_links_is_whole(lead):
    page = lead.get(f"/units/{uid_of(1)}/share")
    assert faults(page.text) == []
    assert "&lt;Fire&gt; office" in page.text
    assert lead.get("/units/none/share").status_code == 404


@pytest.mark.parametrize("path", ["", "/end"])
def test_only_a_supervisor_makes_and_ends_links(shares, path):
    client = client_of(FakeRooms(2), account=TECH, shares=shares)
    assert client.post(f"/units/{uid_of(1)}/share{path}", data={"to": "a", "days": "1", "what": "record:x"}).status_code == 403
    assert shares.said == []


def test_a_link_is_made_shown_once_and_ended(lead, shares):
    address = f"/units/{uid_of(1)}/share"
    record = records_of(1)[0].uid
    answer = lead.post(address, data={"to": "Fire office", "days": "366", "what": f"record:{record}"})
    assert "http://127.0.0.1:8000/shared/new-key" in text_of(answer.text)
    assert "new-key" not in lead.get(address).text
    lead.post(address, data={"to": "Fire office", "days": "1", "what": "day:2026-11-03"})
    lead.post(f"{address}/end", data={"share": "s1"})
    made, daily, ended = shares.said
    assert made == (uid_of(1), "Fire office", record, None, 366, LEAD)
    assert daily[3].isoformat() == "2026-11-03"
    assert ended == (uid_of(1), "s1")


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"to": " "}, "Say who gets the link"),
        ({"days": "0"}, "1 to 366"),
        ({"days": "367"}, "1 to 366"),
        ({"days": "x"}, "1 to 366"),
        ({"what": "record:none"}, "Choose a record or a day"),
        ({"what": "day:soon"}, "Choose a record or a day"),
        ({"what": ""}, "Choose a record or a day"),
    ],
)
def test_what_is_wrong_with_a_link_is_told(lead, shares, changed, words):
    answer = lead.post(f"/units/{uid_of(1)}/share", data={"to": "Fire office", "days": "30", "what": "record:x"} | changed)
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert faults(answer.text) == []
    assert shares.said == []
