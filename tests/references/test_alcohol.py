"""Alcohol and extract against Balling's balance, the ethanol tables and stoichiometry."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from molmass import Formula

from calc import alcohol
from calc.density import gravity_from_plato, plato_from_gravity
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

BALLING = "Source: Balling's balance, in De Clerck, A Textbook of Brewing"
OIML = "Source: OIML R 22 (1975), general formula at 20 degC"

# Coefficients of OIML R 22 in powers of the mass fraction of ethanol at 20 degC, kg/m3; they were written
# down from memory, which the pure ends of the formula and CoolProp confirm below.
OIML_20 = (
    998.20123,
    -1.929769495e2,
    3.891238958e2,
    -1.668103923e3,
    1.352215441e4,
    -8.829278388e4,
    3.062874042e5,
    -6.138381234e5,
    7.470172998e5,
    -5.478461354e5,
    2.234460334e5,
    -3.903285426e4,
)

BEERS = [(1.036, 1.008), (1.050, 1.010), (1.060, 1.012), (1.075, 1.016), (1.090, 1.020)]


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def ethanol_water_kg_m3(mass_fraction: float) -> float:
    return sum(a * mass_fraction**k for k, a in enumerate(OIML_20))


def test_pure_ethanol(agree: Agree) -> None:
    agree("ethanol density, 20 degC", alcohol.ETHANOL_20_KG_M3, ethanol_water_kg_m3(1.0), 0.02, OIML, "kg/m3")
    # An equation of state of 0.05 % uncertainty.
    coolprop = PropsSI("D", "T", 293.15, "P", 101325, "Ethanol")
    agree("ethanol density, 20 degC", alcohol.ETHANOL_20_KG_M3, coolprop, 0.4, "Source: CoolProp", "kg/m3")


@pytest.mark.parametrize("mass_percent", [2, 4, 6, 8])
def test_the_table_of_ethanol_and_water_agrees_with_a_library(agree: Agree, mass_percent: int) -> None:
    library = PropsSI("D", "T", 293.15, "P", 101325, f"INCOMP::MEA[{mass_percent / 100}]")
    agree(
        f"ethanol {mass_percent} % mass in water, 20 degC (the outside values against each other)",
        ethanol_water_kg_m3(mass_percent / 100),
        library,
        0.5,
        "Source: OIML R 22 (1975) against CoolProp (Melinder 2010)",
        "kg/m3",
    )


@pytest.mark.parametrize(("og", "fg"), BEERS)
def test_density_of_the_beer_closes_the_balance(agree: Agree, og: float, fg: float) -> None:
    # Tabarie: what alcohol and real extract each do to the density of water adds up to the beer's. Balling's
    # factor for real extract is a fit to his own fermentations, so the two ways may differ by a share of
    # what was fermented: 1 % of the drop of gravity, which is 1 % of the alcohol.
    a = alcohol.alcohol_by_mass(sg(og), sg(fg)).magnitude / 100
    extract = alcohol.real_extract(sg(og), sg(fg))
    beer = ethanol_water_kg_m3(a) / OIML_20[0] + gravity_from_plato(extract).magnitude - 1
    agree(
        f"gravity of beer from its alcohol and extract, {og:.3f} to {fg:.3f}",
        beer,
        fg,
        0.01 * (og - fg),
        "Source: Tabarie's relation with OIML R 22 and sucrose tables; the outside value is the gravity read",
    )


@pytest.mark.parametrize(("og", "fg"), BEERS)
def test_original_extract_comes_back(agree: Agree, og: float, fg: float) -> None:
    a = alcohol.alcohol_by_mass(sg(og), sg(fg)).magnitude
    n = alcohol.real_extract(sg(og), sg(fg)).magnitude
    agree(
        f"original extract from alcohol and real extract, {og:.3f} to {fg:.3f}",
        plato_from_gravity(sg(og)).magnitude,
        100 * (2.0665 * a + n) / (100 + 1.0665 * a),
        1e-6,
        BALLING,
        "P",
    )


@pytest.mark.parametrize(("og", "fg"), [(1.040, 1.010), (1.048, 1.010), (1.057, 1.012)])
def test_real_extract_shortcut(agree: Agree, og: float, fg: float) -> None:
    oe, ae = plato_from_gravity(sg(og)).magnitude, plato_from_gravity(sg(fg)).magnitude
    agree(
        f"real extract, {og:.3f} to {fg:.3f}",
        alcohol.real_extract(sg(og), sg(fg)).magnitude,
        0.1808 * oe + 0.8192 * ae,
        0.12,
        "Source: shortcut 0.1808 OE + 0.8192 AE, in De Clerck",
        "P",
    )


@pytest.mark.parametrize(("og", "fg"), [(1.040, 1.010), (1.050, 1.010), (1.060, 1.014)])
def test_alcohol_by_volume_against_the_shortcut(agree: Agree, og: float, fg: float) -> None:
    agree(
        f"alcohol by volume, {og:.3f} to {fg:.3f}",
        alcohol.alcohol_by_volume(sg(og), sg(fg)).magnitude,
        131.25 * (og - fg),
        0.1,
        "Common practice, no source: 131.25 (OG - FG)",
        "% vol",
    )


def test_alcohol_by_volume_with_the_density_of_ethanol_at_60_degf(agree: Agree) -> None:
    ours = alcohol.alcohol_by_volume(sg(1.050), sg(1.010)).magnitude
    by_mass = alcohol.alcohol_by_mass(sg(1.050), sg(1.010)).magnitude
    # 0.4 % apart, which is the difference of the two conventions.
    agree(
        "alcohol by volume, 1.050 to 1.010, ethanol at 60 degF",
        ours,
        by_mass * 1.010 / 0.794,
        0.03,
        "Source: A SG / 0.794, the handbook convention with ethanol at 60/60 degF",
        "% vol",
    )


@pytest.mark.parametrize(("og", "fg"), [*BEERS, (1.120, 0.998)])
def test_alcohol_stays_below_stoichiometry(og: float, fg: float) -> None:
    # Source: molmass. Maltose takes up water on the way: 4 ethanol from 342.3 g.
    bound = 4 * Formula("C2H5OH").mass / Formula("C12H22O11").mass
    hexose_bound = 2 * Formula("C2H5OH").mass / Formula("C6H12O6").mass
    assert 1 / alcohol.EXTRACT_PER_ALCOHOL < hexose_bound < bound
    a = alcohol.alcohol_by_mass(sg(og), sg(fg)).magnitude / 100
    real = alcohol.real_extract(sg(og), sg(fg)).magnitude / 100
    beer_per_wort = 1 / (1 + 1.0665 * a)
    used = plato_from_gravity(sg(og)).magnitude / 100 - real * beer_per_wort
    assert a * beer_per_wort < hexose_bound * used


def test_carbon_dioxide_to_alcohol(agree: Agree) -> None:
    agree(
        "CO2 per alcohol, g/g",
        alcohol.CO2_PER_ALCOHOL,
        Formula("CO2").mass / Formula("C2H5OH").mass,
        0.002,
        "Source: stoichiometry by molmass, one CO2 for each ethanol",
    )
    total = 1 + alcohol.CO2_PER_ALCOHOL + alcohol.YEAST_PER_ALCOHOL
    agree("extract used per alcohol, g/g", total, alcohol.EXTRACT_PER_ALCOHOL, 1e-4, BALLING)


@pytest.mark.parametrize(("original_plato", "apparent_plato"), [(12.0, 2.5), (16.0, 4.0)])
def test_apparent_attenuation(agree: Agree, original_plato: float, apparent_plato: float) -> None:
    og, fg = (gravity_from_plato(quantity(p, "degree_plato")) for p in (original_plato, apparent_plato))
    agree(
        f"apparent attenuation, {original_plato} to {apparent_plato} P",
        alcohol.apparent_attenuation(og, fg).magnitude,
        100 * (original_plato - apparent_plato) / original_plato,
        1e-6,
        "Source: definition, De Clerck and ASBC Beer-6",
        "%",
    )


@pytest.mark.parametrize(("og", "fg"), [(1.048, 1.010), (1.060, 1.014)])
def test_real_attenuation_is_about_four_fifths_of_apparent(agree: Agree, og: float, fg: float) -> None:
    # The factor holds per 100 g of beer; counting the mass lost as gas and yeast adds 1 to 2 %.
    agree(
        f"real attenuation, {og:.3f} to {fg:.3f}",
        alcohol.real_attenuation(sg(og), sg(fg)).magnitude,
        0.8192 * alcohol.apparent_attenuation(sg(og), sg(fg)).magnitude,
        2.5,
        "Source: 0.8192 of apparent attenuation, in De Clerck",
        "%",
    )
