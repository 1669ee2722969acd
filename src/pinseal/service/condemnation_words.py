"""What a condemnation notice says, as plain values for the typesetter."""

from __future__ import annotations

from typing import Any

from pinseal import kinds
from pinseal.rules.shell_damage import need_words
from pinseal.service.condemnations import Condemnation
from pinseal.standards.pressure_tests import Source

_NOT_SAID = "not on record"


def condemnation_data(found: Condemnation, *, photo: str, owner: str = "") -> dict[str, Any]:
    """The data of `condemnation.typ`, with `title` and `right` for the head of the paper.

    `photo` names the picture, if there is one; `owner` is the owner and address of its site.
    """
    name = found.unit.id or found.serial or found.unit.serial or "a unit without a number"
    return {
        "title": f"The shell of {name} is condemned",
        "right": [found.done.for_people(), *([f"shell {found.serial}"] if found.serial else [])],
        "warning": ["This shell may never be filled or charged again.", "Whatever is done to it, it does not become safe."],
        "words": {
            "shell": "The shell",
            "reason": "Why it is condemned",
            "must_not": "What you must not do",
            "needs": "What was done with it",
            "photo": "The proof",
        },
        "facts": _facts(found, name, owner),
        "reason": found.reason or "The record does not say why. Ask the person who condemned it.",
        "proof": found.proof,
        "must_nots": [{"words": _sentence(each.words), "source": _from(each.source)} for each in found.must_nots],
        "need_heads": ["State", "What condemning needs", "On record", "By which rule"],
        "needs": [
            {
                "shape": "ring" if said else "half",
                "state": "on record" if said else _NOT_SAID,
                "words": need_words(need),
                "said": said or _NOT_SAID,
                "source": _from(need.source),
            }
            for need, said in found.needs
        ],
        "photo": {"name": photo, "alt": f"Photo of what condemns the shell: {found.reason or 'reason not on record'}"} if photo else None,
        "signatures": ["Condemned by, signature by hand", "Received for the owner: name, date, signature"],
    }


def _facts(found: Condemnation, name: str, owner: str) -> list[list[str]]:
    unit, plate = found.unit, found.unit.nameplate
    kind = " ".join(part for part in (str(plate.size or ""), kinds.AGENTS[plate.agent].label if plate.agent else "") if part)
    other = [["the unit today", f"has another shell, {unit.serial or 'serial not on record'}"]] if found.other_shell else []
    return [
        ["unit", name],
        ["serial of the shell", found.serial or _NOT_SAID],
        ["specification on it", found.specification or _NOT_SAID],
        ["kind", kind or _NOT_SAID],
        ["owner", owner or "not in the shop's address book"],
        ["place", ", ".join(part for part in (unit.site, unit.place) if part) or _NOT_SAID],
        ["condemned by", found.person],
        *other,
    ]


def _from(source: Source) -> str:
    return kinds.CHECKED["practice"] if source.checked == "practice" else source.for_people()


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."
