"""Numbers on axes, in the person's units."""

from __future__ import annotations

from calc.units import Quantity
from conversations.intents import UnitSystem


def degrees(value: Quantity, units: UnitSystem) -> float:
    """A temperature as a number on the axis."""
    return float(value.to("degC" if units == "metric" else "degF").magnitude)


def degree_sign(units: UnitSystem) -> str:
    """The unit that goes with it."""
    return "°C" if units == "metric" else "°F"


def gravity(value: Quantity) -> float:
    """A specific gravity as a number on the axis."""
    return float(value.to("dimensionless").magnitude)
