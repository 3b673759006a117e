"""Carbon dioxide left in young beer, and the sugar that brings it to the wanted level.

Amounts are grams of CO2 per litre of beer. "Volumes" count litres of CO2 gas at 0 degC and 1 atm per litre
of beer, 1.977 g/l each: :func:`from_volumes` and :func:`in_volumes` convert.

Solubility is that of CO2 in water (R. F. Weiss, Marine Chemistry 2 (1974) 203), which is what the usual
handbook table of residual CO2 follows too. Beer holds about 5 % less; for priming the higher figure is the
careful one, since it asks for less sugar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from calc.errors import OutOfRange
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity

CO2_G_PER_L_VOLUME = 1.977
"""Density of CO2 gas at 0 degC and 1 atm, g/l."""

CO2_G_MOL = 44.0095

# Grams of CO2 from a gram of sugar: moles of CO2 times molar mass over molar mass of the sugar.
_YIELD = {
    "sucrose": 4 * CO2_G_MOL / 342.2965,
    "maltose": 4 * CO2_G_MOL / 342.2965,
    "hexose": 2 * CO2_G_MOL / 180.1559,
    "glucose_monohydrate": 2 * CO2_G_MOL / 198.1712,
}
_LOW_C, _HIGH_C = 0.0, 45.0
_MOST_G_PER_L = 20.0


def solubility_g_per_l_atm(temperature_c: float) -> float:
    """CO2 in water under 1 atm of CO2, g/l; Weiss 1974 with no salt, measured from 0 to 40 degC."""
    hundreds_k = (temperature_c + 273.15) / 100
    return CO2_G_MOL * math.exp(-58.0931 + 90.5069 / hundreds_k + 22.2940 * math.log(hundreds_k))


def from_volumes(volumes: float) -> Quantity:
    """CO2 in g/l from volumes, 0 to 10.

    Raises:
        OutOfRange: outside 0 to 10 or not a number.

    Source: density of CO2 gas at 0 degC and 1 atm.

    >>> round(from_volumes(2.4).magnitude, 2)
    4.74
    """
    if not 0 <= volumes <= 10:
        raise OutOfRange("volumes", volumes, "dimensionless", 0, 10)
    return quantity(volumes * CO2_G_PER_L_VOLUME, "gram/litre")


def in_volumes(co2: Quantity) -> Quantity:
    """CO2 in volumes (dimensionless) from g/l, 0 to 20.

    Raises:
        OutOfRange: co2 outside its range.

    Source: density of CO2 gas at 0 degC and 1 atm.

    >>> round(in_volumes(residual_co2(quantity(20, "degC"))).magnitude, 2)
    0.87
    """
    co2_g_per_l = magnitude(co2, "gram/litre", "co2", 0, _MOST_G_PER_L)
    return quantity(co2_g_per_l / CO2_G_PER_L_VOLUME, "dimensionless")


def residual_co2(temperature: Quantity) -> Quantity:
    """CO2 that beer keeps after fermenting under an airlock.

    Args:
        temperature: the warmest since active fermentation ended, 0 to 45 degC: what has left when it was
            warm does not come back when it is cold.

    Returns:
        g/l.

    Raises:
        OutOfRange: temperature outside its range.

    Source: Weiss, Marine Chemistry 2 (1974) 203: saturation under 1 atm of CO2, sea level.

    >>> round(residual_co2(quantity(20, "degC")).magnitude, 2)
    1.72
    """
    return quantity(
        solubility_g_per_l_atm(magnitude(temperature, "degC", "temperature", _LOW_C, _HIGH_C)), "gram/litre"
    )


def co2_yield(sugar: str) -> float:
    """Grams of CO2 from a gram of a priming sugar as weighed out.

    Args:
        sugar: a name from ``data/priming_sugars.toml``: sucrose, glucose_monohydrate, honey,
            dry_malt_extract, liquid_malt_extract.

    Raises:
        OutOfRange: an unknown sugar.

    Source: stoichiometry of alcoholic fermentation with IUPAC molar masses; composition as in the data file.

    >>> round(co2_yield("sucrose"), 4)
    0.5143
    """
    entry = _entry(sugar)
    return float(_YIELD[entry["sugar"]] * entry["g_per_g"] * entry["fermentable"])


def _entry(sugar: str) -> dict[str, Any]:
    sugars = read_table("priming_sugars")
    try:
        entry: dict[str, Any] = sugars[sugar]
    except KeyError:
        reason = f"must be one of {', '.join(sugars)}"
        raise OutOfRange("sugar", None, "dimensionless", reason=reason) from None
    return entry


def priming_sugar(
    volume: Quantity, target_co2: Quantity, temperature: Quantity, sugar: str = "sucrose"
) -> Quantity:
    """Sugar that brings a batch from its residual CO2 to the target.

    Args:
        volume: of beer to be bottled, 0 to 1000 litres.
        target_co2: total wanted, 0 to 20 g/l; :func:`from_volumes` makes it from volumes.
        temperature: the warmest since active fermentation ended, 0 to 45 degC.
        sugar: as in :func:`co2_yield`.

    Returns:
        grams for the batch; 0 where the beer already holds enough. It counts on a finished fermentation:
        what is left to ferment adds to it (:func:`calc.pressure.co2_from_gravity`).

    Raises:
        OutOfRange: an argument outside its range, or an unknown sugar.

    Source: stoichiometry; residual CO2 as in :func:`residual_co2`.

    >>> round(priming_sugar(quantity(5, "litre"), from_volumes(2.4), quantity(20, "degC")).magnitude, 1)
    29.4
    """
    volume_l = magnitude(volume, "litre", "volume", 0, 1000)
    target = magnitude(target_co2, "gram/litre", "target_co2", 0, _MOST_G_PER_L)
    residual = solubility_g_per_l_atm(magnitude(temperature, "degC", "temperature", _LOW_C, _HIGH_C))
    return quantity(volume_l * max(0.0, target - residual) / co2_yield(sugar), "gram")


def sugar_per_bottle(batch_sugar: Quantity, volume: Quantity, bottle: Quantity) -> Quantity:
    """A bottle's part of the batch's priming sugar, grams.

    Args:
        batch_sugar: 0 g or more.
        volume: of the batch, above 0 litres.
        bottle: volume filled into one bottle, 0 to 10 litres.

    Raises:
        OutOfRange: an argument outside its range.

    >>> round(sugar_per_bottle(quantity(30, "gram"), quantity(5, "litre"), quantity(330, "ml")).magnitude, 2)
    1.98
    """
    sugar_g = magnitude(batch_sugar, "gram", "batch_sugar", 0)
    volume_l = magnitude(volume, "litre", "volume", 1e-3)
    return quantity(sugar_g / volume_l * magnitude(bottle, "litre", "bottle", 0, 10), "gram")


def teaspoons(mass: Quantity, sugar: str = "sucrose") -> Quantity:
    """Level 5 ml teaspoons that hold about this much sugar, dimensionless.

    Caution: a spoon is a poor scale. Grain size, packing and a heaped spoon change it by 20 % and more,
    half a volume of CO2 in a bottle. Weigh the batch's sugar, dissolve it and share out the syrup; a reply
    that gives spoons must say so.

    Args:
        mass: 0 g or more.
        sugar: as in :func:`co2_yield`.

    Raises:
        OutOfRange: mass outside its range, or an unknown sugar.

    Source: From memory, bulk densities in the data file.

    >>> round(teaspoons(quantity(2.1, "gram")).magnitude, 2)
    0.5
    """
    return quantity(magnitude(mass, "gram", "mass", 0) / _entry(sugar)["g_per_teaspoon"], "dimensionless")


def warmest_since(history: Sequence[tuple[Quantity, Quantity]], active_until: Quantity) -> Quantity:
    """The temperature that sets the residual CO2: warmest since active fermentation ended.

    Args:
        history: (time since pitching, temperature of the beer), in any order.
        active_until: time since pitching at which bubbling had died down. Between two entries the warmer
            counts, so the last entry before this time is taken in as well.

    Returns:
        degC.

    Raises:
        OutOfRange: an empty history, or an argument outside its range.

    Source: Common practice, no source.

    >>> day, degc = (lambda d: quantity(d, "day")), (lambda t: quantity(t, "degC"))
    >>> history = [(day(1), degc(24)), (day(6), degc(19)), (day(9), degc(21)), (day(12), degc(5))]
    >>> print(warmest_since(history, day(6)))
    21.0 degree_Celsius
    """
    end_day = magnitude(active_until, "day", "active_until", 0)
    points = sorted(
        (magnitude(elapsed, "day", "history", 0), magnitude(temperature, "degC", "history", _LOW_C, _HIGH_C))
        for elapsed, temperature in history
    )
    if not points:
        raise OutOfRange("history", None, "degC", reason="is empty")
    before = [t for day, t in points if day <= end_day]
    return quantity(max([t for day, t in points if day > end_day] + before[-1:]), "degC")
