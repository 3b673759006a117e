from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.density import extract_mass, water_density
from calc.errors import OutOfRange
from calc.extract import (
    absorbed_water,
    conversion_efficiency,
    efficiency,
    expected_gravity,
    forecast,
    lauter_efficiency,
    potential_extract,
)
from calc.units import Quantity, quantity

WATER_KG_L = water_density(quantity(20, "degC")).m_as("kg/litre")
MASSES = st.floats(0.2, 6)
SHARES = st.floats(0.3, 1)


def kg(value: float) -> Quantity:
    return quantity(value, "kg")


def litre(value: float) -> Quantity:
    return quantity(value, "litre")


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


@given(MASSES, st.floats(0, 1), st.floats(3.5, 8), SHARES)
def test_efficiency_and_gravity_are_inverse(malt: float, sugar: float, ratio: float, share: float) -> None:
    grains = [("pale malt", kg(malt)), ("table sugar", kg(sugar * malt))]
    volume = litre(malt * ratio)
    gravity = expected_gravity(grains, volume, share)
    assert efficiency(grains, volume, gravity) == pytest.approx(share, abs=1e-6)


@given(MASSES, st.floats(3.5, 8), SHARES)
def test_expected_gravity_holds_the_extract(malt: float, ratio: float, share: float) -> None:
    grains = [("munich malt", kg(malt)), ("honey", kg(0.1))]
    volume = litre(malt * ratio)
    honey = potential_extract([("honey", kg(0.1))]).value.m_as("kg")
    wanted = share * potential_extract([("munich malt", kg(malt))]).value.m_as("kg") + honey
    assert extract_mass(volume, expected_gravity(grains, volume, share)).m_as("kg") == pytest.approx(wanted)


@given(MASSES, st.floats(3.5, 8), st.floats(0.3, 0.95))
def test_more_efficiency_means_more_gravity(malt: float, ratio: float, share: float) -> None:
    grains, volume = [("vienna malt", kg(malt))], litre(malt * ratio)
    assert expected_gravity(grains, volume, share) < expected_gravity(grains, volume, share + 0.05)


def test_nothing_gives_water() -> None:
    assert expected_gravity([], litre(5), 0.7).magnitude == pytest.approx(1.0, abs=1e-9)


def test_an_unknown_grain_counts_as_pale_malt() -> None:
    assert expected_gravity([("hearthside no. 3", kg(1))], litre(5), 0.7) == expected_gravity(
        [("pale malt", kg(1))], litre(5), 0.7
    )


@given(MASSES, MASSES)
def test_uncertainties_of_two_malts_add_as_squares(first: float, second: float) -> None:
    one, two = [("pale malt", kg(first))], [("crystal malt", kg(second))]
    both = potential_extract([*one, *two])
    parts = [potential_extract(grains) for grains in (one, two)]
    assert both.value.magnitude == pytest.approx(sum(part.value.magnitude for part in parts))
    assert both.uncertainty.magnitude == pytest.approx(
        sum(part.uncertainty.magnitude**2 for part in parts) ** 0.5
    )


@given(MASSES)
def test_squeezing_leaves_less_in_the_grain(grain: float) -> None:
    assert 0 < absorbed_water(kg(grain), squeezed=True) < absorbed_water(kg(grain), squeezed=False)


@given(MASSES, st.floats(2, 8), st.floats(0, 5), st.booleans())
def test_lautering_leaves_something_and_rinsing_helps(
    grain: float, ratio: float, rinse: float, squeezed: bool
) -> None:
    water = litre(grain * ratio)
    plain = lauter_efficiency(kg(grain), water, squeezed)
    rinsed = lauter_efficiency(kg(grain), water, squeezed, litre(rinse))
    assert 0 < plain <= rinsed < 1


@given(MASSES, st.floats(3, 8), st.floats(0, 4), st.floats(0.5, 1), st.booleans())
def test_forecast_keeps_water_and_extract(
    malt: float, ratio: float, rinse: float, conversion: float, squeezed: bool
) -> None:
    grains = [("pale malt", kg(malt)), ("flaked oats", kg(0.1))]
    mash_l, steam_l = malt * ratio + 0.5, 0.3 * malt
    plan = forecast(grains, litre(mash_l), litre(steam_l), squeezed, litre(rinse), conversion)
    before = extract_mass(*plan.pre_boil).m_as("kg")
    after = extract_mass(*plan.post_boil).m_as("kg")
    potential = potential_extract(grains).value.m_as("kg")
    assert before == pytest.approx(after)
    assert before == pytest.approx(plan.efficiency * potential)

    def water_kg(wort: tuple[Quantity, Quantity], extract_kg: float) -> float:
        return float(wort[0].m_as("litre") * wort[1].magnitude * WATER_KG_L - extract_kg)

    held_l = absorbed_water(kg(malt + 0.1), squeezed).m_as("litre")
    assert water_kg(plan.pre_boil, before) == pytest.approx((mash_l + rinse - held_l) * WATER_KG_L)
    lost_kg = water_kg(plan.pre_boil, before) - water_kg(plan.post_boil, after)
    assert lost_kg == pytest.approx(steam_l * WATER_KG_L)
    assert plan.post_boil.gravity >= plan.pre_boil.gravity


@given(MASSES, st.floats(3, 8), st.floats(0.5, 1))
def test_conversion_is_read_back_from_the_mash(malt: float, ratio: float, conversion: float) -> None:
    grains, water = [("pilsner malt", kg(malt))], litre(malt * ratio)
    plan = forecast(grains, water, litre(0), squeezed=True, conversion=conversion)
    assert conversion_efficiency(grains, water, plan.mash_gravity) == pytest.approx(conversion, abs=1e-6)


def test_sugar_goes_in_during_the_boil() -> None:
    bill = [("pale malt", kg(1)), ("table sugar", kg(0.2))]
    plan = forecast(bill, litre(6), litre(1), squeezed=True)
    plain = forecast(bill[:1], litre(6), litre(1), squeezed=True)
    assert plan.pre_boil == plain.pre_boil
    gained = extract_mass(*plan.post_boil).m_as("kg") - extract_mass(*plain.post_boil).m_as("kg")
    assert gained == pytest.approx(0.2, abs=0.0005)


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("grains", lambda: expected_gravity([("pale malt", kg(-1))], litre(5), 0.7)),
        ("grains", lambda: expected_gravity([("pale malt", litre(1))], litre(5), 0.7)),
        ("volume", lambda: expected_gravity([("pale malt", kg(3))], litre(1), 0.9)),
        ("volume", lambda: expected_gravity([], litre(0), 0.9)),
        ("efficiency", lambda: expected_gravity([("pale malt", kg(1))], litre(5), 72)),
        ("grains", lambda: efficiency([("table sugar", kg(1))], litre(5), sg(1.05))),
        ("grains", lambda: conversion_efficiency([], litre(5), sg(1.05))),
        ("mash_water", lambda: lauter_efficiency(kg(2), litre(1), squeezed=True)),
        ("conversion", lambda: forecast([], litre(5), litre(1), squeezed=True, conversion=1.2)),
        ("boiled_off", lambda: forecast([("pale malt", kg(1))], litre(3), litre(2.5), squeezed=True)),
    ],
)
def test_refusals_name_the_argument(argument: str, call: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == argument
