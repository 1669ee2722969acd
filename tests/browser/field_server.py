"""A shop served for a browser, with its clock at the day of the demo: `python field_server.py SHOP PORT [MARK [ROLE]]`."""

from __future__ import annotations

import sys
from datetime import datetime
from functools import cache
from pathlib import Path

from pinseal.app import App
from pinseal.app.office_pages import ShopRooms
from pinseal.app.people import ShopPeople
from pinseal.app.rooms import rooms
from pinseal.demo import build
from pinseal.web.account import Account
from pinseal.web.field import Field
from pinseal.web.serve import serve
from pinseal.web.site import build_site

WHO = Account(uid="01890000-0000-7000-8000-000000000001", name="B. Tide (invented)", role="technician")
OWNER = Account(uid="01890000-0000-7000-8000-000000000002", name="O. Lane (invented)", role="owner", sites=("Tolberhaven Airfield",))


@cache
def _moment() -> datetime:
    return build().received


class DayApp(App):
    """The app with its clock at the demo's day."""

    def now(self) -> datetime:
        return _moment()


def main(path: Path, port: int, mark: str = "", role: str = "technician") -> None:
    app = DayApp()
    people = ShopPeople(app, path, alone=OWNER if role == "owner" else WHO)
    office = ShopRooms(app, path)
    site = build_site(office, more=[*Field(mark=mark).routes(), *rooms(app, office)], people=people)
    serve(site, "127.0.0.1", port, ready=lambda address: print(f"ready {address}", flush=True))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), *sys.argv[3:])
