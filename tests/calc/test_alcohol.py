"""Properties of attenuation and alcohol."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from calc import alcohol
from calc.errors import OutOfRange
from calc.units import Quantity, quantity

ORIGINAL = st.floats(1.003, 1.2)
DONE = st.floats(0.0, 1.0)
BOTH = (
    alcohol.alcohol_by_mass,
    alcohol.alcohol_by_volume,
    alcohol.alcohol_shortcut,
    alcohol.apparent_attenuation,
    alcohol.real_attenuation,
    alcohol.real_extract,
    alcohol.real_extract_shortcut,
)


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def between(original: float, done: float) -> float:
    """A gravity between the original one and the driest beer."""
    return original - done * (original - 0.98)


@given(ORIGINAL, DONE)
def test_every_result_is_a_number(original: float, done: float) -> None:
    for function in BOTH:
        assert math.isfinite(function(sg(original), sg(between(original, done))).magnitude)


@given(ORIGINAL, DONE, DONE)
def test_lower_gravity_means_more_alcohol(original: float, one: float, other: float) -> None:
    drier, sweeter = sorted((between(original, one), between(original, other)))
    assume(sweeter - drier > 1e-6)
    for function in BOTH[:5]:
        assert function(sg(original), sg(drier)).magnitude > function(sg(original), sg(sweeter)).magnitude
    assert (
        alcohol.real_extract(sg(original), sg(drier)).magnitude
        < alcohol.real_extract(sg(original), sg(sweeter)).magnitude
    )


@given(ORIGINAL)
def test_unfermented_wort_has_no_alcohol(original: float) -> None:
    for function in BOTH[:5]:
        assert function(sg(original), sg(original)).magnitude == pytest.approx(0, abs=1e-9)


@given(ORIGINAL, DONE)
def test_the_balance_keeps_every_gram(original: float, done: float) -> None:
    final = sg(between(original, done))
    a = alcohol.alcohol_by_mass(sg(original), final).magnitude / 100
    real = alcohol.real_extract(sg(original), final).magnitude / 100
    before = alcohol.real_extract(sg(original), sg(original)).magnitude / 100
    beer = 1 / (1 + (alcohol.CO2_PER_ALCOHOL + alcohol.YEAST_PER_ALCOHOL) * a)
    made = (1 + alcohol.CO2_PER_ALCOHOL + alcohol.YEAST_PER_ALCOHOL) * a * beer
    assert real * beer + made == pytest.approx(before, abs=1e-12)


@given(ORIGINAL, DONE)
def test_alcohol_stays_below_stoichiometry(original: float, done: float) -> None:
    final = sg(between(original, done))
    a = alcohol.alcohol_by_mass(sg(original), final).magnitude
    real_attenuation = alcohol.real_attenuation(sg(original), final).magnitude / 100
    extract = alcohol.real_extract(sg(original), sg(original)).magnitude
    beer = 1 / (1 + (alcohol.CO2_PER_ALCOHOL + alcohol.YEAST_PER_ALCOHOL) * a / 100)
    # 0.5114 g of ethanol from a gram of glucose is all that there can be.
    assert a * beer <= 0.5114 * real_attenuation * extract + 1e-9


@given(ORIGINAL, st.floats(0, 100))
@example(1.0910601423431525, 0.0)
def test_gravity_at_attenuation_is_the_inverse(original: float, percent: float) -> None:
    gravity = alcohol.gravity_at_attenuation(sg(original), quantity(percent, "percent"))
    back = alcohol.apparent_attenuation(sg(original), gravity).magnitude
    assert back == pytest.approx(percent, abs=1e-4)


@pytest.mark.parametrize(
    ("og", "fg", "argument"),
    [
        (1.010, 1.020, "final_gravity"),
        (1.050, 0.970, "final_gravity"),
        (1.000, 1.000, "original_gravity"),
        (1.300, 1.010, "original_gravity"),
        (math.nan, 1.010, "original_gravity"),
    ],
)
def test_the_error_says_which_argument(og: float, fg: float, argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        alcohol.alcohol_by_volume(sg(og), sg(fg))
    assert caught.value.argument == argument
