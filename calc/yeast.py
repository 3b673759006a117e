"""How much yeast: cells and grams for a volume and gravity, and what is left of a sachet with age.

Numbers by yeast type live in ``data/yeasts.toml``, with what is known of their sources.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from calc.density import read_gravity
from calc.errors import OutOfRange
from calc.sucrose import fraction_from_gravity
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity

_ORDINARY_PLATO = 12.0
_DAYS_PER_YEAR = 365.25
_DAYS_PER_MONTH = _DAYS_PER_YEAR / 12
FRIDGE = quantity(4.0, "degC")
NOT_OPENED = quantity(0.0, "day")


class Range(NamedTuple):
    """A low, a usual and a high value of one quantity."""

    low: Quantity
    usual: Quantity
    high: Quantity


def yeast_types() -> tuple[str, ...]:
    """Names of the yeast types in the data file, the values that ``style`` takes.

    >>> "lager" in yeast_types()
    True
    """
    return tuple(read_table("yeasts")["type"])


def _type(style: str) -> dict[str, Any]:
    types: dict[str, dict[str, Any]] = read_table("yeasts")["type"]
    try:
        return types[style]
    except KeyError:
        raise OutOfRange(
            "style", None, "dimensionless", reason=f"must be one of {', '.join(types)}"
        ) from None


def _plato(gravity: Quantity) -> float:
    sg = read_gravity(gravity)
    if not 1.0 <= sg <= 1.2:
        raise OutOfRange("gravity", sg, "dimensionless", 1.0, 1.2)
    return 100 * fraction_from_gravity(sg)


def _between(low: float, high: float, unit: str) -> Range:
    return Range(quantity(low, unit), quantity((low + high) / 2, unit), quantity(high, unit))


def temperature_range(style: str = "ale") -> Range:
    """Range of fermentation temperature of a yeast type, degC.

    Raises:
        OutOfRange: a style that is not in the data file.

    Source: Common practice, no source.

    >>> print(temperature_range("ale").high)
    22.0 degree_Celsius
    """
    low, high = _type(style)["temperature_c"]
    return _between(float(low), float(high), "degC")


def attenuation_range(style: str = "ale") -> Range:
    """Range of apparent attenuation of a yeast type in all-malt wort, percent.

    Raises:
        OutOfRange: a style that is not in the data file.

    Source: Common practice, no source.

    >>> print(attenuation_range("ale").usual)
    76.0 percent
    """
    low, high = _type(style)["attenuation_percent"]
    return _between(float(low), float(high), "percent")


def cells_needed(volume: Quantity, gravity: Quantity, style: str = "ale") -> Quantity:
    """Viable cells to pitch, in proportion to volume and degrees Plato.

    Args:
        volume: of wort in the fermenter, 0 to 1000 litres.
        gravity: specific gravity 20/20, 1.000 to 1.200.
        style: a name from :func:`yeast_types`.

    Returns:
        number of cells, dimensionless.

    Raises:
        OutOfRange: an argument outside its range, or an unknown style.

    Source: brewing handbooks, 0.75 (ale) and 1.5 (lager) million cells per ml and degree Plato.

    >>> cells = cells_needed(quantity(5, "litre"), quantity(1.048, "dimensionless"))
    >>> f"{cells.magnitude:.3g}"
    '4.47e+10'
    """
    volume_ml = magnitude(volume, "millilitre", "volume", 0, 1e6)
    rate_per_ml_plato = 1e6 * _type(style)["cells_per_ml_plato"]
    return quantity(rate_per_ml_plato * volume_ml * _plato(gravity), "dimensionless")


def dry_yeast_range(volume: Quantity, gravity: Quantity, style: str = "ale") -> Range:
    """Fresh dry yeast to pitch: low, usual and high.

    Args:
        volume: of wort in the fermenter, 0 to 1000 litres.
        gravity: specific gravity 20/20, 1.000 to 1.200. Above 12 degrees Plato the dose grows with the
            extract; below it the dose per litre stays, since it is small anyway.
        style: a name from :func:`yeast_types`.

    Returns:
        grams.

    Raises:
        OutOfRange: an argument outside its range, or an unknown style.

    Source: Common practice, no source: 0.5 to 0.8 g per litre of ale at ordinary gravity.

    >>> dose = dry_yeast_range(quantity(5, "litre"), quantity(1.048, "dimensionless"))
    >>> [round(grams.magnitude, 1) for grams in dose]
    [2.5, 3.0, 4.0]
    """
    volume_l = magnitude(volume, "litre", "volume", 0, 1000)
    strength = max(1.0, _plato(gravity) / _ORDINARY_PLATO)
    low, usual, high = (quantity(g * volume_l * strength, "gram") for g in _type(style)["dry_g_per_l"])
    return Range(low, usual, high)


def dry_yeast_mass(volume: Quantity, gravity: Quantity, style: str = "ale") -> Quantity:
    """Fresh dry yeast to pitch, the usual dose of :func:`dry_yeast_range`, grams.

    Arguments, errors and source as in :func:`dry_yeast_range`.

    >>> round(dry_yeast_mass(quantity(5, "litre"), quantity(1.048, "dimensionless")).magnitude, 1)
    3.0
    """
    return dry_yeast_range(volume, gravity, style).usual


def sachet_left(sachet_mass: Quantity, used: Quantity) -> Quantity:
    """What stays in a sachet after a part of it was pitched, grams.

    Args:
        sachet_mass: what was in it, 0 to 1 kg.
        used: what was taken, 0 to all of it.

    Raises:
        OutOfRange: an argument outside its range.

    >>> print(sachet_left(quantity(11, "gram"), quantity(3, "gram")))
    8.0 gram
    """
    sachet_g = magnitude(sachet_mass, "gram", "sachet_mass", 0, 1000)
    return quantity(sachet_g - magnitude(used, "gram", "used", 0, sachet_g), "gram")


def cells_in_dry_yeast(mass: Quantity) -> Range:
    """Viable cells in fresh dry yeast: low, usual and high number, dimensionless.

    Args:
        mass: 0 to 1 kg.

    Raises:
        OutOfRange: mass outside its range.

    Source: From memory: makers state at least 6 thousand million per gram, counts are higher.

    >>> f"{cells_in_dry_yeast(quantity(3, 'gram')).usual.magnitude:.2g}"
    '4.5e+10'
    """
    mass_g = magnitude(mass, "gram", "mass", 0, 1000)
    low, usual, high = (
        quantity(1e9 * n * mass_g, "dimensionless")
        for n in read_table("yeasts")["dry"]["thousand_million_cells_per_g"]
    )
    return Range(low, usual, high)


def dry_yeast_for_cells(cells: Quantity) -> Range:
    """Fresh dry yeast that brings this many viable cells, grams; low where the yeast is at its best.

    Args:
        cells: 0 to 1e15, dimensionless, as from :func:`cells_needed`.

    Raises:
        OutOfRange: cells outside its range.

    Source: as in :func:`cells_in_dry_yeast`.

    >>> round(dry_yeast_for_cells(quantity(4.5e10, "dimensionless")).usual.magnitude, 2)
    3.0
    """
    number = magnitude(cells, "dimensionless", "cells", 0, 1e15)
    high, usual, low = (
        quantity(number / (1e9 * n), "gram")
        for n in read_table("yeasts")["dry"]["thousand_million_cells_per_g"]
    )
    return Range(low, usual, high)


def viability(age: Quantity, storage: Quantity = FRIDGE, opened_for: Quantity = NOT_OPENED) -> Quantity:
    """Share of a dry sachet's cells that still live: a rough guide, not a count.

    Args:
        age: since it was packed, 0 to 10 years.
        storage: temperature while sealed, -20 to 40 degC.
        opened_for: how long of that it was open, folded shut, dry and in the fridge; 0 to the age.

    Returns:
        percent of the cells at packing.

    Raises:
        OutOfRange: an argument outside its range.

    Source: From memory, rates in the data file; the loss grows with temperature by a constant factor per
    degree between the two that are given.

    >>> round(viability(quantity(1, "year"), quantity(24, "degC")).magnitude)
    80
    >>> round(viability(quantity(60, "day"), opened_for=quantity(60, "day")).magnitude)
    73
    """
    age_days = magnitude(age, "day", "age", 0, 10 * _DAYS_PER_YEAR)
    storage_c = magnitude(storage, "degC", "storage", -20, 40)
    opened_days = magnitude(opened_for, "day", "opened_for", 0, age_days)
    dry = read_table("yeasts")["dry"]
    cold_rate = -math.log1p(-dry["sealed_cold_loss_per_year"]) / _DAYS_PER_YEAR
    warm_rate = -math.log1p(-dry["sealed_warm_loss_per_year"]) / _DAYS_PER_YEAR
    warmth = (storage_c - dry["cold_c"]) / (dry["warm_c"] - dry["cold_c"])
    sealed_rate = cold_rate * (warm_rate / cold_rate) ** warmth
    opened_rate = -math.log1p(-dry["opened_loss_per_month"]) / _DAYS_PER_MONTH
    loss = sealed_rate * (age_days - opened_days) + opened_rate * opened_days
    return quantity(100 * math.exp(-loss), "percent")


def mass_with_age(fresh_mass: Quantity, viable: Quantity) -> Quantity:
    """Older yeast that does the work of ``fresh_mass``, grams.

    Args:
        fresh_mass: as from :func:`dry_yeast_mass`, 0 to 10 kg.
        viable: as from :func:`viability`, 10 to 100 percent; below that, use another sachet.

    Raises:
        OutOfRange: an argument outside its range.

    >>> print(mass_with_age(quantity(3, "gram"), quantity(75, "percent")))
    4.0 gram
    """
    fresh_g = magnitude(fresh_mass, "gram", "fresh_mass", 0, 1e4)
    return quantity(fresh_g / magnitude(viable, "dimensionless", "viable", 0.1, 1), "gram")


def opened_sachet_keeps(opened_for: Quantity) -> bool:
    """Is an opened sachet, folded shut, dry and in the fridge, still worth pitching?

    Args:
        opened_for: time since it was opened, 0 or more.

    Raises:
        OutOfRange: opened_for outside its range.

    Source: Common practice, no source: weeks to a few months.

    >>> opened_sachet_keeps(quantity(5, "week")), opened_sachet_keeps(quantity(6, "month"))
    (True, False)
    """
    days = magnitude(opened_for, "day", "opened_for", 0)
    return bool(days <= read_table("yeasts")["dry"]["opened_keeps_days"])
