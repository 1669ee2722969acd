"""What pages look up of every unit, made when it is first asked for and carried over when a few units change.

A text to search in, a rank by place: each costs little for one unit and a second for all units of a large shop.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from pinseal.records.unit import UnitState

Value = TypeVar("Value")
Answer = TypeVar("Answer")


class Kept:
    """Columns and answers over the units of one list. Whatever is asked of it is a pure function, which is its own name.

    Two threads that ask for the same at once both make it, and both are right.
    """

    def __init__(self, states: Sequence[UnitState]) -> None:
        self.states = states
        self._columns: dict[Callable[[UnitState], Any], list[Any]] = {}
        self._answers: dict[tuple[Callable[[UnitState], Any], Callable[..., Any]], tuple[list[Any], Any]] = {}
        self._once: dict[Callable[[Sequence[UnitState]], Any], Any] = {}
        self._own: dict[object, Any] = {}

    def each(self, value: Callable[[UnitState], Value]) -> list[Value]:
        """`value` of every unit, by its place."""
        if value not in self._columns:
            self._columns[value] = [value(state) for state in self.states]
        return self._columns[value]

    def over(self, value: Callable[[UnitState], Value], make: Callable[[list[Value]], Answer]) -> Answer:
        """What `make` makes of `value` of every unit. It holds as long as that column does not change."""
        column = self.each(value)
        found = self._answers.get((value, make))
        if found is None or found[0] is not column:
            found = self._answers[value, make] = (column, make(column))
        answer: Answer = found[1]
        return answer

    def once(self, make: Callable[[Sequence[UnitState]], Answer]) -> Answer:
        """What `make` makes of the units, where it hangs on nothing but which units there are and in which order."""
        if make not in self._once:
            self._once[make] = make(self.states)
        answer: Answer = self._once[make]
        return answer

    def here(self, name: object, make: Callable[[], Answer]) -> Answer:
        """An answer that holds for this list alone, and goes when any unit changes."""
        if name not in self._own:
            self._own[name] = make()
        answer: Answer = self._own[name]
        return answer

    def with_changes(self, states: Sequence[UnitState], places: Sequence[int], before: Sequence[int] | None = None) -> Kept:
        """The same over a list in which the units at `places` have changed; a column that says the same as before stays itself.

        `before` gives the place that each unit had, where new units moved the others.
        """
        found = Kept(states)
        for value, column in list(self._columns.items()):
            moved = column if before is None else [column[place] for place in before]
            changed = {place: said for place in places if moved[place] != (said := value(states[place]))}
            if changed:
                moved = list(moved)
                for place, said in changed.items():
                    moved[place] = said
            found._columns[value] = moved
        if before is None:
            found._answers, found._once = dict(self._answers), dict(self._once)
        return found
