"""What a bare figure stands for: a gravity in its short forms, and the unit that the person's setting gives."""

from __future__ import annotations

from calc.density import gravity_from_plato
from calc.errors import OutOfRange
from calc.units import quantity
from conversations.intents import Context
from conversations.understanding.words import Item


def default_unit(kind: str, context: Context) -> str:
    """The unit of a bare number of that kind, by the person's setting."""
    old = context.units != "metric"
    return {
        "temperature": "degF" if old else "degC",
        "volume": {"us": "gallon", "imperial": "imperial_gallon"}.get(context.units, "litre"),
        "depth": "inch" if old else "centimetre",
        "diameter": "inch" if old else "centimetre",
        "mass": "ounce" if old else "gram",
    }[kind]


def gravity_shape(item: Item) -> float | None:
    """Specific gravity where the figure can hardly be anything else (1.050, 1050); None otherwise."""
    if item.kind == "num" and not item.fraction:
        if 0.95 <= item.value < 1.3 and item.value != 1.0:
            return item.value
        if 980 <= item.value <= 1200:
            return item.value / 1000
        if item.raw in ("1.000", "1,000", "1.00"):
            return 1.0
    return None


def gravity_value(item: Item) -> float | None:
    """Specific gravity of a figure said of a gravity, short forms included: 1057, 10.57, 57, 12 plato."""
    if item.kind == "qty" and item.unit == "degree_plato":
        try:
            return round(float(gravity_from_plato(quantity(item.value, "degree_plato")).magnitude), 5)
        except OutOfRange:
            return None
    if item.kind != "num" or item.value <= 0:
        return None
    if item.value < 2:
        return item.value
    if 9.8 <= item.value < 12 and item.value != int(item.value):
        return round(item.value / 10, 5)
    if 900 <= item.value < 2000:
        return item.value / 1000
    if 2 <= item.value <= 150 and item.value == int(item.value):
        return 1 + item.value / 1000
    return item.value
