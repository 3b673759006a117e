"""Carbonation against water chemistry, a handbook table, and stoichiometry."""

from __future__ import annotations

import functools

import pytest
from CoolProp.CoolProp import PropsSI
from molmass import Formula
from phreeqpython import PhreeqPython

from calc import carbonation
from calc.units import quantity
from tests.references.conftest import Agree

HANDBOOK = "Source: handbook table of residual CO2 in beer, 3.0378 - 0.050062 F + 0.00026555 F^2"
CO2 = Formula("CO2").mass


def residual_volumes(temperature_c: float) -> float:
    return float(carbonation.in_volumes(carbonation.residual_co2(quantity(temperature_c, "degC"))).magnitude)


@functools.cache
def phreeqc() -> PhreeqPython:
    return PhreeqPython()


def phreeqc_g_per_l(temperature_c: float, pressure_log10_atm: float = 0.0) -> float:
    solution = phreeqc().add_solution({})
    solution.change_temperature(temperature_c)
    solution.equalize(["CO2(g)"], [pressure_log10_atm])
    return float(solution.total("C", "mmol")) * CO2 / 1000


@pytest.mark.parametrize("temperature_c", [1, 5, 10, 15, 18, 20, 25, 30, 40])
def test_solubility(agree: Agree, temperature_c: int) -> None:
    ours = carbonation.residual_co2(quantity(temperature_c, "degC")).magnitude
    # Two evaluations of the same kind of measurements: 2 %.
    outside = phreeqc_g_per_l(temperature_c)
    agree(
        f"CO2 in water under 1 atm, {temperature_c} degC",
        ours,
        outside,
        0.02 * outside,
        "Source: PHREEQC",
        "g/l",
    )


@pytest.mark.parametrize(
    ("temperature_c", "volumes"), [(0, 1.713), (5, 1.424), (10, 1.194), (15, 1.019), (20, 0.878), (25, 0.759)]
)
def test_absorption_coefficient(agree: Agree, temperature_c: int, volumes: float) -> None:
    agree(
        f"CO2 absorption coefficient of water, {temperature_c} degC",
        residual_volumes(temperature_c),
        volumes,
        0.015,
        "From memory: Bunsen coefficients in Lange's Handbook of Chemistry",
        "volumes",
    )


@pytest.mark.parametrize("temperature_c", [2, 5, 10, 15, 18, 20, 22, 25])
def test_residual_table(agree: Agree, temperature_c: int) -> None:
    f = temperature_c * 1.8 + 32
    handbook = 3.0378 - 0.050062 * f + 0.00026555 * f * f
    # 0.02 volumes is 0.08 g of sugar per litre.
    agree(
        f"residual CO2, {temperature_c} degC",
        residual_volumes(temperature_c),
        handbook,
        0.02,
        HANDBOOK,
        "volumes",
    )


def test_one_volume(agree: Agree) -> None:
    gas = PropsSI("D", "T", 273.15, "P", 101325, "CO2")
    one = carbonation.from_volumes(1).magnitude
    agree("one volume of CO2", one, gas, 0.001, "Source: CoolProp, CO2 gas at 0 degC and 1 atm", "g/l")


@pytest.mark.parametrize(
    ("sugar", "formula", "molecules"), [("sucrose", "C12H22O11", 4), ("glucose_monohydrate", "C6H14O7", 2)]
)
def test_yield(agree: Agree, sugar: str, formula: str, molecules: int) -> None:
    outside = molecules * CO2 / Formula(formula).mass
    ours = carbonation.co2_yield(sugar)
    agree(f"CO2 from {sugar}, g/g", ours, outside, 2e-5, "Source: stoichiometry, molar masses by molmass")


def test_honey(agree: Agree) -> None:
    outside = 0.775 * 2 * CO2 / Formula("C6H12O6").mass
    agree(
        "CO2 from honey, g/g",
        carbonation.co2_yield("honey"),
        outside,
        0.02,
        "From memory: 0.75 to 0.80 of honey is hexose that ferments; molmass",
    )


def test_malt_extract(agree: Agree) -> None:
    ratio = carbonation.co2_yield("dry_malt_extract") / carbonation.co2_yield("sucrose")
    agree(
        "dry malt extract in place of sucrose", ratio, 0.725, 0.025, "Common practice, no source: 0.7 to 0.75"
    )


def test_four_grams_per_litre_and_volume(agree: Agree) -> None:
    target = carbonation.from_volumes(residual_volumes(20) + 1)
    ours = carbonation.priming_sugar(quantity(1, "litre"), target, quantity(20, "degC")).magnitude
    agree("sucrose for one volume in one litre", ours, 4.0, 0.2, "Common practice, no source: about 4 g", "g")


def test_a_batch_by_hand(agree: Agree) -> None:
    # 19 l at 20 degC to 2.5 volumes: (2.5 - 0.861) * 1.977 / 0.5143 * 19 by the handbook's residual.
    outside = (2.5 - 0.861) * 1.977 / (4 * CO2 / Formula("C12H22O11").mass) * 19
    ours = carbonation.priming_sugar(
        quantity(19, "litre"), carbonation.from_volumes(2.5), quantity(20, "degC")
    ).magnitude
    agree("sucrose for 19 l to 2.5 volumes, 20 degC", ours, outside, 1.5, f"{HANDBOOK}; molmass", "g")


def test_teaspoon(agree: Agree) -> None:
    spoon = 1 / carbonation.teaspoons(quantity(1, "gram")).magnitude
    # 5 ml at a bulk density of 0.80 to 0.90 g/ml.
    agree(
        "level teaspoon of sucrose",
        spoon,
        5 * 0.85,
        0.3,
        "From memory: bulk density of granulated sugar",
        "g",
    )
