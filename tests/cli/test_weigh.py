"""`weigh` as people and programs call it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.cli.conftest import Command, FixedApp

from pinseal.cli.command import run

E7 = {"--full": "29 lb 6 oz", "--now": "28 lb 5 oz", "--net": "10 lb", "--limit-percent": "10"}


def words(options: dict[str, str], *more: str) -> list[str]:
    return ["weigh", *(word for pair in options.items() for word in pair), *more]


def test_e7_seventeen_ounces_of_a_hundred_and_sixty(pinseal: Command) -> None:
    answer = pinseal(*words(E7, "--json", "--units", "us")).json
    assert answer["verdict"] == "fail"
    assert answer["loss_percent_of_net"] == 10.625
    assert answer["loss"] == {"value": 1.0625, "unit": "lb"}
    assert answer["refusals"] == []
    assert answer["because"][0].startswith("The loss is 10.62 % of the net agent")
    assert pinseal(*words(E7 | {"--resolution": "1 oz"}, "--json")).json["verdict"] == "fail"


@pytest.mark.parametrize(("now", "verdict"), [("28 lb 6 oz", "pass"), ("28.365 lb", "fail"), ("29 lb 6 oz", "pass"), ("30 lb", "fail")])
def test_ten_percent_of_ten_pounds(pinseal: Command, now: str, verdict: str) -> None:
    assert pinseal(*words(E7 | {"--now": now}, "--json")).json["verdict"] == verdict


def test_the_words_put_verdict_and_reason_first(pinseal: Command) -> None:
    assert pinseal(*words(E7)).out.startswith("FAIL: the loss is 10.62 % of the net agent (1.06 lb of 10.00 lb)")
    assert "kg" in pinseal(*words(E7, "--units", "metric")).out
    assert pinseal(*words(E7 | {"--now": "28 lb 6 oz", "--resolution": "0.5 oz"})).out.startswith("TOO CLOSE: ")


def test_a_coarse_scale_is_refused_and_still_answered(pinseal: Command) -> None:
    ran = pinseal(*words(E7 | {"--resolution": "2 oz"}, "--json"))
    assert ran.code == 0
    assert ran.json["verdict"] == "unknown"
    assert ran.json["refusals"][0]["code"] == "scale-too-coarse"


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"--now": "0 lb"}, "a reading of zero"),
        ({"--now": "-3 lb"}, "not below zero"),
        ({"--now": "28 psi"}, "a number and one of the units"),
        ({"--now": "nan"}, "a number and one of the units"),
        ({"--net": "30 lb"}, "gross"),
        ({"--limit-percent": "nan"}, "a plain number"),
        ({"--limit-percent": "0"}, "below 100 %"),
        ({"--limit-percent": "-10"}, "a plain number"),
        ({"--resolution": "0 oz"}, "a reading of zero"),
        ({"--low": "30 lb", "--high": "29 lb"}, "low is not above high"),
    ],
)
def test_weigh_refuses_in_words(pinseal: Command, change: dict[str, str], rule: str) -> None:
    ran = pinseal(*words(E7 | change, "--json"))
    assert ran.code == 2
    assert rule in ran.json["error"]["rule"]


_EVERY = E7 | {"--low": "28 lb", "--high": "30 lb", "--resolution": "0.5 oz", "--calibration-uncertainty": "5 g", "--units": "us"}


@given(
    st.sampled_from(sorted(_EVERY)), st.text(max_size=25) | st.from_regex(r"-?[0-9]{1,12}(\.[0-9]{1,6})? ?(lb|oz|kg|g|%)?", fullmatch=True)
)
def test_any_text_in_any_option_is_answered_or_refused(option: str, text: str) -> None:
    assert run(FixedApp(), words(_EVERY | {option: text}, "--json")) in (0, 2)


@pytest.mark.parametrize("figure", ["1" + "0" * 200, "0." + "0" * 200 + "1", "1" + "0" * 30])
@pytest.mark.parametrize("option", ["--full", "--now", "--net", "--low", "--high", "--resolution", "--calibration-uncertainty"])
def test_figures_out_of_this_world_are_refused_or_answered(pinseal: Command, option: str, figure: str) -> None:
    assert pinseal(*words(E7 | {option: f"{figure} lb"}, "--json")).code in (0, 2)
