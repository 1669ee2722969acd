"""The real `pinseal serve` as a process of its own, somebody signed in, and requests sent at a steady pace."""

from __future__ import annotations

import http.client
import os
import queue
import re
import socket
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

_PASSPHRASE = "a long passphrase for a benchmark"
_OURS = {"Sec-Fetch-Site": "same-origin"}
_START_S, _HANDS = 120, 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Server:
    """A server that answers, with the cookie of the supervisor who is signed in, and how long it took to start."""

    port: int
    cookie: str
    started_s: float
    pid: int

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def ask(self, path: str, body: bytes | None = None, kind: str = "application/json") -> tuple[float, int, bytes]:
        """Seconds until the whole answer is here, its status, and its content. A body is posted."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        headers = {"Cookie": self.cookie, **_OURS} | ({"Content-Type": kind} if body is not None else {})
        start = time.perf_counter()
        try:
            link.request("GET" if body is None else "POST", path, body, headers)
            given = link.getresponse()
            content = given.read()
            return time.perf_counter() - start, given.status, content
        finally:
            link.close()

    def memory_mb(self) -> float:
        """What the process holds now, and its peak is not less (Linux)."""
        said = Path(f"/proc/{self.pid}/status").read_text(encoding="ascii")
        found = re.search(r"VmRSS:\s+(\d+) kB", said)
        return int(found[1]) / 1024 if found else float("nan")


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@contextmanager
def served(shop: Path) -> Iterator[Server]:
    """Serve a shop until the block ends. The first link that the command prints is opened, and a passphrase set."""
    port, start = free_port(), time.perf_counter()
    command = [sys.executable, "-m", "pinseal", "serve", str(shop), "--port", str(port)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"})
    try:
        key = _first_key(process)
        cookie = _sign_in(port, key)
        yield Server(port=port, cookie=cookie, started_s=time.perf_counter() - start, pid=process.pid)
    finally:
        process.terminate()
        process.wait(20)
        if process.stdout:
            process.stdout.close()


def _first_key(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    until = time.monotonic() + _START_S
    while time.monotonic() < until and process.poll() is None:
        found = re.search(r"/welcome/(\S+)", process.stdout.readline())
        if found:
            return found[1]
    raise RuntimeError("the server did not start")


def _sign_in(port: int, key: str) -> str:
    form = urlencode({"passphrase": _PASSPHRASE, "again": _PASSPHRASE})
    headers = {"Content-Type": "application/x-www-form-urlencoded", **_OURS}
    for _ in range(100):
        try:
            link = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
            link.request("POST", f"/welcome/{key}", form, headers)
            given = link.getresponse()
            given.read()
            cookie = (given.getheader("set-cookie") or "").partition(";")[0]
            link.close()
            assert given.status == 303 and cookie, f"nobody was let in: {given.status}"
            return cookie
        except ConnectionRefusedError:
            time.sleep(0.05)
    raise RuntimeError("the server does not answer")


def percentile(seconds: Sequence[float], share: float) -> float:
    """The time within which this share of the answers came."""
    ordered = sorted(seconds)
    return ordered[min(len(ordered) - 1, round(share * (len(ordered) - 1)))]


def told(name: str, seconds: Sequence[float]) -> str:
    ms = [1000 * each for each in seconds]
    return f"  {name:<44} p50 {statistics.median(ms):7.1f}  p95 {percentile(ms, 0.95):7.1f}  max {max(ms):7.1f} ms  ({len(ms)} answers)"


def paced(server: Server, paths: Sequence[str], *, a_second: float) -> Mapping[str, list[float]]:
    """Ask for the pages in turn, so many a second, whether or not the last answer is there. Times count from when it was due.

    Returns the seconds of each kind of page (its path up to the first `?`, or to the second `/`).
    """
    due: queue.Queue[tuple[float, str] | None] = queue.Queue()
    found: dict[str, list[float]] = {}
    wrong: list[str] = []
    lock = threading.Lock()

    def hand() -> None:
        while (asked := due.get()) is not None:
            at, path = asked
            _, status, _ = server.ask(path)
            taken = time.perf_counter() - at
            with lock:
                found.setdefault(kind_of(path), []).append(taken)
                if status != 200:
                    wrong.append(f"{path} gave {status}")

    hands = [threading.Thread(target=hand) for _ in range(_HANDS)]
    for each in hands:
        each.start()
    begun = time.perf_counter()
    for number, path in enumerate(paths):
        at = begun + number / a_second
        time.sleep(max(0.0, at - time.perf_counter()))
        due.put((at, path))
    for _ in hands:
        due.put(None)
    for each in hands:
        each.join()
    assert not wrong, wrong[:3]
    return found


def kind_of(path: str) -> str:
    """`/units/0151…` is `/units/…`, `/search?q=boiler` is `/search`.

    >>> kind_of("/units/0151a8"), kind_of("/search?q=x"), kind_of("/")
    ('/units/…', '/search', '/')
    """
    plain = path.partition("?")[0]
    parts = plain.split("/")
    return f"/{parts[1]}/…" if len(parts) > 2 and parts[1] in ("units", "sites", "instruments", "sheets") else plain


@contextmanager
def meanwhile(work: Callable[[int], None], *, every_s: float) -> Iterator[None]:
    """Do a thing again and again, beside what the block does. A failure of it is raised at the end."""
    stop, failed = threading.Event(), []

    def run() -> None:
        number = 0
        while not stop.wait(every_s):
            try:
                work(number)
            except Exception as error:  # noqa: BLE001 - raised again below
                failed.append(error)
                return
            number += 1

    thread = threading.Thread(target=run)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()
    if failed:
        raise failed[0]
