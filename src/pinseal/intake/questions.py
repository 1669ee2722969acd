"""Questions with stable ids, gathered over a whole list so that one answer settles all cells alike; and files of answers."""

from __future__ import annotations

import tomllib
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from pinseal.intake.findings import Ask
from pinseal.intake.words import slug
from pinseal.reasons import Refusal

UNSETTLED = frozenset(("unknown", "skip", "later"))
_RULE = 'an answers file is TOML: one line for each answer, ID = "reading"'


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing that a careful person would ask. Where it settles cells of several columns, `also` lists them all."""

    id: str
    sheet: str | None
    column: str | None
    rows: tuple[int, ...]
    field: str | None
    raw: str
    readings: tuple[str, ...]
    ask: str
    also: tuple[tuple[str | None, str | None, tuple[int, ...]], ...] = ()

    def as_json(self) -> dict[str, object]:
        shape: dict[str, object] = {
            "id": self.id, "sheet": self.sheet, "column": self.column, "rows": list(self.rows), "field": self.field, "raw": self.raw,
            "readings": list(self.readings), "ask": self.ask,
        }  # fmt: skip
        if self.also:
            shape["also"] = [{"sheet": sheet, "column": column, "rows": list(rows)} for sheet, column, rows in self.also]
        return shape


@dataclass(slots=True)
class _Draft:
    field: str | None
    raw: str
    readings: tuple[str, ...]
    ask: str
    places: dict[tuple[str | None, str | None], list[int]]


class Questions:
    """The questions of one list while it is read, with the answers that were given."""

    def __init__(self, answers: Mapping[str, str]) -> None:
        self._answers = {key.strip(): value.strip() for key, value in answers.items()}
        self._drafts: dict[str, _Draft] = {}
        self._readings: dict[str, tuple[str, ...]] = {}
        self._used: set[str] = set()

    def id_of(self, ask: Ask) -> str:
        """The stable id: the words of the question, and a short mark where other readings already hold those words."""
        name = slug(ask.token)
        known = self._readings.setdefault(name, ask.readings)
        return name if known == ask.readings else f"{name}-{zlib.crc32('|'.join(ask.readings).encode()):08x}"

    def answer(self, ask: Ask, *, free: bool = False) -> str | None:
        """The answer given to a question, or None. Raises `Refusal` where it is none of the readings."""
        name = self.id_of(ask)
        given = self._answers.get(name)
        if given is None:
            return None
        self._used.add(name)
        if given in UNSETTLED:
            return None
        if given not in ask.readings and not (free or any(given.startswith(f"{reading}-") for reading in ask.readings)):
            raise Refusal(
                what=f"the answer to {name} is none of its readings",
                rule=f"the readings are {', '.join(ask.readings)}, or unknown",
                got=given,
                do="choose one of the readings",
            )
        return given

    def add(self, ask: Ask, *, sheet: str | None, column: str | None, rows: Iterable[int], raw: str) -> None:
        """Ask, unless the answer is already there."""
        name = self.id_of(ask)
        if name in self._answers:
            self._used.add(name)
            return
        draft = self._drafts.setdefault(name, _Draft(ask.field or None, raw, ask.readings, ask.ask, {}))
        draft.places.setdefault((sheet, column), []).extend(rows)

    def asked(self) -> tuple[Question, ...]:
        """All open questions, in the order in which they came up."""
        questions = []
        for name, draft in self._drafts.items():
            places = [(sheet, column, tuple(dict.fromkeys(rows))) for (sheet, column), rows in draft.places.items()]
            sheet = places[0][0]
            rows = tuple(sorted({row for place, _, found in places if place == sheet for row in found}))
            column = places[0][1] if len({heading for _, heading, _ in places}) == 1 else None
            also = tuple(places) if len(places) > 1 else ()
            questions.append(
                Question(
                    id=name,
                    sheet=sheet,
                    column=column,
                    rows=rows,
                    field=draft.field,
                    raw=draft.raw,
                    readings=draft.readings,
                    ask=draft.ask,
                    also=also,
                )
            )
        return tuple(questions)

    def unused(self) -> tuple[str, ...]:
        """Answers to questions that this list did not raise: kept from another year, or mistyped."""
        return tuple(sorted(set(self._answers) - self._used))


def load_answers(path: str | Path) -> dict[str, str]:
    """Read a file of answers. Raises `Refusal` for a missing file, broken TOML, or an answer that is no text."""
    path = Path(path)
    try:
        with path.open("rb") as stream:
            table = tomllib.load(stream)
    except OSError as error:
        raise Refusal(what="the answers file cannot be read", rule=_RULE, got=str(path), do="check the name and the folder") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise Refusal(
            what="the answers file is not TOML", rule=_RULE, got=f"{path.name}: {error}", do='write lines such as halon = "halon-1211"'
        ) from error
    answers: dict[str, str] = {}
    for key, value in table.items():
        if isinstance(value, bool) or not isinstance(value, (str, int)):
            raise Refusal(what=f"the answer to {key} is not text", rule=_RULE, got=repr(value), do="put the reading in quotes")
        answers[key] = str(value)
    return answers
