"""Money against exact fractions and the definitions of the two pints."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from calc import cost
from calc.units import quantity
from tests.references.conftest import Agree


def test_pints(agree: Agree) -> None:
    six = Decimal("6")
    volume = quantity(1, "litre")
    uk = float(cost.cost_per_pint(six, volume, "imperial_pint") / six)
    us = float(cost.cost_per_pint(six, volume, "US_pint") / six)
    agree(
        "imperial pint",
        uk,
        4.54609 / 8,
        1e-9,
        "Source: UK Weights and Measures Act 1985, gallon 4.54609 l",
        "l",
    )
    agree(
        "US pint",
        us,
        231 * 0.0254**3 * 1000 / 8,
        1e-9,
        "Source: NIST Handbook 44, gallon 231 cubic inches",
        "l",
    )


def test_a_batch_in_exact_fractions(agree: Agree) -> None:
    bought = [
        cost.Purchase(Decimal("11.50"), quantity(5, "kg"), quantity(1300, "gram")),
        cost.Purchase(Decimal("3.95"), quantity(100, "gram"), quantity(0.5, "ounce")),
        cost.Purchase(Decimal("4.40"), quantity(11, "gram"), quantity(3, "gram")),
        cost.Purchase(Decimal("2.00"), quantity(100, "dimensionless"), quantity(14, "dimensionless")),
    ]
    outside = (
        Fraction("11.50") * Fraction(13, 50)
        + Fraction("3.95") * Fraction("28.349523125") / 200
        + Fraction("4.40") * Fraction(3, 11)
        + Fraction("2.00") * Fraction(14, 100)
    )
    exact = "Source: exact fractions; ounce of 28.349523125 g by international agreement (1959)"
    agree("cost of a batch", float(cost.batch_cost(bought)), float(outside), 1e-9, exact)
    agree(
        "value of what is left",
        float(cost.left_over_value(bought)),
        float(Fraction("21.85") - outside),
        1e-9,
        exact,
    )
