"""Density, gravity and degrees Plato against water standards and sugar tables."""

from __future__ import annotations

import iapws
import pytest
from CoolProp.CoolProp import PropsSI

from calc.density import (
    cold_volume,
    extract_mass,
    gravity_at_reference,
    gravity_from_plato,
    plato_from_gravity,
    water_density,
    wort_density,
)
from calc.units import Quantity, quantity
from tests.references.conftest import Agree


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def celsius(value: float) -> Quantity:
    return quantity(value, "degC")


def plato(value: float) -> Quantity:
    return quantity(value, "degree_plato")


def iapws_water_kg_m3(temperature_c: float) -> float:
    # Just under the boiling point: the pressure is raised a little so that the water stays liquid.
    pressure_mpa = 0.101325 if temperature_c < 99 else 0.1015
    return float(iapws.IAPWS95(T=temperature_c + 273.15, P=pressure_mpa).rho)


@pytest.mark.parametrize("temperature_c", [0.01, 4, 15.556, 20, 25, 40, 60, 80, 100])
def test_water_density(agree: Agree, temperature_c: float) -> None:
    # The two equations differ by 0.006 at most; the tolerance leaves room for dissolved air.
    agree(
        f"water density at {temperature_c:g} degC",
        water_density(celsius(temperature_c)).m_as("kg/m**3"),
        iapws_water_kg_m3(temperature_c),
        0.015,
        "IAPWS-95, by the library iapws",
        "kg/m3",
    )


@pytest.mark.parametrize("temperature_c", [10, 50, 90])
def test_water_density_by_a_second_library(agree: Agree, temperature_c: float) -> None:
    agree(
        f"water density at {temperature_c} degC",
        water_density(celsius(temperature_c)).m_as("kg/m**3"),
        PropsSI("D", "T", temperature_c + 273.15, "P", 101325, "Water"),
        0.015,
        "IAPWS-95, by the library CoolProp",
        "kg/m3",
    )


# From memory: densities of aqueous sucrose at 20 degC, g/ml to four places, as handbooks of chemistry print.
HANDBOOK_DENSITY = {5: 1.0178, 10: 1.0381, 15: 1.0592, 20: 1.0810, 30: 1.1270, 40: 1.1765}


@pytest.mark.parametrize(("percent", "density"), HANDBOOK_DENSITY.items())
def test_sucrose_density(agree: Agree, percent: float, density: float) -> None:
    agree(
        f"density of {percent} % sucrose at 20 degC",
        wort_density(plato(percent)).m_as("kg/m**3"),
        1000 * density,
        0.2,
        "From memory: handbook table of aqueous sucrose",
        "kg/m3",
    )


# From memory: NBS Circular 440 (1942), tables 113 and 114, SG 20/20.
NBS_GRAVITY = {10: 1.0400, 12: 1.0484, 15: 1.0611, 20: 1.0830}


@pytest.mark.parametrize(("percent", "gravity"), NBS_GRAVITY.items())
def test_gravity_of_sugar_tables(agree: Agree, percent: float, gravity: float) -> None:
    agree(
        f"SG 20/20 at {percent} degrees Plato",
        gravity_from_plato(plato(percent)).magnitude,
        gravity,
        0.0002,
        "From memory: NBS Circular 440, tables 113 and 114",
    )


def asbc_plato(gravity: float) -> float:
    """Source: ASBC Methods of Analysis, cubic for degrees Plato from SG 20/20."""
    return -616.868 + 1111.14 * gravity - 630.272 * gravity**2 + 135.997 * gravity**3


def nbs_brix(gravity: float) -> float:
    """Source: polynomial fitted to the table of NBS Circular 440, SG 20/20 up to 1.179."""
    return ((182.4601 * gravity - 775.6821) * gravity + 1262.7794) * gravity - 669.5622


@pytest.mark.parametrize("gravity", [1.010, 1.030, 1.040, 1.048, 1.057, 1.061, 1.083])
def test_plato_by_the_cubic(agree: Agree, gravity: float) -> None:
    agree(
        f"degrees Plato at SG {gravity:.3f}",
        plato_from_gravity(sg(gravity)).magnitude,
        asbc_plato(gravity),
        0.05,
        "ASBC cubic",
        "P",
    )


@pytest.mark.parametrize("gravity", [1.020, 1.050, 1.080, 1.110, 1.170])
def test_brix_by_the_polynomial(agree: Agree, gravity: float) -> None:
    agree(
        f"degrees Brix at SG {gravity:.3f}",
        plato_from_gravity(sg(gravity)).magnitude,
        nbs_brix(gravity),
        0.05,
        "polynomial after NBS Circular 440",
        "Bx",
    )


def test_water_on_the_20_4_scale(agree: Agree) -> None:
    agree(
        "SG 20/4 of water",
        gravity_at_reference(sg(1.0), "20/4").magnitude,
        iapws_water_kg_m3(20) / iapws_water_kg_m3(4),
        0.00002,
        "IAPWS-95, by the library iapws",
    )


def test_sugar_on_the_20_4_scale(agree: Agree) -> None:
    agree(
        "SG 20/4 at 10 degrees Plato",
        gravity_at_reference(gravity_from_plato(plato(10)), "20/4").magnitude,
        1.03814,
        0.0002,
        "From memory: NBS Circular 440, table 113",
    )


@pytest.mark.parametrize(("percent", "grams"), [(10, 103.8), (20, 216.2)])
def test_extract_in_a_litre(agree: Agree, percent: float, grams: float) -> None:
    agree(
        f"extract in a litre at {percent} degrees Plato",
        extract_mass(quantity(1, "litre"), gravity_from_plato(plato(percent))).m_as("gram"),
        grams,
        0.1,
        "From memory: handbook table of aqueous sucrose",
        "g",
    )


@pytest.mark.parametrize("temperature_c", [60, 80, 100])
def test_hot_volume(agree: Agree, temperature_c: float) -> None:
    agree(
        f"10 litres at {temperature_c} degC, cooled to 20 degC",
        cold_volume(quantity(10, "litre"), celsius(temperature_c)).m_as("litre"),
        10 * iapws_water_kg_m3(temperature_c) / iapws_water_kg_m3(20),
        0.001,
        "IAPWS-95, by the library iapws",
        "l",
    )
