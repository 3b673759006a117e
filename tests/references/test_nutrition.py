"""Energy and carbohydrate against a food table and the factors of food labels."""

from __future__ import annotations

from calc import nutrition
from calc.density import gravity_from_plato
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

TABLE = "From memory: USDA FoodData Central, beer, regular, all, 356 g"
# What the table says of 356 g: alcohol, carbohydrate, protein, minerals in grams, and kilocalories.
ALCOHOL_G, CARBOHYDRATE_G, PROTEIN_G, ASH_G, KCAL, SERVING_G = 13.9, 12.6, 1.6, 0.6, 153.0, 356.0


def table_beer() -> tuple[Quantity, Quantity, Quantity]:
    """Gravities and serving that hold the table's alcohol and extract, by Balling's formulas."""
    a = 100 * ALCOHOL_G / SERVING_G
    n = 100 * (CARBOHYDRATE_G + PROTEIN_G + ASH_G) / SERVING_G
    original = 100 * (2.0665 * a + n) / (100 + 1.0665 * a)
    q = 0.22 + 0.001 * original
    og = gravity_from_plato(quantity(original, "degree_plato"))
    fg = gravity_from_plato(quantity(n * (1 + q) - q * original, "degree_plato"))
    return og, fg, quantity(SERVING_G / (fg.magnitude * 0.998203), "millilitre")


def test_alcohol(agree: Agree) -> None:
    agree(
        "alcohol in 356 g of beer",
        nutrition.alcohol_mass(*table_beer()).magnitude,
        ALCOHOL_G,
        0.05,
        TABLE,
        "g",
    )


def test_energy(agree: Agree) -> None:
    ours = nutrition.energy(*table_beer()).to("kilocalorie").magnitude
    # Tables differ by 3 % among themselves and leave out or count organic acids.
    agree("energy in 356 g of beer", ours, KCAL, 6, TABLE, "kcal")
    agree(
        "energy in 356 g of beer",
        nutrition.energy(*table_beer()).magnitude,
        29 * ALCOHOL_G + 17 * (CARBOHYDRATE_G + PROTEIN_G),
        6,
        "Source: Regulation (EU) No 1169/2011, Annex XIV, on the table's grams",
        "kJ",
    )


def test_energy_by_the_laboratory_formula(agree: Agree) -> None:
    a = 100 * ALCOHOL_G / SERVING_G
    n = 100 * (CARBOHYDRATE_G + PROTEIN_G + ASH_G) / SERVING_G
    kcal = (6.9 * a + 4.0 * (n - 0.1)) * SERVING_G / 100
    # 17 kJ are 4.06 kcal.
    ours = nutrition.energy(*table_beer()).to("kilocalorie").magnitude
    agree("energy in 356 g of beer", ours, kcal, 2, "Source: ASBC Beer-33, 6.9 A + 4 (RE - 0.1)", "kcal")


def test_carbohydrate(agree: Agree) -> None:
    # The share of protein is a usual one, so a gram either way.
    ours = nutrition.carbohydrate(*table_beer()).magnitude
    agree("carbohydrate in 356 g of beer", ours, CARBOHYDRATE_G, 1.0, TABLE, "g")
