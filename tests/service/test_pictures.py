"""Photos are looked at by their structure alone: what they are, how large they are, and whether they are whole."""

from __future__ import annotations

import struct
import zlib
from random import Random

import pytest
from tests.web.door_shop import jpeg, png, sha256

from pinseal.reasons import Refusal
from pinseal.service import pictures
from pinseal.service.pictures import PIXELS_MAX, SIDE_MAX, check_name, read_picture


def why(content: bytes) -> str:
    with pytest.raises(Refusal) as refused:
        read_picture(content, sha256=sha256(content))
    return str(refused.value)


@pytest.mark.parametrize(("content", "kind"), [(png(640, 480), "image/png"), (jpeg(640, 480), "image/jpeg")])
def test_kind_and_size_are_read(content, kind):
    seen = read_picture(content, sha256=sha256(content))
    assert (seen.kind, seen.width, seen.height) == (kind, 640, 480)


@pytest.mark.parametrize("frame", [0xC0, 0xC1, 0xC2])
def test_every_usual_frame_of_a_jpeg_tells_the_size(frame):
    content = jpeg(30, 20, frame=frame)
    assert read_picture(content, sha256=sha256(content)).width == 30


@pytest.mark.parametrize("make", [png, jpeg])
def test_a_small_file_that_unfolds_into_a_huge_picture_is_refused(make):
    assert len(make(SIDE_MAX, SIDE_MAX)) < 1_000
    assert "too large" in why(make(SIDE_MAX, SIDE_MAX))


_ROWS = PIXELS_MAX // SIDE_MAX


@pytest.mark.parametrize(
    ("width", "height", "fits"),
    [
        (SIDE_MAX, _ROWS, True), (SIDE_MAX, _ROWS + 1, False), (SIDE_MAX, 1, True), (SIDE_MAX + 1, 1, False), (1, 1, True), (0, 1, False),
    ],
)  # fmt: skip
def test_the_limits_of_the_size(width, height, fits):
    content = png(width, height)
    if fits:
        assert read_picture(content, sha256=sha256(content)).width == width
    else:
        assert "too large" in why(content)


@pytest.mark.parametrize(("more", "fits"), [(0, True), (1, False)])
def test_the_limit_of_the_file(monkeypatch, more, fits):
    content = jpeg()
    monkeypatch.setattr(pictures, "BYTES_MAX", len(content) - more)
    if fits:
        assert read_picture(content, sha256=sha256(content))
    else:
        assert "the photo is too large" in why(content)


@pytest.mark.parametrize(
    "content",
    [b"", b"GIF89a" + bytes(40), b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>", b"%PDF-1.7", b"RIFF0000WEBPVP8 "],
)
def test_another_kind_of_file_is_no_photo(content):
    assert "no photo" in why(content)


def test_a_photo_that_is_cut_off_anywhere_is_refused():
    whole = png(9, 9)
    for length in range(8, len(whole)):
        assert "cannot be read" in why(whole[:length])
    whole = jpeg(9, 9)
    for length in range(3, len(whole) - 1):
        assert "cannot be read" in why(whole[:length])


def test_a_changed_part_of_a_png_is_noticed():
    whole = bytearray(png(9, 9))
    whole[20] ^= 1
    assert "cannot be read" in why(bytes(whole))


def test_nothing_may_stand_behind_the_end_of_a_png():
    assert "after its end" in why(png() + b"<script>")
    assert "after its end" in why(png() + png()[8:])


def test_a_jpeg_that_tells_two_sizes_is_refused():
    whole = jpeg(4, 4)
    frame = whole[whole.index(b"\xff\xc0") : whole.index(b"\xff\xda")]
    assert "cannot be read" in why(whole.replace(frame, frame * 2))


def test_a_jpeg_without_a_size_is_refused():
    whole = jpeg(4, 4)
    frame = whole[whole.index(b"\xff\xc0") : whole.index(b"\xff\xda")]
    assert "does not tell its size" in why(whole.replace(frame, b""))


def test_marks_without_a_length_and_filling_bytes_are_stepped_over():
    whole = jpeg(7, 5)
    content = whole[:2] + b"\xff\xff\xff\xd0" + whole[2:]
    assert read_picture(content, sha256=sha256(content)).height == 5


@pytest.mark.parametrize("name", ["IMG 0042.jpg", "boiler room, red.png", "Kessel ä.jpg", "x" * 120])
def test_a_plain_name_is_kept_as_it_is(name):
    assert check_name(f" {name} ") == name


# Bombs: small files that whoever shows them would unfold without end


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


_BOMB, _SMALL = zlib.compress(bytes(20_000_000), 9), zlib.compress(bytes(900_000), 9)


@pytest.mark.parametrize(
    ("name", "head"),
    [(b"zTXt", b"Comment\0\0"), (b"iCCP", b"colours\0\0"), (b"iTXt", b"Comment\0\1\0en\0Bemerkung\0"), (b"iTXt", b"C\0\1\0\0\0")],
)
def test_a_packed_part_that_unfolds_without_end_is_refused(name, head):
    assert len(_BOMB) < 30_000
    assert "unfolds to more" in why(png(more=chunk(name, head + _BOMB)))
    content = png(more=chunk(name, head + _SMALL))
    assert read_picture(content, sha256=sha256(content))
    assert "spoilt" in why(png(more=chunk(name, head + b"nothing packed")))


def test_plain_text_in_a_png_is_left_alone():
    content = png(more=chunk(b"iTXt", b"Comment\0\0\0en\0\0not packed") + chunk(b"tEXt", b"Comment\0plain"))
    assert read_picture(content, sha256=sha256(content))


def test_more_data_than_the_size_can_hold_is_refused():
    assert "more data than its size can hold" in why(png(4, 3, more=chunk(b"IDAT", bytes(5_000))))


@pytest.mark.parametrize(("count", "fits"), [(pictures.PARTS_MAX - 3, True), (pictures.PARTS_MAX - 2, False)])
def test_the_number_of_parts_has_a_limit(count, fits):
    content = png(more=chunk(b"tEXt", b"a\0b") * count)
    if fits:
        assert read_picture(content, sha256=sha256(content))
    else:
        assert "parts" in why(content)


def test_a_moving_picture_is_refused():
    assert "moving" in why(png(more=chunk(b"acTL", struct.pack(">II", 2**31 - 1, 0))))


@pytest.mark.parametrize(("scans", "fits"), [(pictures.SCANS_MAX, True), (pictures.SCANS_MAX + 1, False)])
def test_the_number_of_scans_of_a_jpeg_has_a_limit(scans, fits):
    whole = jpeg(frame=0xC2)
    content = whole[:-2] + b"\xff\xda\x00\x02\x11" * (scans - 1) + whole[-2:]
    if fits:
        assert read_picture(content, sha256=sha256(content))
    else:
        assert "scans" in why(content)


@pytest.mark.parametrize(("depth", "colour"), [(1, 0), (8, 2), (16, 6), (8, 3), (16, 4)])
def test_no_honest_png_is_taken_for_a_bomb(depth, colour):
    """The worst case of packing: rows that do not pack at all, each filter byte in its place."""
    width, height, channels = 61, 37, {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour]
    row = (width * depth * channels + 7) // 8 + 1
    rows = zlib.compress(Random(1).randbytes(row * height), 0)
    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    content = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    assert read_picture(content, sha256=sha256(content)).width == width
