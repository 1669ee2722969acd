"""The folder beside a shop: photos and papers, each under the SHA-256 of its content."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable
from pathlib import Path

from pinseal.store.sqlite import flush


def folder_of(shop: Path) -> Path:
    """`NAME.files` beside the file `NAME`."""
    return shop.with_name(shop.name + ".files")


def put(folder: Path, content: bytes) -> str:
    """Keep a content under its hash; it is on the disk when this returns. Raises `OSError`."""
    sha256 = hashlib.sha256(content).hexdigest()
    folder.mkdir(exist_ok=True)
    kept = folder / sha256
    if kept.exists() and hash_of(kept) == sha256:
        return sha256
    unfinished = folder / f"{sha256}.{os.getpid()}.part"
    try:
        unfinished.write_bytes(content)
        flush(unfinished)
        unfinished.replace(kept)
        flush(folder)
    finally:
        unfinished.unlink(missing_ok=True)
    return sha256


def hash_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def wrong_files(folder: Path, wanted: Iterable[str]) -> list[str]:
    """The files that should be there and are not, or that hold something else."""
    problems = []
    for sha256 in wanted:
        kept = folder / sha256
        if not kept.is_file():
            problems.append(f"the file {sha256} is missing from {folder.name}")
        elif hash_of(kept) != sha256:
            problems.append(f"the file {sha256} in {folder.name} does not hold what was kept")
    return problems


def copy_all(source: Path, dest: Path, wanted: Iterable[str]) -> int:
    """Copy the kept files into a new folder and check each. Returns how many there are. Raises `OSError`."""
    dest.mkdir()
    count = 0
    for sha256 in wanted:
        put(dest, (source / sha256).read_bytes())
        count += 1
    flush(dest)
    return count
