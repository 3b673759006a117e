"""Messages that go back to what was said last: "same again", "double that", "and at 20 degrees?", "it's now 66"."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from conversations.intents import Context, Intent, Measured
from conversations.understanding.bare_figures import default_unit, gravity_shape, gravity_value
from conversations.understanding.quantities import KINDS, SECONDS
from conversations.understanding.words import Item

ReadBare = Callable[[Item], Intent | None]
"""How a number or quantity alone is read in the present stage."""

_MAIN = ("gravity", "temperature", "volume", "depth", "mass", "duration_s", "quantity")


def resolve(name: str, slots: dict[str, Any], context: Context, read_bare: ReadBare) -> Intent | None:
    """The intent that a following message stands for; None where nothing that was said last fits it."""
    last = context.last
    item = slots.get("item")
    match name:
        case "again.same":
            if last is None or (context.stage == "condition" and last.name == "reading.gravity"):
                # Of beer in bottles "same again" orders another brew, and reads no gravity.
                return None
            # What comes back from the diary is still as it was written there.
            return last.model_copy(update={"text": "", "slots": {key: _measured(value) or value for key, value in last.slots.items()}})
        case "again.scaled":
            return None if last is None else _scaled(last, float(slots["factor"]))
        case "again.with" | "again.asked":
            return None if last is None or not isinstance(item, Item) else _with(last, item, context, slots.get("of", ""))
    if not isinstance(item, Item):
        return None
    # "down to 70" after a gravity is hardly 1.070: the stage says what it is, or it is asked.
    if last is not None and last.name.startswith("reading.") and last.name != "reading.gravity" and item.kind == "num":
        changed = _with(last, item, context)
        if changed is not None and gravity_shape(item) is None:
            return changed
    return read_bare(item)


_ITS = re.compile(r"\b(?P<stage>mash|boil|steep|whirlpool)\b.{1,80}\b(its|it's|that|the) (timer|clock|countdown)\b", re.IGNORECASE)


def whose_clock(found: list[tuple[int, Intent]], text: str) -> list[tuple[int, Intent]]:
    """ "the mash could do with a bit longer, extend its timer": the clock of what was named before it."""
    spoken_of = _ITS.search(text)
    if spoken_of is None:
        return found
    return [
        (place, each.model_copy(update={"slots": {**each.slots, "name": spoken_of["stage"].lower()}}))
        if each.name.startswith("timer.") and each.name != "timer.start" and "name" not in each.slots
        else (place, each)
        for place, each in found
    ]


def _scaled(last: Intent, factor: float) -> Intent | None:
    """The last intent with its main quantity multiplied; a doubled gravity or temperature is no sensible wish."""
    for key in ("mass", "volume", "duration_s", "quantity"):
        value = last.slots.get(key)
        if isinstance(value, int | float):
            scaled: Any = value * factor
        elif value is not None and (held := _measured(value)) is not None:
            scaled = Measured(value=held.value * factor, unit=held.unit)
        else:
            continue
        return _changed(last, key, scaled)
    return None


def _with(last: Intent, item: Item, context: Context, of: str = "") -> Intent | None:
    """The last intent with one quantity replaced: the one of the same kind, or for a bare number the main one."""
    kind = KINDS.get(item.unit, "") if item.kind == "qty" else ""
    if item.kind == "num" and gravity_shape(item) is not None:
        kind = "gravity"
    if item.kind == "num" and of in last.slots:
        # "and at 35?": of a gravity and a temperature it is the temperature that is "at".
        kept = _measured(last.slots[of])
        return None if kept is None else _changed(last, of, Measured(value=item.value, unit=kept.unit))
    held = {key: each for key, value in last.slots.items() if (each := _measured(value)) is not None}
    if kind:
        fitting = [key for key, each in held.items() if _kind_of(each) == kind]
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
        new = Measured(value=item.value, unit=held[key].unit or default_unit(key, context))
    return None if new is None else _changed(last, key, new)


def _changed(last: Intent, key: str, value: Any) -> Intent:
    return last.model_copy(update={"slots": {**last.slots, key: value}, "text": ""})


def _measured(value: Any) -> Measured | None:
    """A slot that holds a quantity, also as it comes back from the diary; None for any other."""
    if isinstance(value, dict) and "unit" in value:
        return Measured.model_validate(value)
    return value if isinstance(value, Measured) else None


def _kind_of(value: Measured) -> str:
    return "duration" if value.unit in SECONDS else KINDS.get(value.unit, "")
