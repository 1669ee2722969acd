"""A person at the office pages: begins a job sheet, sends its forms, works it to its end."""

from __future__ import annotations

import re

from fake_office import uid_of
from page_checks import text_of
from starlette.testclient import TestClient

UNIT = uid_of(0)


def begin(client: TestClient, *works: str, unit: str = UNIT) -> str:
    """Begin a sheet; the address at which it is worked on."""
    begun = client.post(f"/units/{unit}/sheet", data={"work": list(works)})
    assert begun.status_code == 200, text_of(begun.text)
    return str(begun.url.path)


def hidden(page: str) -> dict[str, str]:
    return {name: re.search(rf'name="{name}" value="([^"]*)"', page)[1] for name in ("expect", "shown")}


def send(client: TestClient, here: str, **said: str):
    """Send a form of the page as it stands now."""
    return client.post(here, data=hidden(client.get(here).text) | {name.replace("_", "-"): value for name, value in said.items()})


def work_through(client: TestClient, here: str, readings: dict[str, str], *, most: int = 60) -> str:
    """Confirm and answer well what the page asks for, until it offers to finish; the page that does."""
    for _ in range(most):
        page = client.get(here).text
        form = page[page.index('class="answer"') :]
        said = hidden(page)
        if group := re.search(r'name="group" value="([^"]+)"', form):
            answer = client.post(here, data=said | {"act": "confirm", "group": group[1]})
        elif step := re.search(r'name="step" value="([^"]+)"', form):
            wanted = {name: text for name, text in readings.items() if f'name="{name}"' in form}
            chosen = re.search(r'name="answer" value="([^"]+)" class="good"', form)
            answer = client.post(here, data=said | {"act": "step", "step": step[1], "answer": chosen[1]} | wanted)
        else:
            return page
        assert answer.status_code == 200, text_of(answer.text)
    raise AssertionError("the sheet never comes to its end")


READINGS = {
    "reading-gross": "17", "unit-gross": "lb", "instrument-gross": "SC-1", "reading-gauge": "191", "unit-gauge": "psi",
    "reading-temperature": "60", "unit-temperature": "F", "reading-tag": "2611-77",
}  # fmt: skip
