"""The boil: at what temperature it happens, how much leaves as steam, and how long a reduction takes.

Boil-off depends on the pot's surface and the burner, not on how much is in the pot, so it is a rate in
litre per hour. Volumes before and after are at the same temperature.
"""

from __future__ import annotations

import math

from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity

_LATENT_KJ_PER_KG = 2256.4  # water at 100 degC, IAPWS-95
_WATER_KG_PER_L = 0.958349  # at 100 degC: volumes are read in the boiling pot


STANDARD_PRESSURE = quantity(101.325, "kilopascal")


def boiling_point(altitude: Quantity, sea_level_pressure: Quantity = STANDARD_PRESSURE) -> Quantity:
    """Return the temperature, in degC, at which water boils at an altitude.

    Args:
        altitude: above sea level, -450 to 5500 metre.
        sea_level_pressure: as weather reports give it, reduced to sea level, 87 to 109 kilopascal; the
            default is an average day.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: 0.02 kelvin against the steam tables; where the pressure is not told the weather moves it by up
    to 0.8 kelvin either way, and wort boils about 0.1 to 0.3 kelvin above water.
    Source: pressure of the International Standard Atmosphere (ISO 2533:1975); saturation line of IAPWS-IF97,
    region 4, backward equation.

    >>> print(f"{boiling_point(quantity(1000, 'metre')):.1f}")
    96.6 degree_Celsius
    """
    altitude_m = magnitude(altitude, "metre", "altitude", -450.0, 5500.0)
    sea_mpa = magnitude(sea_level_pressure, "kilopascal", "sea_level_pressure", 87.0, 109.0) / 1000.0
    pressure_mpa = sea_mpa * math.pow(1.0 - 0.0065 * altitude_m / 288.15, 5.25588)
    return quantity(_saturation_c(pressure_mpa), "degC")


def _saturation_c(pressure_mpa: float) -> float:
    """Boiling point of water in degC, IAPWS-IF97 equation 31 (coefficients of its table 34)."""
    b = math.pow(pressure_mpa, 0.25)
    e = b * b - 17.073846940092 * b + 14.915108613530
    f = 1167.0521452767 * b * b + 12020.824702470 * b - 4823.2657361591
    g = -724213.16703206 * b * b - 3232555.0322333 * b + 405113.40542057
    d = 2.0 * g / (-f - math.sqrt(f * f - 4.0 * e * g))
    s = 650.17534844798 + d
    return (s - math.sqrt(s * s - 4.0 * (-0.23855557567849 + 650.17534844798 * d))) / 2.0 - 273.15


def volume_after_boil(volume: Quantity, rate: Quantity, duration: Quantity) -> Quantity:
    """Return what is left in the pot, in litre, after boiling for a time.

    Args:
        volume: at the start, 0 to 2000 litre.
        rate: boil-off, 0 to 200 litre/hour.
        duration: 0 to 24 hour.

    Raises:
        OutOfRange: an argument outside its range, or a ``duration`` that boils the pot dry.

    Source: water balance.

    >>> print(volume_after_boil(quantity(7, "litre"), quantity(1, "litre/hour"), quantity(60, "minute")))
    6.0 liter
    """
    volume_l = magnitude(volume, "litre", "volume", 0.0, 2000.0)
    rate_l_per_h = magnitude(rate, "litre/hour", "rate", 0.0, 200.0)
    duration_h = magnitude(duration, "hour", "duration", 0.0, 24.0)
    left_l = volume_l - rate_l_per_h * duration_h
    if left_l < 0.0:
        dry_h = volume_l / rate_l_per_h
        raise OutOfRange("duration", duration_h, "hour", 0.0, dry_h, "would boil the pot dry")
    return quantity(left_l, "litre")


def time_to_boil_down(volume: Quantity, target_volume: Quantity, rate: Quantity) -> Quantity:
    """Return how long, in minute, to boil until a volume is left.

    Args:
        volume: now, 0 to 2000 litre.
        target_volume: wanted, 0 litre to ``volume``.
        rate: boil-off, 0.01 to 200 litre/hour.

    Raises:
        OutOfRange: an argument outside its range; a ``target_volume`` above ``volume``.

    Source: water balance.

    >>> print(time_to_boil_down(quantity(7, "litre"), quantity(6, "litre"), quantity(1.2, "litre/hour")))
    50.0 minute
    """
    volume_l = magnitude(volume, "litre", "volume", 0.0, 2000.0)
    target_l = magnitude(target_volume, "litre", "target_volume", 0.0, volume_l)
    rate_l_per_h = magnitude(rate, "litre/hour", "rate", 0.01, 200.0)
    return quantity((volume_l - target_l) / rate_l_per_h * 60.0, "minute")


def boil_off_rate(volume_before: Quantity, volume_after: Quantity, duration: Quantity) -> Quantity:
    """Return the boil-off, in litre/hour, that two readings of the pot show.

    Args:
        volume_before: 0 to 2000 litre.
        volume_after: 0 litre to ``volume_before``, read at the same temperature.
        duration: between the readings, 1 minute to 24 hour.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: two readings of 0.1 litre each, one hour apart, leave about 0.15 litre/hour.
    Source: water balance.

    >>> print(boil_off_rate(quantity(7, "litre"), quantity(6, "litre"), quantity(50, "minute")).round(2))
    1.2 liter / hour
    """
    before_l = magnitude(volume_before, "litre", "volume_before", 0.0, 2000.0)
    after_l = magnitude(volume_after, "litre", "volume_after", 0.0, before_l)
    duration_h = magnitude(duration, "hour", "duration", 1.0 / 60.0, 24.0)
    return quantity((before_l - after_l) / duration_h, "litre/hour")


def highest_boil_off(power: Quantity, efficiency: float = 1.0) -> Quantity:
    """Return the boil-off, in litre/hour, that no pot on this burner can pass.

    Args:
        power: drawn by the hob, 0 to 100 kW.
        efficiency: share that reaches the contents, 0 to 1; 1 gives the bound that always holds.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: an upper bound: heat lost through the pot's wall comes off it.
    Source: latent heat 2256.4 kJ/kg and density of water at 100 degC, IAPWS-95.

    >>> print(highest_boil_off(quantity(2, "kilowatt"), 0.6).round(2))
    2.0 liter / hour
    """
    power_kw = magnitude(power, "kilowatt", "power", 0.0, 100.0)
    share = magnitude(quantity(efficiency, "dimensionless"), "dimensionless", "efficiency", 0.0, 1.0)
    return quantity(power_kw * share * 3600.0 / _LATENT_KJ_PER_KG / _WATER_KG_PER_L, "litre/hour")


def boil_off_in_other_pot(rate: Quantity, diameter: Quantity, other_diameter: Quantity) -> Quantity:
    """Return the boil-off, in litre/hour, to expect in another pot: it goes with the open surface.

    Args:
        rate: known boil-off, 0 to 200 litre/hour.
        diameter: of the known pot, 5 to 200 cm.
        other_diameter: of the other pot, 5 to 200 cm.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: a first guess, 30 % either way, bounded by :func:`highest_boil_off`.
    Common practice, no source.

    >>> print(boil_off_in_other_pot(quantity(1, "litre/hour"), quantity(20, "cm"), quantity(30, "cm")))
    2.25 liter / hour
    """
    rate_l_per_h = magnitude(rate, "litre/hour", "rate", 0.0, 200.0)
    diameter_cm = magnitude(diameter, "cm", "diameter", 5.0, 200.0)
    other_cm = magnitude(other_diameter, "cm", "other_diameter", 5.0, 200.0)
    return quantity(rate_l_per_h * (other_cm / diameter_cm) ** 2, "litre/hour")
