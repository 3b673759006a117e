"""Pressure over beer against the ASBC's table, PHREEQC and an equation of state."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI
from molmass import Formula
from phreeqpython import PhreeqPython

from calc import pressure
from calc.carbonation import CO2_G_MOL, from_volumes, in_volumes
from calc.density import gravity_from_plato
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

ASBC = "Source: ASBC table of CO2 in beer as fitted in handbooks"


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


@pytest.mark.parametrize(
    ("temperature_c", "psi"), [(1, 8), (4, 12), (8, 12), (12, 20), (16, 25), (20, 30), (22, 35)]
)
def test_keg_table(agree: Agree, temperature_c: int, psi: int) -> None:
    f = temperature_c * 1.8 + 32
    volumes = (14.695 + psi) * (0.01821 + 0.090115 * math.exp(-(f - 32) / 43.11))
    ours = pressure.keg_pressure(from_volumes(volumes), quantity(temperature_c, "degC")).to("psi").magnitude
    # The table counts CO2 as an ideal gas and its beers vary: 4 % of the absolute pressure.
    agree(
        f"keg pressure for {volumes:.2f} volumes, {temperature_c} degC",
        ours,
        psi,
        0.04 * (psi + 14.7),
        f"{ASBC}, V = (P + 14.695)(0.01821 + 0.090115 exp(-(F-32)/43.11))",
        "psi",
    )


@pytest.mark.parametrize(("temperature_c", "atm"), [(5, 2.0), (20, 3.0), (30, 4.0), (45, 6.0)])
def test_henrys_law(agree: Agree, temperature_c: int, atm: float) -> None:
    solution = PhreeqPython().add_solution({})
    solution.change_temperature(temperature_c)
    solution.equalize(["CO2(g)"], [math.log10(atm)])
    in_water_g_per_l = solution.total("C", "mmol") * Formula("CO2").mass / 1000
    ours = pressure.keg_pressure(
        quantity(0.95 * in_water_g_per_l, "gram/litre"), quantity(temperature_c, "degC")
    )
    # PHREEQC's saturation is in fugacity, 1 to 4 % below pressure; its solubility is 1 to 2 % higher.
    agree(
        f"pressure over {in_water_g_per_l:.2f} g/l of CO2 in water, {temperature_c} degC",
        ours.to("atm").magnitude + 1,
        atm,
        0.045 * atm,
        "Source: PHREEQC",
        "atm",
    )


@pytest.mark.parametrize(("temperature_c", "bar"), [(5, 3.0), (20, 5.0), (40, 8.0)])
def test_real_gas(agree: Agree, temperature_c: int, bar: float) -> None:
    t = temperature_c + 273.15
    mol_per_m3 = PropsSI("D", "T", t, "P", bar * 1e5, "CO2") / PropsSI("M", "CO2")
    z = bar * 1e5 / (mol_per_m3 * 8.314463 * t)
    # With a second virial coefficient only, ln of the fugacity coefficient is z - 1.
    ours = pressure._pressure_from_fugacity(bar * math.exp(z - 1) / 1.01325, t) * 1.01325
    agree(
        f"pressure from fugacity, {temperature_c} degC",
        ours,
        bar,
        0.005 * bar,
        "Source: CoolProp, CO2",
        "bar",
    )


def test_molar_mass(agree: Agree) -> None:
    agree("molar mass of CO2", CO2_G_MOL, Formula("CO2").mass, 0.001, "Source: molmass", "g/mol")


@pytest.mark.parametrize(("og", "gravity"), [(1.040, 1.012), (1.050, 1.012), (1.060, 1.016)])
def test_a_point_of_gravity(agree: Agree, og: float, gravity: float) -> None:
    co2 = pressure.co2_from_gravity(sg(gravity), sg(gravity - 0.001), sg(og))
    agree(
        f"CO2 from 0.001 of gravity, from {og:.3f} at {gravity:.3f}",
        in_volumes(co2).magnitude,
        0.5,
        0.03,
        "Common practice, no source: about half a volume",
        "volumes",
    )


def test_all_the_extract(agree: Agree) -> None:
    # 12 P to 2.5 P: 9.5 g of apparent extract, 0.8192 of it real, in 100 g of beer at 1.0098.
    og = gravity_from_plato(quantity(12, "degree_plato"))
    fg = gravity_from_plato(quantity(2.5, "degree_plato"))
    ours = pressure.co2_from_gravity(og, fg, og).magnitude
    # Per litre of wort; the shortcut for real extract and the beer's smaller mass make 3 %.
    outside = 0.8192 * 95 * 1.0483 * 0.9982 * 0.9565 / 2.0665
    agree(
        "CO2 from 12 P to 2.5 P, all of it",
        ours,
        outside,
        0.04 * outside,
        "Source: Balling's balance with the shortcut for real extract, in De Clerck",
        "g/l",
    )


def test_bottle_at_cellar_and_summer(agree: Agree) -> None:
    # Purged bottle with no gas space at 20 degC: the keg table once more, as absolute pressure.
    volumes = 2.5
    absolute_psi = volumes / (0.01821 + 0.090115 * math.exp(-36 / 43.11))
    ours = pressure.bottle_pressure(
        from_volumes(volumes), quantity(20, "degC"), quantity(0, "percent"), purged=True
    )
    agree(
        "bottle of 2.5 volumes at 20 degC, no air",
        ours.to("psi").magnitude,
        absolute_psi - 14.695,
        0.04 * absolute_psi,
        ASBC,
        "psi",
    )


@pytest.mark.parametrize(("bottle", "volumes"), [("standard", 3.0), ("heavy", 4.0), ("sparkling_wine", 6.0)])
def test_limits(agree: Agree, bottle: str, volumes: float) -> None:
    limit = pressure.check_bottle(from_volumes(2), bottle).limit_co2
    agree(
        f"limit of a {bottle} bottle",
        in_volumes(limit).magnitude,
        volumes,
        0.5,
        "Common practice, no source: about 3 for beer bottles, more for heavy glass",
        "volumes",
    )
