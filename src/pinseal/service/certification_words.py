"""What a certificate says, as plain values for the typesetter."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from pinseal import kinds
from pinseal.dates import parse_date
from pinseal.service.certification import Certification
from pinseal.service.pressure_log_words import sentence

_KIND = {"hydrostatic-test": "Certificate of a pressure test", "maintenance": "Record of a yearly maintenance"}
_KINDS = {"hydrostatic-test": "Certificates of pressure tests", "maintenance": "Records of yearly maintenance"}
_SAYS = {
    "hydrostatic-test": "The extinguisher named here was tested by hydrostatic pressure on the day named here, and passed.",
    "maintenance": "The extinguisher named here was given its yearly maintenance check on the day named here.",
}
_SIGNED = {
    "hydrostatic-test": "Signature of the person who performed the test",
    "maintenance": "Signature of the person who did the maintenance",
}


def certificate_title(found: Sequence[Certification]) -> str:
    """What the paper is about."""
    work = found[0].work
    return f"{_KIND[work]}: {found[0].name}" if len(found) == 1 else f"{_KINDS[work]}: {len(found)} units"


def certificate_kind(work: str) -> str:
    """What sort of paper it is."""
    return _KIND[work]


def certificate_data(found: Iterable[Certification], owner_at: Callable[[str | None], str]) -> dict[str, Any]:
    """The data of `certificate.typ`; `owner_at` gives the owner and the address of a site."""
    return {"certificates": [_one(each, owner_at(each.state.site)) for each in found]}


def _one(each: Certification, owner: str) -> dict[str, Any]:
    return {
        "unit": f"Unit {each.name}",
        "says": _SAYS[each.work],
        "asked": [
            ["date", each.fact.done.for_people()],
            ["serial number", each.state.serial or "not on record"],
            ["number of the unit", each.state.id or "not on record"],
        ],
        "facts": _facts(each, owner),
        "signed": _SIGNED[each.work],
        "person": each.person or "name not on record",
        "rule": f"{sentence(each.asked.words)} ({each.asked.source.for_people()})",
        "keep": "; ".join(sentence(said.for_people()) for said in each.keep),
        "later": f"The same was done again on {parse_date(each.later).for_people()}: this is not the newest." if each.later else "",
        "lacking": f"Not on record: {', '.join(each.lacking)}." if each.lacking else "",
        "record": f"record {each.fact.uid}",
    }


def _facts(each: Certification, owner: str) -> list[list[str]]:
    plate, said = each.state.nameplate, each.fact.fields
    kind = " ".join(part for part in (str(plate.size or ""), kinds.AGENTS[plate.agent].label if plate.agent else "") if part)
    found = [
        ["kind", kind or "not on record"],
        ["site and place", ", ".join(part for part in (each.state.site, each.state.place) if part) or "not on record"],
        ["owner", owner or "not in the shop's address book"],
    ]
    if each.work == "hydrostatic-test":
        method = kinds.TEST_METHODS.get(said.get("method", ""), "not on record")
        found += [
            ["method", method],
            ["test pressure", said.get("pressure", "not on record")],
            ["instrument", said.get("instrument", "not on record")],
        ]
    if said.get("helper"):
        found.append(["with", said["helper"]])
    return found
