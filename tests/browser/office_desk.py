"""A supervisor at a desk in the office: comes in by the one-time link, opens pages, and keeps what the browser complained of."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

PASSPHRASE = "paint brass tag card"


class Desk:
    """One browser page for all, and the addresses that were found by following links, each once."""

    def __init__(self, context, served) -> None:
        self.context, self.served = context, served
        self.page = context.new_page()
        self.wrong: list[str] = []
        self.found: dict[str, str] = {}
        self.page.on("pageerror", lambda error: self.wrong.append(f"a script failed: {error}"))
        self.page.on("console", self._console)
        self.page.on("request", self._request)
        self.come_in()

    def _console(self, said) -> None:
        # A page that answers 404 is such a line by itself; what such a page should answer is asked elsewhere.
        own_answer = said.text.startswith("Failed to load resource") and said.location.get("url") == self.page.url
        if said.type in ("error", "warning") and not own_answer:
            self.wrong.append(f"{said.type} in the console: {said.text}")

    def _request(self, request) -> None:
        address = urlsplit(request.url)
        if address.scheme not in ("data", "blob") and address.netloc != urlsplit(self.served.address).netloc:
            self.wrong.append(f"asked another host: {request.url}")

    def come_in(self) -> None:
        welcome = self.served.said.split()[-1]
        self.page.goto(welcome)
        self.page.get_by_label("Passphrase").fill(PASSPHRASE)
        self.page.get_by_label("The same again").fill(PASSPHRASE)
        self.page.get_by_role("button", name="Keep it and come in").click()
        self.page.get_by_role("button", name="Sign out").wait_for()

    def text(self, path: str) -> str:
        """A page as it is sent, without showing it."""
        return str(self.context.request.get(path).text())

    def status(self, path: str) -> int:
        """What a page answers."""
        return int(self.context.request.get(path).status)

    def link(self, path: str, pattern: str) -> str:
        """The first address on a page that fits a pattern as a whole."""
        fitting = re.search(f'(?:href|src)="({pattern})"', self.text(path))
        assert fitting, f"{path} links to nothing like {pattern}"
        return fitting[1].replace("&amp;", "&")

    def send(self, path: str, **fields: object) -> tuple[str, str]:
        """Send a form; the address where it led and the page there."""
        kind = "multipart" if any(isinstance(each, dict) for each in fields.values()) else "form"
        answer = self.context.request.post(path, headers={"origin": self.served.address}, **{kind: fields})
        assert answer.status < 400, f"{path}: {answer.status}, {re.findall('<li><a href=.#.*|<h1>.*', answer.text())}"
        return answer.url.removeprefix(self.served.address), str(answer.text())
