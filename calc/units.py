"""The one pint registry of the project, and the door between quantities and floats.

Every module of calc reads its arguments with :func:`magnitude` and builds its results with
:func:`quantity`, so that formulas run on floats and units are checked once, at the door.
"""

from __future__ import annotations

import math
from functools import lru_cache
from importlib.resources import as_file, files
from typing import Any, TypeAlias

import pint

from calc.errors import OutOfRange

with as_file(files("calc").joinpath("data", "units.txt")) as _definitions:
    ureg: pint.UnitRegistry[Any] = pint.UnitRegistry(_definitions, autoconvert_offset_to_baseunit=False)
"""The only registry in the process: quantities of two registries cannot be compared or added.

It reads our own short list of units: pint's full list takes about six times as long to load.
"""

pint.set_application_registry(ureg)  # type: ignore[no-untyped-call]

Quantity: TypeAlias = "pint.Quantity[Any]"
"""Type of every public argument and result that has a unit (dimensionless for specific gravity)."""


@lru_cache(maxsize=1024)
def _affine(units: Any, unit: str) -> tuple[float, float]:
    """Slope and offset that take a number in ``units`` to ``unit``: pint does it once per pair."""
    zero = ureg.Quantity(0.0, units).to(unit).magnitude
    # A long step keeps the digits that the offset of a temperature scale would otherwise cancel.
    far = ureg.Quantity(1e6, units).to(unit).magnitude
    return (far - zero) / 1e6, zero


@lru_cache(maxsize=256)
def _unit(unit: str) -> Any:
    """Parsing a unit's name is the slow part of building a quantity; the names are few."""
    return ureg.Unit(unit)


def quantity(value: float, unit: str) -> Quantity:
    """Build a quantity from a float and a pint unit name, with the project's registry.

    >>> print(quantity(67.0, "degC"))
    67.0 degree_Celsius
    """
    return ureg.Quantity(value, _unit(unit))


def magnitude(
    value: Quantity,
    unit: str,
    argument: str,
    low: float | None = None,
    high: float | None = None,
) -> float:
    """Read a quantity as a float in ``unit`` and check its range; the door into every formula.

    Args:
        value: a quantity of any unit that converts to ``unit``. A bare number is accepted only where
            ``unit`` is dimensionless (specific gravity and fractions are plain numbers).
        unit: pint name of the wanted unit.
        argument: the name to put in the error.
        low: smallest accepted value in ``unit``.
        high: largest accepted value in ``unit``.

    Raises:
        OutOfRange: wrong dimension, not finite, or outside ``low`` to ``high``.

    >>> magnitude(quantity(152.0, "degF"), "degC", "mash_temperature", 0, 100)
    66.66666...
    """
    if isinstance(value, pint.Quantity):
        try:
            slope, offset = _affine(value.units, unit)
            number = float(value.magnitude) * slope + offset
        except (pint.PintError, TypeError, ValueError) as error:
            raise OutOfRange(argument, None, unit, low, high, f"cannot be read in {unit}") from error
    elif unit == "dimensionless" and isinstance(value, int | float):
        number = float(value)
    else:
        raise OutOfRange(argument, None, unit, low, high, f"needs a quantity in {unit}")
    if not math.isfinite(number):
        raise OutOfRange(argument, number, unit, low, high, "is not a finite number")
    if (low is not None and number < low) or (high is not None and number > high):
        raise OutOfRange(argument, number, unit, low, high)
    return number
