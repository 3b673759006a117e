"""Two amounts compared, and a temperature that may be in either scale."""

from __future__ import annotations

from calc.units import quantity
from conversations.recipe.mark import Mark


def same_amount(one: Mark, other: Mark) -> bool:
    """Whether two masses are one amount in two units, within what people round to."""
    if one.unit == other.unit:
        return False
    first, second = (float(quantity(mark.value, mark.unit).to("gram").magnitude) for mark in (one, other))
    return abs(first - second) < 0.06 * max(first, second)


def celsius(mark: Mark) -> float:
    """Degrees Celsius of a temperature as written; above 110 it cannot be meant so and is Fahrenheit."""
    if mark.unit == "degF" or (mark.unit != "degC" and mark.value > 100) or mark.value > 110:
        return (mark.value - 32) / 1.8
    return mark.value
