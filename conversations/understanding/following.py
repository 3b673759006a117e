"""Messages that go back to what was said last: "same again", "double that", "and at 20 degrees?", "it's now 66"."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from conversations.intents import Context, Intent, Measured
from conversations.understanding.quantities import KINDS, SECONDS
from conversations.understanding.slots import default_unit, gravity_shape, gravity_value
from conversations.understanding.words import Item

ReadBare = Callable[[Item], Intent | None]
"""How a number or quantity alone is read in the present stage."""

_OF_SLOT = {"rate": "rate", "depth": "length", "diameter": "length", "alpha": "percent"}
_MAIN = ("gravity", "temperature", "volume", "depth", "mass", "duration_s")


def resolve(name: str, slots: dict[str, Any], context: Context, read_bare: ReadBare) -> Intent | None:
    """The intent that a following message stands for; None where nothing that was said last fits it."""
    last = context.last
    item = slots.get("item")
    match name:
        case "again.same":
            return None if last is None else last.model_copy(update={"text": ""})
        case "again.scaled":
            return None if last is None else _scaled(last, float(slots["factor"]))
        case "again.with" | "again.asked":
            return None if last is None or not isinstance(item, Item) else _with(last, item, context, slots.get("of", ""))
    if not isinstance(item, Item):
        return None
    if last is not None and last.name.startswith("reading.") and item.kind == "num":
        changed = _with(last, item, context)
        if changed is not None and gravity_shape(item) is None:
            return changed
    return read_bare(item)


def _scaled(last: Intent, factor: float) -> Intent | None:
    """The last intent with its main quantity multiplied; a doubled gravity or temperature is no sensible wish."""
    for key in ("mass", "volume", "duration_s", "quantity"):
        value = last.slots.get(key)
        if isinstance(value, Measured):
            scaled: Any = value.model_copy(update={"value": value.value * factor})
        elif isinstance(value, dict) and "unit" in value:
            scaled = Measured(value=value["value"] * factor, unit=value["unit"])
        elif isinstance(value, int | float):
            scaled = value * factor
        else:
            continue
        return last.model_copy(update={"slots": {**last.slots, key: scaled}, "text": ""})
    return None


def _with(last: Intent, item: Item, context: Context, of: str = "") -> Intent | None:
    """The last intent with one quantity replaced: the one of the same kind, or for a bare number the main one."""
    kind = KINDS.get(item.unit, "") if item.kind == "qty" else ""
    if item.kind == "num" and gravity_shape(item) is not None:
        kind = "gravity"
    if item.kind == "num" and of in last.slots:
        # "and at 35?": of a gravity and a temperature it is the temperature that is "at".
        held_of = last.slots[of]
        unit = held_of.unit if isinstance(held_of, Measured) else str(held_of["unit"])
        changed = {**last.slots, of: Measured(value=item.value, unit=unit)}
        return last.model_copy(update={"slots": changed, "text": ""})
    held = [key for key, value in last.slots.items() if isinstance(value, Measured | dict)]
    if kind:
        fitting = [key for key in held if _kind_of(last.slots[key]) == kind]
        if not fitting and kind == "temperature" and last.name == "reading.gravity":
            # What would it be at that temperature: a sum, and nothing to record.
            last = last.model_copy(update={"name": "ask.gravity_at"})
        if not fitting and kind == "temperature" and last.name.startswith("ask."):
            fitting = ["temperature"]
    else:
        fitting = [key for key in _MAIN if key in held][:1]
    if kind == "gravity":
        # Of a strength's two gravities it is the later one that is asked about anew.
        fitting = fitting[-1:]
    if len(fitting) != 1:
        return None
    key = fitting[0]
    if kind == "gravity" or (not kind and key == "gravity"):
        value = gravity_value(item)
        new = None if value is None else Measured(value=value, unit="dimensionless")
    elif item.kind == "qty":
        new = Measured(value=item.value, unit=item.unit)
    else:
        old = last.slots[key]
        unit = old.unit if isinstance(old, Measured) else str(old["unit"])
        new = Measured(value=item.value, unit=unit or default_unit(key, context))
    return None if new is None else last.model_copy(update={"slots": {**last.slots, key: new}, "text": ""})


def _kind_of(value: Any) -> str:
    unit = value.unit if isinstance(value, Measured) else str(value.get("unit", ""))
    return "duration" if unit in SECONDS else KINDS.get(unit, "")
