"""The figure of a question that was read without it: "what percent does 1.010 make" asks for the strength at that gravity.

Taken only where the message asks one thing, has that one figure and no other, and the figure is of the kind that the question takes.
"""

from __future__ import annotations

from typing import Any

from conversations.intents import Context, Intent, Measured, Understanding
from conversations.understanding.bare_figures import gravity_shape
from conversations.understanding.quantities import KINDS
from conversations.understanding.rows import row_of
from conversations.understanding.words import Item

_TAKES = {
    "ask.strike": ("temperature", "temperature", 50.0, 80.0),
    "ask.priming": ("volume", "volume", 0.2, 100.0),
    "ask.yeast": ("volume", "volume", 0.5, 100.0),
    "ask.alcohol": ("gravity", "final", 0.99, 1.04),
    "ask.boil_down": ("volume", "volume", 0.5, 100.0),
    "ask.water_to_volume": ("volume", "volume", 0.5, 100.0),
    "ask.water_to_gravity": ("gravity", "gravity", 1.02, 1.12),
    "ask.depth_to_volume": ("length", "depth", 0.5, 60.0),
}
"""What a question takes: the kind of the figure, its slot, and between what (in degrees, litres or centimetres) it is meant so."""
_SCALES = {"temperature": "degC", "volume": "litre", "length": "centimetre"}


def _measured(item: Item, kind: str) -> Measured | None:
    if kind == "gravity":
        shape = gravity_shape(item)
        return None if shape is None else Measured(value=shape, unit="dimensionless")
    if item.kind == "num" and kind == "temperature" and not item.fraction:
        return Measured(value=item.value, unit="degC")
    return Measured(value=item.value, unit=item.unit) if item.kind == "qty" and KINDS.get(item.unit) == kind else None


def with_its_figure(found: Understanding, context: Context) -> Understanding:
    """What was read, with the figure that its one question was read without."""
    if len(found.intents) != 1 or found.intents[0].name not in _TAKES or found.intents[0].slots:
        return found
    kind, key, least, most = _TAKES[found.intents[0].name]
    figures = [item for item in row_of(found.text, context)[0] if item.kind in ("num", "qty", "dur", "clock") and item.said not in ("one", "a", "an")]
    measured = _measured(figures[0], kind) if len(figures) == 1 else None
    if measured is None or not least <= (measured.value if kind == "gravity" else measured.in_unit(_SCALES[kind])) <= most:
        return found
    slots: dict[str, Any] = {key: measured}
    asked: Intent = found.intents[0].model_copy(update={"slots": slots})
    return found.model_copy(update={"intents": (asked,)})
