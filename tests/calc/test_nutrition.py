"""Properties of energy and carbohydrate."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import nutrition
from calc.errors import OutOfRange
from calc.units import Quantity, quantity


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


ORIGINAL = st.floats(1.003, 1.2)
DONE = st.floats(0.0, 1.0)


@given(ORIGINAL, DONE, st.floats(1, 2000))
def test_every_result_is_a_number_of_zero_or_more(original: float, done: float, serving_ml: float) -> None:
    final = original - done * (original - 0.98)
    for function in (nutrition.alcohol_mass, nutrition.energy, nutrition.carbohydrate):
        value = function(sg(original), sg(final), quantity(serving_ml, "ml")).magnitude
        assert math.isfinite(value)
        assert value >= -1e-9


@given(ORIGINAL, st.floats(0.05, 0.9), st.floats(1, 1000))
def test_two_servings_are_twice_one(original: float, done: float, serving_ml: float) -> None:
    final = sg(original - done * (original - 0.98))
    for function in (nutrition.alcohol_mass, nutrition.energy, nutrition.carbohydrate):
        one = function(sg(original), final, quantity(serving_ml, "ml")).magnitude
        two = function(sg(original), final, quantity(2 * serving_ml, "ml")).magnitude
        assert two == pytest.approx(2 * one)


@given(st.floats(1.02, 1.15))
def test_drier_beer_has_less_carbohydrate(original: float) -> None:
    sweet, dry = sg(1 + 0.4 * (original - 1)), sg(1 + 0.2 * (original - 1))
    pint = quantity(1, "imperial_pint")
    assert (
        nutrition.carbohydrate(sg(original), dry, pint).magnitude
        < nutrition.carbohydrate(sg(original), sweet, pint).magnitude
    )


def test_units_of_the_serving_do_not_matter() -> None:
    og, fg = sg(1.050), sg(1.010)
    ounces = nutrition.energy(og, fg, quantity(12, "US_fluid_ounce")).magnitude
    assert ounces == pytest.approx(nutrition.energy(og, fg, quantity(354.88, "ml")).magnitude, rel=1e-4)


def test_a_mass_is_no_serving() -> None:
    with pytest.raises(OutOfRange) as caught:
        nutrition.energy(sg(1.050), sg(1.010), quantity(330, "gram"))
    assert caught.value.argument == "serving"
