"""Density of water and wort, specific gravity, degrees Plato and Brix, and volumes hot and cold.

Specific gravity is 20/20 (wort and water both at 20 degC) unless a function says otherwise. Degrees Plato
and degrees Brix both count grams of extract (sugar) in 100 g of solution, so one unit, ``degree_plato``,
serves for both; what an instrument in Brix makes of wort is the business of :mod:`calc.refractometer`.
"""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.sucrose import (
    WATER_20_KG_M3,
    density_kg_m3,
    fraction_from_density,
    fraction_from_gravity,
    gravity_from_fraction,
    water_density_kg_m3,
)
from calc.units import Quantity, magnitude, quantity

GRAVITY_LOW, GRAVITY_HIGH = 0.980, 1.300
"""Specific gravities that calc works with: from the driest beer to a syrup of about 60 degrees Plato."""

PLATO_LOW, PLATO_HIGH = -6.0, 65.0
"""Degrees Plato that calc works with; negative only as apparent extract of beer lighter than water."""

CONCENTRATION_HIGH_KG_M3 = GRAVITY_HIGH * WATER_20_KG_M3 * fraction_from_gravity(GRAVITY_HIGH)
"""Extract in a cubic metre at the highest gravity that calc works with."""

TWENTY_C = quantity(20.0, "degC")
PURE_WATER = quantity(1.0, "dimensionless")

REFERENCES: dict[str, tuple[float, float]] = {
    "20/20": (20.0, 20.0),
    "60/60": (15.0 + 5.0 / 9.0, 15.0 + 5.0 / 9.0),
    "15/15": (15.0, 15.0),
    "20/4": (20.0, 4.0),
}
"""Reference temperatures of specific gravity, degC, of liquid and water; "60/60" is named in degF."""


def read_gravity(gravity: Quantity, argument: str = "gravity") -> float:
    """Read a specific gravity 20/20 as a float, at the door of every formula that takes one.

    Raises:
        OutOfRange: not dimensionless, or outside 0.980 to 1.300.

    >>> read_gravity(quantity(1.050, "dimensionless"))
    1.05
    """
    return magnitude(gravity, "dimensionless", argument, GRAVITY_LOW, GRAVITY_HIGH)


def water_density(temperature: Quantity) -> Quantity:
    """Density of air-free water at 1 atm.

    Args:
        temperature: 0 to 100 degC.

    Returns:
        kg/m3, within 0.02 of the standard for water everywhere in the range.

    Raises:
        OutOfRange: temperature outside 0 to 100 degC.

    Source: Kell, J. Chem. Eng. Data 20 (1975) 97, with the coefficients of ICUMSA SPS-4 (1998).

    >>> round(water_density(quantity(20, "degC")).magnitude, 2)
    998.2
    """
    return quantity(water_density_kg_m3(magnitude(temperature, "degC", "temperature", 0, 100)), "kg/m**3")


def wort_density(extract: Quantity, temperature: Quantity = TWENTY_C) -> Quantity:
    """Density of wort, as a sucrose solution of the same extract.

    Args:
        extract: -6 to 65 degrees Plato.
        temperature: 0 to 100 degC; above 80 degC the sugar's part is extrapolated.

    Returns:
        kg/m3.

    Raises:
        OutOfRange: an argument outside its range.

    Source: ICUMSA SPS-4 (1998).

    >>> round(wort_density(quantity(10, "degree_plato")).magnitude, 1)
    1038.1
    """
    fraction = magnitude(extract, "degree_plato", "extract", PLATO_LOW, PLATO_HIGH) / 100
    return quantity(density_kg_m3(fraction, magnitude(temperature, "degC", "temperature", 0, 100)), "kg/m**3")


def plato_from_gravity(gravity: Quantity) -> Quantity:
    """Degrees Plato (or Brix of a sugar solution) from specific gravity 20/20.

    Args:
        gravity: 0.980 to 1.300, dimensionless.

    Returns:
        Degrees Plato; negative below 1.000.

    Raises:
        OutOfRange: gravity outside its range.

    Source: numeric inverse of the sucrose density of ICUMSA SPS-4 (1998).

    >>> round(plato_from_gravity(quantity(1.048, "dimensionless")).magnitude, 2)
    11.92
    """
    sg = read_gravity(gravity)
    return quantity(100 * fraction_from_gravity(sg), "degree_plato")


def gravity_from_plato(extract: Quantity) -> Quantity:
    """Specific gravity 20/20 from degrees Plato (or Brix of a sugar solution).

    Args:
        extract: -6 to 65 degrees Plato.

    Raises:
        OutOfRange: extract outside its range.

    Source: ICUMSA SPS-4 (1998).

    >>> round(gravity_from_plato(quantity(12, "degree_plato")).magnitude, 4)
    1.0483
    """
    fraction = magnitude(extract, "degree_plato", "extract", PLATO_LOW, PLATO_HIGH) / 100
    return quantity(gravity_from_fraction(fraction), "dimensionless")


def _reference(name: str) -> tuple[float, float]:
    try:
        return REFERENCES[name]
    except KeyError:
        raise OutOfRange(
            "reference", None, "dimensionless", reason=f"must be one of {', '.join(REFERENCES)}"
        ) from None


def gravity_at_reference(gravity: Quantity, reference: str) -> Quantity:
    """The same wort's specific gravity on another scale.

    Args:
        gravity: specific gravity 20/20, 0.980 to 1.300.
        reference: "20/20", "60/60" (degF), "15/15" or "20/4".

    Raises:
        OutOfRange: gravity outside its range, or a reference that is not listed.

    Source: ICUMSA SPS-4 (1998) for wort and water at both temperatures.

    >>> round(gravity_at_reference(quantity(1.050, "dimensionless"), "20/4").magnitude, 4)
    1.0481
    """
    liquid_c, water_c = _reference(reference)
    sg = read_gravity(gravity)
    ratio = density_kg_m3(fraction_from_gravity(sg), liquid_c) / water_density_kg_m3(water_c)
    return quantity(ratio, "dimensionless")


def gravity_from_reference(gravity: Quantity, reference: str) -> Quantity:
    """Specific gravity 20/20 of a wort whose gravity was stated on another scale.

    Args:
        gravity: 0.975 to 1.300 on the scale named.
        reference: "20/20", "60/60" (degF), "15/15" or "20/4".

    Raises:
        OutOfRange: gravity outside its range, or a reference that is not listed.

    Source: numeric inverse of :func:`gravity_at_reference`.

    >>> round(gravity_from_reference(quantity(1.0481, "dimensionless"), "20/4").magnitude, 4)
    1.05
    """
    liquid_c, water_c = _reference(reference)
    sg = magnitude(gravity, "dimensionless", "gravity", 0.975, GRAVITY_HIGH)
    fraction = fraction_from_density(sg * water_density_kg_m3(water_c), liquid_c)
    return quantity(gravity_from_fraction(fraction), "dimensionless")


def extract_mass(volume: Quantity, gravity: Quantity) -> Quantity:
    """Mass of extract dissolved in a volume of wort.

    Args:
        volume: at 20 degC, 0 litres or more.
        gravity: specific gravity 20/20, 0.980 to 1.300.

    Returns:
        kg; negative below 1.000, where the extract is apparent only.

    Raises:
        OutOfRange: an argument outside its range.

    Source: definition of degrees Plato; density of ICUMSA SPS-4 (1998).

    >>> round(extract_mass(quantity(5, "litre"), quantity(1.050, "dimensionless")).magnitude, 3)
    0.65
    """
    volume_m3 = magnitude(volume, "m**3", "volume", 0)
    sg = read_gravity(gravity)
    return quantity(volume_m3 * sg * WATER_20_KG_M3 * fraction_from_gravity(sg), "kg")


def cold_volume(
    hot_volume: Quantity,
    temperature: Quantity,
    to: Quantity = TWENTY_C,
    gravity: Quantity = PURE_WATER,
) -> Quantity:
    """Volume of the same wort at another temperature; nothing is boiled off or added.

    Args:
        hot_volume: 0 litres or more, as read in the pot.
        temperature: at which it was read, 0 to 100 degC.
        to: temperature of the result, 0 to 100 degC.
        gravity: specific gravity 20/20, 0.980 to 1.300; the sugar changes the result by at most 0.3 %
            for ordinary wort, so water's expansion is the default.

    Returns:
        litres at ``to``.

    Raises:
        OutOfRange: an argument outside its range.

    Source: ICUMSA SPS-4 (1998), conservation of mass. The pot's own expansion (under 0.2 %) is left out.

    >>> round(cold_volume(quantity(6, "litre"), quantity(100, "degC")).magnitude, 2)
    5.76
    """
    volume_l = magnitude(hot_volume, "litre", "hot_volume", 0)
    from_c = magnitude(temperature, "degC", "temperature", 0, 100)
    to_c = magnitude(to, "degC", "to", 0, 100)
    fraction = fraction_from_gravity(read_gravity(gravity))
    return quantity(volume_l * density_kg_m3(fraction, from_c) / density_kg_m3(fraction, to_c), "litre")
