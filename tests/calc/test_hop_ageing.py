"""Ageing: it only ever goes down, and slower where it is cold and airless."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import OutOfRange
from calc.hop_ageing import aged_alpha_acids
from calc.units import quantity

ALPHA = quantity(6, "percent")


@given(st.floats(0.0, 1000.0), st.floats(0.0, 1000.0), st.floats(-30.0, 30.0))
def test_two_ages_add_up(first: float, second: float, celsius: float) -> None:
    store = quantity(celsius, "degC")
    halfway = aged_alpha_acids(ALPHA, quantity(first, "day"), store)
    twice = aged_alpha_acids(halfway, quantity(second, "day"), store)
    once = aged_alpha_acids(ALPHA, quantity(first + second, "day"), store)
    assert twice.magnitude == pytest.approx(once.magnitude)
    assert 0.0 <= once.magnitude <= 6.0 + 1e-9


def test_cold_and_airless_keeps_longer() -> None:
    year = quantity(1, "year")
    warm_open = aged_alpha_acids(ALPHA, year, quantity(20, "degC"), "open")
    cold_open = aged_alpha_acids(ALPHA, year, quantity(-18, "degC"), "open")
    cold_vacuum = aged_alpha_acids(ALPHA, year, quantity(-18, "degC"), "vacuum")
    assert warm_open < cold_open < cold_vacuum < ALPHA


@pytest.mark.parametrize("word", [{"wrapping": "tin"}, {"keeping": "superb"}])
def test_unknown_words(word: dict[str, str]) -> None:
    with pytest.raises(OutOfRange, match=next(iter(word))):
        aged_alpha_acids(ALPHA, quantity(1, "year"), quantity(4, "degC"), **word)
