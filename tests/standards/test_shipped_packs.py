"""What every pack that comes with the program must hold."""

import re

import pytest

from pinseal import kinds
from pinseal.standards import Provision, held_packs
from pinseal.standards.model import EFFECTS

PACKS = held_packs()
PROVISIONS = {f"{p.pack}/{p.id}": p for pack in PACKS.values() for p in pack.provisions}

# Forms of a company, and the marks of a trade name: a rule of a document never needs them.
FIRM = re.compile(r"\b(Inc|LLC|Ltd|Corp|GmbH|Pty|PLC|S\.?A\.?|AG|Co)\b\.?|[®™©]|\bbrand|https?://|www\.", re.IGNORECASE)


def test_the_packs_that_are_held() -> None:
    assert list(PACKS) == ["au", "gb", "imo", "us-ca", "us-dot", "us-nfpa10", "us-osha"]


@pytest.mark.parametrize("name", PROVISIONS)
def test_a_provision_has_its_clause_and_its_source(name: str) -> None:
    provision: Provision = PROVISIONS[name]
    assert provision.clause.strip()
    assert provision.by.strip()
    assert provision.effect in EFFECTS
    assert provision.checked in kinds.CHECKED
    # What was read in public names itself by document and clause; what was read elsewhere says where.
    assert provision.checked != "second-hand" or provision.source.strip()


@pytest.mark.parametrize("name", PROVISIONS)
def test_a_provision_names_no_firm(name: str) -> None:
    provision = PROVISIONS[name]
    for text in (provision.title, provision.clause, provision.by, provision.note, provision.source):
        assert not FIRM.search(text), text


@pytest.mark.parametrize("name", PROVISIONS)
def test_a_provision_that_sets_a_date_can_start(name: str) -> None:
    provision = PROVISIONS[name]
    if provision.effect == "clock" and not provision.at_next:
        assert provision.clock is not None
        assert provision.clock.first or provision.clock.after or provision.clock.join
        assert bool(provision.clock.after) <= bool(provision.clock.interval)
    if provision.effect == "withdraw":
        assert provision.withdraw_by is not None


@pytest.mark.parametrize("pack", PACKS)
def test_a_pack_says_what_it_does_not_hold(pack: str) -> None:
    assert PACKS[pack].notes
    assert all(isinstance(note, str) and note.strip() for note in PACKS[pack].notes)
    assert PACKS[pack].newest == PACKS[pack].editions[-1].id


@pytest.mark.parametrize("name", [n for n, p in PROVISIONS.items() if p.checked == "unsure"])
def test_what_is_unsure_does_not_govern(name: str) -> None:
    assert not PROVISIONS[name].governs


def test_the_rules_that_were_only_vaguely_remembered() -> None:
    assert {n for n, p in PROVISIONS.items() if not p.governs} == {
        "au/foam-and-wet-chemical-3-years",
        "gb/extended-service-clean-agent",
    }
