from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.density import plato_from_gravity
from calc.errors import OutOfRange
from calc.refractometer import (
    brix_from_refractive_index,
    correction_factor,
    fermenting_gravity,
    fermenting_reading,
    wort_gravity,
    wort_gravity_uncertainty,
)
from calc.units import Quantity, quantity

ORIGINALS = st.floats(1.010, 1.120)
FACTORS = st.floats(0.95, 1.10)


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def brix(value: float) -> Quantity:
    return quantity(value, "degree_plato")


@given(st.floats(1, 40), FACTORS)
def test_wort_reading_is_plato_times_factor(reading: float, factor: float) -> None:
    gravity = wort_gravity(brix(reading), sg(factor))
    assert plato_from_gravity(gravity).magnitude * factor == pytest.approx(reading, abs=1e-6)


@given(st.floats(3, 25), FACTORS)
def test_the_measured_factor_gives_the_gravity_back(reading: float, factor: float) -> None:
    gravity = wort_gravity(brix(reading), sg(factor))
    assert correction_factor(brix(reading), gravity).magnitude == pytest.approx(factor, abs=1e-6)


@given(ORIGINALS, st.floats(0, 0.98), FACTORS)
def test_beer_there_and_back(original: float, left: float, factor: float) -> None:
    driest = 1 - 0.1 * (original - 1)
    gravity = driest + left * (original - driest)
    reading = fermenting_reading(sg(gravity), sg(original), sg(factor))
    assert fermenting_gravity(reading, sg(original), sg(factor)).magnitude == pytest.approx(gravity, abs=1e-9)


@given(ORIGINALS, FACTORS)
def test_before_fermentation_both_agree(original: float, factor: float) -> None:
    reading = fermenting_reading(sg(original), sg(original), sg(factor))
    assert wort_gravity(reading, sg(factor)).magnitude == pytest.approx(original, abs=1e-9)


@given(st.floats(1.030, 1.120), st.floats(0.4, 0.9))
def test_alcohol_holds_the_reading_up(original: float, share: float) -> None:
    # Taken for wort, fermenting beer would seem stronger than it is.
    reading = fermenting_reading(sg(1 + (original - 1) * (1 - share)), sg(original))
    assert wort_gravity(reading) > fermenting_gravity(reading, sg(original))


@given(st.floats(1.030, 1.120), st.floats(0.5, 0.95))
def test_gravity_rises_with_the_reading(original: float, share: float) -> None:
    highest = 1.04 * plato_from_gravity(sg(original)).magnitude
    low, high = brix(share * highest), brix(share * highest + 0.05)
    assert fermenting_gravity(low, sg(original)) < fermenting_gravity(high, sg(original))


@given(st.floats(0, 50), FACTORS)
def test_uncertainty_is_a_small_positive_number(reading: float, factor: float) -> None:
    u = wort_gravity_uncertainty(brix(reading), sg(factor)).magnitude
    assert math.isfinite(u)
    assert 0 < u < 0.01


@given(st.floats(1.3335, 1.4195))
def test_brix_rises_with_the_index(index: float) -> None:
    assert brix_from_refractive_index(sg(index)) < brix_from_refractive_index(sg(index + 0.0005))


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("reading", lambda: wort_gravity(brix(-1))),
        ("factor", lambda: wort_gravity(brix(12), sg(2))),
        ("reading", lambda: fermenting_gravity(brix(20), sg(1.050))),
        ("reading", lambda: fermenting_gravity(brix(0), sg(1.050))),
        ("original_gravity", lambda: fermenting_gravity(brix(5), sg(1.0))),
        ("gravity", lambda: fermenting_reading(sg(1.06), sg(1.05))),
        ("gravity", lambda: fermenting_reading(sg(0.99), sg(1.01))),
        ("reading", lambda: correction_factor(brix(6), sg(1.050))),
    ],
)
def test_refusals_name_the_argument(argument: str, call: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == argument
