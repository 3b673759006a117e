"""Real and apparent extract, attenuation, and alcohol by mass and by volume.

The mass balance is Balling's: 2.0665 g of extract become 1 g of alcohol, 0.9565 g of carbon dioxide and
0.11 g of yeast (C. J. N. Balling, Die Gährungschemie, 1865; in J. De Clerck, A Textbook of Brewing). The
shortcut from the drop of gravity stands beside it as a named approximation.

Density of ethanol: sources divide by 0.794 or by 0.791 on the way from alcohol by mass to alcohol by
volume. 0.7939 is pure ethanol against water with both at 60 degF, the older British and American
convention; 0.7907 is both at 20 degC (789.24 and 998.20 kg/m3, OIML R 22, 1975), which is what a label
in per cent by volume at 20 degC means. This module uses the second; the first reads 0.4 % lower.
"""

from __future__ import annotations

from calc.density import read_gravity
from calc.errors import OutOfRange
from calc.sucrose import WATER_20_KG_M3, fraction_from_gravity, gravity_from_fraction
from calc.units import Quantity, magnitude, quantity

EXTRACT_PER_ALCOHOL = 2.0665
CO2_PER_ALCOHOL = 0.9565
YEAST_PER_ALCOHOL = 0.11
"""Balling's balance, g per g of alcohol; the three products add up to the extract that is used up."""

ETHANOL_20_KG_M3 = 789.24
"""Density of pure ethanol at 20 degC, OIML R 22 (1975)."""

_LOW_ORIGINAL, _HIGH_ORIGINAL = 1.002, 1.200
_SHORTCUT_PERCENT = 131.25


def real_extract_fraction(original_fraction: float, apparent_fraction: float) -> float:
    """Real extract after Balling, all as mass fractions: the alcohol's lightness taken back out."""
    q = 0.22 + 0.1 * original_fraction
    return (q * original_fraction + apparent_fraction) / (1 + q)


def alcohol_fraction(original_fraction: float, real_fraction: float) -> float:
    """Mass fraction of alcohol in beer by Balling's balance, in which beer is wort less CO2 and yeast."""
    lost = CO2_PER_ALCOHOL + YEAST_PER_ALCOHOL
    return (original_fraction - real_fraction) / (EXTRACT_PER_ALCOHOL - lost * original_fraction)


def read_gravities(original_gravity: Quantity, gravity: Quantity, argument: str) -> tuple[float, float]:
    """Original and present gravity as floats, the present one not above the original one."""
    original = magnitude(original_gravity, "dimensionless", "original_gravity", _LOW_ORIGINAL, _HIGH_ORIGINAL)
    present = read_gravity(gravity, argument)
    if present > original:
        raise OutOfRange(argument, present, "dimensionless", 0.980, original, "is above the original gravity")
    return original, present


def _fractions(original_gravity: Quantity, gravity: Quantity, argument: str) -> tuple[float, float, float]:
    """Original and real extract as mass fractions, and the present gravity."""
    original, present = read_gravities(original_gravity, gravity, argument)
    original_fraction = fraction_from_gravity(original)
    real = real_extract_fraction(original_fraction, fraction_from_gravity(present))
    return original_fraction, real, present


def real_extract(original_gravity: Quantity, gravity: Quantity) -> Quantity:
    """Extract really left in fermenting or finished beer, by mass.

    Args:
        original_gravity: specific gravity 20/20 before fermentation, 1.002 to 1.200.
        gravity: specific gravity 20/20 now, 0.980 to the original gravity.

    Returns:
        degrees Plato (g in 100 g of beer); the hydrometer shows less, since alcohol is light.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Balling's attenuation formula, RE = (q OE + AE)/(1 + q), q = 0.22 + 0.001 OE, in De Clerck.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(real_extract(og, fg).magnitude, 2)
    4.42
    """
    _, real, _ = _fractions(original_gravity, gravity, "gravity")
    return quantity(100 * real, "degree_plato")


def real_extract_shortcut(original_gravity: Quantity, gravity: Quantity) -> Quantity:
    """Real extract by fixed weights, RE = 0.1808 OE + 0.8192 AE: 0.1 degree Plato low at 1.060.

    Arguments, result and errors as in :func:`real_extract`.

    Source: Balling's formula with q fixed at 0.2207, in De Clerck and in later handbooks.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(real_extract_shortcut(og, fg).magnitude, 2)
    4.35
    """
    original, present = read_gravities(original_gravity, gravity, "gravity")
    real = 0.1808 * fraction_from_gravity(original) + 0.8192 * fraction_from_gravity(present)
    return quantity(100 * real, "degree_plato")


def apparent_attenuation(original_gravity: Quantity, gravity: Quantity) -> Quantity:
    """Share of the extract that seems used up, by hydrometer.

    Args:
        original_gravity: specific gravity 20/20 before fermentation, 1.002 to 1.200.
        gravity: specific gravity 20/20 now, 0.980 to the original gravity.

    Returns:
        percent, of extract in degrees Plato; above 100 where the beer is lighter than water. The ratio of
        gravity points, (OG - FG)/(OG - 1), is the usual shortcut and reads about 0.7 higher.

    Raises:
        OutOfRange: an argument outside its range.

    Source: definition, apparent degree of fermentation (De Clerck; ASBC Beer-6).

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(apparent_attenuation(og, fg).magnitude, 1)
    79.3
    """
    original, present = read_gravities(original_gravity, gravity, "gravity")
    return quantity(100 * (1 - fraction_from_gravity(present) / fraction_from_gravity(original)), "percent")


def real_attenuation(original_gravity: Quantity, gravity: Quantity) -> Quantity:
    """Share of the extract really used up, by Balling's balance.

    The mass of beer is less than that of the wort it came from, so extract is counted per 100 g of wort.
    Arguments and errors as in :func:`apparent_attenuation`.

    Returns:
        percent.

    Source: mass balance after Balling, in De Clerck.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(real_attenuation(og, fg).magnitude, 1)
    65.8
    """
    original, real, _ = _fractions(original_gravity, gravity, "gravity")
    alcohol = alcohol_fraction(original, real)
    beer_per_wort = 1 / (1 + (CO2_PER_ALCOHOL + YEAST_PER_ALCOHOL) * alcohol)
    return quantity(100 * (1 - real * beer_per_wort / original), "percent")


def gravity_at_attenuation(original_gravity: Quantity, attenuation: Quantity) -> Quantity:
    """Gravity to expect from a yeast's apparent attenuation: inverse of :func:`apparent_attenuation`.

    Args:
        original_gravity: specific gravity 20/20, 1.002 to 1.200.
        attenuation: apparent, 0 to 110 percent.

    Returns:
        specific gravity 20/20.

    Raises:
        OutOfRange: an argument outside its range.

    Source: definition, as above.

    >>> round(gravity_at_attenuation(quantity(1.050, "dimensionless"), quantity(75, "percent")).magnitude, 4)
    1.0121
    """
    original = magnitude(original_gravity, "dimensionless", "original_gravity", _LOW_ORIGINAL, _HIGH_ORIGINAL)
    left = 1 - magnitude(attenuation, "dimensionless", "attenuation", 0, 1.1)
    # Both ways are rounded: with nothing fermented it could come back a last place above the original gravity.
    return quantity(min(original, gravity_from_fraction(fraction_from_gravity(original) * left)), "dimensionless")


def alcohol_by_mass(original_gravity: Quantity, final_gravity: Quantity) -> Quantity:
    """Alcohol in beer by mass, from the mass balance.

    Args:
        original_gravity: specific gravity 20/20 before fermentation, 1.002 to 1.200.
        final_gravity: specific gravity 20/20 of the beer, 0.980 to the original gravity.

    Returns:
        percent: g in 100 g of beer.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Balling, A = (OE - RE)/(2.0665 - 0.010665 OE), in De Clerck.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(alcohol_by_mass(og, fg).magnitude, 2)
    4.12
    """
    original, real, _ = _fractions(original_gravity, final_gravity, "final_gravity")
    return quantity(100 * alcohol_fraction(original, real), "percent")


def alcohol_by_volume(original_gravity: Quantity, final_gravity: Quantity) -> Quantity:
    """Alcohol in beer by volume at 20 degC, from the mass balance and the density of ethanol at 20 degC.

    Args:
        original_gravity: specific gravity 20/20 before fermentation, 1.002 to 1.200.
        final_gravity: specific gravity 20/20 of the beer, 0.980 to the original gravity.

    Returns:
        percent by volume.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Balling's balance, in De Clerck; ethanol 789.24 kg/m3, OIML R 22 (1975).

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(alcohol_by_volume(og, fg).magnitude, 2)
    5.27
    """
    original, real, final = _fractions(original_gravity, final_gravity, "final_gravity")
    beer_kg_m3 = final * WATER_20_KG_M3
    return quantity(100 * alcohol_fraction(original, real) * beer_kg_m3 / ETHANOL_20_KG_M3, "percent")


def alcohol_shortcut(original_gravity: Quantity, final_gravity: Quantity) -> Quantity:
    """Alcohol by volume from the drop of gravity alone, 131.25 (OG - FG): an approximation.

    Within 0.1 of :func:`alcohol_by_volume` around 1.050; about 0.15 too low at 1.090, 0.3 at 1.120.
    Arguments and errors as in :func:`alcohol_by_volume`.

    Source: Common practice, no source.

    >>> og, fg = quantity(1.050, "dimensionless"), quantity(1.010, "dimensionless")
    >>> round(alcohol_shortcut(og, fg).magnitude, 2)
    5.25
    """
    original, final = read_gravities(original_gravity, final_gravity, "final_gravity")
    return quantity(_SHORTCUT_PERCENT * (original - final), "percent")
