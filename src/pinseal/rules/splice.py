"""Some rows of an evaluation put in the place of others, and some taken out: nothing is decided here.

The units of a fleet do not lean on each other, so an evaluation of the few that have changed can be laid over that of
the whole. Both must come from one day, one choice of packs and one basis.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from pinseal import kinds
from pinseal.rules.columns import Fleet, Profiles
from pinseal.rules.matching import Plans
from pinseal.rules.result import NO, NO_ROW, DutyDues, Evaluation, VoiceDues
from pinseal.rules.tables import FAR, UNKNOWN_DAY

Places = NDArray[np.intp]
Column = NDArray[Any]
Key = TypeVar("Key")


def picked(whole: Evaluation, places: Places) -> Evaluation:
    """Some units of an evaluation, in the order of `places`: the same as if these alone had been evaluated."""
    return replace(
        whole,
        fleet=_fleet_of(whole.fleet, places),
        profiles=Profiles(whole.profiles.codes, whole.profiles.number[places]),
        spoken={key: _voice_of(dues, places) for key, dues in whole.spoken.items()},
        duties={duty: _duty_of(dues, places) for duty, dues in whole.duties.items()},
    )


def laid_over(whole: Evaluation, places: Places, part: Evaluation) -> Evaluation:
    """The evaluation with other rows at `places`: those of `part`, in that order."""
    size = whole.fleet.size
    profiles, plans = _joined_profiles(whole, places, part)
    keys = sorted({*whole.spoken, *part.spoken}, key=lambda key: key[0])
    duties = [duty for duty in kinds.DUTIES if duty in whole.duties or duty in part.duties]
    nothing = _NothingSaid(size), _NothingSaid(len(places))
    return replace(
        whole,
        fleet=_joined_fleet(whole.fleet, places, part.fleet),
        profiles=profiles,
        plans=plans,
        spoken={
            key: _joined_voice(whole.spoken.get(key) or nothing[0].voice, places, part.spoken.get(key) or nothing[1].voice) for key in keys
        },
        duties={
            duty: _joined_duty(whole.duties.get(duty) or nothing[0].duty, places, part.duties.get(duty) or nothing[1].duty)
            for duty in duties
        },
    )


class _NothingSaid:
    """The columns of units of which nobody says anything."""

    def __init__(self, size: int) -> None:
        self.size = size

    @property
    def voice(self) -> VoiceDues:
        return VoiceDues(_full(self.size, int(NO_ROW)), _full(self.size, int(NO_ROW)))

    @property
    def duty(self) -> DutyDues:
        none, no = np.full(self.size, -1, np.int8), np.full(self.size, NO, np.int8)
        return DutyDues(_full(self.size, int(FAR)), _full(self.size, int(FAR)), none, no, np.zeros(self.size, np.bool_))


def _full(size: int, value: int) -> NDArray[np.int32]:
    return np.full(size, value, np.int32)


def _with(whole: Column, places: Places, part: Column) -> Column:
    found = whole.copy()
    found[places] = part
    return found


def _voice_of(dues: VoiceDues, places: Places) -> VoiceDues:
    not_before = None if dues.not_before is None else dues.not_before[places]
    return VoiceDues(dues.earliest[places], dues.latest[places], not_before)


def _duty_of(dues: DutyDues, places: Places) -> DutyDues:
    return DutyDues(dues.earliest[places], dues.latest[places], dues.governing[places], dues.state[places], dues.perhaps[places])


def _joined_voice(whole: VoiceDues, places: Places, part: VoiceDues) -> VoiceDues:
    not_before = None
    if whole.not_before is not None or part.not_before is not None:
        first, second = (each.not_before if each.not_before is not None else _full(len(each.earliest), int(FAR)) for each in (whole, part))
        not_before = _with(first, places, second)
    return VoiceDues(_with(whole.earliest, places, part.earliest), _with(whole.latest, places, part.latest), not_before)


def _joined_duty(whole: DutyDues, places: Places, part: DutyDues) -> DutyDues:
    names = ("earliest", "latest", "governing", "state", "perhaps")
    return DutyDues(*(_with(getattr(whole, name), places, getattr(part, name)) for name in names))


# -- the fleet


def _fleet_of(fleet: Fleet, places: Places) -> Fleet:
    def some(columns: Mapping[str, Column]) -> dict[str, Column]:
        return {name: column[places] for name, column in columns.items()}

    return Fleet(
        size=len(places),
        attributes=some(fleet.attributes),
        earliest=some(fleet.earliest),
        latest=some(fleet.latest),
        assumed=some(fleet.assumed),
    )


def _joined_fleet(whole: Fleet, places: Places, part: Fleet) -> Fleet:
    facts = dict.fromkeys((*whole.earliest, *part.earliest))

    unknown = int(UNKNOWN_DAY)

    def days(columns: Mapping[str, Column], others: Mapping[str, Column]) -> dict[str, Column]:
        return {
            fact: _with(columns.get(fact, _full(whole.size, unknown)), places, others.get(fact, _full(part.size, unknown)))
            for fact in facts
        }

    return Fleet(
        size=whole.size,
        attributes={name: _with(column, places, part.attributes[name]) for name, column in whole.attributes.items()},
        earliest=days(whole.earliest, part.earliest),
        latest=days(whole.latest, part.latest),
        assumed={name: _with(column, places, part.assumed[name]) for name, column in whole.assumed.items()},
    )


# -- the nameplates


def _joined_profiles(whole: Evaluation, places: Places, part: Evaluation) -> tuple[Profiles, list[dict[str, Plans]]]:
    """The nameplates of both, each once, and for each voice and duty the plans of both."""
    known = {key: number for number, key in enumerate(_keys(whole.profiles))}
    theirs, new = [], []
    for place, key in enumerate(_keys(part.profiles)):
        if key not in known:
            known[key] = len(known)
            new.append(place)
        theirs.append(known[key])
    added = np.array(new, np.intp)
    codes = {name: np.concatenate((column, part.profiles.codes[name][added])) for name, column in whole.profiles.codes.items()}
    number = _with(whole.profiles.number, places, np.array(theirs, np.int32)[part.profiles.number])
    plans = [
        {duty: _joined_plans(mine, others[duty], added) for duty, mine in by_duty.items()}
        for by_duty, others in zip(whole.plans, part.plans, strict=True)
    ]
    return Profiles(codes, number), plans if new else whole.plans


def _keys(profiles: Profiles) -> list[tuple[int, ...]]:
    return list(zip(*(column.tolist() for column in profiles.codes.values()), strict=True))


def _joined_plans(mine: Plans, theirs: Plans, added: Places) -> Plans:
    if not len(added):
        return mine
    index = theirs.index[added] + np.int32(len(mine.distinct))
    return Plans((*mine.distinct, *theirs.distinct), np.concatenate((mine.index, index)).astype(np.int32))
