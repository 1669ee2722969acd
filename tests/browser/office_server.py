"""Every page of a shop, as `pinseal serve` puts them together, with the clock at the demo's day: `python office_server.py SHOP PORT`.

Prints `ready ADDRESS`, and after it the one-time link of the first supervisor, where nobody has set a passphrase yet.
"""

from __future__ import annotations

import sys
from pathlib import Path

from field_server import DayApp

from pinseal.app.people import ShopPeople
from pinseal.web.serve import serve


def main(path: Path, port: int) -> None:
    app = DayApp()
    people = ShopPeople(app, path)
    key = people.first_key()
    welcome = f"/welcome/{key[1]}" if key else ""
    site = app._site(path, people, host="127.0.0.1", trusted=None)
    serve(site, "127.0.0.1", port, ready=lambda address: print(f"ready {address} {welcome}", flush=True))


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
