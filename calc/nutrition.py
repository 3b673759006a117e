"""Energy and carbohydrate in a serving of beer, from the two gravities.

Energy counts alcohol at 29 kJ/g and extract at 17 kJ/g, the factors for food labels (Regulation (EU) No
1169/2011, Annex XIV); in kilocalories they are the 6.9 and 4 of the method ASBC Beer-33, which takes 0.1 g
of minerals in 100 g of beer off the extract. Good to about 5 %: what wort holds besides sugar varies.
"""

from __future__ import annotations

from calc.alcohol import alcohol_fraction, read_gravities, real_extract_fraction
from calc.sucrose import WATER_20_KG_M3, fraction_from_gravity
from calc.units import Quantity, magnitude, quantity

_ALCOHOL_KJ_G = 29.0
_EXTRACT_KJ_G = 17.0
_MINERALS_FRACTION = 0.001
# Protein and its fragments take about a tenth of real extract in all-malt beer: 0.3 to 0.6 g in 100 g of
# beer by food tables. From memory.
_PROTEIN_PER_EXTRACT = 0.10


def _grams(original_gravity: Quantity, final_gravity: Quantity, serving: Quantity) -> tuple[float, float]:
    """Alcohol and real extract less minerals, g in the serving."""
    original, final = read_gravities(original_gravity, final_gravity, "final_gravity")
    beer_g = magnitude(serving, "litre", "serving", 0, 1000) * final * WATER_20_KG_M3
    original_fraction = fraction_from_gravity(original)
    real = real_extract_fraction(original_fraction, fraction_from_gravity(final))
    alcohol = alcohol_fraction(original_fraction, real)
    return beer_g * alcohol, beer_g * max(0.0, real - _MINERALS_FRACTION)


def alcohol_mass(original_gravity: Quantity, final_gravity: Quantity, serving: Quantity) -> Quantity:
    """Alcohol in a serving, grams: what health advice in grams or units of alcohol is counted in.

    Args:
        original_gravity: specific gravity 20/20 before fermentation, 1.002 to 1.200.
        final_gravity: specific gravity 20/20 of the beer, 0.980 to the original gravity.
        serving: volume, 0 to 1000 litres.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Balling's balance, as in :mod:`calc.alcohol`.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(alcohol_mass(og, fg, quantity(330, "ml")).magnitude, 1)
    13.7
    """
    return quantity(_grams(original_gravity, final_gravity, serving)[0], "gram")


def energy(original_gravity: Quantity, final_gravity: Quantity, serving: Quantity) -> Quantity:
    """Food energy in a serving, kilojoule; ``.to("kilocalorie")`` gives the other unit of labels.

    Args:
        original_gravity: specific gravity 20/20 before fermentation, 1.002 to 1.200.
        final_gravity: specific gravity 20/20 of the beer, 0.980 to the original gravity.
        serving: volume, 0 to 1000 litres.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Regulation (EU) No 1169/2011, Annex XIV; form of ASBC Beer-33.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(energy(og, fg, quantity(330, "ml")).to("kilocalorie").magnitude)
    154
    """
    alcohol_g, extract_g = _grams(original_gravity, final_gravity, serving)
    return quantity(_ALCOHOL_KJ_G * alcohol_g + _EXTRACT_KJ_G * extract_g, "kilojoule")


def carbohydrate(original_gravity: Quantity, final_gravity: Quantity, serving: Quantity) -> Quantity:
    """Carbohydrate in a serving, grams: real extract less minerals and a usual share of protein.

    Args:
        original_gravity: specific gravity 20/20 before fermentation, 1.002 to 1.200.
        final_gravity: specific gravity 20/20 of the beer, 0.980 to the original gravity.
        serving: volume, 0 to 1000 litres.

    Raises:
        OutOfRange: an argument outside its range.

    Source: ASBC Beer-33, carbohydrate by difference; share of protein from memory.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(carbohydrate(og, fg, quantity(330, "ml")).magnitude, 1)
    12.9
    """
    _, extract_g = _grams(original_gravity, final_gravity, serving)
    return quantity(extract_g * (1 - _PROTEIN_PER_EXTRACT), "gram")
