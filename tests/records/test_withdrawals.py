from datetime import date

import pytest

from pinseal.dates import parse_date
from pinseal.reasons import Refusal
from pinseal.records.unit import Nameplate, UnitState
from pinseal.records.withdrawals import load_withdrawals, matches

# An invented list of an invented maker.
LIST = """
[[withdrawal]]
title = "Brindle PX-10, cracked handles"
source = "invented notice 3 of 2024"
published = 2024-05-02
model = ["PX-10", "PX 10 W"]
lot = "L7"
made_from = "2014-03"
made_to = "2015"
reason = "recall"
action = "take out of use and ask the maker for a new one"
checked = "second-hand"
"""
(ENTRY,) = load_withdrawals(LIST, name="brindle.toml")
ON = date(2026, 1, 5)


def unit(model="PX-10", lot="L7", made="2014-06"):
    return UnitState(nameplate=Nameplate(model=model, lot=lot), dates={"manufactured": parse_date(made)} if made else {})


@pytest.mark.parametrize(
    ("state", "answer", "missing"),
    [
        (unit(), "yes", ()),
        (unit(model="px 10"), "yes", ()),
        (unit(model="PX-12"), "no", ()),
        (unit(lot="L8"), "no", ()),
        (unit(made="2014-02-28"), "no", ()),
        (unit(made="2014-03-01"), "yes", ()),
        (unit(made="2015-12-31"), "yes", ()),
        (unit(made="2016-01-01"), "no", ()),
        (unit(made="2014"), "perhaps", ("manufactured",)),
        (unit(made=None), "perhaps", ("manufactured",)),
        (unit(model=None, lot=None), "perhaps", ("model", "lot")),
        (unit(model=None, lot="L8"), "no", ()),
    ],
)
def test_a_unit_is_meant_by_model_lot_and_span(state, answer, missing):
    found = matches(ENTRY, state, ON)
    assert (found.answer, found.missing) == (answer, missing)


def test_nothing_is_meant_before_the_list_was_published():
    assert matches(ENTRY, unit(), date(2024, 5, 1)).answer == "no"
    assert matches(ENTRY, unit(), date(2024, 5, 2)).answer == "yes"


def test_an_entry_without_a_span_means_every_year():
    (entry,) = load_withdrawals(LIST.replace('made_from = "2014-03"\n', "").replace('made_to = "2015"\n', ""), name="x")
    assert matches(entry, unit(made=None), ON).answer == "yes"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[withdrawal", "this is no TOML"),
        ("", "a list holds [[withdrawal]] tables and nothing else"),
        ("title = 'x'\n" + LIST, "a list holds [[withdrawal]] tables and nothing else"),
        (LIST.replace("lot =", "batch ="), "the keys are title, source"),
        (LIST.replace('title = "Brindle PX-10, cracked handles"', ""), "title must be given"),
        (LIST.replace('"L7"', "7"), "lot is a text or a list of texts"),
        (LIST.replace('"recall"', '"whim"'), "reason is one of recall, parts-ended"),
        (LIST.replace('"second-hand"', '"heard"'), "checked is one of public copy"),
        (LIST.replace('"2014-03"', '"2014-13"'), "made_from is YYYY"),
        (LIST.replace('"2015"', '"2013"'), "made_from is not after made_to"),
        (LIST.replace('model = ["PX-10", "PX 10 W"]\nlot = "L7"', ""), "an entry names a model or a lot"),
    ],
)
def test_a_wrong_list_is_refused_in_words(text, words):
    with pytest.raises(Refusal) as refused:
        load_withdrawals(text, name="brindle.toml")
    assert words in str(refused.value)
    assert "brindle.toml" in str(refused.value)
