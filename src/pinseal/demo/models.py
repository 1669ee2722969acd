"""The invented models of extinguisher in the demo: nameplates, how the old list wrote them, how long between bench jobs.

Makers' words, pressures and ratings are invented. The years between bench jobs are the demo shop's own habit, so that its
history looks like that of a decent shop; the rules themselves stand in the rule packs and nowhere else.
"""
# ruff: noqa: S604  a shell here is that of an extinguisher

from __future__ import annotations

from dataclasses import dataclass

from pinseal.demo.figures import FIGURES


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """One invented model.

    `written` holds how the old list wrote it. `test_years` and `inside_years` are the shop's habit, None for never;
    `retest_years` is given where a second pressure test comes sooner than the first.
    `yearly` marks types that are opened at each maintenance. `renew_years` is how often the agent is renewed.
    `made` is the span of years in which the units of the list were made. Weights, capacities and bands stand in `figures`; a
    model without any is a museum piece, and its plate says no more.
    """

    key: str
    name: str
    agent: str
    size: str
    expelled_by: str
    shell: str
    written: tuple[str, ...]
    hose: str = "plain"
    wheeled: bool = False
    rechargeable: bool = True
    specification: str = "none"
    rating: str | None = None
    service_pressure: str | None = "195 psi"
    test_pressure: str = "585 psi"
    method: str = "proof-pressure"
    test_years: int | None = 12
    retest_years: int | None = None
    inside_years: int | None = 6
    renew_years: int | None = None
    made: tuple[int, int] = (2003, 2014)

    @property
    def years_of_test(self) -> tuple[int | None, int | None]:
        """Years to the first pressure test, and from one to the next."""
        return self.test_years, self.retest_years or self.test_years

    @property
    def yearly(self) -> bool:
        return self.inside_years == 1

    @property
    def nameplate(self) -> dict[str, str]:
        """The fields of a registered record that its nameplate gives, without its dates, numbers and lot."""
        said = {
            "agent": self.agent,
            "expelled-by": self.expelled_by,
            "shell": self.shell,
            "wheeled": "yes" if self.wheeled else "no",
            "rechargeable": "yes" if self.rechargeable else "no",
            "size": self.size,
            "rating": self.rating,
            "cylinder-specification": self.specification,
            "service-pressure": self.service_pressure,
            "test-pressure": self.test_pressure,
            "hose": self.hose,
            "model": self.name,
        }
        figures = FIGURES[self.key].said() if self.key in FIGURES else {}
        return {name: text for name, text in said.items() if text} | figures


def _powder(
    key: str,
    name: str,
    agent: str,
    size: str,
    *written: str,
    shell: str = "mild-steel",
    rating: str | None = None,
    made: tuple[int, int] = (2003, 2014),
) -> Model:
    years = (5, 5) if shell == "stainless-steel" else (12, 6)
    return Model(
        key=key, name=name, agent=agent, size=size, expelled_by="stored-pressure", shell=shell, written=written, rating=rating,
        test_years=years[0], inside_years=years[1], made=made,
    )  # fmt: skip


def _cartridge(key: str, name: str, agent: str, size: str, *written: str, rating: str | None = None) -> Model:
    return Model(
        key=key, name=name, agent=agent, size=size, expelled_by="cartridge", shell="mild-steel", written=written, hose="shut-off",
        rating=rating, service_pressure=None, test_pressure="600 psi", inside_years=1, made=(1996, 2013),
    )  # fmt: skip


def _wheeled(key: str, name: str, agent: str, size: str, *written: str, expelled_by: str, stamped: bool = False,
             retest_years: int | None = None, rating: str | None = None, made: tuple[int, int] = (1994, 2012)) -> Model:  # fmt: skip
    driven = expelled_by == "cylinder"
    return Model(
        key=key, name=name, agent=agent, size=size, expelled_by=expelled_by, shell="mild-steel", written=written, hose="shut-off",
        wheeled=True, specification="DOT-4BW240" if stamped else "none", rating=rating,
        service_pressure="240 psi", test_pressure="500 psi", inside_years=1 if driven else 6, retest_years=retest_years,
        made=made,
    )  # fmt: skip


def _carbon_dioxide(key: str, name: str, size: str, *written: str, hose: str = "plain", wheeled: bool = False, rating: str,
                    steel: bool = False, made: tuple[int, int] = (1984, 2013)) -> Model:  # fmt: skip
    return Model(
        key=key, name=name, agent="co2", size=size, expelled_by="self-expelling", shell="mild-steel" if steel else "aluminium",
        written=written, hose=hose, wheeled=wheeled, specification="DOT-3AA2015" if steel else "DOT-3AL1800", rating=rating,
        service_pressure="2015 psi" if steel else "1800 psi", test_pressure="3360 psi" if steel else "3000 psi", method="water-jacket",
        test_years=5, inside_years=5, made=made,
    )  # fmt: skip


def _gas(key: str, name: str, agent: str, size: str, *written: str, rating: str | None = None, wheeled: bool = False,
         pressures: tuple[str, str] = ("125 psi", "375 psi"), made: tuple[int, int] = (2004, 2013)) -> Model:  # fmt: skip
    return Model(
        key=key, name=name, agent=agent, size=size, expelled_by="stored-pressure", shell="mild-steel", written=written, rating=rating,
        hose="shut-off" if wheeled else "plain", wheeled=wheeled, service_pressure=pressures[0], test_pressure=pressures[1],
        made=made,
    )  # fmt: skip


def _liquid(key: str, name: str, agent: str, size: str, *written: str, inside_years: int = 5, renew_years: int | None = None,
            rating: str | None = None, wheeled: bool = False, made: tuple[int, int] = (2001, 2013)) -> Model:  # fmt: skip
    return Model(
        key=key, name=name, agent=agent, size=size, expelled_by="stored-pressure", shell="stainless-steel", written=written, rating=rating,
        hose="shut-off" if wheeled else "plain", wheeled=wheeled, service_pressure="100 psi", test_pressure="300 psi", test_years=5,
        inside_years=inside_years, renew_years=renew_years, made=made,
    )  # fmt: skip


def _disposable(key: str, name: str, agent: str, size: str, *written: str, rating: str) -> Model:
    return Model(
        key=key, name=name, agent=agent, size=size, expelled_by="stored-pressure", shell="mild-steel", written=written, hose="none",
        rechargeable=False, rating=rating, service_pressure="100 psi", test_pressure="300 psi", test_years=None, inside_years=None,
        made=(2005, 2014),
    )  # fmt: skip


def _old(key: str, name: str, agent: str, size: str, *, expelled_by: str, shell: str, hose: str = "plain") -> Model:
    return Model(
        key=key, name=name, agent=agent, size=size, expelled_by=expelled_by, shell=shell, written=(), hose=hose, service_pressure=None,
        test_pressure="", test_years=None, inside_years=None, made=(1925, 1970),
    )  # fmt: skip


_ALL = (
    _powder("abc-5", "Ostrel 5", "abc", "5 lb", "5# ABC", "ABC 5#", "5 lb ABC", rating="3-A:40-B:C"),
    _powder("abc-10", "Ostrel 10", "abc", "10 lb", "10# ABC", "ABC 10#", "10lb ABC", "tri-class 10#", rating="4-A:80-B:C"),
    _powder("abc-20", "Ostrel 20", "abc", "20 lb", "20# ABC", "ABC 20 lb", rating="20-A:120-B:C"),
    _powder("abc-10-ss", "Ostrel 10 S", "abc", "10 lb", "10# ABC", "10# ABC", shell="stainless-steel", rating="4-A:80-B:C"),
    _powder("bc-10", "Ostrel 10 B", "sodium-bicarbonate", "10 lb", "10# BC", "BC 10 lb", rating="60-B:C"),
    _powder("pk-20", "Ostrel 20 P", "potassium-bicarbonate", "20 lb", "20# PK", "PK 20#", rating="120-B:C"),
    _powder("kcl-20", "Ostrel 20 C", "potassium-chloride", "20 lb", "20# potassium chloride", rating="120-B:C"),
    _powder("upk-20", "Ostrel 20 U", "urea-potassium-bicarbonate", "20 lb", "20# urea-potassium", rating="120-B:C"),
    _powder("dc-20", "Ostrel 20 R", "dry-chemical", "20 lb", "20# dry chem", "dry chemical 20#"),
    _powder("pk-10-1981", "Ostrel Nine", "potassium-bicarbonate", "10 lb", "10# PK", made=(1979, 1983)),
    _cartridge("abc-20-cart", "Tervane 20", "abc", "20 lb", "20# ABC cartridge", "ABC 20# cartridge", rating="20-A:120-B:C"),
    _cartridge("pk-30-cart", "Tervane 30 P", "potassium-bicarbonate", "27 lb", "27# PK cartridge", rating="120-B:C"),
    _cartridge("d-salt-30", "Dunnach 30", "class-d-sodium-chloride", "30 lb", "30# class D sodium chloride cartridge"),
    _powder("d-copper-30", "Dunnach 30 C", "class-d-copper", "30 lb", "30# class D copper"),
    _powder("d-graphite-30", "Dunnach 30 G", "class-d-graphite", "30 lb", "30# class D graphite"),
    _powder("d-30", "Dunnach 30 X", "class-d", "30 lb", "30# class D", "class D 30 lb"),
    _wheeled("pk-125w", "Tervane W125", "potassium-bicarbonate", "125 lb", "125# PK wheeled", "wheeled PK 125#",
             expelled_by="stored-pressure", stamped=True, retest_years=7, rating="240-B:C"),
    _wheeled("pk-150w", "Tervane W150", "potassium-bicarbonate", "150 lb", "150# PK wheeled", expelled_by="stored-pressure",
             stamped=True, rating="320-B:C"),
    _wheeled("pk-350w", "Tervane W350 N", "potassium-bicarbonate", "350 lb", "350# PK wheeled, nitrogen cylinder",
             expelled_by="cylinder", rating="640-B:C"),
    _carbon_dioxide("co2-5", "Carnmoss 5", "5 lb", "CO2 5#", "5# CO2", hose="none", rating="5-B:C"),
    _carbon_dioxide("co2-10", "Carnmoss 10", "10 lb", "CO2 10#", "10 lb CO2", rating="10-B:C"),
    _carbon_dioxide("co2-15", "Carnmoss 15 T", "15 lb", "CO2 15#", "15# CO2", rating="10-B:C", steel=True, made=(1971, 2006)),
    _carbon_dioxide("co2-50w", "Carnmoss W50", "50 lb", "50# CO2 wheeled", hose="shut-off", wheeled=True, rating="20-B:C", steel=True),
    _gas("halon-13", "Haldrow 13", "halon-1211", "13 lb", "HALON 13#", "1211 13#", rating="2-A:40-B:C", made=(1985, 1993)),
    _gas("halon-9", "Haldrow Nine", "halon-1211", "9 lb", "halon 9#", "HALON 1211 9#", rating="1-A:10-B:C", made=(1985, 1992)),
    _gas("halon-150w", "Haldrow W150", "halon-1211", "150 lb", "150# Halon 1211 wheeled", wheeled=True, rating="30-A:160-B:C",
         made=(1987, 1993)),
    _gas("halon-1301", "Haldrow 2 T", "halon-1301", "2.5 lb", "Halon 1301 2.5#", pressures=("360 psi", "720 psi"), made=(1986, 1992)),
    _gas("hcfc-11", "Haldrow 11 H", "halocarbon-hcfc", "11 lb", "11# HCFC", "HCFC 11#", rating="1-A:10-B:C"),
    _gas("hfc236-10", "Haldrow 10 F", "halocarbon-hfc-236fa", "10 lb", "HFC-236fa 10#", rating="1-A:10-B:C"),
    _gas("hfc227-5", "Haldrow 5 E", "halocarbon-hfc-227ea", "5 lb", "HFC-227ea 5#", rating="5-B:C"),
    _gas("clean-5", "Haldrow 5 Q", "halocarbon", "5 lb", "clean agent 5#", rating="5-B:C"),
    _gas("fk-9", "Haldrow 9 K", "halocarbon-fk-5-1-12", "9 lb", "FK-5-1-12 9#", rating="1-A:5-B:C"),
    _liquid("water", "Wexmere 2", "water", "2.5 gal", "2.5 g H2O", "water 2.5 g", "H2O 2½ gal", rating="2-A"),
    _liquid("antifreeze", "Wexmere 2 A", "antifreeze", "2.5 gal", "2.5 g antifreeze", "antifreeze 2.5 gal", inside_years=1, rating="2-A"),
    _liquid("loaded-stream", "Wexmere 2 L", "loaded-stream", "2.5 gal", "loaded stream 2.5 g", inside_years=1, renew_years=1,
            rating="2-A:1-B"),
    _liquid("wetting", "Wexmere 2 W", "wetting-agent", "1.5 gal", "wetting agent 1.5 g", inside_years=1, renew_years=1, rating="3-A"),
    _liquid("afff", "Brandmoor 2", "afff", "2.5 gal", "AFFF 2.5 g", "foam 2.5 g", inside_years=3, renew_years=3, rating="3-A:20-B"),
    _liquid("fffp", "Brandmoor 2 P", "fffp", "2.5 gal", "FFFP 2.5 g", inside_years=3, renew_years=3, rating="3-A:20-B"),
    _liquid("fluorine-free", "Brandmoor 2 F", "fluorine-free-foam", "2.5 gal", "fluorine-free foam 2.5 g", rating="3-A:20-B"),
    _liquid("afff-33w", "Brandmoor W33", "afff", "33 gal", "33 g AFFF wheeled", inside_years=3, renew_years=3, wheeled=True,
            rating="20-A:160-B"),
    _liquid("wet-chem", "Pellwick 6", "wet-chemical", "6 l", "wet chem 6 L", "class K 6 L", rating="2-A:K"),
    _liquid("mist", "Ombrel 2", "water-mist", "2.5 gal", "water mist 2.5 g", rating="2-A:C"),
    _liquid("mist-small", "Ombrel 1", "water-mist", "1.75 gal", "water mist 1.75 g", rating="2-A:C"),
    Model(
        key="pump", name="Wexmere P5", agent="water", size="5 gal", expelled_by="pump", shell="brass", written=("pump tank water 5 g",),
        service_pressure=None, test_pressure="", test_years=None, inside_years=1, renew_years=1, rating="4-A", made=(1972, 2004),
    ),
    _disposable("bc-disposable", "Ostrel Mini", "sodium-bicarbonate", "2.5 lb", "2.5# BC", "BC 2.5#", rating="10-B:C"),
    _disposable("abc-disposable", "Ostrel Mini A", "abc", "2.5 lb", "2.5# ABC", "ABC 2.5#", rating="1-A:10-B:C"),
    _old("soda-acid", "Old Colonnade", "soda-acid", "2.5 gal", expelled_by="self-expelling", shell="soldered-brass"),
    _old("chemical-foam", "Old Colonnade Foam", "chemical-foam", "2.5 gal", expelled_by="self-expelling", shell="brass"),
    _old("vapour", "Old Syringe", "vaporising-liquid", "1 gal", expelled_by="pump", shell="brass", hose="none"),
    _old("cartridge-water", "Old Colonnade C", "water", "2.5 gal", expelled_by="cartridge", shell="mild-steel"),
    _old("water-1968", "Wexmere One", "water", "2.5 gal", expelled_by="stored-pressure", shell="stainless-steel"),
    _old("water-fibre", "Wexmere G", "water", "2.5 gal", expelled_by="stored-pressure", shell="glass-fibre"),
)  # fmt: skip

MODELS: dict[str, Model] = {model.key: model for model in _ALL}

# The bad batch, and the model whose parts have run out: what the demo's withdrawal lists are about.
BAD_MODEL, BAD_LOT, BAD_MADE = "abc-10", "Q17-118", (2017, 4)
ENDED_MODEL = "halon-9"
