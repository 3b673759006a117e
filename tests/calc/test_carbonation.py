"""Properties of residual CO2 and priming."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import carbonation
from calc.errors import OutOfRange
from calc.tables import read_table
from calc.units import quantity

SUGARS = tuple(read_table("priming_sugars"))
CELSIUS = st.floats(0, 45)


@given(CELSIUS, CELSIUS)
def test_warmer_beer_keeps_less(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    in_cold = carbonation.residual_co2(quantity(cold, "degC")).magnitude
    assert math.isfinite(in_cold)
    assert in_cold >= carbonation.residual_co2(quantity(warm, "degC")).magnitude > 0


@given(st.floats(0, 10))
def test_volumes_there_and_back(volumes: float) -> None:
    assert carbonation.in_volumes(carbonation.from_volumes(volumes)).magnitude == pytest.approx(volumes)


@given(st.floats(0.1, 100), st.floats(0, 4), CELSIUS, st.sampled_from(SUGARS))
def test_priming_brings_the_target(volume_l: float, volumes: float, celsius: float, sugar: str) -> None:
    target = carbonation.from_volumes(volumes)
    temperature = quantity(celsius, "degC")
    grams = carbonation.priming_sugar(quantity(volume_l, "litre"), target, temperature, sugar).magnitude
    residual = carbonation.residual_co2(temperature).magnitude
    reached = residual + grams * carbonation.co2_yield(sugar) / volume_l
    assert grams >= 0
    assert reached == pytest.approx(max(target.magnitude, residual))


@given(st.floats(0, 500), st.floats(1, 50), st.floats(0.1, 2))
def test_bottles_share_the_batch(sugar_g: float, volume_l: float, bottle_l: float) -> None:
    one = carbonation.sugar_per_bottle(
        quantity(sugar_g, "gram"), quantity(volume_l, "litre"), quantity(bottle_l, "litre")
    ).magnitude
    assert one * volume_l / bottle_l == pytest.approx(sugar_g)


def test_sucrose_goes_further_than_the_others() -> None:
    yields = {sugar: carbonation.co2_yield(sugar) for sugar in SUGARS}
    assert max(yields, key=lambda sugar: yields[sugar]) == "sucrose"


def test_a_history_counts_what_it_was_at_the_end_of_fermentation() -> None:
    history = [
        (quantity(d, "day"), quantity(t, "degC")) for d, t in [(12, 5), (1, 26), (5, 22), (8, 18), (0, 30)]
    ]
    # 26 degC on the first day does not matter; the 22 degC that held on day 6 does.
    assert carbonation.warmest_since(history, quantity(6, "day")) == quantity(22, "degC")
    assert carbonation.warmest_since(history, quantity(20, "day")) == quantity(5, "degC")
    assert carbonation.warmest_since(history, quantity(0, "day")) == quantity(30, "degC")


def test_errors_name_the_argument() -> None:
    litre, celsius = quantity(5, "litre"), quantity(20, "degC")
    with pytest.raises(OutOfRange) as caught:
        carbonation.priming_sugar(litre, carbonation.from_volumes(2), celsius, "salt")
    assert caught.value.argument == "sugar"
    with pytest.raises(OutOfRange) as caught:
        carbonation.residual_co2(quantity(80, "degC"))
    assert caught.value.argument == "temperature"
    with pytest.raises(OutOfRange) as caught:
        carbonation.from_volumes(math.nan)
    assert caught.value.argument == "volumes"
    with pytest.raises(OutOfRange) as caught:
        carbonation.warmest_since([], quantity(1, "day"))
    assert caught.value.argument == "history"
