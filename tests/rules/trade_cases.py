"""Reads dated cases in the trade's words from TOML, asks the due list, and compares. Nothing here computes a date.

A case says: `name`, `source`, `packs`, `on`, `unit` (a key of `KINDS`, or a table), `but` (nameplate facts that differ;
"not said" takes one away), `dates`, and what is expected: `dues` and `no_row`. In a due, `day` stands for both ends,
`states` gives the state on other days, `others` what the packs say that do not govern, and `missing` is compared whole.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from pinseal.dates import parse_date, parse_day
from pinseal.records.unit import Nameplate, UnitState, with_recharge
from pinseal.rules.clocks import Basis
from pinseal.rules.columns import parse_assumptions
from pinseal.rules.rows import Due
from pinseal.service.duelist import Withdrawal, due_list
from pinseal.standards import choose_packs
from pinseal.units import parse_quantity


def _kind(agent: str, expelled_by: str, shell: str, **said: Any) -> dict[str, Any]:
    known = {"agent": agent, "expelled_by": expelled_by, "shell": shell, "wheeled": False, "rechargeable": True, "hose": "none"}
    return {**known, **said}


KINDS: dict[str, dict[str, Any]] = {
    "steel powder": _kind("abc", "stored-pressure", "mild-steel"),
    "aluminium powder": _kind("sodium-bicarbonate", "stored-pressure", "aluminium"),
    "stainless powder": _kind("abc", "stored-pressure", "stainless-steel"),
    "disposable powder": _kind("abc", "stored-pressure", "mild-steel", rechargeable=False),
    "disposable halon": _kind("halon-1211", "stored-pressure", "mild-steel", rechargeable=False),
    "cartridge powder": _kind("abc", "cartridge", "mild-steel"),
    "wheeled powder": _kind("abc", "stored-pressure", "mild-steel", wheeled=True, hose="shut-off"),
    "wheeled powder with cylinder": _kind("abc", "cylinder", "mild-steel", wheeled=True, hose="shut-off"),
    "class D powder": _kind("class-d-sodium-chloride", "cartridge", "mild-steel"),
    "stored class D powder": _kind("class-d-sodium-chloride", "stored-pressure", "mild-steel"),
    "carbon dioxide": _kind("co2", "self-expelling", "mild-steel"),
    "water": _kind("water", "stored-pressure", "stainless-steel"),
    "loaded stream": _kind("loaded-stream", "stored-pressure", "stainless-steel"),
    "pump tank": _kind("water", "pump", "stainless-steel"),
    "foam": _kind("afff", "stored-pressure", "stainless-steel"),
    "fluorine-free foam": _kind("fluorine-free-foam", "stored-pressure", "stainless-steel"),
    "wet chemical": _kind("wet-chemical", "stored-pressure", "stainless-steel"),
    "halon": _kind("halon-1211", "stored-pressure", "mild-steel"),
    "clean agent": _kind("halocarbon-hfc-236fa", "stored-pressure", "mild-steel"),
    "soda-acid": _kind("soda-acid", "self-expelling", "brass"),
}

CASE_KEYS = {
    "name", "source", "packs", "on", "unit", "but", "dates", "test_method", "opened", "basis", "assume", "horizon", "removed",
    "placeholder", "listed", "dues", "no_row", "rows", "summary",
}  # fmt: skip
DUE_KEYS = {
    "duty", "day", "earliest", "latest", "not_before", "state", "states", "pack", "provision", "checked", "edition", "missing", "binds",
    "withdrawn", "because", "assumed", "others",
}  # fmt: skip
OTHER_KEYS = {"day", "earliest", "latest", "not_before", "state", "provision", "checked", "missing", "binds"}
Case = Mapping[str, Any]


def read_cases(folder: Path) -> Iterator[tuple[str, Case]]:
    """Every case of the folder's TOML files, each with a name that is unique in its file."""
    for file in sorted(folder.glob("*.toml")):
        table = tomllib.loads(file.read_text(encoding="utf-8"))
        assert set(table) == {"case"}, f"{file.name} holds [[case]] tables and nothing else"
        names = [case["name"] for case in table["case"]]
        assert len(set(names)) == len(names), f"{file.name}: a name is used twice"
        for case in table["case"]:
            assert set(case) <= CASE_KEYS, f"{file.name}, {case['name']}: {set(case) - CASE_KEYS}"
            assert case["source"].strip(), f"{file.name}, {case['name']}: no source"
            yield f"{file.stem}: {case['name']}", case


def nameplate(unit: str | Mapping[str, Any], but: Mapping[str, Any] | None = None) -> Nameplate:
    """A nameplate from a kind of unit, or from a table, and what differs from it."""
    said = {**(KINDS[unit] if isinstance(unit, str) else unit), **(but or {})}
    said = {name: None if value == "not said" else value for name, value in said.items()}
    if isinstance(said.get("water_capacity"), str):
        said["water_capacity"] = parse_quantity(said["water_capacity"])
    return Nameplate(**said)


def unit_of(case: Case) -> UnitState:
    """The unit of a case. `recharge` in its dates goes with `opened`: "yes", "no", or left out where it is not said."""
    dates = {fact: parse_date(text) for fact, text in case.get("dates", {}).items()}
    recharged = dates.pop("recharge", None)
    opened = {"yes": True, "no": False, None: None}[case.get("opened")]
    return UnitState(
        nameplate=nameplate(case.get("unit", {}), case.get("but")),
        dates=with_recharge(dates, recharged, opened=opened),
        test_method=case.get("test_method"),
        removed=case.get("removed"),
        placeholder=case.get("placeholder", False),
    )


def _withdrawals(case: Case) -> dict[int, Withdrawal]:
    if "listed" not in case:
        return {}
    return {0: Withdrawal(**{**case["listed"], "published": parse_day(case["listed"]["published"])})}


def rows_of(case: Case, on: date) -> list[Due]:
    """The rows of the case's unit on a day."""
    found = due_list(
        [unit_of(case)],
        choose_packs(case["packs"].split(",")),
        on,
        horizon_days=case.get("horizon", 30),
        basis=Basis(case.get("basis", "anniversary")),
        assume=parse_assumptions(case.get("assume")),
        withdrawals=_withdrawals(case),
    )
    if "summary" in case:
        summary = found.summary()
        assert {key: summary[key] for key in case["summary"]} == case["summary"]
    return list(found.all())


def _same_day(got: date | None, said: str) -> bool:
    return got == (None if said == "none" else parse_day(said))


def _check_fields(got: Any, said: Mapping[str, Any]) -> None:
    ends = {"earliest": said["day"], "latest": said["day"]} if "day" in said else {}
    for name, value in {**ends, **{k: said[k] for k in ("earliest", "latest", "not_before") if k in said}}.items():
        assert _same_day(getattr(got, name), value), f"{name}: said {value}, got {getattr(got, name)}"
    for name in ("state", "withdrawn"):
        assert getattr(got, name, None) == said.get(name, getattr(got, name, None)), name
    if "binds" in said:
        assert got.binds == (None if said["binds"] == "none" else said["binds"])
    if "missing" in said:
        assert sorted(got.missing) == sorted(said["missing"])
    if said.get("pack") == "none":
        assert got.governing is None
    for name in ("pack", "provision", "checked", "edition"):
        if name in said and said[name] != "none":
            assert got.governing is not None, f"nothing governs; said {name} {said[name]}"
            assert getattr(got.governing, name) == said[name], name


def _check_due(case: Case, rows: list[Due], said: Mapping[str, Any]) -> None:
    assert set(said) <= DUE_KEYS, set(said) - DUE_KEYS
    found = [row for row in rows if row.duty == said["duty"]]
    assert len(found) == 1, f"{said['duty']} has {len(found)} rows"
    row = found[0]
    _check_fields(row, said)
    for words in said.get("because", ()):
        assert any(words in reason for reason in row.because), f"no reason says {words!r}: {row.because}"
    if "assumed" in said:
        assert sorted(row.assumed) == sorted(said["assumed"])
    for pack, other in said.get("others", {}).items():
        assert set(other) <= OTHER_KEYS, set(other) - OTHER_KEYS
        speakers = [o for o in row.others if o.pack == pack]
        assert len(speakers) == 1, f"{pack} is {len(speakers)} times in others"
        _check_fields(speakers[0], other)
    for day, state in said.get("states", {}).items():
        then = next(r for r in rows_of(case, parse_day(day)) if r.duty == said["duty"])
        assert then.state == state, f"on {day}: said {state}, got {then.state}"


def check(case: Case) -> None:
    """Compare one case, field by field, as far as it says."""
    rows = rows_of(case, parse_day(case["on"]))
    for said in case.get("dues", ()):
        _check_due(case, rows, said)
    for duty in case.get("no_row", ()):
        assert duty not in [row.duty for row in rows], f"{duty} has a row"
    if "rows" in case:
        assert [row.duty for row in rows] == case["rows"]


def state(
    unit: str, dates: Mapping[str, str], *, opened: bool | None = None, but: Mapping[str, Any] | None = None, **more: Any
) -> UnitState:
    """A unit for tests in Python: a kind, its dates as text, and what differs."""
    plain = {fact: parse_date(text) for fact, text in dates.items()}
    recharged = plain.pop("recharge", None)
    return replace(UnitState(nameplate=nameplate(unit, but), dates=with_recharge(plain, recharged, opened=opened)), **more)
