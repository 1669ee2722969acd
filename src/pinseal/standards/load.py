"""Read rule packs from TOML, strictly: a wrong key, code or date is refused with file, provision and what to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from pinseal import kinds
from pinseal.reasons import Refusal
from pinseal.standards.model import ATTRIBUTES, CONVENTIONS, EFFECTS, Chosen, Clock, Edition, Interval, Pack, Provision, Start
from pinseal.standards.overlap import refuse_overlaps
from pinseal.standards.strict import Place, read_toml

_PACK_KEYS = {"id", "title", "document", "jurisdiction", "edition", "note"}
_PROVISION_KEYS = {
    "id", "title", "duty", "effect", "clause", "editions", "in_force_from", "in_force_to", "checked", "checked_on", "by", "applies",
    "first", "pick", "after", "interval", "convention", "tolerance_months", "join", "made_before", "withdraw_by", "at_next", "binds",
    "note", "source",
}  # fmt: skip
_CLOCK_KEYS = {"first", "pick", "after", "interval", "convention", "tolerance_months", "join"}
_START_KEYS = {"from", "interval", "convention", "within", "within_of", "year_only_next_january"}
_REQUIRED = ("id", "title", "duty", "clause", "in_force_from", "in_force_to", "checked", "checked_on", "by")


class _Place(Place):
    """The same for provisions: intervals, conventions, tolerances."""

    def tolerance(self, table: Mapping[str, Any], convention: str) -> int:
        value = table.get("tolerance_months", 0)
        if type(value) is not int or value < 0:
            raise self.refuse(
                "tolerance_months is not a whole number of months", rule="a tolerance is 0 or more", got=value, do="write it as in 1"
            )
        if value and convention not in ("anniversary", "end-of-month"):
            raise self.refuse(
                "a tolerance does not fit the convention",
                rule="months of tolerance go with anniversary and end-of-month",
                got=f"{value}, {convention}",
                do="change one of the two",
            )
        return value

    def interval(self, value: object) -> Interval:
        parts = value.split() if isinstance(value, str) else []
        unit = parts[1].removesuffix("s") if len(parts) == 2 else ""
        if unit not in ("day", "month", "year") or not parts[0].isascii() or not parts[0].isdigit() or int(parts[0]) < 1:
            raise self.refuse(
                "this is not an interval",
                rule="an interval is a whole number and days, months or years",
                got=value,
                do='write it as in "12 years"',
            )
        return Interval(int(parts[0]), unit)

    def convention(self, table: Mapping[str, Any], interval: Interval, default: str) -> str:
        convention = self.code(table.get("convention", default), CONVENTIONS, what="convention")
        if (convention == "days") != (interval.unit == "day") or (convention == "end-of-year" and interval.unit != "year"):
            raise self.refuse(
                "convention and interval do not fit",
                rule="days go with days, end-of-year with years",
                got=f"{interval}, {convention}",
                do="change one of the two",
            )
        return convention


def _applies(place: _Place, table: Mapping[str, Any]) -> dict[str, frozenset[str]]:
    place.keys(table, set(ATTRIBUTES))
    found: dict[str, frozenset[str]] = {}
    for attribute, values in table.items():
        codes: list[str] = []
        for value in values if isinstance(values, list) else [values]:
            group = kinds.AGENT_GROUPS.get(str(value)) if attribute == "agent" else None
            codes += group or [place.code(value, ATTRIBUTES[attribute], what=attribute.replace("_", " "))]
        found[attribute] = frozenset(codes)
    return found


def _start(place: _Place, table: Mapping[str, Any], default: str) -> Start:
    place.keys(table, _START_KEYS)
    interval = place.interval(table.get("interval"))
    if ("within" in table) != ("within_of" in table):
        raise place.refuse(
            "within and within_of go together", rule="a start is set aside by both", got="one of them", do="add the other, or remove it"
        )
    return Start(
        fact=place.code(table.get("from"), kinds.FACTS, what="fact"),
        interval=interval,
        convention=place.convention(table, interval, "days" if interval.unit == "day" else default),
        within=place.interval(table["within"]) if "within" in table else None,
        within_of=place.code(table["within_of"], kinds.FACTS, what="fact") if "within_of" in table else None,
        year_only_next_january=place.flag(table, "year_only_next_january"),
    )


def _clock(place: _Place, table: Mapping[str, Any]) -> Clock:
    interval = place.interval(table["interval"]) if "interval" in table else None
    default = "days" if interval and interval.unit == "day" else "anniversary"
    convention = (
        place.convention(table, interval, default)
        if interval
        else place.code(table.get("convention", default), CONVENTIONS, what="convention")
    )
    first = tuple(_start(place, start, convention) for start in place.tables(table, "first"))
    after = tuple(place.code(fact, kinds.FACTS, what="fact") for fact in table.get("after", ()))
    if not first and not after and "join" not in table:
        raise place.refuse(
            "the clock never starts", rule="a clock has first or after", got="neither", do="add the fact that it is counted from"
        )
    if after and interval is None:
        raise place.refuse(
            "the interval is missing",
            rule="a clock that is restarted says its interval",
            got="after without interval",
            do='add interval = "…"',
        )
    return Clock(
        first=first,
        pick=place.code(table.get("pick", "first-known"), ("first-known", "earliest"), what="pick"),
        after=after,
        interval=interval,
        convention=convention,
        tolerance_months=place.tolerance(table, convention),
        join=place.code(table["join"], kinds.DUTIES, what="duty") if "join" in table else None,
    )


def _end(place: _Place, value: object) -> date | None:
    if value == "open":
        return None
    return place.day(value, what='in_force_to (a day, or "open")')


def _provision(file: str, pack: str, editions: tuple[str, ...], table: Mapping[str, Any]) -> Provision:
    place = _Place(file, str(table.get("id", "without id")))
    place.keys(table, _PROVISION_KEYS)
    for key in _REQUIRED:
        if key not in table:
            raise place.refuse(f"{key} is missing", rule=f"a provision has {', '.join(_REQUIRED)}", got="nothing", do=f"add {key}")
    effect = place.code(table.get("effect", "clock"), EFFECTS, what="effect")
    if effect != "clock" and (idle := sorted(_CLOCK_KEYS & set(table))):
        raise place.refuse("a clock that is never asked", rule=f"effect {effect} has no clock", got=", ".join(idle), do="remove these keys")
    start, end = place.day(table["in_force_from"], what="in_force_from"), _end(place, table["in_force_to"])
    if end and end < start:
        raise place.refuse(
            "it ends before it begins", rule="in_force_from is not after in_force_to", got=f"{start} to {end}", do="correct the days"
        )
    return Provision(
        pack=pack,
        id=place.text(table, "id"),
        title=place.text(table, "title"),
        duty=place.code(table["duty"], kinds.DUTIES, what="duty"),
        effect=effect,
        clause=place.text(table, "clause"),
        editions=tuple(place.code(e, editions, what="edition") for e in table.get("editions", editions)),
        in_force_from=start,
        in_force_to=end,
        checked=place.code(table["checked"], kinds.CHECKED, what="way of checking"),
        checked_on=place.day(table["checked_on"], what="checked_on"),
        by=place.text(table, "by"),
        applies=_applies(place, table.get("applies", {})),
        clock=_clock(place, table) if effect == "clock" and not table.get("at_next") else None,
        made_before=place.day(table["made_before"], what="made_before") if "made_before" in table else None,
        withdraw_by=place.day(table["withdraw_by"], what="withdraw_by") if "withdraw_by" in table else None,
        at_next=tuple(place.code(d, kinds.DUTIES, what="duty") for d in table.get("at_next", ())),
        binds=place.code(table["binds"], ("refill",), what="binds") if "binds" in table else None,
        note=place.text(table, "note", ""),
        source=place.text(table, "source", ""),
        file=file,
    )


def load_pack(folder: Traversable | Path) -> Pack:
    """Read the pack in `folder`: `pack.toml` and every other `.toml` beside it. Raises `Refusal`."""
    head = read_toml(folder / "pack.toml")
    place = _Place(f"{folder.name}/pack.toml")
    place.keys(head, _PACK_KEYS)
    editions = tuple(Edition(id=place.text(e, "id"), title=place.text(e, "title")) for e in place.tables(head, "edition"))
    notes = head.get("note", [])
    if not isinstance(notes, list) or not all(isinstance(note, str) for note in notes):
        raise place.refuse("note is no list of texts", rule="notes are a list", got=notes, do='write note = ["…"]')
    if not editions:
        raise place.refuse("no edition", rule="a pack lists the editions it holds, newest last", got="none", do="add an [[edition]]")
    provisions: list[Provision] = []
    for file in sorted((f for f in folder.iterdir() if f.name.endswith(".toml") and f.name != "pack.toml"), key=lambda f: f.name):
        table = read_toml(file)
        name = f"{folder.name}/{file.name}"
        _Place(name).keys(table, {"provision"})
        provisions += [
            _provision(name, place.text(head, "id"), tuple(e.id for e in editions), p) for p in _Place(name).tables(table, "provision")
        ]
    refuse_overlaps(provisions)
    return Pack(
        id=place.text(head, "id"),
        title=place.text(head, "title"),
        document=place.text(head, "document"),
        jurisdiction=place.text(head, "jurisdiction"),
        editions=editions,
        provisions=tuple(provisions),
        notes=tuple(notes),
    )


@cache
def held_packs() -> Mapping[str, Pack]:
    """All packs that come with the program, by id."""
    root = files("pinseal.standards") / "packs"
    packs = [load_pack(folder) for folder in sorted(root.iterdir(), key=lambda f: f.name) if folder.is_dir()]
    return {pack.id: pack for pack in packs}


def choose_packs(names: Iterable[str]) -> tuple[Chosen, ...]:
    """Read `us-osha` or `us-nfpa10@2010` names, in the order given. Raises `Refusal` for none, unknown or named twice."""
    held = held_packs()
    chosen: list[Chosen] = []
    for name in (n.strip() for n in names if n.strip()):
        code, _, edition = name.partition("@")
        if code not in held:
            raise Refusal(what="no such rule pack", rule=f"a pack is one of {', '.join(held)}", got=name, do="see `pinseal standards`")
        known = [e.id for e in held[code].editions]
        if edition and edition not in known:
            raise Refusal(
                what=f"{code} holds no such edition",
                rule=f"the editions held are {', '.join(known)}",
                got=edition,
                do=f"choose one, as in {code}@{known[-1]}",
            )
        if any(c.pack.id == code for c in chosen):
            raise Refusal(what="a pack is named twice", rule="each pack is chosen once, at one edition", got=name, do="name it once")
        chosen.append(Chosen(pack=held[code], edition=edition or held[code].newest))
    if not chosen:
        raise Refusal(
            what="no rule pack is chosen",
            rule="a shop chooses the documents that it works by",
            got="none",
            do="say --packs, for example --packs us-osha,us-nfpa10",
        )
    return tuple(chosen)
