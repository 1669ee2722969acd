"""The page that proves a report, opened as a file in a browser without a network."""

import hashlib
import json
from datetime import UTC, datetime

import pytest

from pinseal.dates import parse_date
from pinseal.documents.proof_page import ProofLine, proof_page
from pinseal.records.record import FIRST, Draft, seal, text_of, uuid7
from pinseal.records.tie import RULE, tie

pytestmark = pytest.mark.browser
ABOUT = {"paper": "visit report", "site": "Pier Café 消防站", "from": "2026-11-24", "to": "2026-11-24"}


@pytest.fixture
def records():
    made, at = [], datetime(2026, 11, 24, 9, 0, tzinfo=UTC)
    for number, note in enumerate(("fine", "gauge at 195 psi", "</script><b>消防站</b> 🧯")):
        uid = uuid7(at=at, randomness=b"a record", sequence=number)
        said = Draft(kind="inspected", unit=uid, person="Ida Quill", done=parse_date("2026-11-24"), fields={"note": note})
        made.append(seal(said, uid=uid, writer="van-1", previous=made[-1].digest if made else FIRST))
    return made


def written(folder, records, *, hidden=(), change=lambda text: text):
    tied, by_uid = tie(ABOUT, records), {each.uid: each for each in records}
    lines = [ProofLine(uid=u, digest=d, text=None if u in hidden else text_of(by_uid[u])) for u, d in tied.lines]
    page = proof_page(title="Visit to Pier Café", shop="Quay Works", about=tied.about, hash=tied.hash, rule=RULE, lines=lines)
    file = folder / "proof.html"
    file.write_text(change(page), encoding="utf-8", newline="\n")
    return file, tied


@pytest.fixture
def opened(browser):
    """Opens a file with the network cut off; nothing may be asked for beside the file, and nothing may go wrong in it."""
    context = browser.new_context(offline=True)
    asked, wrong = [], []

    def look(file):
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda said: wrong.append(said.text))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(file.as_uri())
        return page

    yield look
    context.close()
    assert all(url.startswith("file:") for url in asked)
    assert not wrong


def test_records_as_they_were_written_fit(opened, records, tmp_path):
    file, tied = written(tmp_path, records)
    page = opened(file)
    assert page.inner_text("#answer") == "It fits: the records are as they were when the report was made."
    assert page.inner_text("#found").replace(" ", "") == tied.hash
    assert not page.is_visible("#wrong")


def test_one_altered_byte_is_found_and_its_record_is_named(opened, records, tmp_path):
    file, _ = written(tmp_path, records, change=lambda page: page.replace("195 psi", "196 psi"))
    page = opened(file)
    assert page.inner_text("#answer").startswith("It does not fit: 1 of 3 records")
    assert records[1].uid in page.inner_text("#wrong-list")
    assert records[0].uid not in page.inner_text("#wrong-list")


def test_an_altered_byte_with_its_digest_made_anew_still_does_not_fit(opened, records, tmp_path):
    text = text_of(records[1]).replace("195", "196")
    digest = hashlib.sha256(text.encode()).hexdigest()
    file, _ = written(tmp_path, records, change=lambda page: page.replace("195 psi", "196 psi").replace(records[1].digest, digest))
    page = opened(file)
    assert page.inner_text("#answer").startswith("It does not fit")


def test_a_record_taken_out_is_noticed(opened, records, tmp_path):
    def without(page):
        start = page.index('<script type="application/json" id="held">') + len('<script type="application/json" id="held">')
        end = page.index("</script>", start)
        held = json.loads(page[start:end])
        held["records"].pop()
        return page[:start] + json.dumps(held).replace("<", "\\u003c") + page[end:]

    file, _ = written(tmp_path, records, change=without)
    assert "a record is missing, or was added" in opened(file).inner_text("#answer")


def test_a_record_that_is_kept_back_is_said_and_still_counts(opened, records, tmp_path):
    file, _ = written(tmp_path, records, hidden={records[0].uid})
    page = opened(file)
    assert page.inner_text("#answer").startswith("It fits")
    assert "1 are kept back" in page.inner_text("#count")


def test_the_hash_of_the_paper_is_compared(opened, records, tmp_path):
    file, tied = written(tmp_path, records)
    page = opened(file)
    page.fill("#printed", " ".join((tied.hash[:16], tied.hash[16:32].upper(), tied.hash[32:48], tied.hash[48:])))
    assert page.inner_text("#same").startswith("The same")
    page.fill("#printed", tied.hash[:-1] + ("0" if tied.hash[-1] != "0" else "1"))
    assert page.inner_text("#same").startswith("Another hash")


def test_every_record_can_be_read_and_none_of_them_becomes_part_of_the_page(opened, records, tmp_path):
    page = opened(written(tmp_path, records)[0])
    page.click("summary")
    page.wait_for_selector("#all-list li")  # the list is made when it is opened
    assert "</script><b>消防站</b> 🧯" in page.inner_text("#all-list")
    assert page.locator("#all-list span b").count() == 0


def test_our_own_sha_256_gives_what_the_standard_library_gives(opened, records, tmp_path):
    """FIPS 180-4; the lengths go over each edge of a block of 64 bytes. hashlib is the independent maker."""
    page = opened(written(tmp_path, records)[0])
    lengths = [*range(130), 4_095, 4_096, 1_000_003]
    found = page.evaluate("(lengths) => lengths.map((n) => sha256(Uint8Array.from({ length: n }, (_, i) => (i * 31 + n) % 256)))", lengths)
    assert found == [hashlib.sha256(bytes((i * 31 + n) % 256 for i in range(n))).hexdigest() for n in lengths]
    assert page.evaluate("sha256(new TextEncoder().encode('abc'))") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
