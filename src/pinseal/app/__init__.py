"""The only wiring place: the clock on the wall, the store, the reader of lists, the pages, the command line."""

from __future__ import annotations

import sys

from pinseal.app.agents import Agents
from pinseal.app.lists import Lists
from pinseal.app.notices import Notices
from pinseal.app.pressure_logs import PressureLogs
from pinseal.app.printing import Printing
from pinseal.app.quotes import Quotes
from pinseal.app.serving import Serving
from pinseal.app.sheets import Sheets
from pinseal.app.shops import Shops
from pinseal.app.tables import Tables
from pinseal.app.unsent import TakingUnsent
from pinseal.app.visits import Visits


class App(Lists, Shops, Agents, Printing, Sheets, Notices, Quotes, PressureLogs, Visits, Tables, TakingUnsent, Serving):
    """What the commands get."""


def main() -> None:
    """The command `pinseal`."""
    from pinseal.cli.command import run

    sys.exit(run(App()))
