"""Standard uncertainty of a result, from the standard uncertainties of what went into it.

First-order propagation after the GUM, by central differences over any function of quantities. The
`uncertainties` library does the same sum by carrying its own number type through every formula; our
formulas iterate, compare and fit, and read floats at the door, so they would need rewriting for that type.
A difference over plus and minus one standard uncertainty needs no change to any formula, and the GUM gives
it as an equal way (JCGM 100:2008, 5.1.3 note 2). The tests check it against that library.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cache
from typing import NamedTuple

from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity


class Measured(NamedTuple):
    """A quantity and its standard uncertainty: one standard deviation, same dimension, not negative.

    The uncertainty of a temperature is a difference, in kelvin or delta_degC.
    """

    value: Quantity
    uncertainty: Quantity


@cache
def _difference_unit(unit: str) -> str:
    """Unit of a difference of two quantities: degC becomes delta_degC, most stay as they are."""
    one = quantity(1.0, unit)
    return str((one - one).units)


def _effect(
    function: Callable[..., Quantity], values: dict[str, Quantity], name: str, u: float, unit: str
) -> float:
    """Change of the result, in ``unit``, for one standard uncertainty of one argument."""

    def at(offset: float) -> float:
        moved = quantity(values[name].magnitude + offset, str(values[name].units))
        return float(function(**{**values, name: moved}).m_as(unit))

    # At the edge of a formula's range one side is refused, and the other alone has to do.
    try:
        upper = at(u)
    except OutOfRange:
        return at(0.0) - at(-u)
    try:
        return (upper - at(-u)) / 2
    except OutOfRange:
        return upper - at(0.0)


def contributions(
    function: Callable[..., Quantity], inputs: Mapping[str, Measured | Quantity]
) -> dict[str, Quantity]:
    """How much of the result's uncertainty each input brings, with its sign.

    Args:
        function: any function that takes quantities by keyword and returns a quantity.
        inputs: its arguments by name; a plain quantity counts as exact.

    Returns:
        For each measured input the change of the result for one standard uncertainty of that input.

    Raises:
        OutOfRange: an uncertainty is negative or has another dimension than its value, or the function
            refuses a value.

    Source: JCGM 100:2008 (GUM), 5.1.3 note 2.

    >>> side = Measured(quantity(3.0, "cm"), quantity(1.0, "mm"))
    >>> parts = contributions(lambda a, b: a * b, {"a": side, "b": quantity(2.0, "cm")})
    >>> {name: round(part.m_as("cm**2"), 3) for name, part in parts.items()}
    {'a': 0.2}
    """
    values = {name: given.value if isinstance(given, Measured) else given for name, given in inputs.items()}
    unit = str(function(**values).units)
    result_unit = _difference_unit(unit)
    parts: dict[str, Quantity] = {}
    for name, given in inputs.items():
        if isinstance(given, Measured):
            u = magnitude(given.uncertainty, _difference_unit(str(given.value.units)), name, 0)
            parts[name] = quantity(_effect(function, values, name, u, unit), result_unit)
    return parts


def propagate(
    function: Callable[..., Quantity],
    inputs: Mapping[str, Measured | Quantity],
    correlations: Mapping[tuple[str, str], float] | None = None,
) -> Measured:
    """Value of a function of measured quantities, with its standard uncertainty.

    Args:
        function: any function that takes quantities by keyword and returns a quantity.
        inputs: its arguments by name; a plain quantity counts as exact.
        correlations: correlation coefficient, -1 to 1, for pairs of input names; others are independent.

    Raises:
        OutOfRange: an uncertainty is negative or has another dimension than its value, a correlation is
            outside its range or names no measured input, or the function refuses a value.

    Source: JCGM 100:2008 (GUM), equations 10, 13 and 16. First order: good while the function is nearly
    straight over one standard uncertainty.

    >>> volume = propagate(lambda depth, area: depth * area, {
    ...     "depth": Measured(quantity(20.0, "cm"), quantity(0.2, "cm")),
    ...     "area": Measured(quantity(500.0, "cm**2"), quantity(10.0, "cm**2")),
    ... })
    >>> round(volume.value.m_as("litre"), 2), round(volume.uncertainty.m_as("litre"), 2)
    (10.0, 0.22)
    """
    parts = contributions(function, inputs)
    value = function(
        **{name: given.value if isinstance(given, Measured) else given for name, given in inputs.items()}
    )
    unit = _difference_unit(str(value.units))
    effects = {name: float(part.m_as(unit)) for name, part in parts.items()}
    variance = sum(effect**2 for effect in effects.values())
    for (first, second), coefficient in (correlations or {}).items():
        if first not in effects or second not in effects or not -1 <= coefficient <= 1:
            raise OutOfRange("correlations", coefficient, "dimensionless", -1, 1)
        variance += 2 * coefficient * effects[first] * effects[second]
    # Rounding can leave a tiny negative sum where full correlation cancels two effects.
    return Measured(value, quantity(math.sqrt(max(variance, 0.0)), unit))


def rounded(result: Measured) -> Measured:
    """The same result without the digits that mean nothing.

    Keeps one digit of the uncertainty, two where the first would be 1, and cuts the value at that place.

    Raises:
        OutOfRange: the uncertainty is negative or has another dimension than the value.

    Source: JCGM 100:2008 (GUM), 7.2.6, which asks for at most two digits; one is common practice.

    >>> result = rounded(Measured(quantity(1.05234, "dimensionless"), quantity(0.00213, "dimensionless")))
    >>> result.value.magnitude, result.uncertainty.magnitude
    (1.052, 0.002)
    """
    unit = str(result.value.units)
    u = magnitude(result.uncertainty, _difference_unit(unit), "uncertainty", 0)
    if u == 0:
        return result
    place = -math.floor(math.log10(u))
    if round(u * 10.0**place, 1) < 2:
        place += 1
    return Measured(
        quantity(round(float(result.value.magnitude), place), unit),
        quantity(round(u, place), _difference_unit(unit)),
    )
