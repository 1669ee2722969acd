"""The data of loaners, shell damage and carbon dioxide fills is sourced; a wrong entry is refused with file, entry and reason."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from pinseal.kinds import CHECKED
from pinseal.reasons import Refusal
from pinseal.standards.co2_fill import fill_limits, parse_fill_limits
from pinseal.standards.loaners import loan_data, parse_loan_data
from pinseal.standards.pressure_tests import Source
from pinseal.standards.shell_damage import parse_shell_damage, shell_damage
from pinseal.standards.sourced import shipped


def _sources() -> list[Source]:
    damage, loans = shell_damage(), loan_data()
    rows = [*damage.findings, *damage.limits.values(), *damage.needs, *loans.rules.values(), *loans.back, *fill_limits()]
    return [row.source for row in rows]


def test_every_entry_says_its_source_and_how_it_was_checked() -> None:
    for source in _sources():
        assert source.document
        assert source.clause
        assert source.checked in CHECKED
        assert source.in_force_from <= source.checked_on


def test_no_code_stands_twice() -> None:
    for file in ("shell_damage.toml", "loaners.toml", "co2_fill.toml"):
        for rows in shipped(file).values():
            codes = [row["id"] for row in rows]
            assert len(codes) == len(set(codes))


Parse = Callable[[dict[str, Any]], Any]


@pytest.mark.parametrize(
    ("parse", "file", "kind", "change", "words"),
    [
        (parse_shell_damage, "shell_damage.toml", "finding", {"list": "odd"}, "unknown list"),
        (parse_shell_damage, "shell_damage.toml", "finding", {"packs": []}, "no pack"),
        (parse_shell_damage, "shell_damage.toml", "finding", {"packs": ["atlantis"]}, "unknown rule pack"),
        (parse_shell_damage, "shell_damage.toml", "finding", {"words": ""}, "words is missing"),
        (parse_shell_damage, "shell_damage.toml", "finding", {"colour": "red"}, "wrong key"),
        (parse_shell_damage, "shell_damage.toml", "finding", {"checked": "hearsay"}, "unknown way of checking"),
        (parse_shell_damage, "shell_damage.toml", "finding", {"in_force_to": "never"}, "is not a date"),
        (parse_shell_damage, "shell_damage.toml", "finding", {"checked_on": None}, "checked_on is not a date"),
        (parse_shell_damage, "shell_damage.toml", "measure", {"inches": "1/4"}, "the limit is not clear"),
        (parse_shell_damage, "shell_damage.toml", "measure", {"share": "a tenth"}, "no number above zero"),
        (parse_shell_damage, "shell_damage.toml", "measure", {"share": "1/0"}, "no number above zero"),
        (parse_shell_damage, "shell_damage.toml", "need", {"shells": "blue"}, "unknown kind of shell"),
        (parse_loan_data, "loaners.toml", "back", {"pack": "atlantis"}, "unknown rule pack"),
        (parse_loan_data, "loaners.toml", "back", {"days": "60.5"}, "no whole days"),
        (parse_loan_data, "loaners.toml", "rule", {"id": None}, "id is missing"),
        (parse_fill_limits, "co2_fill.toml", "fill", {"specifications": ["3ZZ"]}, "unknown specification"),
        (parse_fill_limits, "co2_fill.toml", "fill", {"percent": "-68"}, "no number above zero"),
    ],
)
def test_a_wrong_entry_is_refused_in_words(parse: Parse, file: str, kind: str, change: dict[str, Any], words: str) -> None:
    entry = {key: value for key, value in (dict(shipped(file)[kind][0]) | change).items() if value is not None}
    with pytest.raises(Refusal, match=words) as refused:
        parse({kind: [entry]})
    assert refused.value.what.startswith(file)


@pytest.mark.parametrize("parse", [parse_shell_damage, parse_loan_data, parse_fill_limits])
def test_an_unknown_kind_of_entry_is_refused(parse: Parse) -> None:
    with pytest.raises(Refusal, match="wrong key"):
        parse({"rumour": [{}]})
