"""Mixing, topping up, boiling down and sweetening wort, by the mass of extract and of water.

Volumes are at 20 degC (:func:`calc.density.cold_volume` takes a hot one there). Extract and water are
conserved; volumes are not quite, so "points times volume" is only nearly right: see :func:`points_error`.

Source of every balance here: conservation of mass, with the density of ICUMSA SPS-4 (1998).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from calc.density import CONCENTRATION_HIGH_KG_M3, GRAVITY_HIGH, PURE_WATER, read_gravity
from calc.errors import OutOfRange
from calc.sucrose import (
    WATER_20_KG_M3,
    density_kg_m3,
    fraction_from_concentration,
    fraction_from_gravity,
    gravity_from_fraction,
)
from calc.units import Quantity, magnitude, quantity

WATER_KG_PER_L = WATER_20_KG_M3 / 1000


class Wort(NamedTuple):
    """A volume of wort at 20 degC (litres) and its specific gravity 20/20."""

    volume: Quantity
    gravity: Quantity


class Additions(NamedTuple):
    """What to put in: water (litres, negative = boil off) and sugar or malt extract (grams)."""

    water: Quantity
    sugar: Quantity


class _Masses(NamedTuple):
    """Mass of extract and of the whole wort."""

    extract_kg: float
    total_kg: float


def _masses(volume: Quantity, gravity: Quantity, volume_name: str, gravity_name: str) -> _Masses:
    volume_l = magnitude(volume, "litre", volume_name, 0)
    sg = read_gravity(gravity, gravity_name)
    total_kg = volume_l * sg * WATER_KG_PER_L
    return _Masses(total_kg * fraction_from_gravity(sg), total_kg)


def _wort(masses: _Masses) -> Wort:
    fraction = masses.extract_kg / masses.total_kg
    volume_l = masses.total_kg / density_kg_m3(fraction) * 1000
    return Wort(quantity(volume_l, "litre"), quantity(gravity_from_fraction(fraction), "dimensionless"))


def _positive(value: Quantity, argument: str) -> float:
    litres = magnitude(value, "litre", argument, 0)
    if litres == 0:
        raise OutOfRange(argument, 0.0, "litre", 0, None, "must be more than nothing")
    return litres


def water_to_reach_volume(
    volume: Quantity, target_volume: Quantity, gravity: Quantity = PURE_WATER
) -> Quantity:
    """Water to add so that the wort reaches a volume.

    Args:
        volume: now, 0 litres or more at 20 degC.
        target_volume: wanted, 0 litres or more at 20 degC.
        gravity: of the wort now, 0.980 to 1.300; it changes the answer by about 0.1 % at most.

    Returns:
        litres at 20 degC; negative when the wort stands above the target, as water to boil off.

    Raises:
        OutOfRange: an argument outside its range.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> round(water_to_reach_volume(quantity(5, "litre"), quantity(6.5, "litre")).magnitude, 3)
    1.5
    """
    target_l = magnitude(target_volume, "litre", "target_volume", 0)
    now = _masses(volume, gravity, "volume", "gravity")
    if target_l == 0:
        return quantity(-magnitude(volume, "litre", "volume"), "litre")
    fraction = _fraction_in(now.extract_kg, target_l, "target_volume")
    return quantity((density_kg_m3(fraction) * target_l / 1000 - now.total_kg) / WATER_KG_PER_L, "litre")


def _fraction_in(extract_kg: float, volume_l: float, argument: str) -> float:
    """Mass fraction of extract once so much of it sits in this volume."""
    concentration = extract_kg / volume_l * 1000
    if concentration > CONCENTRATION_HIGH_KG_M3:
        raise OutOfRange(
            argument, volume_l, "litre", None, None, f"would take the wort past gravity {GRAVITY_HIGH}"
        )
    return fraction_from_concentration(concentration)


def gravity_after_dilution(volume: Quantity, gravity: Quantity, added_water: Quantity) -> Quantity:
    """Specific gravity 20/20 after topping up with water.

    Args:
        volume: of the wort, more than 0 litres at 20 degC.
        gravity: of the wort, 0.980 to 1.300.
        added_water: 0 litres or more at 20 degC.

    Raises:
        OutOfRange: an argument outside its range.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> wort = quantity(5, "litre"), quantity(1.060, "dimensionless")
    >>> round(gravity_after_dilution(*wort, quantity(1, "litre")).magnitude, 4)
    1.0501
    """
    _positive(volume, "volume")
    now = _masses(volume, gravity, "volume", "gravity")
    water_kg = magnitude(added_water, "litre", "added_water", 0) * WATER_KG_PER_L
    return _wort(_Masses(now.extract_kg, now.total_kg + water_kg)).gravity


def water_to_reach_gravity(volume: Quantity, gravity: Quantity, target_gravity: Quantity) -> Quantity:
    """Water to add, or to boil off, so that the wort reaches a gravity.

    Args:
        volume: of the wort, 0 litres or more at 20 degC.
        gravity: of the wort, above 1.000 to 1.300.
        target_gravity: wanted, above 1.000 to 1.300.

    Returns:
        litres at 20 degC: positive to add, negative to boil off.

    Raises:
        OutOfRange: an argument outside its range; either gravity is not above that of water.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> wort = quantity(5, "litre"), quantity(1.060, "dimensionless")
    >>> round(water_to_reach_gravity(*wort, quantity(1.050, "dimensionless")).magnitude, 2)
    1.01
    """
    now = _masses(volume, gravity, "volume", "gravity")
    for argument, given in (("gravity", gravity), ("target_gravity", target_gravity)):
        sg = read_gravity(given, argument)
        if sg <= 1:
            raise OutOfRange(argument, sg, "dimensionless", 1.0, GRAVITY_HIGH, "must be above water's")
    fraction = fraction_from_gravity(read_gravity(target_gravity))
    return quantity((now.extract_kg / fraction - now.total_kg) / WATER_KG_PER_L, "litre")


def gravity_after_boiling_down(volume: Quantity, gravity: Quantity, final_volume: Quantity) -> Quantity:
    """Specific gravity 20/20 once water has boiled off down to a volume; the extract stays.

    Args:
        volume: before, 0 litres or more at 20 degC.
        gravity: before, 0.980 to 1.300.
        final_volume: after, more than 0 litres at 20 degC; above ``volume`` it means topping up.

    Raises:
        OutOfRange: an argument outside its range, or the result would pass 1.300.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> wort = quantity(6, "litre"), quantity(1.040, "dimensionless")
    >>> round(gravity_after_boiling_down(*wort, quantity(5, "litre")).magnitude, 4)
    1.048
    """
    final_l = _positive(final_volume, "final_volume")
    now = _masses(volume, gravity, "volume", "gravity")
    fraction = _fraction_in(now.extract_kg, final_l, "final_volume")
    return quantity(gravity_from_fraction(fraction), "dimensionless")


def sugar_to_reach_gravity(
    volume: Quantity,
    gravity: Quantity,
    target_gravity: Quantity,
    extract_fraction: Quantity | float = 1.0,
) -> Quantity:
    """Sugar or malt extract to dissolve in the wort so that it reaches a gravity; the volume grows a little.

    Args:
        volume: of the wort, 0 litres or more at 20 degC.
        gravity: of the wort, 0.980 to 1.300.
        target_gravity: wanted, at least ``gravity``, up to 1.300.
        extract_fraction: extract in a gram of what is added, 0.1 to 1, the rest counted as water: 1 for
            table sugar, about 0.96 for dried and 0.79 for liquid malt extract.

    Returns:
        grams of what is added.

    Raises:
        OutOfRange: an argument outside its range, a target below the gravity, or a target that this
            sugar is too watery to reach.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> wort = quantity(5, "litre"), quantity(1.045, "dimensionless")
    >>> round(sugar_to_reach_gravity(*wort, quantity(1.050, "dimensionless")).magnitude)
    71
    """
    now = _masses(volume, gravity, "volume", "gravity")
    low = read_gravity(gravity)
    sg = magnitude(target_gravity, "dimensionless", "target_gravity", low, GRAVITY_HIGH)
    strength = _strength(extract_fraction)
    fraction = fraction_from_gravity(sg)
    if fraction >= strength:
        raise OutOfRange("extract_fraction", strength, "dimensionless", fraction, 1, "too watery to reach it")
    return quantity(1000 * (fraction * now.total_kg - now.extract_kg) / (strength - fraction), "gram")


def _strength(extract_fraction: Quantity | float) -> float:
    given = (
        quantity(extract_fraction, "dimensionless")
        if isinstance(extract_fraction, int | float)
        else extract_fraction
    )
    return magnitude(given, "dimensionless", "extract_fraction", 0.1, 1)


def additions_to_reach(
    volume: Quantity,
    gravity: Quantity,
    target_volume: Quantity,
    target_gravity: Quantity,
    extract_fraction: Quantity | float = 1.0,
) -> Additions:
    """Water and sugar (or malt extract) that bring the wort to a volume and a gravity, both at once.

    Args:
        volume: of the wort, 0 litres or more at 20 degC.
        gravity: of the wort, 0.980 to 1.300.
        target_volume: wanted, 0 litres or more at 20 degC.
        target_gravity: wanted, 0.980 to 1.300.
        extract_fraction: extract in a gram of what is added, 0.1 to 1.

    Returns:
        Litres of water at 20 degC, negative to boil off, and grams of what is added, 0 or more.

    Raises:
        OutOfRange: an argument outside its range, or the wort already holds more extract than the target.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> additions = additions_to_reach(
    ...     quantity(4.5, "litre"), quantity(1.045, "dimensionless"),
    ...     quantity(5, "litre"), quantity(1.048, "dimensionless"))
    >>> round(additions.water.magnitude, 2), round(additions.sugar.magnitude)
    (0.44, 98)
    """
    now = _masses(volume, gravity, "volume", "gravity")
    wanted = _masses(target_volume, target_gravity, "target_volume", "target_gravity")
    missing_kg = wanted.extract_kg - now.extract_kg
    # A wort that already matches must not fail over the last bit of a float.
    if missing_kg < -1e-9 * max(1.0, now.extract_kg):
        raise OutOfRange(
            "target_gravity",
            read_gravity(target_gravity),
            "dimensionless",
            reason="the wort already holds more extract than that",
        )
    sugar_kg = max(missing_kg, 0.0) / _strength(extract_fraction)
    water_kg = wanted.total_kg - now.total_kg - sugar_kg
    return Additions(quantity(water_kg / WATER_KG_PER_L, "litre"), quantity(1000 * sugar_kg, "gram"))


def mix(parts: Sequence[tuple[Quantity, Quantity]]) -> Wort:
    """Volume and gravity of several worts (or water, at gravity 1) poured together.

    Args:
        parts: pairs of volume (0 litres or more at 20 degC) and specific gravity 20/20 (0.980 to 1.300),
            with more than 0 litres in all.

    Raises:
        OutOfRange: a volume or gravity outside its range, or nothing to mix.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> mixed = mix([(quantity(3, "litre"), quantity(1.060, "dimensionless")),
    ...              (quantity(2, "litre"), quantity(1.030, "dimensionless"))])
    >>> round(mixed.volume.magnitude, 2), round(mixed.gravity.magnitude, 4)
    (5.0, 1.048)
    """
    masses = [_masses(volume, gravity, "parts", "parts") for volume, gravity in parts]
    total = _Masses(sum(m.extract_kg for m in masses), sum(m.total_kg for m in masses))
    if total.total_kg <= 0:
        raise OutOfRange("parts", total.total_kg, "kg", 0, None, "nothing to mix")
    return _wort(total)


def points_error(volume: Quantity, gravity: Quantity, final_volume: Quantity) -> Quantity:
    """How far "gravity points times volume stay the same" is off when the volume changes by water alone.

    Args:
        volume: before, 0 litres or more at 20 degC.
        gravity: before, 0.980 to 1.300.
        final_volume: after, more than 0 litres at 20 degC.

    Returns:
        Gravity by points less gravity by mass, dimensionless: negative after topping up, positive after
        boiling down.

    Raises:
        OutOfRange: an argument outside its range.

    Source: conservation of mass, ICUMSA SPS-4 (1998).

    >>> wort = quantity(3, "litre"), quantity(1.080, "dimensionless")
    >>> round(points_error(*wort, quantity(6, "litre")).magnitude, 5)
    -0.00015
    """
    volume_l = magnitude(volume, "litre", "volume", 0)
    by_mass = gravity_after_boiling_down(volume, gravity, final_volume).magnitude
    by_points = 1 + (read_gravity(gravity) - 1) * volume_l / _positive(final_volume, "final_volume")
    return quantity(by_points - by_mass, "dimensionless")
