"""The invented port town: its sites and their rooms, the shop's people, the days that matter.

Town, sites, ship, people and numbers are all invented. Nothing here is, or is meant to resemble, a real place, firm or person.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

SEED = 20261124
TOWN = "Tolberhaven"
SHOP_NAME = "Tolberhaven Extinguisher Works (invented)"
NOTE = "Invented for the demo: the town, its sites, the ship, every person, maker, number and date. None of it exists."
DAY = date(2026, 11, 24)
TAKEN_OVER = date(2014, 11, 14)
FIRST_YEAR = 2014
TIME_ZONE = "America/New_York"
CURRENCY = "USD"
PACKS = ("us-osha", "us-nfpa10", "us-dot")
OFFICE = "Odalys Brackwater (office)"

# The shop's technicians (invented names), with the years in which they worked there.
TECHNICIANS: tuple[tuple[str, int, int], ...] = (
    ("Odalys Brackwater", 2014, 2021),
    ("Tam Eddowick", 2014, 2019),
    ("Juno Felsporr", 2017, 2026),
    ("Corwin Thackmere", 2020, 2026),
    ("Isbel Varrowny", 2022, 2026),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One customer site.

    `month` is when the yearly round goes there, `letters` begin its tag numbers, `checks` is who looks at the units every
    month and `check_day` the usual day; None where nobody reports it. `joined` is the year in which it came to the shop. `owner` and
    `street` are for the address book.
    """

    letters: str
    name: str
    month: int
    rooms: tuple[str, ...]
    checks: str | None
    check_day: int = 12
    joined: int = FIRST_YEAR
    owner: str = ""
    street: str = ""


def _rooms(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(","))


SITES: tuple[Site, ...] = (
    Site(
        letters="AF", name="Tolberhaven Airfield", month=3, checks="airfield duty officer", check_day=3,
        owner="Tolberhaven Airfield Trust (invented)", street="1 Windsock Road",
        rooms=_rooms(
            "Ramp stand 1, Ramp stand 2, Ramp stand 3, Ramp stand 4, Fuel point, Hangar A east, Hangar A west, Hangar "
            "B, Engine bay, Avionics room, Tower stairs, Tower cab, Crew room, Baggage shed, Tug shelter, Paint store, "
            "Generator hut"
        ),
    ),
    Site(
        letters="FT", name="Ferry Terminal", month=5, checks="terminal duty desk", check_day=9,
        owner="Harbor Board of Tolberhaven (invented)", street="Ferry Quay",
        rooms=_rooms(
            "Ticket hall, Gate 1, Gate 2, Gate 3, Car deck ramp, Linkspan control, Waiting room, Cafe kitchen, Cafe "
            "counter, Plant room, Lost property, Staff mess, Switch room, Store"
        ),
    ),
    Site(
        letters="FD", name="Northmole Fuel Depot", month=9, checks="depot shift lead", check_day=2,
        owner="Northmole Fuels (invented)", street="9 Mole Road",
        rooms=_rooms(
            "Loading rack 1, Loading rack 2, Loading rack 3, Pump slab, Tank 4 steps, Tank 7 steps, Foam house, Drum "
            "store, Control room, Gatehouse, Jetty head, Laboratory, Workshop"
        ),
    ),
    Site(
        letters="SM", name="Brannoch Sawmill", month=6, checks="mill foreman", check_day=26,
        owner="Brannoch Timber (invented)", street="Mill Lane 3",
        rooms=_rooms(
            "Head saw, Edger, Planer, Chipper, Kiln 1, Kiln 2, Sharpening shop, Boiler, Log yard cabin, Forklift bay, "
            "Dust house, Office, Unheated shed, Gate"
        ),
    ),
    Site(
        letters="HH", name="Harbor Hospital", month=10, checks="hospital porters", check_day=6,
        owner="Harbor Hospital Foundation (invented)", street="40 Lighthouse Hill",
        rooms=_rooms(
            "Main kitchen, Reception, Ward 1 nurses' station, Ward 2 nurses' station, Ward 3 nurses' station, Theatre "
            "corridor, Imaging control, Magnet room, Laboratory, Pharmacy, Laundry, Boiler house, Basement pump room, "
            "Server room, Stair A, Stair B, Stair C, Records, Ambulance bay"
        ),
    ),
    Site(
        letters="LS", name="Lanternfield School", month=8, checks="school caretaker", check_day=4,
        owner="School Board of Tolberhaven (invented)", street="Lantern Field 2",
        rooms=_rooms(
            "Entrance, Gym, Hall, Stage, Science 1, Science 2, Prep room, Woodwork, Kitchen, Dining room, Library, "
            "Boiler room, Corridor north, Corridor south, Stair east, Stair west, Staff room, Computer room"
        ),
    ),
    Site(
        letters="CS", name="Fish Market Cold Store", month=2, checks="cold store engineer", check_day=10,
        owner="Fishmongers' Guild (invented)", street="6 Auction Wharf",
        rooms=_rooms(
            "Auction floor, Chill 1, Chill 2, Freezer lock, Compressor room, Ice plant, Packing, Loading dock, Office, "
            "Box store"
        ),
    ),
    Site(
        letters="TH", name="Town Hall", month=4, checks="town hall caretaker", check_day=17,
        owner="Town of Tolberhaven (invented)", street="1 Market Square",
        rooms=_rooms(
            "Foyer, Council chamber, Registry, Archive, Map room, Clerk's office, Stair front, Stair back, Print room, "
            "Kitchenette, Bell loft, Boiler room, Server closet"
        ),
    ),
    Site(
        letters="BR", name="Saltmeadow Brewery", month=7, checks="brewery shift lead", check_day=11,
        owner="Saltmeadow Brewing (invented)", street="18 Kiln Street",
        rooms=_rooms(
            "Brewhouse, Mash tun stairs, Fermenting 1, Fermenting 2, Bottling, Malt loft, Boiler, Tap room, Tap room "
            "kitchen, Cold room, Forklift bay, Laboratory, Office"
        ),
    ),
    Site(
        letters="BY", name="Old Slip Boatyard", month=12, checks="yard manager", check_day=5,
        owner="Old Slip Boats (invented)", street="2 Slipway",
        rooms=_rooms(
            "Slip 1, Slip 2, Paint shed, Resin store, Joinery, Engine shop, Spar loft, Travel lift, Fuel berth, "
            "Office, Chandlery"
        ),
    ),
    Site(
        letters="CH", name="Gannet House Care Home", month=1, checks="care home night staff", check_day=8,
        owner="Gannet House Care (invented)", street="77 Cliff Walk",
        rooms=_rooms(
            "Front hall, Day room, Kitchen, Laundry, Corridor 1, Corridor 2, Corridor 3, Stair A, Stair B, Lift motor "
            "room, Office, Garden door"
        ),
    ),
    Site(
        letters="BD", name="Quayside Bus Depot", month=11, checks="depot night foreman", check_day=7,
        owner="Quayside Buses (invented)", street="12 Depot Road",
        rooms=_rooms(
            "Pit 1, Pit 2, Pit 3, Wash, Fuel island, Tire store, Battery room, Paint booth, Body shop, Canteen, "
            "Dispatch, Parts"
        ),
    ),
    Site(
        letters="LB", name="Library on the Green", month=11, checks="library front desk", check_day=20,
        owner="Town of Tolberhaven (invented)", street="5 The Green",
        rooms=_rooms(
            "Lending hall, Reading room, Children's room, Stacks 1, Stacks 2, Rare books, Plant room, Staff room, "
            "Porch"
        ),
    ),
    Site(
        letters="SH", name="Coaster Patient Heron", month=6, checks="ship's mate", joined=2026,
        owner="Patient Heron Shipping (invented)", street="Berth 4, Long Quay",
        rooms=_rooms(
            "Bridge, Chart space, Galley, Crew mess, Engine room top, Engine room plates, Steering flat, Emergency "
            "generator, Paint locker, Hold forward, Hold aft, Cabin 3, Cabin 7, Bosun's store, Gangway"
        ),
    ),
    Site(
        letters="MU", name="Museum of the Narrow Sea", month=9, checks=None, joined=2026,
        owner="Narrow Sea Museum Society (invented)", street="3 Lifeboat Steps",
        rooms=_rooms(
            "Ticket desk, Lifeboat hall, Lamp room, Engine gallery, Fire brigade corner, Model store, Cafe, Workshop, "
            "Cellar, Attic"
        ),
    ),
    Site(
        letters="WS", name="Workshop", month=10, checks=None, joined=2025,
        owner="Tolberhaven Extinguisher Works (invented)", street="14 Ropewalk",
        rooms=_rooms("Loaner rack, Van 1, Van 2"),
    ),
)  # fmt: skip

# A site of the list that is only counted: the members keep their own units, and nobody has seen them yet.
MOORINGS = "Small Craft Moorings"
# The shop's own site, where the units stand that are lent out.
WORKSHOP = "WS"
BY_LETTERS: dict[str, Site] = {site.letters: site for site in SITES}


def technician_of(year: int, turn: int) -> str:
    """Who goes on a round in a year; `turn` spreads the rounds over the people who work there."""
    there = [name for name, first, last in TECHNICIANS if first <= year <= last]
    return there[turn % len(there)]
