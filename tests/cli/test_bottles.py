"""`bottles`: supply bottles received, read, returned on the command line. All names and numbers are invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.cli.conftest import Command

ADD = ("bottles", "add", "N2-4", "--gas", "nitrogen", "--water-capacity", "49 L", "--on", "2026-11-02")
READ = ("bottles", "read", "n2-4", "--shows", "2000 psi", "--at", "70 F", "--on", "2026-11-03")


def test_a_bottle_comes_is_read_and_goes_back(pinseal: Command, shop: Path) -> None:
    more = ("--serial", "K-77", "--dew-point", "-76 F", "--purity", "99.99", "--certificate", "C-118")
    added = pinseal(*ADD, *more, "--json").json
    assert (added["id"], added["gas"], added["certificate"], added["received"]) == ("N2-4", "nitrogen", "C-118", "2026-11-02")
    assert (added["contents_scf"], added["why"]) == (None, "nobody has read its gauge since it came")
    read = pinseal(*READ, "--json").json
    assert read["read"] == {"date": "2026-11-03", "shows": "2000 psi", "at_temperature": "70 F"}
    # The same bottle and reading through the sum of `pinseal supply`, which has check values of its own.
    unit = ("--unit-pressure", "195 psi", "--unit-ullage", "3 L")
    sums = pinseal("supply", "--water-capacity", "49 L", "--pressure", "2000 psi", "--at", "70 F", *unit, "--json").json
    assert read["contents_scf"] == pytest.approx(sums["contents_scf"], abs=0.06)
    gone = pinseal("bottles", "return", "N2-4", "--reason", "empty", "--on", "2026-11-20", "--json").json
    assert gone["returned"] == {"since": "2026-11-20", "reason": "empty"}
    (listed,) = pinseal("bottles", "--json").json["bottles"]
    assert listed == gone


def test_one_that_comes_again_is_another_filling(pinseal: Command, shop: Path) -> None:
    uid = pinseal(*ADD, "--json").json["uid"]
    assert pinseal(*READ).code == 0
    assert pinseal("bottles", "return", uid, "--reason", "empty", "--on", "2026-11-20").code == 0
    again = pinseal(*ADD[:-1], "2026-11-21", "--json").json
    assert (again["uid"], again["returned"], again["read"]) == (uid, None, None)


def test_the_list_says_what_each_holds_and_what_is_not_known(pinseal: Command, shop: Path) -> None:
    assert "No supply bottle is on record" in pinseal("bottles").out
    pinseal(*ADD)
    assert "not known what it holds: nobody has read its gauge" in pinseal("bottles").out
    pinseal(*READ)
    told = pinseal("bottles").out
    assert "N2-4: nitrogen, 49 L, no certificate on record" in told
    assert "2000 psi at 70 F on 3 Nov 2026: holds" in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("bottles", "read", "N2-9", "--shows", "2000 psi", "--at", "70 F"), "there is no such supply bottle"),
        (("bottles", "return", "N2-9", "--reason", "x"), "there is no such supply bottle"),
        (ADD[:-2], "a bottle of this name is here already"),
        (("bottles", "add", "N2-5", "--gas", "nitrogen", "--water-capacity", "230 cu ft"), "this is not the water capacity"),
        (("bottles", "add", "N2-5", "--gas", "smoke", "--water-capacity", "49 L"), "gas is one of"),
        (("bottles", "add", "N2-5", "--gas", "nitrogen", "--water-capacity", "49 L", "--purity", "pure"), "purity is a number of percent"),
        (("bottles", "read", "N2-4", "--shows", "lots", "--at", "70 F"), "this is not a pressure"),
        (("bottles", "read", "N2-4", "--shows", "2000 psi", "--at", "70 F", "--on", "2026-11-25"), "this day is still to come"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(pinseal: Command, shop: Path, words: tuple[str, ...], said: str) -> None:
    pinseal(*ADD)
    before = pinseal("bottles", "--json").json
    refused = pinseal(*words)
    assert (refused.code, said in refused.err) == (2, True), refused.err
    assert pinseal("bottles", "--json").json == before
