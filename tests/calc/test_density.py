from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calc.density import (
    REFERENCES,
    cold_volume,
    extract_mass,
    gravity_at_reference,
    gravity_from_plato,
    gravity_from_reference,
    plato_from_gravity,
    water_density,
    wort_density,
)
from calc.errors import OutOfRange
from calc.sucrose import density_kg_m3, fraction_from_concentration, fraction_from_density
from calc.units import Quantity, quantity

GRAVITIES = st.floats(0.980, 1.300)
TEMPERATURES_C = st.floats(0.0, 100.0)


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def celsius(value: float) -> Quantity:
    return quantity(value, "degC")


def plato(value: float) -> Quantity:
    return quantity(value, "degree_plato")


@given(GRAVITIES)
def test_gravity_to_plato_and_back(gravity: float) -> None:
    assume(gravity_within_plato_range(gravity))
    assert gravity_from_plato(plato_from_gravity(sg(gravity))).magnitude == pytest.approx(gravity, abs=1e-9)


def gravity_within_plato_range(gravity: float) -> bool:
    return -6 <= plato_from_gravity(sg(gravity)).magnitude <= 65


@given(st.floats(-5.0, 61.0))
def test_plato_to_gravity_and_back(extract: float) -> None:
    assert plato_from_gravity(gravity_from_plato(plato(extract))).magnitude == pytest.approx(
        extract, abs=1e-6
    )


@given(GRAVITIES, GRAVITIES)
def test_plato_rises_with_gravity(first: float, second: float) -> None:
    assume(abs(first - second) > 1e-6)
    low, high = sorted((first, second))
    assert plato_from_gravity(sg(low)) < plato_from_gravity(sg(high))


def test_water_has_no_extract() -> None:
    assert plato_from_gravity(sg(1.0)).magnitude == pytest.approx(0, abs=1e-9)


@given(st.floats(-0.06, 0.65), TEMPERATURES_C)
def test_density_and_back_at_any_temperature(fraction: float, temperature_c: float) -> None:
    density = density_kg_m3(fraction, temperature_c)
    assert fraction_from_density(density, temperature_c) == pytest.approx(fraction, abs=1e-9)


@given(st.floats(-0.06, 0.65))
def test_concentration_and_back(fraction: float) -> None:
    assert fraction_from_concentration(fraction * density_kg_m3(fraction)) == pytest.approx(
        fraction, abs=1e-9
    )


@given(st.sampled_from(sorted(REFERENCES)), GRAVITIES)
def test_reference_temperatures_and_back(reference: str, gravity: float) -> None:
    stated = gravity_at_reference(sg(gravity), reference)
    assume(stated.magnitude <= 1.300)
    assert gravity_from_reference(stated, reference).magnitude == pytest.approx(gravity, abs=1e-9)


def test_20_20_is_our_own_scale() -> None:
    assert gravity_at_reference(sg(1.07), "20/20").magnitude == pytest.approx(1.07, abs=1e-12)


def test_an_unknown_reference_is_refused() -> None:
    with pytest.raises(OutOfRange) as caught:
        gravity_at_reference(sg(1.05), "17.5/17.5")
    assert caught.value.argument == "reference"


# Water is heaviest at 4 degC, and sugar only moves that down.
@given(st.floats(0, 65), st.floats(5.0, 100.0), st.floats(0.5, 20.0))
def test_hot_wort_is_lighter(extract: float, temperature_c: float, step_c: float) -> None:
    assume(temperature_c + step_c <= 100)
    assert wort_density(plato(extract), celsius(temperature_c + step_c)) < wort_density(
        plato(extract), celsius(temperature_c)
    )


@given(TEMPERATURES_C)
def test_wort_without_extract_is_water(temperature_c: float) -> None:
    assert wort_density(plato(0), celsius(temperature_c)).magnitude == pytest.approx(
        water_density(celsius(temperature_c)).magnitude
    )


@given(st.floats(0, 100), TEMPERATURES_C, TEMPERATURES_C, GRAVITIES)
def test_volume_there_and_back(volume: float, hot_c: float, cold_c: float, gravity: float) -> None:
    there = cold_volume(quantity(volume, "litre"), celsius(hot_c), celsius(cold_c), sg(gravity))
    back = cold_volume(there, celsius(cold_c), celsius(hot_c), sg(gravity))
    assert back.m_as("litre") == pytest.approx(volume, rel=1e-9)


@given(st.floats(0.1, 100), st.floats(1.0, 1.12))
def test_sugar_hardly_changes_the_shrinking(volume: float, gravity: float) -> None:
    boiling = quantity(volume, "litre"), celsius(100)
    as_water = cold_volume(*boiling).m_as("litre")
    assert cold_volume(*boiling, gravity=sg(gravity)).m_as("litre") == pytest.approx(as_water, rel=0.003)


@given(st.floats(0, 100), GRAVITIES)
def test_extract_mass_is_linear_in_volume(volume: float, gravity: float) -> None:
    once = extract_mass(quantity(volume, "litre"), sg(gravity)).m_as("kg")
    twice = extract_mass(quantity(2 * volume, "litre"), sg(gravity)).m_as("kg")
    assert math.isfinite(once)
    assert twice == pytest.approx(2 * once)


def test_units_are_read_as_given() -> None:
    assert water_density(quantity(60, "degF")).magnitude == pytest.approx(
        water_density(quantity((60 - 32) / 1.8, "degC")).magnitude
    )
    assert extract_mass(quantity(1, "imperial_gallon"), sg(1.05)).m_as("kg") == pytest.approx(
        extract_mass(quantity(4.54609, "litre"), sg(1.05)).m_as("kg")
    )


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("temperature", lambda: water_density(celsius(101))),
        ("temperature", lambda: water_density(quantity(3, "litre"))),
        ("gravity", lambda: plato_from_gravity(sg(1.5))),
        ("gravity", lambda: plato_from_gravity(sg(math.nan))),
        ("extract", lambda: gravity_from_plato(plato(80))),
        ("volume", lambda: extract_mass(quantity(-1, "litre"), sg(1.05))),
        ("hot_volume", lambda: cold_volume(quantity(-1, "litre"), celsius(90))),
        ("to", lambda: cold_volume(quantity(1, "litre"), celsius(90), celsius(-5))),
    ],
)
def test_refusals_name_the_argument(argument: str, call: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == argument
