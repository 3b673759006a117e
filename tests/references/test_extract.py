"""Extract of sugars and malts against molar masses, sugar tables and the trade's yields."""

from __future__ import annotations

from molmass import Formula

from calc.extract import absorbed_water, conversion_efficiency, expected_gravity, potential_extract
from calc.fermentables import fermentable_or_default
from calc.units import quantity
from tests.references.conftest import Agree


def test_water_in_glucose_monohydrate(agree: Agree) -> None:
    agree(
        "extract in glucose monohydrate",
        fermentable_or_default("dextrose").extract_fraction,
        Formula("C6H12O6").mass / Formula("C6H14O7").mass,
        0.0001,
        "molar masses, by the library molmass",
    )


def test_water_in_lactose_monohydrate(agree: Agree) -> None:
    agree(
        "extract in lactose as sold",
        fermentable_or_default("lactose").extract_fraction,
        Formula("C12H22O11").mass / Formula("C12H24O12").mass,
        0.0001,
        "molar masses, by the library molmass",
    )


def test_a_pound_of_sugar_in_a_gallon(agree: Agree) -> None:
    gravity = expected_gravity([("table sugar", quantity(1, "pound"))], quantity(1, "US_liquid_gallon"), 0.5)
    agree(
        "points of a pound of sugar in a US gallon",
        1000 * (gravity.magnitude - 1),
        46.2,
        0.1,
        "Common practice, no source: 46.2 points",
    )


def test_a_pound_of_pale_malt_in_a_gallon(agree: Agree) -> None:
    gravity = expected_gravity([("pale malt", quantity(1, "pound"))], quantity(1, "US_liquid_gallon"), 1.0)
    agree(
        "points of a pound of pale malt in a US gallon, all of its extract",
        1000 * (gravity.magnitude - 1),
        37,
        # Handbooks print 36 to 38, mostly for the dry grain.
        2,
        "From memory: J. Palmer, How to Brew, typical malt yields",
    )


def test_potential_of_malt(agree: Agree) -> None:
    potential = potential_extract([("pale malt", quantity(1, "kg"))])
    agree(
        "extract in a kilogram of pale malt as sold",
        potential.value.m_as("kg"),
        # 78.5 % of dry matter, 4 % moisture: the middle of the ranges printed for all kilned malts.
        0.785 * 0.96,
        0.035,
        "maltsters' and handbook ranges, 75 to 82 % dry basis, 3 to 5 % moisture",
        "kg",
    )


def test_first_wort_of_a_full_conversion(agree: Agree) -> None:
    # Strength of the first wort, degrees Plato: 100 e / (e + water per kg), e = extract per kg of malt.
    # 1 kg of malt with 0.7728 kg of extract and 0.04 kg of moisture, 4 kg of water: 16.06 P, by the NBS
    # polynomial SG 1.0656.
    agree(
        "conversion where the mash of 1 kg in 4 kg of water shows SG 1.0656",
        conversion_efficiency(
            [("pale malt", quantity(1, "kg"))],
            quantity(4 / 0.998207, "litre"),
            quantity(1.0656, "dimensionless"),
        ),
        1.0,
        0.005,
        "first-wort formula of brewing handbooks, polynomial after NBS Circular 440",
    )


def test_absorption(agree: Agree) -> None:
    for squeezed, litres in ((True, 0.5), (False, 0.9)):
        agree(
            f"water held by a kilogram of grain, {'squeezed' if squeezed else 'drained'}",
            absorbed_water(quantity(1, "kg"), squeezed).m_as("litre"),
            litres,
            0.1,
            "Common practice, no source: 0.4 to 0.6 squeezed, 0.8 to 1.0 drained",
            "l",
        )
