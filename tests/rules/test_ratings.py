"""Ratings are read strictly; two compare letter by letter, and two scales never."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinseal.intake.sizes import is_rating
from pinseal.reasons import Refusal
from pinseal.rules.ratings import Rating, at_least, parse_rating


@pytest.mark.parametrize(
    ("text", "rating"),
    [
        ("2-A:10-B:C", Rating(system="us", a=2, b=10, c=True)),
        ("2A10BC", Rating(system="us", a=2, b=10, c=True)),
        ("2a:10b:c", Rating(system="us", a=2, b=10, c=True)),
        ("4-A:80-B:C", Rating(system="us", a=4, b=80, c=True)),
        ("20-A:120-B:C", Rating(system="us", a=20, b=120, c=True)),
        ("10-B:C", Rating(system="us", b=10, c=True)),
        ("120-B:C", Rating(system="us", b=120, c=True)),
        ("8-B", Rating(system="us", b=8)),
        ("7-A:90-B", Rating(system="us", a=7, b=90)),
        ("K", Rating(system="us", k=True)),
        ("2-A:K", Rating(system="us", a=2, k=True)),
        ("D", Rating(system="any", d=True)),
        ("21A 113B C", Rating(system="en", a=21, b=113, c=True)),
        ("55A 233B", Rating(system="en", a=55, b=233)),
        ("13A 113B 75F", Rating(system="en", a=13, b=113, f=75)),
        ("75F", Rating(system="en", f=75)),
        (" 34 A / 183 B / C ", Rating(system="en", a=34, b=183, c=True)),
    ],
)
def test_a_rating_is_read(text: str, rating: Rating) -> None:
    assert parse_rating(text) == rating
    assert parse_rating(rating.for_people()) == rating


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("", "never alone"),
        ("C", "never alone"),
        ("ABC", "have a number"),
        ("10 lb", "numbers with A, B or F"),
        ("2-A:10-B:E", "numbers with A, B or F"),
        ("2-A:3-A", "twice"),
        ("0-A", "above zero"),
        ("2-A:10-C", "have none"),
        ("5K", "have none"),
        ("F", "have a number"),
        ("8B", "do not tell"),
        ("7A90B", "do not tell"),
        ("2A 113B", "do not tell"),
        ("K 75F", "one scale"),
        ("21A K", "do not tell"),
        ("2-A 75F", "do not tell"),
        ("1000-B", "numbers with A, B or F"),
        ("2-A" * 20, "characters"),
        ("٢-A", "numbers with A, B or F"),
    ],
)
def test_nonsense_and_what_cannot_be_told_is_refused(text: str, rule: str) -> None:
    with pytest.raises(Refusal, match=rule):
        parse_rating(text)


@pytest.mark.parametrize(
    ("stand_in", "original", "verdict"),
    [
        ("4-A:80-B:C", "4-A:80-B:C", "yes"),
        ("6-A:80-B:C", "4-A:80-B:C", "yes"),
        ("3-A:80-B:C", "4-A:80-B:C", "no"),
        ("4-A:60-B:C", "4-A:80-B:C", "no"),
        ("4-A:80-B", "4-A:80-B:C", "no"),
        ("4-A:80-B:C", "4-A:80-B", "yes"),
        ("4-A:80-B:C", "10-B:C", "yes"),
        ("10-B:C", "4-A", "no"),
        ("2-A:K", "K", "yes"),
        ("4-A:80-B:C", "K", "no"),
        ("75F", "40F", "yes"),
        ("40F", "75F", "no"),
        ("55A 233B", "4-A:80-B", "unknown"),
        ("4-A:80-B", "21A 113B", "unknown"),
        ("D", "D", "yes"),
        ("4-A:80-B:C", "D", "no"),
        ("D", "4-A", "no"),
    ],
)
def test_equal_or_better_in_every_letter_that_the_original_carries(stand_in: str, original: str, verdict: str) -> None:
    found = at_least(parse_rating(stand_in), parse_rating(original))
    assert found.verdict == verdict
    assert found.because


RATINGS = st.builds(
    Rating,
    system=st.just("us"),
    a=st.sampled_from([1, 2, 3, 4, 6, 10, 20]),
    b=st.sampled_from([None, 5, 10, 20, 40, 80]),
    c=st.booleans(),
    k=st.booleans(),
)


@given(RATINGS, RATINGS, RATINGS)
def test_at_least_is_an_order(one: Rating, two: Rating, three: Rating) -> None:
    assert at_least(one, one).verdict == "yes"
    if at_least(one, two).verdict == at_least(two, three).verdict == "yes":
        assert at_least(one, three).verdict == "yes"
    if at_least(one, two).verdict == at_least(two, one).verdict == "yes":
        assert one == two


@given(RATINGS)
def test_what_is_written_is_read_back_and_the_lists_recognise_it(rating: Rating) -> None:
    assert parse_rating(rating.for_people()) == rating
    assert is_rating(rating.for_people())
