"""Every page of the real site, and how a person comes to it. A route that is new must be added here, as a page or as what it is instead."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from office_desk import Desk

LIST = Path(__file__).parent.parent.parent / "docs" / "examples" / "pier-cafe.csv"
UID = r"[0-9a-f-]{36}"


@dataclass(frozen=True)
class Stop:
    """One page as it is looked at: the route, what is special about this visit, and the way there."""

    route: str
    way: str | Callable[[Desk], str]
    note: str = ""
    status: int = 200

    @property
    def name(self) -> str:
        return f"{self.route}: {self.note}" if self.note else self.route

    def path(self, desk: Desk) -> str:
        """The address; found once for each desk."""
        if self.name not in desk.found:
            desk.found[self.name] = self.way if isinstance(self.way, str) else self.way(desk)
        return desk.found[self.name]


def _unit(words: str) -> Callable[[Desk], str]:
    return lambda desk: desk.link(f"/search?q={words}", f"/units/{UID}")


def _sheet(desk: Desk) -> str:
    """An open sheet of a unit; begun once."""
    if "a sheet" not in desk.found:
        unit = _unit("SH-009")(desk)
        desk.found["a sheet"] = desk.send(f"{unit}/sheet", work="maintenance")[0].split("?")[0].removesuffix("/work")
    return desk.found["a sheet"]


def _earned(desk: Desk) -> str:
    """A closed sheet of the demo's day that earned a mark; not every one did, and other tests close sheets too."""
    if "a sheet with marks" not in desk.found:
        closed = dict.fromkeys(re.findall(f'href="(/sheets/{UID})"', desk.text("/sheets?show=closed")))
        desk.found["a sheet with marks"] = next(each for each in closed if desk.status(f"{each}/marks") == 200)
    return desk.found["a sheet with marks"]


def _list(desk: Desk) -> str:
    if "a list" not in desk.found:
        given = {"name": LIST.name, "mimeType": "text/csv", "buffer": LIST.read_bytes()}
        desk.found["a list"] = desk.send("/import", list=given)[0].split("?")[0]
    return desk.found["a list"]


def _taken(desk: Desk) -> str:
    given = {"name": "few.csv", "mimeType": "text/csv", "buffer": b"Number,Type,Size,Location\nZ-1,ABC,5 lb,Shed\n"}
    key = desk.send("/import", list=given)[0].split("?")[0]
    return desk.send(f"{key}/take-in", yes="1")[0]


def _shared(desk: Desk) -> str:
    unit = _unit("wheeled")(desk)
    page = desk.text(f"{unit}/share")
    choice = re.search(r'<option value="([^"]+)"', page)
    assert choice, "there is something to share"
    shown = desk.send(f"{unit}/share", to="The fire authority (invented)", what=choice[1], days="14")[1]
    key = re.search(r"/shared/[\w-]+", shown)
    assert key, "the link is shown once"
    return key[0]


def a_new_link(desk: Desk, name: str, login: str) -> str:
    """The one-time link of a technician who is let in now."""
    shown = desk.send("/people", name=name, login=login, role="technician")[1]
    key = re.search(r"/welcome/[\w-]+", shown)
    assert key, "the link is shown once"
    return key[0]


def _welcome(desk: Desk) -> str:
    return a_new_link(desk, "Quentin Marl (invented)", "marl")


def _test(desk: Desk, words: str) -> str:
    return _unit(words)(desk).replace("/units/", "/bench/test/")


def _bank(desk: Desk) -> str:
    """Two bottles that came and were read, and a powder unit that takes their gas."""
    for name, shows in (("Z-1", "2640 psi"), ("Z-2", "600 psi")):
        said = {"id": name, "gas": "nitrogen", "water-capacity": "49 L", "dew-point": "-80 F", "purity": "99.99"}
        shown = desk.send("/bench/supply/receive", **said)[1]
        bottle = re.findall(r'name="bottle" value="([^"]+)"', shown)[-1]
        desk.send("/bench/supply/read", bottle=bottle, shows=shows, **{"at-temperature": "20 F"})
    return "/bench/supply?unit=" + _unit("AF-003")(desk).rpartition("/")[2]


def _impaired(desk: Desk) -> str:
    """Two units out of order: of one somebody was told, and the other is late by the rules of its place."""
    said = {"day": "2026-11-20", "time": "09:00", "impairments": "valve leaks; hose cracked", "number": "R-7"}
    for unit, place in (("SH-009", "us-tx"), ("AF-003", "")):
        desk.send("/notices", unit=unit, **said, **{"rules-of": place})
    record = desk.link("/notices", rf"/notices/{UID}\.pdf").removesuffix(".pdf")
    desk.send(f"{record}/told", party="owner", day="2026-11-20", time="09:30", name="The manager", how="by hand")
    return "/notices"


def _kept_quote(desk: Desk) -> str:
    return desk.send("/quotes/keep", site="Town Hall", number="Q-7")[0]


JUDGED = "?by=jacket&reading-pressure=3360+psi&reading-held=40&reading-total=92.0+mL&reading-permanent=8.4+mL"
STOPS = (
    Stop("today", "/"),
    Stop("dues", "/dues"),
    Stop("dues", "/dues?state=overdue&text=nothing+like+that", "nothing fits"),
    Stop("dues", "/dues?on=someday", "a day that is none", 400),
    Stop("dues-month", "/dues/months"),
    Stop("dues-month", lambda desk: desk.link("/dues/months", r"/dues/months\?month=[\d-]+(?:#rows)?"), "one month"),
    Stop("unit", _unit("wheeled"), "wheeled"),
    Stop("unit", _unit("CO2"), "carbon dioxide"),
    Stop("unit", _unit("gone"), "out of the fleet"),
    Stop("unit", _unit("row 571"), "only counted"),
    Stop("unit", "/units/01890000-0000-7000-8000-000000000000", "of no shop", 404),
    Stop("unit-sheet", lambda desk: _unit("wheeled")(desk) + "/sheet"),
    Stop("unit-share", lambda desk: _unit("wheeled")(desk) + "/share"),
    Stop("sites", "/sites"),
    Stop("site", lambda desk: desk.link("/sites", r"/sites/[^\"]+")),
    Stop("search", "/search"),
    Stop("search", "/search?q=whelled+avionics", "half known"),
    Stop("sheets", "/sheets"),
    Stop("sheet", _sheet),
    Stop("sheet-work", lambda desk: _sheet(desk) + "/work"),
    Stop("sheet-work", lambda desk: desk.link(_sheet(desk) + "/work", r"[^\"]*leaving=1[^\"]*"), "it does not go back"),
    Stop("sheet-work", lambda desk: desk.link(_sheet(desk) + "/work", r"[^\"]*step=gauge-reading[^\"]*"), "a reading"),
    Stop("sheet-marks", lambda desk: _earned(desk) + "/marks"),
    Stop("sheet-marks", lambda desk: _earned(desk) + "/marks?mark=red-tag", "a mark that it did not earn", 400),
    Stop("sheet-marks", lambda desk: _sheet(desk) + "/marks", "of an open sheet"),
    Stop("labels", lambda desk: "/labels?unit=" + _unit("AF-003")(desk).rpartition("/")[2]),
    Stop("labels", "/labels?site=Library+on+the+Green&stock=codes-letter&start=4", "of a site"),
    Stop("deficiencies", "/deficiencies"),
    Stop("deficiencies", "/deficiencies?show=all", "all"),
    Stop("deficiencies", "/deficiencies?show=quoted", "waiting for an answer"),
    Stop("deficiency", lambda desk: desk.link("/deficiencies?show=found", f"/deficiencies/{UID}"), "without a price"),
    Stop("deficiency", lambda desk: desk.link("/deficiencies?show=quoted", f"/deficiencies/{UID}"), "quoted"),
    Stop("deficiency", lambda desk: desk.link("/deficiencies?show=done", f"/deficiencies/{UID}"), "put right"),
    Stop("notices", lambda desk: _impaired(desk)),
    Stop("notices", "/notices?show=all", "all"),
    Stop("prices", "/prices"),
    Stop("quote-draft", "/quotes/draft?site=Town+Hall"),
    Stop("quote", _kept_quote),
    Stop("quotes", "/quotes"),
    Stop("invoice-figures", "/invoice-figures?site=Town+Hall&from=2026-11-17&to=2026-11-17"),
    Stop("unit-worth", lambda desk: _unit("wheeled")(desk) + "/worth"),
    Stop("visit", "/visit?site=Town+Hall&from=2026-11-17&to=2026-11-17"),
    Stop("visit", "/visit?site=Nowhere", "of no site", 400),
    Stop("owner-file", "/owner-file?site=Town+Hall"),
    Stop("loaners", "/loaners"),
    Stop("instruments", "/instruments"),
    Stop("instrument", lambda desk: desk.link("/instruments", f"/instruments/{UID}")),
    Stop("papers", "/papers"),
    Stop("bench", "/bench"),
    Stop("bench-agent", "/bench/agent"),
    Stop("bench-charge", lambda desk: desk.link("/bench", f"/bench/charge/{UID}")),
    Stop("bench-unit", lambda desk: _sheet(desk) and _unit("SH-009")(desk).replace("/units/", "/bench/unit/")),
    Stop("bench-unit", lambda desk: _unit("AF-007")(desk).replace("/units/", "/bench/unit/"), "without a sheet"),
    Stop("bench-supply", "/bench/supply"),
    Stop("bench-supply", lambda desk: _bank(desk), "counted for a unit"),
    Stop("bench-tests", "/bench/tests"),
    Stop("bench-test", lambda desk: _test(desk, "AF-007"), "in the jacket"),
    Stop("bench-test", lambda desk: _test(desk, "AF-007") + JUDGED, "in the jacket, judged"),
    Stop("bench-test", lambda desk: _test(desk, "AF-007") + JUDGED.replace("92.0", "lots"), "in the jacket, refused", 400),
    Stop("bench-test", lambda desk: _test(desk, "AF-003"), "by proof"),
    Stop("bench-log", "/bench/tests/log"),
    Stop("settings", "/settings"),
    Stop("standards", "/standards"),
    Stop("people", "/people"),
    Stop("person", lambda desk: desk.link("/people", f"/people/{UID}")),
    Stop("import", "/import"),
    Stop("import-reading", _list),
    Stop("import-rows", lambda desk: _list(desk) + "/rows"),
    Stop("import-taken", _taken),
    Stop("unsent", "/unsent"),
    Stop("sign-in", "/sign-in"),
    Stop("welcome", _welcome),
    Stop("welcome", "/welcome/spent", "a link that is spent", 400),
    Stop("shared", _shared),
    Stop("shared", "/shared/spent", "a link that is spent", 400),
    Stop("trust", "/trust"),
    Stop("trust-check", "/trust/check"),
)

# Looked at by test_field_page.py, which works on a phone.
FIELD = {"field", "field-worker", "field-manifest", "field-file", "field-reader"}
# No pages: pictures, files, scripts, answers to programs.
FILES = {
    "dues-file",
    "site-file",
    "deficiencies-file",
    "unit-leak",
    "unit-photo",
    "bench-dial",
    "bench-test-picture",
    "bench-supply-picture",
    "bench-agent-return",
    "bench-agent-certificate",
    "notice-paper",
    "sheet-marks-file",
    "labels-file",
    "unit-condemned",
    "unit-certification",
    "visit-file",
    "owner-file-paper",
    "owner-file-months",
    "owner-file-calendar",
    "calendar-feed",
    "quote-file",
    "invoice-file",
    "bench-log-file",
    "mark",
    "favicon",
    "static",
    "api",
}
FILES |= {"unit-code"}  # a way to another page: tests/web/test_owner_inspection.py
FILES |= {"trust-root", "trust-script", "trust-worker"}
