"""Pressure of carbon dioxide over beer: in the bottle, in the keg, and from sugar that was still to ferment.

Henry's law with the solubility of :mod:`calc.carbonation`, lowered by 5 % for what else beer holds (tables
for beer of the ASBC lie 3 to 7 % below water), and CO2 as a real gas by its second virial coefficient.
Pressures are gauge: above the air outside, as a dial shows them. Everything here errs to the high side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from calc.alcohol import CO2_PER_ALCOHOL, YEAST_PER_ALCOHOL, alcohol_fraction, real_extract_fraction
from calc.carbonation import CO2_G_MOL, CO2_G_PER_L_VOLUME, solubility_g_per_l_atm
from calc.density import read_gravity
from calc.errors import OutOfRange
from calc.sucrose import WATER_20_KG_M3, fraction_from_gravity
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity

_BEER_TO_WATER = 0.95
_KPA_PER_ATM = 101.325
_R_CM3_ATM = 82.0573
_ZERO_K = 273.15
_CAPPED_AT_K = 293.15
_LOW_C, _HIGH_C = 0.0, 50.0
_MOST_G_PER_L = 25.0
_LIMIT_AT_C = 25.0
_STEPS = 8

HEADSPACE = quantity(4.0, "percent")
"""Usual gas space in a filled bottle, per volume of beer."""

WARM_ROOM = quantity(_LIMIT_AT_C, "degC")


def _pressure_from_fugacity(fugacity_atm: float, temperature_k: float) -> float:
    """Pressure of CO2 gas in atm; its virial coefficient is that of Weiss 1974, cm3/mol."""
    t = temperature_k
    b_cm3_mol = -1636.75 + t * (12.0408 + t * (-3.27957e-2 + t * 3.16528e-5))
    pressure = fugacity_atm
    for _ in range(_STEPS):
        pressure = fugacity_atm * math.exp(-b_cm3_mol * pressure / (_R_CM3_ATM * t))
    return pressure


def _co2_pressure_atm(co2_g_per_l: float, temperature_c: float, headspace: float) -> float:
    """Absolute pressure of CO2 over beer that holds this much in all, gas space included."""
    temperature_k = temperature_c + _ZERO_K
    dissolved_per_atm = solubility_g_per_l_atm(temperature_c) * _BEER_TO_WATER
    gas_per_atm = headspace * 1000 * CO2_G_MOL / (_R_CM3_ATM * temperature_k)
    return _pressure_from_fugacity(co2_g_per_l / (dissolved_per_atm + gas_per_atm), temperature_k)


def _bottle_kpa(co2_g_per_l: float, temperature_c: float, headspace: float, purged: bool) -> float:
    air_atm = 0.0 if purged else (temperature_c + _ZERO_K) / _CAPPED_AT_K
    return (_co2_pressure_atm(co2_g_per_l, temperature_c, headspace) + air_atm - 1.0) * _KPA_PER_ATM


def bottle_pressure(
    co2: Quantity, temperature: Quantity, headspace: Quantity = HEADSPACE, purged: bool = False
) -> Quantity:
    """Gauge pressure in a closed bottle once CO2 has spread evenly between beer and gas space.

    Args:
        co2: all of it per litre of beer, 0 to 25 g/l: residual, from priming, and from what was left to
            ferment.
        temperature: of the whole bottle, 0 to 50 degC.
        headspace: gas space per volume of beer, 0 to 1.
        purged: True where CO2 drove the air out before capping; otherwise the trapped air counts as it
            was capped at 20 degC, none of it dissolved or used up by yeast.

    Returns:
        kPa above the air outside; negative for flat beer in a purged bottle. Water vapour (2 kPa at 20, 7
        at 40 degC) is left out.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Henry's law and virial coefficient after Weiss, Marine Chemistry 2 (1974) 203; beer 5 % below
    water after the ASBC's table for beer.

    >>> from calc.carbonation import from_volumes
    >>> round(bottle_pressure(from_volumes(2.4), quantity(20, "degC")).to("bar").magnitude, 1)
    2.9
    """
    return quantity(
        _bottle_kpa(
            magnitude(co2, "gram/litre", "co2", 0, _MOST_G_PER_L),
            magnitude(temperature, "degC", "temperature", _LOW_C, _HIGH_C),
            magnitude(headspace, "dimensionless", "headspace", 0, 1),
            purged,
        ),
        "kilopascal",
    )


def keg_pressure(co2: Quantity, temperature: Quantity) -> Quantity:
    """Gauge pressure to set on a keg of pure CO2 so that the beer ends at this level.

    Args:
        co2: wanted in the beer, 0 to 25 g/l.
        temperature: of the beer, 0 to 50 degC.

    Returns:
        kPa above the air outside at sea level; 0 where beer at this temperature holds it without pressure.

    Raises:
        OutOfRange: an argument outside its range.

    Source: as in :func:`bottle_pressure`, no gas space.

    >>> from calc.carbonation import from_volumes
    >>> round(keg_pressure(from_volumes(2.5), quantity(4, "degC")).to("psi").magnitude, 1)
    11.7
    """
    co2_g_per_l = magnitude(co2, "gram/litre", "co2", 0, _MOST_G_PER_L)
    temperature_c = magnitude(temperature, "degC", "temperature", _LOW_C, _HIGH_C)
    gauge_atm = _co2_pressure_atm(co2_g_per_l, temperature_c, 0.0) - 1.0
    return quantity(max(0.0, gauge_atm * _KPA_PER_ATM), "kilopascal")


def _alcohol_per_wort(original_fraction: float, gravity: float) -> float:
    """Alcohol formed so far, g per g of the wort that it started as."""
    alcohol = alcohol_fraction(
        original_fraction, real_extract_fraction(original_fraction, fraction_from_gravity(gravity))
    )
    return alcohol / (1 + (CO2_PER_ALCOHOL + YEAST_PER_ALCOHOL) * alcohol)


def co2_from_gravity(gravity: Quantity, final_gravity: Quantity, original_gravity: Quantity) -> Quantity:
    """CO2 that beer still makes on its way to the final gravity; in a closed bottle all of it stays.

    Args:
        gravity: specific gravity 20/20 at bottling, 0.980 to the original gravity.
        final_gravity: 0.980 to gravity.
        original_gravity: 1.002 to 1.200.

    Returns:
        g per litre of beer; 0.001 makes about 1 g/l, half a volume.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Balling's balance, as in :mod:`calc.alcohol`.

    >>> sg = lambda value: quantity(value, "dimensionless")
    >>> round(co2_from_gravity(sg(1.012), sg(1.010), sg(1.050)).magnitude, 2)
    1.97
    """
    original = magnitude(original_gravity, "dimensionless", "original_gravity", 1.002, 1.200)
    now = magnitude(gravity, "dimensionless", "gravity", 0.980, original)
    final = read_gravity(final_gravity, "final_gravity")
    if final > now:
        raise OutOfRange("final_gravity", final, "dimensionless", 0.980, now, "is above the gravity now")
    original_fraction = fraction_from_gravity(original)
    made_now = _alcohol_per_wort(original_fraction, now)
    made_at_end = _alcohol_per_wort(original_fraction, final)
    # A gram of wort has become less than a gram of beer, by the CO2 that left and the yeast that settled.
    beer_per_wort = 1 - (CO2_PER_ALCOHOL + YEAST_PER_ALCOHOL) * made_now
    co2_per_beer = CO2_PER_ALCOHOL * (made_at_end - made_now) / beer_per_wort
    return quantity(co2_per_beer * now * WATER_20_KG_M3, "gram/litre")


def pressure_added(
    co2: Quantity,
    gravity: Quantity,
    final_gravity: Quantity,
    original_gravity: Quantity,
    temperature: Quantity = WARM_ROOM,
) -> Quantity:
    """Pressure that unfinished gravity would add to a bottle that holds ``co2`` without it.

    Args:
        co2: residual and from priming, 0 to 25 g/l in all with what is added.
        gravity: at bottling; ``final_gravity`` and ``original_gravity`` as in :func:`co2_from_gravity`.
        final_gravity: where fermentation will end.
        original_gravity: where it began.
        temperature: of the bottle, 0 to 50 degC.

    Returns:
        kPa.

    Raises:
        OutOfRange: an argument outside its range.

    Source: as in :func:`co2_from_gravity` and :func:`bottle_pressure`.

    >>> sg = lambda value: quantity(value, "dimensionless")
    >>> added = pressure_added(quantity(4.7, "gram/litre"), sg(1.014), sg(1.010), sg(1.050))
    >>> round(added.to("bar").magnitude, 1)
    2.8
    """
    extra = magnitude(co2_from_gravity(gravity, final_gravity, original_gravity), "gram/litre", "gravity")
    before = bottle_pressure(co2, temperature)
    after = bottle_pressure(co2 + quantity(extra, "gram/litre"), temperature)
    return quantity(after.magnitude - before.magnitude, "kilopascal")


def bottle_types() -> tuple[str, ...]:
    """Names of the bottle types in ``data/bottles.toml``, the values that ``bottle`` takes.

    >>> "standard" in bottle_types()
    True
    """
    return tuple(read_table("bottles"))


@dataclass(frozen=True, slots=True)
class BottleCheck:
    """Answer of :func:`check_bottle`; within the limit is a caution passed, not a promise.

    Attributes:
        within: True where the pressure stays at or below the limit; never for a bottle made for none.
        pressure: expected gauge pressure at the temperature asked about, kPa.
        limit: gauge pressure that this kind of bottle is commonly trusted with, kPa.
        limit_co2: the CO2 that it stands for in a warm room, g/l.
    """

    within: bool
    pressure: Quantity
    limit: Quantity
    limit_co2: Quantity


def check_bottle(co2: Quantity, bottle: str = "standard", temperature: Quantity = WARM_ROOM) -> BottleCheck:
    """Compare the pressure that a bottle will see with what its kind is commonly trusted with.

    The limit is the pressure of the type's volumes of CO2 at 25 degC, so the same beer may pass in a
    cellar and fail in the sun.

    Args:
        co2: all of it, 0 to 25 g/l, as in :func:`bottle_pressure`.
        bottle: a name from :func:`bottle_types`.
        temperature: the warmest that the bottle will get, 0 to 50 degC.

    Raises:
        OutOfRange: an argument outside its range, or an unknown bottle.

    Source: Common practice, no source, for the limits in the data file.

    >>> from calc.carbonation import from_volumes
    >>> check_bottle(from_volumes(2.5)).within, check_bottle(from_volumes(3.5)).within
    (True, False)
    >>> check_bottle(from_volumes(2.0), "growler").within
    False
    """
    types: dict[str, dict[str, Any]] = read_table("bottles")
    if bottle not in types:
        raise OutOfRange("bottle", None, "dimensionless", reason=f"must be one of {', '.join(types)}")
    limit_g_per_l = float(types[bottle]["volumes"]) * CO2_G_PER_L_VOLUME
    pressure = bottle_pressure(co2, temperature)
    headspace = HEADSPACE.magnitude / 100
    limit_kpa = max(0.0, _bottle_kpa(limit_g_per_l, _LIMIT_AT_C, headspace, False)) if limit_g_per_l else 0.0
    return BottleCheck(
        limit_g_per_l > 0 and float(pressure.magnitude) <= limit_kpa * (1 + 1e-12),
        pressure,
        quantity(limit_kpa, "kilopascal"),
        quantity(limit_g_per_l, "gram/litre"),
    )
