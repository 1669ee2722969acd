"""How the registers and the readings in doubt are said on a terminal."""

from __future__ import annotations

from typing import Any

from pinseal import kinds
from pinseal.cli.options import print_json, say
from pinseal.cli.wording import counted, unit_words

_NO_PACKS = "No rule packs are chosen in this shop, so only common practice counts. Choose them with `pinseal settings --packs …`."


def say_instruments(found: Any) -> None:
    """One line for each instrument in use, then those that were withdrawn."""
    if not found.listed:
        say("No instrument is in the register. Put one in with `pinseal instruments add ID --what scale`.")
    for each in found.listed:
        say_instrument(each)
    if found.listed and not found.packs:
        say(_NO_PACKS)


def say_instrument(listed: Any) -> None:
    """What it is, its last good check, until when it counts, and why."""
    found, standing, last = listed.instrument, listed.standing, listed.last_good
    about = ", ".join(
        part
        for part in (
            kinds.INSTRUMENTS.get(found.what or "", "never registered"),
            f"serial {found.serial}" if found.serial else "",
            f"range {found.range_text}" if found.range_text else "",
            f"step {found.resolution}" if found.resolution else "",
        )
        if part
    )
    checked = f"last good check {last.done.for_people()}" if last else "no good check on record"
    until = f"good until {standing.good_until.isoformat()}" if standing.good_until else "no last day"
    say(f"{_sign(standing)} {found.id or found.uid}: {about}; {checked}, {until}")
    say(f"    {standing.code}: {standing.because}")


def tell_instrument(deed: str, listed: Any, *, as_json: bool) -> None:
    """An instrument after something was recorded about it."""
    if as_json:
        print_json(listed.as_json())
        return
    say(f"{deed}: {listed.instrument.id}")
    say_instrument(listed)


def say_people(found: Any) -> None:
    """Each person with the papers, and how they stand."""
    if not found.listed:
        say('Nobody is in the register. Put somebody in with `pinseal people add "NAME" --role technician`.')
    for each in found.listed:
        say_person(each)
    if found.listed and not found.packs:
        say(_NO_PACKS)


def say_person(listed: Any) -> None:
    """Name and role, each paper, and what stands against work or a mark."""
    found = listed.person
    role = f", {kinds.ROLES[found.role]}" if found.role else ""
    say(f"{found.name or found.uid}{role}{f' ({found.id})' if found.id else ''}")
    for paper in found.papers:
        say(f"    {_paper_words(paper)}")
    say(f"  {_sign(listed.mark)} for a mark: {listed.mark.because}")
    if listed.work.code == "lapsed":
        say(f"  {_sign(listed.work)} for other work: {listed.work.because}")


def _paper_words(paper: Any) -> str:
    parts = (
        paper.paper + (f" {paper.number}" if paper.number else ""),
        f"class {paper.class_}" if paper.class_ else "",
        f"of {paper.jurisdiction}" if paper.jurisdiction else "",
        f"from {paper.from_day.isoformat()}" if paper.from_day else "",
        f"until {paper.until.isoformat()}" if paper.until else "no last day said",
        f"ended {paper.ended.since.for_people()}: {paper.ended.reason}" if paper.ended else "",
    )
    return ", ".join(part for part in parts if part)


def tell_person(deed: str, listed: Any, *, as_json: bool) -> None:
    """A person after something was recorded about them."""
    if as_json:
        print_json(listed.as_json())
        return
    say(f"{deed}: {listed.person.name}")
    say_person(listed)


def _sign(standing: Any) -> str:
    return {"none": " ", "flags": "!", "blocks": "X"}[standing.effect]


def say_doubted(found: Any) -> None:
    """The readings in doubt by day, then how many units they are of."""
    name = found.instrument.id or found.instrument.uid
    if not found.instrument.uid:
        say(f"! {name} is not in the register: no check of it is on record.")
    for state, each in found.found:
        reading = each.reading
        unit = unit_words(state) if state else f"uid {reading.unit}"
        say(f"{reading.done.for_people():>12}  {each.reason:<14} {unit}: {reading.quantity} {reading.value}")
        say(f"{'':>12}  {each.because}")
    of = f"{counted(found.readings, 'reading')} on {name}"
    if found.found:
        say(f"{len(found.found)} of {of} in doubt, of {counted(found.units, 'unit')}. Each of them is to be looked at again.")
    else:
        say(f"None of {of} is in doubt.")


def doubted_json(found: Any) -> dict[str, Any]:
    """The same for programs."""
    rows = [
        {
            "unit": {"uid": each.reading.unit, "id": state.id if state else None, "serial": state.serial if state else None},
            "date": str(each.reading.done),
            "quantity": each.reading.quantity,
            "value": each.reading.value,
            "record": each.reading.record,
            "reason": each.reason,
            "because": each.because,
        }
        for state, each in found.found
    ]
    summary = {"readings": found.readings, "in_doubt": len(rows), "units": found.units}
    known = bool(found.instrument.uid)
    return {
        "instrument": {"id": found.instrument.id, "uid": found.instrument.uid or None, "registered": known},
        "rows": rows,
        "summary": summary,
    }
