"""What a number or a quantity alone means: the answer to an open question, or a reading by the stage of the day."""

from __future__ import annotations

from calc.units import quantity
from conversations.intents import Context, Intent, Measured
from conversations.understanding.bare_figures import default_unit, gravity_shape, gravity_value
from conversations.understanding.quantities import KINDS
from conversations.understanding.words import Item

_HOT_STAGES = frozenset({"heat", "mash", "steep", "chill", "pitch"})
_WORT_STAGES = frozenset({"drain", "top_up", "boil", "transfer"})
_COLD_STAGES = frozenset({"ferment", "bottle", "condition"})
EXPECTED: dict[str, tuple[str, str]] = {
    "reading.gravity": ("gravity", "gravity"),
    "reading.temperature": ("temperature", "temperature"),
    "reading.volume": ("volume", "volume"),
    "reading.depth": ("depth", "depth"),
    "reading.mass": ("mass", "mass"),
    "sample.temperature": ("temperature", "temperature"),
    "recipe.volume": ("volume", "volume"),
    "recipe.size": ("volume", "volume"),
    "recipe.mash": ("temperature", "temperature"),
    "recipe.boil": ("duration", "duration_s"),
    "recipe.yeast": ("mass", "mass"),
    "kit.pot": ("diameter", "diameter"),
    "kit.boil_off": ("rate", "rate"),
    "kit.calibration": ("temperature", "temperature"),
    "kit.thermometer_ice": ("temperature", "temperature"),
    "kit.thermometer_boiling": ("temperature", "temperature"),
    "kit.mark_depth": ("depth", "depth"),
    "timer.start": ("duration", "duration_s"),
    "snooze": ("duration", "duration_s"),
    "reminder.when": ("duration", "duration_s"),
}
_WARMTH = (14.0, 32.0)
"""Degrees Celsius at which a beer ferments in a kitchen."""
_LIGHTEST, _HEAVIEST = 0.95, 1.2
"""Specific gravities that a hydrometer shows."""
_READING_OF = {
    "gravity": "gravity",
    "temperature": "temperature",
    "volume": "volume",
    "mass": "mass",
    "length": "depth",
}


_MOST = {
    "reading.mass": ("mass", 60.0, "kilogram"),
    "reading.volume": ("volume", 150.0, "litre"),
    "reading.depth": ("depth", 3.0, "metre"),
}
"""More than anybody lifts or boils in a kitchen: such a number is about something else."""


def too_much(intent: Intent) -> bool:
    """Whether a reading is of more than a kitchen holds ("I weigh 80 kilos", "the bath holds 200 litres")."""
    key, most, unit = _MOST.get(intent.name, ("", 0.0, ""))
    measured = intent.slots.get(key)
    return isinstance(measured, Measured) and float(quantity(measured.value, measured.unit).to(unit).magnitude) > most


def short_gravity(items: list[Item]) -> float | None:
    """A gravity that was written with too few figures to be one: 1.5, 1.48."""
    figures = (item for item in items if item.kind == "num" and 1.2 < item.value < 2 and len((item.raw or f"{item.value:g}").replace(",", ".").partition(".")[2]) in (1, 2))
    return next((item.value for item in figures), None)


def read_bare(item: Item, context: Context) -> Intent | None:
    """What a number or quantity alone means, by the open question first and the stage after it."""
    slot, key = EXPECTED.get(context.expects or "", ("", ""))
    of = KINDS.get(item.unit, "") if item.kind == "qty" else ""
    if item.kind == "num" and item.fraction and (item.value >= 1 or not slot):
        # 10/10 is praise, and half is half of something.
        return None
    if item.kind == "dur":
        if slot == "duration":
            return Intent(name=str(context.expects), slots={key: item.value})
        return Intent(name="unclear.duration", slots={"duration_s": item.value})
    if item.kind == "qty":
        name = _READING_OF.get(of)
        if of == "gravity":
            value = gravity_value(item)
            measured = None if value is None else Measured(value=value, unit="dimensionless")
        else:
            measured = Measured(value=item.value, unit=item.unit)
        if measured is None or (name and too_much(Intent(name=f"reading.{name}", slots={name: measured}))):
            return None
        if slot and (of == slot or (of == "length" and slot in ("depth", "diameter"))):
            return Intent(name=str(context.expects), slots={key: measured})
        return None if name is None else Intent(name=f"reading.{name}", slots={name: measured})
    if slot == "gravity" and (sg := gravity_value(item)) is not None and _LIGHTEST <= sg <= _HEAVIEST:
        return Intent(name="reading.gravity", slots={"gravity": Measured(value=sg, unit="dimensionless")})
    if slot == "duration":
        return Intent(name=str(context.expects), slots={key: item.value * 60})
    too_hot = 110 if context.units == "metric" else 230
    # "1.012" answers no question for degrees: nothing in a kitchen fermenter is as cold, and no thermometer shows as many figures.
    as_gravity = slot == "temperature" and gravity_shape(item) is not None and context.stage in _WORT_STAGES | _COLD_STAGES
    if slot in ("temperature", "volume", "depth", "diameter", "mass") and not (slot == "temperature" and (item.value > too_hot or as_gravity)):
        unit = default_unit(slot, context)
        return Intent(name=str(context.expects), slots={key: Measured(value=item.value, unit=unit)})
    sg_shape = gravity_shape(item)
    if context.stage in _WORT_STAGES and item.raw and 10 <= item.value < 12 and item.value % 1:
        sg_shape = gravity_value(item)
    elif context.stage in _COLD_STAGES:
        # 19 may be 1.019 or 19 degrees: only what no fermenter's thermometer shows is a gravity.
        safe = item.value > (40 if context.units == "metric" else 100)
        sg_shape = gravity_value(item) if safe else sg_shape
        if context.stage == "ferment" and sg_shape is None and context.units == "metric" and item.value % 1 and _WARMTH[0] <= item.value <= _WARMTH[1]:
            # "19.5": no short form of a gravity has a tenth.
            return Intent(name="reading.temperature", slots={"temperature": Measured(value=item.value, unit="degC")})
    if sg_shape is not None and not _LIGHTEST <= sg_shape <= _HEAVIEST:
        # "a 330": no beer has that gravity.
        sg_shape = None
    if sg_shape is not None and context.stage in _HOT_STAGES | _WORT_STAGES | _COLD_STAGES:
        return Intent(name="reading.gravity", slots={"gravity": Measured(value=sg_shape, unit="dimensionless")})
    if context.stage in _HOT_STAGES and item.value <= too_hot:
        unit = default_unit("temperature", context)
        return Intent(name="reading.temperature", slots={"temperature": Measured(value=item.value, unit=unit)})
    return Intent(name="unclear.number", slots={"value": item.value})


def asks_which(items: list[Item], i: int, context: Context) -> Intent | None:
    """The question that a range of readings asks back: which of the two, or the middle."""
    low, high = items[i], items[i + 2]
    if high.kind == "qty" and low.kind == "num":
        low = Item("qty", "", low.start, low.end, low.value, high.unit)
    ends = [read_bare(each, context) for each in (low, high)]
    if None in ends or any(end is not None and not end.name.startswith("reading.") for end in ends):
        return None
    first, second = (end for end in ends if end is not None)
    if first.name != second.name:
        return None
    key = first.name.partition(".")[2]
    return Intent(name="unclear.range", slots={"kind": key, "low": first.slots[key], "high": second.slots[key]})
