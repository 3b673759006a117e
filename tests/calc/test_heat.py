"""Heat: round trips, conservation and monotonicity."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calc.cold_bath import settled_temperature
from calc.errors import OutOfRange
from calc.heat import (
    heating_efficiency,
    mash_temperature_after,
    strike_temperature,
    time_to_heat,
    water_to_correct_mash,
)
from calc.partial_mash import joined_temperature, partial_mash
from calc.units import quantity

litres = st.floats(1.0, 50.0)
kilograms = st.floats(0.1, 15.0)
mash_c = st.floats(40.0, 80.0)


@given(
    litres, kilograms, st.floats(0.0, 35.0), mash_c, st.floats(0.0, 5.0), st.floats(0.0, 3.0), st.booleans()
)
def test_strike_and_mash_round_trip(
    litre: float, grain: float, grain_c: float, mash: float, pot: float, loss: float, cold_pot: bool
) -> None:
    kit = {
        "pot_mass": quantity(pot, "kg"),
        "pot_temperature": quantity(18.0, "degC") if cold_pot else None,
        "loss": quantity(loss, "delta_degC"),
        "bag_mass": quantity(0.1, "kg"),
    }
    water, malt, cool = quantity(litre, "litre"), quantity(grain, "kg"), quantity(grain_c, "degC")
    try:
        strike = strike_temperature(water, malt, cool, quantity(mash, "degC"), **kit)
    except OutOfRange:
        # Only too little water for so much grain (and pot) may stand in the way: then boiling is not enough.
        boiled = mash_temperature_after(water, quantity(100, "degC"), malt, cool, **kit)
        assert boiled.magnitude < mash
        return
    assert mash < strike.magnitude <= 100.0
    settled = mash_temperature_after(water, strike, malt, cool, **kit)
    assert settled.magnitude == pytest.approx(mash, abs=1e-9)


@given(litres, kilograms, mash_c, st.floats(0.5, 10.0))
def test_more_water_needs_less_heat(litre: float, grain: float, mash: float, more: float) -> None:
    cool = quantity(20, "degC")
    try:
        little = strike_temperature(
            quantity(litre, "litre"), quantity(grain, "kg"), cool, quantity(mash, "degC")
        )
    except OutOfRange:
        assume(False)
        return
    much = strike_temperature(
        quantity(litre + more, "litre"), quantity(grain, "kg"), cool, quantity(mash, "degC")
    )
    assert much.magnitude < little.magnitude


def test_pot_heated_with_the_water_helps_and_a_cold_pot_costs() -> None:
    water, grain = quantity(7.5, "litre"), quantity(1.3, "kg")
    cool, mash = quantity(20, "degC"), quantity(67, "degC")
    bare = strike_temperature(water, grain, cool, mash).magnitude
    steel = quantity(3, "kg")
    assert strike_temperature(water, grain, cool, mash, steel).magnitude < bare
    cold_steel = strike_temperature(water, grain, cool, mash, steel, "steel", cool).magnitude
    cold_aluminium = strike_temperature(water, grain, cool, mash, steel, "aluminium", cool).magnitude
    assert bare < cold_steel < cold_aluminium


@given(litres, kilograms, mash_c, mash_c, st.sampled_from([5.0, 15.0, 90.0, 100.0]))
def test_correction_reaches_the_target(
    litre: float, grain: float, now: float, target: float, addition_c: float
) -> None:
    water, malt = quantity(litre, "litre"), quantity(grain, "kg")
    args = (quantity(now, "degC"), quantity(target, "degC"), quantity(addition_c, "degC"))
    if (target > now and addition_c <= target) or (target < now and addition_c >= target):
        with pytest.raises(OutOfRange) as caught:
            water_to_correct_mash(water, malt, *args)
        assert caught.value.argument == "addition_temperature"
        return
    addition = water_to_correct_mash(water, malt, *args)
    assert addition.magnitude >= 0.0
    assume(addition.magnitude < 2000.0)
    reached = joined_temperature(water, malt, args[0], addition, args[2])
    assert reached.magnitude == pytest.approx(target, abs=1e-6)


@given(litres, st.floats(5.0, 60.0), st.floats(61.0, 100.0), st.floats(0.3, 5.0), st.floats(0.1, 1.0))
def test_time_and_efficiency_round_trip(
    litre: float, low: float, high: float, kw: float, share: float
) -> None:
    args = (quantity(litre, "litre"), quantity(low, "degC"), quantity(high, "degC"), quantity(kw, "kW"))
    wait = time_to_heat(*args, share)
    assume(0.1 < wait.magnitude < 1400.0)
    assert heating_efficiency(*args, wait) == pytest.approx(share, rel=1e-9)


def test_mash_that_is_warm_enough_needs_no_burner() -> None:
    warm, target = quantity(68, "degC"), quantity(66, "degC")
    assert time_to_heat(quantity(6, "litre"), warm, target, quantity(2, "kW"), 0.7).magnitude == 0.0


def test_grain_and_pot_lengthen_the_heating() -> None:
    args = (quantity(6, "litre"), quantity(63, "degC"), quantity(66, "degC"), quantity(2, "kW"), 0.7)
    bare = time_to_heat(*args).magnitude
    full = time_to_heat(*args, grain_mass=quantity(1.3, "kg"), pot_mass=quantity(2, "kg")).magnitude
    # By hand: 1.3 kg * 1.7 + 2 kg * 0.5 beside 6 l of water is 12.8 % more.
    assert full / bare == pytest.approx(1.0 + (1.3 * 1.7 + 2.0 * 0.5) / (6.0 * 0.998207 * 4.19), rel=1e-9)


@given(st.floats(4.0, 20.0), st.floats(0.3, 2.0), st.floats(1.5, 5.0), st.floats(20.0, 100.0))
def test_partial_mash_conserves_water_and_heat(
    total: float, grain: float, thickness: float, held_c: float
) -> None:
    args = (quantity(20, "degC"), quantity(66, "degC"), quantity(held_c, "degC"))
    if grain * thickness > total:
        with pytest.raises(OutOfRange, match="thickness"):
            partial_mash(quantity(total, "litre"), quantity(grain, "kg"), quantity(thickness, "l/kg"), *args)
        return
    mash = partial_mash(quantity(total, "litre"), quantity(grain, "kg"), quantity(thickness, "l/kg"), *args)
    assert mash.mash_water.magnitude + mash.held_back_water.magnitude == pytest.approx(total)
    low, high = sorted((66.0, held_c))
    assert low - 1e-9 <= mash.joined_temperature.magnitude <= high + 1e-9
    settled = mash_temperature_after(mash.mash_water, mash.strike_temperature, quantity(grain, "kg"), args[0])
    assert settled.magnitude == pytest.approx(66.0, abs=1e-9)


@given(st.floats(1.0, 30.0), st.floats(20.0, 100.0), st.floats(1.0, 100.0), st.floats(0.0, 19.0))
def test_bath_conserves_heat(wort_l: float, wort_c: float, bath_l: float, bath_c: float) -> None:
    met = settled_temperature(
        quantity(wort_l, "litre"),
        quantity(wort_c, "degC"),
        quantity(bath_l, "litre"),
        quantity(bath_c, "degC"),
    ).magnitude
    assert wort_l * (wort_c - met) == pytest.approx(bath_l * (met - bath_c), abs=1e-6)


@pytest.mark.parametrize(
    ("argument", "values"),
    [
        ("water_volume", (0.0, 1.3, 20.0, 67.0)),
        ("grain_mass", (7.5, -1.0, 20.0, 67.0)),
        ("grain_temperature", (7.5, 1.3, 90.0, 67.0)),
        ("mash_temperature", (7.5, 1.3, 20.0, 10.0)),
        ("mash_temperature", (1.0, 3.0, 20.0, 75.0)),
        ("water_volume", (math.nan, 1.3, 20.0, 67.0)),
    ],
)
def test_errors_name_the_argument(argument: str, values: tuple[float, float, float, float]) -> None:
    litre, grain, grain_c, mash = values
    with pytest.raises(OutOfRange) as caught:
        strike_temperature(
            quantity(litre, "litre"), quantity(grain, "kg"), quantity(grain_c, "degC"), quantity(mash, "degC")
        )
    assert caught.value.argument == argument


def test_unknown_material_and_impossible_efficiency() -> None:
    water, cool, hot = quantity(7, "litre"), quantity(20, "degC"), quantity(70, "degC")
    with pytest.raises(OutOfRange, match="steel"):
        strike_temperature(
            water, quantity(1, "kg"), cool, hot, pot_mass=quantity(1, "kg"), pot_material="clay"
        )
    with pytest.raises(OutOfRange, match="elapsed"):
        heating_efficiency(water, cool, hot, quantity(1, "kW"), quantity(5, "minute"))
    with pytest.raises(OutOfRange, match="to_temperature"):
        heating_efficiency(water, hot, cool, quantity(1, "kW"), quantity(5, "minute"))
