"""Walks through the pages of a shop as a visitor does: from link to link, some pages of each kind, and the forms that lead on."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from html import unescape

from starlette.testclient import TestClient

_UID = re.compile(r"[0-9a-f]{8}-[0-9a-f-]{27}|[0-9a-f]{64}")
_LINK = re.compile(r'(?:href|src)="(/[^"#]*)[^"]*"')
_LEFT_OUT = ("/static", "/mark.svg", "/field/files", "/field/app", "/sign-out", "/trust/root")


def kind_of(address: str) -> str:
    """Addresses of one kind differ only in uids, names and what is asked."""
    path, _, asked = address.partition("?")
    parts = [_UID.sub("*", part) for part in path.split("/")]
    if parts[1:2] in (["sites"], ["instruments"], ["import"]) and len(parts) > 2:
        parts[2] = "*"
    return "/".join(parts) + "?" + "&".join(sorted({pair.split("=")[0] for pair in asked.split("&") if pair}))


def links(html: str) -> list[str]:
    return [link for link in dict.fromkeys(unescape(each) for each in _LINK.findall(html)) if not link.startswith(_LEFT_OUT)]


def path_of(address: str) -> str:
    """The kind of an address whatever is asked of it: fewer pages."""
    return kind_of(address.partition("?")[0])


def walk(
    client: TestClient, *, each: int = 3, start: tuple[str, ...] = ("/",), kind: Callable[[str], str] = kind_of
) -> Iterator[tuple[str, str]]:
    """Addresses with their HTML or SVG, at most `each` of a kind."""
    waiting, seen, counted = list(start), set(start), Counter[str]()
    while waiting:
        address = waiting.pop(0)
        if counted[kind(address)] >= each:
            continue
        counted[kind(address)] += 1
        answer = client.get(address)
        if not answer.headers["content-type"].startswith(("text/html", "image/svg", "text/csv")):
            continue
        yield address, answer.text
        if answer.headers["content-type"].startswith("text/html"):
            fresh = [link for link in links(answer.text) if link not in seen]
            seen.update(fresh)
            waiting += fresh
