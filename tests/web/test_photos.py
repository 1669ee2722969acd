"""Photos on the page of a unit and on a job sheet: from every record that names a file; one more by a plain form."""

from __future__ import annotations

import hashlib
import struct
import zlib

import pytest
from fake_office import uid_of
from fake_people import INSPECTOR, SITES_OWNER, TECH
from fake_rooms import FakeRooms, rooms_client
from page_checks import faults, text_of
from record_makers import Writer
from starlette.testclient import TestClient

from pinseal.service import pictures

UNIT, OTHER = uid_of(0), uid_of(5)


def png(width: int = 2, height: int = 2) -> bytes:
    """A small whole picture, by the structure of the PNG specification (memory)."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\0\0" * height)) + chunk(b"IEND", b"")


@pytest.fixture
def client(office: FakeRooms) -> TestClient:
    return rooms_client(office)


def add(client: TestClient, content: bytes | None = None, *, unit: str = UNIT, name: str = "dent.png", **said: str):
    form = {"note": "a dent <low> on the left", "day": "20 Nov 2026"} | said
    files = {"photo": (name, png() if content is None else content, "image/png")}
    return client.post(f"/units/{unit}/photos", data=form, files=files, follow_redirects=False)


def test_a_photo_is_added_and_shown_with_its_day_and_what_it_shows(client: TestClient, office: FakeRooms) -> None:
    assert add(client).headers["location"] == f"/units/{UNIT}#photos"
    kept = office.lives[UNIT][-1]
    sha256 = hashlib.sha256(png()).hexdigest()
    assert (kept.kind, str(kept.done), kept.fields["file"], kept.person) == ("noted", "2026-11-20", sha256, "Ida Quill")
    assert office.files[sha256] == ("dent.png", png(), "Ida Quill")
    page = client.get(f"/units/{UNIT}").text
    assert faults(page) == []
    assert f'<img src="/units/{UNIT}/files/{sha256}"' in page
    assert "A dent <low> on the left 20 Nov 2026, Ida Quill" in text_of(page)
    assert client.get(f"/units/{UNIT}/files/{sha256}").content == png()


def test_every_record_that_names_a_file_shows_it_with_what_was_done(client: TestClient, office: FakeRooms) -> None:
    writer = Writer("later", first=99_100)
    office.files["b" * 64] = ("x", png(), "")
    office.lives[UNIT] += [
        writer.write("maintained", "2026-11-02", unit=UNIT, found="pin bent", file="b" * 64),
        writer.write("remedied", "2026-11-03", unit=UNIT, finding="bracket-loose", how="bolted", file="d" * 64),
        writer.write("noted", "2026-11-04", unit=UNIT, note="on no disk", file="c" * 64),
    ]
    page = client.get(f"/units/{UNIT}").text
    words = text_of(page)
    assert "Maintained: pin bent 2 Nov 2026" in words
    assert "See the photo 1 Oct 2026" in words
    assert f'<a href="/units/{UNIT}/files/{"d" * 64}">Put right: bolted</a>' in page
    assert f"files/{'c' * 64}" not in page
    assert words.index("Maintained: pin bent 2 Nov") < words.index("See the photo 1 Oct")


def test_a_photo_of_a_record_that_was_voided_is_not_shown(client: TestClient, office: FakeRooms) -> None:
    photo = next(record for record in office.lives[UNIT] if "file" in record.fields)
    writer = Writer("later", first=99_200)
    office.lives[UNIT].append(writer.write("corrected", "2026-11-05", unit=UNIT, corrects=photo.uid, void="yes", reason="another unit"))
    assert f"files/{'a' * 64}" not in client.get(f"/units/{UNIT}").text


@pytest.mark.parametrize(
    ("content", "said", "words"),
    [
        (b"GIF89a" + bytes(40), {}, "This is no photo"), (b"<script>alert(1)</script>", {}, "JPEG or a PNG"),
        (png()[:-6], {}, "The photo cannot be read"),
        (b"", {}, "no photo"), (png(30_000, 1), {}, "too large"), (png(), {"note": ""}, "It is not said what the photo shows"),
        (png(), {"day": "2027-01-01"}, "still to come"), (png(), {"day": "someday"}, "not a date"),
    ],
)  # fmt: skip
def test_what_is_no_photo_is_refused_in_words_on_top_and_what_was_typed_stays(
    client: TestClient, office: FakeRooms, content: bytes, said: dict[str, str], words: str
) -> None:
    before = len(office.lives[UNIT])
    answer = add(client, content, **said)
    assert answer.status_code == 400
    assert words.casefold() in text_of(answer.text).casefold()
    assert answer.text.index('role="alert"') < answer.text.index('id="clocks"')
    assert said.get("note") == "" or 'value="a dent &lt;low&gt; on the left"' in answer.text
    assert faults(answer.text) == []
    assert len(office.lives[UNIT]) == before
    assert office.files == {}


def test_no_file_at_all_and_the_same_file_again_are_refused(client: TestClient) -> None:
    answer = client.post(f"/units/{UNIT}/photos", data={"note": "x", "day": "2026-11-20"})
    assert (answer.status_code, "No photo was chosen" in text_of(answer.text)) == (400, True)
    add(client)
    assert "This photo is there already" in text_of(add(client).text)


def test_a_photo_over_the_limit_is_refused_in_words(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pinseal.web.office_photos.BYTES_MAX", 60)
    monkeypatch.setattr(pictures, "BYTES_MAX", 60)
    assert "The photo is too large" in text_of(add(client, png() + bytes(100)).text)


def test_a_name_that_looks_like_a_path_is_never_kept_as_one(client: TestClient, office: FakeRooms) -> None:
    add(client, name="../../etc/passwd\u202e.png")
    ((name, _, _),) = office.files.values()
    assert "/" not in name and "\u202e" not in name and name.endswith(".png")


def test_photos_of_a_sheet_stand_on_the_sheet_and_can_be_added_there(client: TestClient, office: FakeRooms) -> None:
    sheet = client.post(f"/units/{UNIT}/sheet", data={"work": "inspection"}, follow_redirects=False)
    here = sheet.headers["location"].removesuffix("/work")
    uid = here.rsplit("/", 1)[-1]
    assert "None yet." in text_of(client.get(here).text)
    answer = add(client, sheet=uid)
    assert answer.headers["location"] == f"{here}#photos"
    page = client.get(here).text
    assert "A dent <low> on the left" in text_of(page)
    assert "See the photo" not in text_of(page)
    assert faults(page) == []
    assert add(client, unit=OTHER, sheet=uid).status_code == 404
    assert add(client, sheet="gone").status_code == 404


def test_who_only_reads_or_does_not_see_the_unit_adds_nothing(office: FakeRooms) -> None:
    assert add(rooms_client(office, INSPECTOR)).status_code == 403
    assert "Add a photo" not in rooms_client(office, INSPECTOR).get(f"/units/{UNIT}").text
    assert add(rooms_client(office, SITES_OWNER)).status_code == 404
    assert office.files == {}
    assert add(rooms_client(office, TECH)).status_code == 303
