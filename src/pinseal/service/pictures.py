"""Photos as they come in: what they are is read from their first bytes and their structure, never by drawing them.

So a small file that would unfold into a huge picture is refused before anything is unfolded.
Sources of the structures: JPEG: ITU-T T.81 annex B (memory). PNG: W3C PNG specification, chunk layout (memory).
"""

from __future__ import annotations

import hashlib
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from pinseal.reasons import Refusal

BYTES_MAX = 15_000_000
PIXELS_MAX = 60_000_000
SIDE_MAX = 20_000
NAME_MAX = 120
PARTS_MAX = 5_000  # an honest photo has a few hundred
PACKED_MAX = 1_000_000  # bytes of packed text or colours beside the picture; each is unfolded by whoever shows it
SCANS_MAX = 200  # a progressive photo has about ten
_PACKED = (b"zTXt", b"iTXt", b"iCCP")
_MOVING = (b"acTL", b"fcTL", b"fdAT")
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}  # by the colour type of a PNG
_PNG = b"\x89PNG\r\n\x1a\n"
_JPEG = b"\xff\xd8\xff"
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}  # the markers that tell the size of a JPEG picture
_BARE = frozenset({0x01, *range(0xD0, 0xD9)})  # markers without a length
_SCAN, _END = 0xDA, 0xD9


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What a photo is: its SHA-256, its kind, and its size in pixels."""

    sha256: str
    kind: str
    width: int
    height: int

    @property
    def ending(self) -> str:
        return {"image/jpeg": "jpg", "image/png": "png"}[self.kind]


def read_picture(content: bytes, *, sha256: str) -> Picture:
    """Look at a photo. Raises `Refusal` for one that is too large, is neither JPEG nor PNG, is cut off, or is not what was announced."""
    if len(content) > BYTES_MAX:
        got = f"{len(content) / 1e6:.1f} MB"
        raise _refused("the photo is too large", f"a photo has {BYTES_MAX / 1e6:g} MB at most", got, "take it at a smaller size")
    found = hashlib.sha256(content).hexdigest()
    if found != sha256:
        raise _refused("the photo did not arrive as it was sent", "its SHA-256 is the one of its address", found, "send it again")
    if content.startswith(_PNG):
        kind, (width, height) = "image/png", _png_size(content)
    elif content.startswith(_JPEG):
        kind, (width, height) = "image/jpeg", _jpeg_size(content)
    else:
        raise _refused("this is no photo", "a photo is a JPEG or a PNG file", ascii(content[:8]), "send it as JPEG or PNG")
    if not (0 < width <= SIDE_MAX and 0 < height <= SIDE_MAX and width * height <= PIXELS_MAX):
        rule = f"at most {PIXELS_MAX // 1_000_000} million points, and {SIDE_MAX:,} on a side"
        raise _refused("the picture in this file is too large", rule, f"{width} x {height}", "take it at a smaller size")
    return Picture(sha256=found, kind=kind, width=width, height=height)


def check_name(name: str) -> str:
    """The name of a photo is a word for people; it never becomes a path. Raises `Refusal` for one that could be taken for a path."""
    text = name.strip()
    if len(text) <= NAME_MAX and text.isprintable() and not any(each in text for each in "/\\:\0") and text not in (".", ".."):
        return text
    rule = f"at most {NAME_MAX} characters, and none of / \\ :"
    raise _refused("this is not the name of a photo", rule, ascii(name)[:NAME_MAX], "leave the name out; the photo is known by its SHA-256")


def _png_size(content: bytes) -> tuple[int, int]:
    """Width and height from the first chunk; every chunk must be whole, and the last one must be the end."""
    size: tuple[int, int] | None = None
    last, drawn, most = b"", 0, 0
    for number, (name, body) in enumerate(_png_chunks(content)):
        if size is None:
            if name != b"IHDR" or len(body) != 13:
                raise _broken("its first part does not tell its size")
            size, most = struct.unpack(">II", body[:8]), _png_bytes_max(body)
        if number >= PARTS_MAX:
            raise _bomb(f"{PARTS_MAX:,} parts at most", "more parts than that")
        if name in _MOVING:
            raise _bomb("a photo stands still", "a moving picture")
        if name in _PACKED:
            _check_packed(name, body)
        if name == b"IDAT":
            drawn += len(body)
            if drawn > most:
                raise _bomb("no more data than its size can hold", f"{drawn:,} bytes for {size[0]} x {size[1]} points")
        last = name
    if size is None or last != b"IEND":
        raise _broken("its end is missing")
    return size


def _png_bytes_max(head: bytes) -> int:
    """How many bytes the packed picture can have: all its rows as they are, seven times over for interlacing, and what packing adds."""
    width, height, depth, colour = struct.unpack(">IIBB", head[:10])
    row: int = 1 + (width * depth * _CHANNELS.get(colour, 4) + 7) // 8
    whole: int = row * height + 7 * (width + height + 2)
    return whole + whole // 100 + 1_000


def _check_packed(name: bytes, body: bytes) -> None:
    """Packed text and colours: unfolded as far as the limit and no farther."""
    at = body.find(b"\0")
    start = at + 2 if name != b"iTXt" else at + 3
    if name == b"iTXt":
        if body[at + 1 : at + 2] != b"\1":
            return  # not packed; the limit of the file is limit enough
        for _ in range(2):  # language and translated keyword
            start = body.find(b"\0", start) + 1
    unfolding = zlib.decompressobj()
    try:
        unfolding.decompress(body[start:], PACKED_MAX)
    except zlib.error as wrong:
        raise _broken("a packed part of it is spoilt") from wrong
    if unfolding.unconsumed_tail:
        raise _bomb(f"a packed part unfolds to {PACKED_MAX / 1e6:g} MB at most", f"a part {name.decode()} that unfolds to more")


def _bomb(rule: str, got: str) -> Refusal:
    return _refused("this is no honest photo", rule, got, "take it again with the camera")


def _png_chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    at = len(_PNG)
    while at < len(content):
        head = content[at : at + 8]
        if len(head) < 8:
            raise _broken("something stands after its end")
        length, name = int.from_bytes(head[:4], "big"), head[4:]
        body, check = content[at + 8 : at + 8 + length], content[at + 8 + length : at + 12 + length]
        if len(check) < 4 or zlib.crc32(name + body) != int.from_bytes(check, "big"):
            raise _broken("a part of it is cut off or spoilt")
        at += 12 + length
        yield name, body
        if name == b"IEND" and at != len(content):
            raise _broken("something stands after its end")


def _jpeg_size(content: bytes) -> tuple[int, int]:
    """Width and height from the frame header, which stands before the first scan; the file must hold its end."""
    size: tuple[int, int] | None = None
    for marker, body in _jpeg_parts(content):
        if marker in _FRAMES:
            if size is not None or len(body) < 5:
                raise _broken("it tells its size twice, or not at all")
            height, width = struct.unpack(">HH", body[1:5])
            size = width, height
    if size is None:
        raise _broken("it does not tell its size")
    if content.rfind(b"\xff\xd9") < 0:
        raise _broken("its end is missing")
    if content.count(b"\xff\xda") > SCANS_MAX:
        raise _bomb(f"{SCANS_MAX} scans at most", "more scans than that")
    return size


def _jpeg_parts(content: bytes) -> Iterator[tuple[int, bytes]]:
    """The marked parts up to the first scan."""
    at = 2
    while True:
        while content[at : at + 2] == b"\xff\xff":
            at += 1
        if len(content) < at + 4 or content[at] != 0xFF:
            raise _broken("a part of it is cut off or spoilt")
        marker = content[at + 1]
        if marker in _BARE:
            at += 2
            continue
        if marker in (_SCAN, _END):
            return
        length = int.from_bytes(content[at + 2 : at + 4], "big")
        if length < 2 or at + 2 + length > len(content):
            raise _broken("a part of it is cut off or spoilt")
        yield marker, content[at + 4 : at + 2 + length]
        at += 2 + length


def _broken(why: str) -> Refusal:
    return _refused("the photo cannot be read", "a photo is a whole JPEG or PNG file", why, "take it again")


def _refused(what: str, rule: str, got: str, do: str) -> Refusal:
    return Refusal(what=what, rule=rule, got=got, do=do)
