"""Extract from a grain bill: potential, what conversion and draining leave of it, and gravities to expect.

Everything counts extract by mass. Two losses are kept apart: conversion (starch that the mash did not
dissolve) and lautering (wort that stays in the grain). Sugars and malt extracts dissolve whole and are
charged with neither. Volumes are at 20 degC.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from calc.balances import WATER_KG_PER_L, Wort
from calc.density import CONCENTRATION_HIGH_KG_M3, extract_mass, read_gravity
from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from calc.sucrose import (
    density_kg_m3,
    fraction_from_concentration,
    fraction_from_gravity,
    gravity_from_fraction,
)
from calc.tables import read_table
from calc.uncertainty import Measured
from calc.units import Quantity, magnitude, quantity

Grains = Sequence[tuple[str, Quantity]]
"""Pairs of a name (see :func:`calc.fermentables.fermentable_or_default`) and a mass."""

NO_WATER = quantity(0.0, "litre")
TYPICAL_CONVERSION = 0.95
"""Share of the potential that an hour's mash of well crushed malt dissolves. Common practice, no source."""

MALT_MOISTURE = 0.04
"""Water in a gram of malt as sold. Source: middle of the 3 to 5 % that handbooks and maltsters give."""


class Forecast(NamedTuple):
    """What a brew should give: gravity in the mash, wort before and after the boil, efficiency so far."""

    mash_gravity: Quantity
    pre_boil: Wort
    post_boil: Wort
    efficiency: float


class _Bill(NamedTuple):
    """A grain bill in numbers: extract to be won in the mash, extract that just dissolves, grain mass."""

    mashed_kg: float
    dissolved_kg: float
    grain_kg: float
    moisture_kg: float
    variance_kg2: float


def _bill(grains: Grains) -> _Bill:
    mashed = dissolved = grain = moisture = variance = 0.0
    for name, mass in grains:
        kg = magnitude(mass, "kg", "grains", 0)
        entry = fermentable_or_default(name)
        if entry.mashed:
            mashed += kg * entry.extract_fraction
            grain += kg
            moisture += kg * sum(entry.moisture) / 2
        else:
            dissolved += kg * entry.extract_fraction
        variance += (kg * entry.extract_uncertainty) ** 2
    return _Bill(mashed, dissolved, grain, moisture, variance)


def _fraction(value: float, argument: str) -> float:
    return magnitude(quantity(value, "dimensionless"), "dimensionless", argument, 0, 1)


def potential_extract(grains: Grains) -> Measured:
    """All the extract that a grain bill holds, and its standard uncertainty from the ranges in the data.

    Args:
        grains: names and masses (0 or more); a name not in the data counts as pale malt.

    Returns:
        kg, and kg.

    Raises:
        OutOfRange: a mass that is not one, or below 0.

    Source: data/fermentables.toml, where each line has its own.

    >>> potential = potential_extract([("pale malt", quantity(1.2, "kg")), ("sugar", quantity(100, "g"))])
    >>> round(potential.value.magnitude, 2), round(potential.uncertainty.magnitude, 2)
    (1.03, 0.01)
    """
    bill = _bill(grains)
    return Measured(
        quantity(bill.mashed_kg + bill.dissolved_kg, "kg"), quantity(bill.variance_kg2**0.5, "kg")
    )


def expected_gravity(grains: Grains, volume: Quantity, efficiency: float) -> Quantity:
    """Specific gravity 20/20 of a volume that holds the share ``efficiency`` of the mash's extract.

    Args:
        grains: names and masses (0 or more); a name not in the data counts as pale malt. Sugars and malt
            extracts count in full.
        volume: of the wort, more than 0 litres at 20 degC.
        efficiency: extract in the wort against extract in the malt, 0 to 1.

    Raises:
        OutOfRange: an argument outside its range, or a volume too small to hold so much extract.

    Source: conservation of extract, ICUMSA SPS-4 (1998); potential from data/fermentables.toml.

    >>> gravity = expected_gravity([("pale malt", quantity(1.2, "kg"))], quantity(5, "litre"), 0.72)
    >>> round(gravity.magnitude, 3)
    1.051
    """
    bill = _bill(grains)
    share = _fraction(efficiency, "efficiency")
    extract_kg = bill.mashed_kg * share + bill.dissolved_kg
    volume_m3 = magnitude(volume, "m**3", "volume", 0)
    if extract_kg > volume_m3 * CONCENTRATION_HIGH_KG_M3 or volume_m3 == 0:
        raise OutOfRange(
            "volume",
            1000 * volume_m3,
            "litre",
            1000 * extract_kg / CONCENTRATION_HIGH_KG_M3,
            None,
            "too small for this grain bill",
        )
    return quantity(
        gravity_from_fraction(fraction_from_concentration(extract_kg / volume_m3)), "dimensionless"
    )


def efficiency(grains: Grains, volume: Quantity, gravity: Quantity) -> float:
    """Share of the malt's extract that is in the wort, from a measured volume and gravity.

    Args:
        grains: names and masses (0 or more), including sugars already in this wort.
        volume: of the wort, 0 litres or more at 20 degC.
        gravity: specific gravity 20/20, 0.980 to 1.300.

    Returns:
        A plain fraction. Above 1, or below 0, a reading or the grain bill is wrong.

    Raises:
        OutOfRange: an argument outside its range, or a bill without anything to mash.

    Source: conservation of extract; potential from data/fermentables.toml.

    >>> round(efficiency([("pale malt", quantity(1.2, "kg"))], quantity(5, "litre"),
    ...                  quantity(1.050, "dimensionless")), 2)
    0.7
    """
    bill = _bill(grains)
    if bill.mashed_kg <= 0:
        raise OutOfRange("grains", bill.mashed_kg, "kg", 0, None, "nothing in it to mash")
    return float((extract_mass(volume, gravity).magnitude - bill.dissolved_kg) / bill.mashed_kg)


def absorbed_water(grain_mass: Quantity, squeezed: bool) -> Quantity:
    """Water that stays in the grain when the bag is lifted.

    Args:
        grain_mass: dry grain, 0 kg or more.
        squeezed: whether the bag is squeezed out, or only left to drip.

    Returns:
        litres, the middle of the usual range.

    Raises:
        OutOfRange: a mass that is not one, or below 0.

    Common practice, no source: 0.4 to 0.6 l/kg squeezed, 0.8 to 1.0 l/kg not (data/fermentables.toml).

    >>> round(absorbed_water(quantity(1.2, "kg"), squeezed=True).magnitude, 2)
    0.6
    """
    kg = magnitude(grain_mass, "kg", "grain_mass", 0)
    low, high = read_table("fermentables")["absorption_litre_per_kg"][
        "squeezed" if squeezed else "unsqueezed"
    ]
    return quantity(kg * (low + high) / 2, "litre")


def conversion_efficiency(grains: Grains, mash_water: Quantity, mash_gravity: Quantity) -> float:
    """Share of the malt's extract that the mash has dissolved, from the gravity of the stirred mash liquid.

    Args:
        grains: what is in the mash; sugars are passed over.
        mash_water: all the water in the mash, more than 0 litres at 20 degC.
        mash_gravity: of the liquid between the grains, stirred, cooled or corrected, 0.980 to 1.300.

    Returns:
        A plain fraction. Above 1 a reading or the grain bill is wrong.

    Raises:
        OutOfRange: an argument outside its range, or a bill without anything to mash.

    Source: conservation of water and extract; the malt's own moisture counts as water.

    >>> round(conversion_efficiency([("pale malt", quantity(1.2, "kg"))], quantity(7, "litre"),
    ...                             quantity(1.047, "dimensionless")), 2)
    1.0
    """
    bill = _bill(grains)
    if bill.mashed_kg <= 0:
        raise OutOfRange("grains", bill.mashed_kg, "kg", 0, None, "nothing in it to mash")
    water_kg = magnitude(mash_water, "litre", "mash_water", 0) * WATER_KG_PER_L + bill.moisture_kg
    fraction = fraction_from_gravity(read_gravity(mash_gravity, "mash_gravity"))
    return water_kg * fraction / (1 - fraction) / bill.mashed_kg


def lauter_efficiency(
    grain_mass: Quantity, mash_water: Quantity, squeezed: bool, rinse_water: Quantity = NO_WATER
) -> float:
    """Share of the dissolved extract that leaves the grain, the mash being stirred before the bag is lifted.

    Args:
        grain_mass: dry grain, 0 kg or more.
        mash_water: all the water in the mash, more than the grain absorbs, litres at 20 degC.
        squeezed: as in :func:`absorbed_water`.
        rinse_water: a second water in which the drained bag is stirred and drained again, 0 litres or more.

    Returns:
        A plain fraction, 0 to 1.

    Raises:
        OutOfRange: an argument outside its range, or too little water for the grain.

    Source: conservation of extract, the liquid in the grain being as strong as the rest; the malt's own
    moisture (4 %) is part of that liquid.

    >>> round(lauter_efficiency(quantity(1.2, "kg"), quantity(7, "litre"), squeezed=True), 3)
    0.908
    """
    grain_kg = magnitude(grain_mass, "kg", "grain_mass", 0)
    held_kg = absorbed_water(grain_mass, squeezed).magnitude * WATER_KG_PER_L
    return _drained(
        held_kg,
        grain_kg * MALT_MOISTURE,
        _mash_water_kg(mash_water, held_kg),
        magnitude(rinse_water, "litre", "rinse_water", 0) * WATER_KG_PER_L,
    )


def _mash_water_kg(mash_water: Quantity, held_kg: float) -> float:
    water_l = magnitude(mash_water, "litre", "mash_water", 0)
    held_l = held_kg / WATER_KG_PER_L
    if water_l <= held_l:
        raise OutOfRange("mash_water", water_l, "litre", held_l, None, "the grain would soak up all of it")
    return water_l * WATER_KG_PER_L


def _drained(held_kg: float, moisture_kg: float, water_kg: float, rinse_kg: float) -> float:
    in_grain_kg = held_kg + moisture_kg
    left = in_grain_kg / (water_kg + moisture_kg)
    if rinse_kg > 0:
        left *= in_grain_kg / (in_grain_kg + rinse_kg)
    return 1 - left


def forecast(
    grains: Grains,
    mash_water: Quantity,
    boiled_off: Quantity,
    squeezed: bool,
    rinse_water: Quantity = NO_WATER,
    conversion: float = TYPICAL_CONVERSION,
) -> Forecast:
    """Gravity and volume to expect in the mash, before the boil and after it.

    Args:
        grains: names and masses; sugars and malt extracts are taken to go in during the boil.
        mash_water: all the water in the mash, litres at 20 degC, more than the grain absorbs.
        boiled_off: water that the boil will take, 0 litres or more.
        squeezed: as in :func:`absorbed_water`.
        rinse_water: as in :func:`lauter_efficiency`.
        conversion: share of the potential that the mash dissolves, 0 to 1.

    Returns:
        Volumes in litres at 20 degC, gravities 20/20, and the share of the malt's extract in the pot.

    Raises:
        OutOfRange: an argument outside its range, or a boil that would take nearly all the water.

    Source: conservation of water and extract, ICUMSA SPS-4 (1998).

    >>> plan = forecast([("pale malt", quantity(1.2, "kg"))], quantity(7, "litre"),
    ...                 quantity(1, "litre"), squeezed=True)
    >>> round(plan.pre_boil.volume.magnitude, 1), round(plan.pre_boil.gravity.magnitude, 3)
    (6.9, 1.045)
    >>> round(plan.post_boil.volume.magnitude, 1), round(plan.post_boil.gravity.magnitude, 3)
    (5.9, 1.052)
    """
    bill = _bill(grains)
    grain_mass = quantity(bill.grain_kg, "kg")
    converted = _fraction(conversion, "conversion")
    held_kg = absorbed_water(grain_mass, squeezed).magnitude * WATER_KG_PER_L
    mash_water_kg = _mash_water_kg(mash_water, held_kg)
    rinse_kg = magnitude(rinse_water, "litre", "rinse_water", 0) * WATER_KG_PER_L
    drained = _drained(held_kg, bill.moisture_kg, mash_water_kg, rinse_kg)
    steam_kg = magnitude(boiled_off, "litre", "boiled_off", 0) * WATER_KG_PER_L

    dissolved_kg = bill.mashed_kg * converted
    pot_kg = dissolved_kg * drained
    pot_water_kg = mash_water_kg + rinse_kg - held_kg
    boiled_kg = pot_kg + bill.dissolved_kg
    boiled_water_kg = pot_water_kg - steam_kg
    if boiled_water_kg <= 0.5 * boiled_kg or boiled_water_kg <= 0:
        raise OutOfRange("boiled_off", steam_kg / WATER_KG_PER_L, "litre", 0, None, "leaves too little water")
    mash_kg = dissolved_kg + mash_water_kg + bill.moisture_kg
    return Forecast(
        quantity(gravity_from_fraction(dissolved_kg / mash_kg), "dimensionless"),
        _wort(pot_kg, pot_water_kg),
        _wort(boiled_kg, boiled_water_kg),
        converted * drained,
    )


def _wort(extract_kg: float, water_kg: float) -> Wort:
    fraction = extract_kg / (extract_kg + water_kg)
    volume_l = (extract_kg + water_kg) / density_kg_m3(fraction) * 1000
    return Wort(quantity(volume_l, "litre"), quantity(gravity_from_fraction(fraction), "dimensionless"))
