"""What the tests of bad input share: the shape of every refusal, and the command as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from tests.cli.conftest import Command, Ran

HEAD = "id,serial,site,place,agent,expelled by,shell,rechargeable,size,manufactured,last maintenance\n"


def long_list(count: int) -> str:
    """An invented list of many units."""
    rows = (f"L-{n},L{n:06d},Mill,Bay {n},abc,stored-pressure,mild-steel,yes,10 lb,2014-06,2025-11-03\n" for n in range(count))
    return HEAD + "".join(rows)


def check_refusal(ran: Ran, code: int, *words: str) -> None:
    """A refusal in four parts on the error channel, nothing on the other one, the right exit code, and these words in it."""
    lines = ran.err.splitlines()
    assert ran.code == code, ran
    assert ran.out == ""
    assert len(lines) == 3, ran.err
    assert lines[0].startswith("pinseal: ")
    assert lines[1].startswith("  rule: ")
    assert lines[2].startswith("  do:   ")
    assert all(len(line) > len("  rule: ") for line in lines)
    assert [word for word in words if word not in ran.err] == []


def check_refusal_as_json(ran: Ran, code: int, what: str) -> None:
    """The same for programs: one object with what, rule, got and do."""
    assert ran.code == code, ran
    assert ran.err == ""
    error = ran.json["error"]
    assert sorted(error) == ["do", "got", "rule", "what"]
    assert what in error["what"]
    assert error["rule"]
    assert error["do"]


def check_whole(pinseal: Command, shop: Path, records: int) -> None:
    """Nothing lost and nothing half done: every chain holds, and there are as many records as before."""
    proof = pinseal("verify", shop, "--json")
    assert proof.code == 0, proof
    assert proof.json["records"] == records


def command(*words: object, limit_bytes: int | None = None, **more: object) -> subprocess.CompletedProcess[str]:
    """The command as a process of its own. `limit_bytes` is the size that no file may outgrow."""
    inside = [
        "import sys",
        "from pinseal.app import main",
        f"import resource; resource.setrlimit(resource.RLIMIT_FSIZE, ({limit_bytes}, {limit_bytes}))" if limit_bytes else "",
        "main()",
    ]
    call = [sys.executable, "-c", "\n".join(inside), *(os.fspath(word) if isinstance(word, Path) else word for word in words)]
    options = {"stdin": subprocess.DEVNULL, "capture_output": True, "text": True, "errors": "replace", "env": clean(), **more}
    if "stdout" in options or "stderr" in options:
        options.pop("capture_output")
    return subprocess.run(call, check=False, **options)  # type: ignore[call-overload,no-any-return]


def clean(**more: str) -> Mapping[str, str]:
    """The environment without what would change the answer."""
    return {name: value for name, value in os.environ.items() if not name.startswith("PINSEAL_")} | more


def ran(done: subprocess.CompletedProcess[str]) -> Ran:
    return Ran(done.returncode, done.stdout or "", done.stderr or "")


@contextmanager
def small_disk(folder: Path, size_kib: int) -> Iterator[None]:
    """Make a folder a disk of its own with little room. The tests run as root, or in a name space that may mount."""
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size_kib}k", "tmpfs", str(folder)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"no small disk can be had, so a full disk cannot be tested here: {done.stderr}"
    try:
        yield
    finally:
        subprocess.run(["umount", str(folder)], check=True)


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Make a folder one that cannot be written to: by a read-only mount, else by immutable files, else by its rights."""
    everything = [str(folder), *map(str, folder.rglob("*"))]
    if _quiet("mount", "--bind", str(folder), str(folder)):
        undo = [["umount", str(folder)]]
        assert _quiet("mount", "-o", "remount,bind,ro", str(folder)), "a mount that cannot be made read-only"
    elif _quiet("chattr", "+i", *everything):
        undo = [["chattr", "-i", *everything]]
    else:
        assert os.geteuid() != 0, "a root user without mounts or immutable files cannot test a read-only shop"
        assert _quiet("chmod", "-R", "a-w", str(folder))
        undo = [["chmod", "-R", "u+w", str(folder)]]
    try:
        yield
    finally:
        for words in undo:
            subprocess.run(words, check=True)


def _quiet(*words: str) -> bool:
    return subprocess.run(words, capture_output=True, check=False).returncode == 0
