"""Open a list by what its bytes are, not by its name: text of any encoding, or XLSX. Everything else is refused."""

from __future__ import annotations

from pathlib import Path

from pinseal.intake.grid import Book
from pinseal.intake.text_files import read_text
from pinseal.intake.workbooks import read_workbook
from pinseal.reasons import Refusal

RULE = "a register is a text file (CSV, TSV, semicolons) or an XLSX workbook"
BYTES_MAX = 512 * 1024 * 1024

_MAGIC = (
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"BM", "a bitmap picture"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"RIFF", "a media file"),
    (b"{\\rtf", "a word-processor document"),
    (b"SQLite format 3", "a database"),
)
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def open_book(path: str | Path) -> Book:
    """Read a whole list into plain grids. Raises `Refusal` with what was found instead."""
    path = Path(path)
    size = _size_of(path)
    try:
        with path.open("rb") as stream:
            head = stream.read(64 * 1024)
    except OSError as error:
        raise Refusal(
            what="the file cannot be read", rule=RULE, got=f"{path.name}: {error.strerror}", do="check who may read it"
        ) from error
    if head.startswith(b"PK\x03\x04"):
        return read_workbook(path)
    if head.startswith(_OLE):
        raise _refuse_old_office(path, head)
    for magic, name in _MAGIC:
        if head.startswith(magic) and not (magic == b"BM" and b"\x00" not in head[:64]):
            raise Refusal(what="this is not a register", rule=RULE, got=f"{path.name} is {name}", do="choose the list itself")
    return read_text(path, head, size)


def _size_of(path: Path) -> int:
    if path.is_dir():
        raise Refusal(what="this is a folder", rule="one list is read at a time", got=str(path.name), do="name the file in it")
    try:
        size = path.stat().st_size
    except OSError as error:
        raise Refusal(what="there is no such file", rule=RULE, got=str(path), do="check the name and the folder") from error
    if not path.is_file():
        raise Refusal(what="this is not a plain file", rule=RULE, got=str(path.name), do="save the list as a file")
    if size == 0:
        raise Refusal(what="the file is empty", rule=RULE, got=f"{path.name}, 0 bytes", do="export the list again")
    if size > BYTES_MAX:
        raise Refusal(what="the file is too large", rule=f"at most {BYTES_MAX} bytes are read", got=f"{size} bytes", do="split the list")
    return size


def _refuse_old_office(path: Path, head: bytes) -> Refusal:
    if "EncryptedPackage".encode("utf-16-le") in path.read_bytes()[: 4 * 1024 * 1024] or b"EncryptedPackage" in head:
        return Refusal(what="the workbook is locked with a password", rule=RULE, got=path.name, do="save a copy without the password")
    return Refusal(what="this is an old office file", rule=RULE, got=f"{path.name} (.xls or .doc form)", do="save it as XLSX or CSV")
