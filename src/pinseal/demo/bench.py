"""What the demo shop does to one unit on its yearly visit: the work at the hook, the work on the bench, and who is replaced."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from pinseal.dates import PartialDate
from pinseal.demo import town
from pinseal.demo.book import Book, later, years_after
from pinseal.demo.fleet import Bottle, Numbers, is_bad, is_ended, new_bottle
from pinseal.demo.models import MODELS, Model
from pinseal.demo.withdrawn import BAD_LIST, ENDED_LIST

_ROUND_DAYS = 370  # a bench job that would fall due before the next round is done on this one
_FORGOTTEN, _REPLACED_NOT_TESTED, _FAILS = 0.035, 0.4, 0.02
_CHEAP = frozenset(("abc-5", "abc-10", "bc-10"))
_POWDER_FACTS = ("internal-examination", "hydrostatic-test", "recharge-opened")
_OBSOLETE_FROM = date(1984, 10, 1)
_SUCCESSOR = {"halon-9": "hcfc-11", "halon-13": "hcfc-11", "pk-10-1981": "pk-20", "bc-disposable": "abc-disposable"}


class Crew:
    """One visit's hands: works on units and writes it into the book."""

    def __init__(self, rng: Random, book: Book, numbers: Numbers, *, day: date, person: str) -> None:
        self.rng, self.book, self.numbers = rng, book, numbers
        self.day, self.person = day, person

    def service(self, bottle: Bottle) -> None:
        """The yearly visit to one unit."""
        if not bottle.seen:
            self.first_sight(bottle)
        if self._leaves(bottle):
            return
        self.book.add("maintained", bottle, self.day, self.person, {"tag": self.book.tag(self.day.year)} | self._found(bottle))
        bottle.last["maintenance"] = PartialDate.of(self.day)
        self._at_the_hook(bottle)
        if self.rng.random() > _FORGOTTEN:
            self._on_the_bench(bottle)

    def first_sight(self, bottle: Bottle) -> None:
        """What the nameplate says and the list did not: a second registered record."""
        plate = bottle.model.nameplate
        if not bottle.known:
            plate = {name: plate[name] for name in ("expelled-by", "wheeled", "hose") if name in plate}
        elif self.rng.random() < 0.3:
            plate["lot"] = bottle.lot = f"{self.rng.choice('ABDEGH')}{bottle.made.year % 100:02d}-{self.rng.randint(10, 99)}"
        if bottle.known and not bottle.read:
            plate["manufactured"] = str(bottle.made)
        self.book.add("registered", bottle, self.day, self.person, plate | {"source": "nameplate, read at the first visit"})
        bottle.seen = True

    def replace(self, bottle: Bottle, day: date, model: Model | None = None) -> Bottle:
        """A new unit on the hook of one that left."""
        model = model or MODELS[_SUCCESSOR.get(bottle.model.key, bottle.model.key)]
        fresh = new_bottle(self.rng, self.numbers, site=bottle.site, place=bottle.place, model=model, day=later(day, 0))
        self.book.hang(fresh, fresh.joined, self.person)
        return fresh

    def _found(self, bottle: Bottle) -> dict[str, str]:
        if self.rng.random() > 0.05:
            return {}
        things = (
            "seal broken, new seal",
            "bracket loose, tightened",
            "blocked by stores, cleared",
            "paint on the plate, cleaned",
            "pin bent, new pin",
        )
        return {"found": self.rng.choice(things[:3] if bottle.model.wheeled else things)}

    def _leaves(self, bottle: Bottle) -> bool:
        """Units that go at this visit: recalled, at the end of their life, too old to be opened again."""
        listed = BAD_LIST if is_bad(bottle) else ENDED_LIST if is_ended(bottle) else None
        if listed and listed.published <= self.day:
            self.book.add("recalled", bottle, self.day, self.person, {"list": listed.title, "action": listed.action})
            return self._swap(bottle, "on a withdrawal list")
        next_round = self.day + timedelta(days=_ROUND_DAYS)
        if not bottle.model.rechargeable and years_after(bottle.made.earliest, 12) <= next_round:
            return self._swap(bottle, "disposable, twelve years old")
        if self._bench_due(bottle) and self._too_old(bottle):
            return self._swap(bottle, "made before October 1984, not opened again")
        return False

    def _too_old(self, bottle: Bottle) -> bool:
        return bottle.model.key == "pk-10-1981" and bottle.made.latest < _OBSOLETE_FROM

    def _swap(self, bottle: Bottle, reason: str) -> bool:
        self.book.take_away(bottle, self.day, self.person, reason)
        self.replace(bottle, self.day)
        return True

    # -- at the hook

    def _at_the_hook(self, bottle: Bottle) -> None:
        model = bottle.model
        if model.agent == "co2" and model.hose != "none":
            self._conductivity(bottle)
        if model.expelled_by == "cylinder":
            self.book.add("regulator-tested", bottle, self.day, self.person, {"result": "pass"})
            self._if_due(bottle, "expellant-cylinder-test", "expellant-cylinder-tested", 5)
        if model.hose == "shut-off" and model.test_years:
            self._if_due(bottle, "hose-test", "hose-tested", model.test_years)
        if model.yearly:
            self.book.add("opened", bottle, self.day, self.person)
        if model.renew_years == 1:
            self.book.add("agent-renewed", bottle, self.day, self.person, {"agent": model.agent})

    def _conductivity(self, bottle: Bottle) -> None:
        if self.rng.random() < 0.01:
            self.book.add("conductivity-tested", bottle, self.day, self.person, {"result": "fail", "found": "hose does not conduct"})
            self.book.add("conductivity-tested", bottle, later(self.day, 3), self.person, {"result": "pass", "note": "new hose"})
        else:
            self.book.add("conductivity-tested", bottle, self.day, self.person, {"result": "pass"})

    def _if_due(self, bottle: Bottle, fact: str, kind: str, years: int) -> None:
        if self._due(bottle, years, fact):
            self.book.add(kind, bottle, self.day, self.person, {"result": "pass"})
            bottle.last[fact] = PartialDate.of(self.day)

    # -- on the bench

    def _due(self, bottle: Bottle, years: int | None, *facts: str) -> bool:
        """Whether a job falls due before the next round; the cautious reading of what is known."""
        if years is None:
            return False
        starts = [bottle.last[fact].earliest for fact in facts if fact in bottle.last]
        return years_after(max(starts, default=bottle.made.earliest), years) <= self.day + timedelta(days=_ROUND_DAYS)

    def _test_due(self, bottle: Bottle) -> bool:
        unread = not bottle.read and not bottle.known and "hydrostatic-test" not in bottle.last
        first, again = bottle.model.years_of_test
        years = again if "hydrostatic-test" in bottle.last else first
        return years is not None and (unread or self._due(bottle, years, "hydrostatic-test"))

    def _inside_due(self, bottle: Bottle) -> bool:
        return not bottle.model.yearly and self._due(bottle, bottle.model.inside_years, *_POWDER_FACTS)

    def _bench_due(self, bottle: Bottle) -> bool:
        return self._test_due(bottle) or self._inside_due(bottle)

    def _on_the_bench(self, bottle: Bottle) -> None:
        day = later(self.day, self.rng.randint(1, 5))
        if self._test_due(bottle):
            self._test(bottle, day)
        elif self._inside_due(bottle):
            self.book.add("opened", bottle, day, self.person, self._inside_found())
            bottle.last["internal-examination"] = PartialDate.of(day)
            self._renew(bottle, day)
        elif is_bad(bottle) and self.rng.random() < 0.45:
            self.leak(bottle, day)

    def _inside_found(self) -> dict[str, str]:
        return {"found": "valve stem ring worn, new ring"} if self.rng.random() < 0.08 else {}

    def _renew(self, bottle: Bottle, day: date) -> None:
        if bottle.model.renew_years == 3:
            self.book.add("agent-renewed", bottle, day, self.person, {"agent": bottle.model.agent})

    def _test(self, bottle: Bottle, day: date) -> None:
        model = bottle.model
        if model.key in _CHEAP and self.rng.random() < _REPLACED_NOT_TESTED:
            self.book.take_away(bottle, self.day, self.person, "replaced: a new one costs less than the pressure test")
            self.replace(bottle, self.day)
            return
        said = {"pressure": model.test_pressure, "method": model.method}
        if model.key == "pk-150w" and self.day.year < 2020:
            said.pop("method")  # the early sheets of these do not say how they were tested
        if model.test_years == 12 and self.rng.random() < _FAILS:
            self.book.add("tested", bottle, day, self.person, said | {"result": "fail", "found": "bulge at the lower weld"})
            self.book.take_away(bottle, day, self.person, "failed its pressure test", condemned=True)
            self.replace(bottle, day)
            return
        self.book.add("tested", bottle, day, self.person, said | {"result": "pass"})
        bottle.last["hydrostatic-test"] = PartialDate.of(day)
        self.book.add("recharged", bottle, day, self.person, {"opened": "yes", "agent": model.agent, "reason": "after the pressure test"})
        bottle.last["recharge-opened"] = PartialDate.of(day)
        self._renew(bottle, day)

    def leak(self, bottle: Bottle, day: date) -> None:
        """The bad batch leaks down: it is filled up again, and nobody yet knows why."""
        self._recharge(bottle, day, {"reason": "pressure lost", "found": "needle under the band, nothing used"})

    def after_use(self, bottle: Bottle, day: date) -> None:
        """Filled again after a use."""
        fires = ("a bin", "a grill", "a fuse box", "hot work", "a pan", "a vehicle", "a heater")
        self._recharge(bottle, day, {"reason": f"used on {self.rng.choice(fires)}"})

    def _recharge(self, bottle: Bottle, day: date, said: dict[str, str]) -> None:
        opened = self.rng.choices(("yes", "no", ""), (7, 2, 2))[0]
        self.book.add("recharged", bottle, day, self.person, ({"opened": opened} if opened else {}) | {"agent": bottle.model.agent} | said)
        if opened == "yes":
            bottle.last["recharge-opened"] = PartialDate.of(day)


def crew_of(rng: Random, book: Book, numbers: Numbers, *, day: date, turn: int) -> Crew:
    """The person whose turn it is."""
    return Crew(rng, book, numbers, day=day, person=town.technician_of(day.year, turn))
