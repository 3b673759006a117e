"""Properties of pressure over beer."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import pressure
from calc.carbonation import from_volumes
from calc.errors import OutOfRange
from calc.units import Quantity, quantity

VOLUMES = st.floats(0, 6)
CELSIUS = st.floats(0, 50)


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


@given(VOLUMES, VOLUMES, CELSIUS, st.floats(0, 0.5), st.booleans())
def test_more_gas_means_more_pressure(
    one: float, other: float, celsius: float, headspace: float, purged: bool
) -> None:
    less, more = sorted((one, other))
    low, high = (
        pressure.bottle_pressure(
            from_volumes(v), quantity(celsius, "degC"), quantity(headspace, "dimensionless"), purged
        ).magnitude
        for v in (less, more)
    )
    assert math.isfinite(low)
    assert math.isfinite(high)
    assert low <= high


@given(st.floats(0.5, 6), CELSIUS, CELSIUS)
def test_warmth_raises_pressure(volumes: float, one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    for function in (pressure.bottle_pressure, pressure.keg_pressure):
        in_cold = function(from_volumes(volumes), quantity(cold, "degC")).magnitude
        assert in_cold <= function(from_volumes(volumes), quantity(warm, "degC")).magnitude + 1e-9


@given(st.floats(0.5, 6), CELSIUS)
def test_gas_space_and_beer_hold_all_the_gas(volumes: float, celsius: float) -> None:
    small, large = (
        pressure.bottle_pressure(
            from_volumes(volumes), quantity(celsius, "degC"), quantity(space, "percent"), True
        ).magnitude
        for space in (2, 20)
    )
    assert large < small


@given(st.floats(1.01, 1.2), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_gas_from_gravity_adds_up(original: float, a: float, b: float, c: float) -> None:
    high, middle, low = sorted((original - x * (original - 0.98) for x in (a, b, c)), reverse=True)
    # Each step is per litre of the beer it starts from: the last one's litre is a little less wort.
    whole = pressure.co2_from_gravity(sg(high), sg(low), sg(original)).magnitude
    steps = (
        pressure.co2_from_gravity(sg(high), sg(middle), sg(original)).magnitude
        + pressure.co2_from_gravity(sg(middle), sg(low), sg(original)).magnitude
    )
    assert whole >= 0
    assert steps == pytest.approx(whole, rel=0.08, abs=1e-9)


@given(st.floats(1, 3), st.floats(0, 0.006), CELSIUS)
def test_unfinished_beer_adds_pressure(volumes: float, left: float, celsius: float) -> None:
    added = pressure.pressure_added(
        from_volumes(volumes), sg(1.010 + left), sg(1.010), sg(1.050), quantity(celsius, "degC")
    ).magnitude
    assert added >= -1e-9


@given(st.floats(0, 6), CELSIUS, st.sampled_from(pressure.bottle_types()))
def test_a_bottle_that_fails_fails_when_warmer(volumes: float, celsius: float, bottle: str) -> None:
    here = pressure.check_bottle(from_volumes(volumes), bottle, quantity(celsius, "degC"))
    hot = pressure.check_bottle(from_volumes(volumes), bottle, quantity(50, "degC"))
    assert here.within or not hot.within
    assert here.within == (here.limit_co2.magnitude > 0 and here.pressure <= here.limit * (1 + 1e-9))


@pytest.mark.parametrize("bottle", ["growler", "jar"])
def test_never_within_in_what_holds_no_pressure(bottle: str) -> None:
    assert not pressure.check_bottle(from_volumes(0), bottle, quantity(5, "degC")).within


def test_same_beer_passes_in_the_cellar_and_fails_in_the_sun() -> None:
    beer = from_volumes(2.9)
    assert pressure.check_bottle(beer, "standard", quantity(12, "degC")).within
    assert not pressure.check_bottle(beer, "standard", quantity(40, "degC")).within


def test_errors_name_the_argument() -> None:
    with pytest.raises(OutOfRange) as caught:
        pressure.check_bottle(from_volumes(2), "bag")
    assert caught.value.argument == "bottle"
    with pytest.raises(OutOfRange) as caught:
        pressure.co2_from_gravity(sg(1.010), sg(1.012), sg(1.050))
    assert caught.value.argument == "final_gravity"
    with pytest.raises(OutOfRange) as caught:
        pressure.bottle_pressure(from_volumes(2), quantity(60, "degC"))
    assert caught.value.argument == "temperature"
