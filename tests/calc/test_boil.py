"""Boil: conservation of water, round trips, bounds."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.boil import (
    boil_off_in_other_pot,
    boil_off_rate,
    boiling_point,
    highest_boil_off,
    time_to_boil_down,
    volume_after_boil,
)
from calc.errors import OutOfRange
from calc.units import quantity


@given(st.floats(-450.0, 5400.0), st.floats(1.0, 100.0))
def test_higher_up_it_boils_cooler(altitude_m: float, climb_m: float) -> None:
    low = boiling_point(quantity(altitude_m, "metre")).magnitude
    high = boiling_point(quantity(altitude_m + climb_m, "metre")).magnitude
    assert 80.0 < high < low < 103.0


@given(st.floats(2.0, 50.0), st.floats(0.1, 10.0), st.floats(1.0, 240.0))
def test_boil_down_round_trip(litre: float, rate: float, minutes: float) -> None:
    volume, loss, wait = quantity(litre, "litre"), quantity(rate, "litre/hour"), quantity(minutes, "minute")
    if rate * minutes / 60.0 > litre:
        with pytest.raises(OutOfRange) as caught:
            volume_after_boil(volume, loss, wait)
        assert caught.value.argument == "duration"
        assert caught.value.high == pytest.approx(litre / rate)
        return
    left = volume_after_boil(volume, loss, wait)
    assert left.magnitude + rate * minutes / 60.0 == pytest.approx(litre)
    assert time_to_boil_down(volume, left, loss).magnitude == pytest.approx(minutes, rel=1e-6, abs=1e-9)
    assert boil_off_rate(volume, left, wait).magnitude == pytest.approx(rate, rel=1e-6, abs=1e-9)


def test_a_pot_does_not_fill_up_by_boiling() -> None:
    with pytest.raises(OutOfRange, match="target_volume"):
        time_to_boil_down(quantity(5, "litre"), quantity(6, "litre"), quantity(1, "litre/hour"))
    with pytest.raises(OutOfRange, match="volume_after"):
        boil_off_rate(quantity(5, "litre"), quantity(6, "litre"), quantity(1, "hour"))


@given(st.floats(0.0, 20.0), st.floats(0.0, 1.0))
def test_bound_by_power_is_linear(kilowatt: float, share: float) -> None:
    bound = highest_boil_off(quantity(kilowatt, "kW"), share).magnitude
    assert bound == pytest.approx(kilowatt * share * highest_boil_off(quantity(1, "kW")).magnitude)


@given(st.floats(10.0, 60.0), st.floats(10.0, 60.0))
def test_other_pot_and_back(here_cm: float, there_cm: float) -> None:
    here, there = quantity(here_cm, "cm"), quantity(there_cm, "cm")
    over = boil_off_in_other_pot(quantity(1.1, "litre/hour"), here, there)
    assert (over.magnitude > 1.1) == (there_cm > here_cm) or here_cm == pytest.approx(there_cm)
    assert boil_off_in_other_pot(over, there, here).magnitude == pytest.approx(1.1)


def test_altitude_out_of_range() -> None:
    with pytest.raises(OutOfRange, match="altitude"):
        boiling_point(quantity(9000, "metre"))
    with pytest.raises(OutOfRange, match="altitude"):
        boiling_point(quantity(20, "degC"))
