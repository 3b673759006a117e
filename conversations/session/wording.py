"""Numbers as a brewer reads them on a phone, and as somebody says them aloud."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Literal

from calc.units import Quantity, quantity
from conversations.intents import Measured, UnitSystem

GravitySaid = Literal["pairs", "digits"]


def gravity(value: Quantity) -> str:
    """Specific gravity with three decimals."""
    return f"{float(value.to('dimensionless').magnitude):.3f}"


def temperature(value: Quantity, units: UnitSystem) -> str:
    """Degrees in the person's unit, to half a degree of meaning: one decimal."""
    unit, sign = ("degC", "°C") if units == "metric" else ("degF", "°F")
    return f"{float(value.to(unit).magnitude):.1f} {sign}".replace(".0 ", " ")


def volume(value: Quantity, units: UnitSystem) -> str:
    """Litres, or quarts/gallons by the person's setting; the reply says which gallon."""
    if units == "metric":
        litres = float(value.to("litre").magnitude)
        return f"{litres * 1000:.0f} ml" if abs(litres) < 0.995 else f"{litres:.1f} l"
    which = "imperial" if units == "imperial" else "US"
    gallon = "imperial_gallon" if units == "imperial" else "gallon"
    gallons = float(value.to(gallon).magnitude)
    if abs(gallons) < 1:
        return f"{gallons * 8:.1f} {which} pints"
    return f"{gallons:.2f} {which} gallons"


def volume_told(value: Measured, units: UnitSystem) -> str:
    """A volume as the person reads it; gallons and pints of a metric brewer with the sort that they were taken for."""
    unit = value.unit.removeprefix("imperial_")
    shown = volume(value.quantity, units)
    if units != "metric" or unit not in ("gallon", "pint", "quart"):
        return shown
    sort = "US" if unit == value.unit else "imperial"
    return f"{shown} ({value.value:g} {sort} {unit}{'' if value.value == 1 else 's'})"


def litres(units: UnitSystem, amount: float) -> str:
    """The same of so many litres."""
    return volume(quantity(amount, "litre"), units)


def mass(value: Quantity, units: UnitSystem) -> str:
    """Grams and kilograms, or ounces and pounds."""
    if units == "metric":
        grams = float(value.to("gram").magnitude)
        if grams >= 1000:
            return f"{grams / 1000:.2f} kg"
        return f"{grams:.1f} g" if grams < 20 else f"{grams:.0f} g"
    ounces = float(value.to("ounce").magnitude)
    return f"{ounces / 16:.2f} lb" if ounces >= 16 else f"{ounces:.2f} oz"


def depth(value: Quantity, units: UnitSystem) -> str:
    """Stick depth in centimetres or inches."""
    if units == "metric":
        return f"{float(value.to('centimetre').magnitude):.1f} cm"
    return f"{float(value.to('inch').magnitude):.1f} in"


def altitude(value: Quantity, units: UnitSystem) -> str:
    """Height above the sea in metres or feet."""
    return f"{float(value.to('metre').magnitude):.0f} m" if units == "metric" else f"{float(value.to('foot').magnitude):.0f} feet"


def of_kind(kind: str, value: Quantity, units: UnitSystem) -> str:
    """A reading of this kind as the person reads it."""
    match kind:
        case "gravity":
            return gravity(value)
        case "temperature":
            return temperature(value, units)
        case "volume" | "water":
            return volume(value, units)
        case "depth":
            return depth(value, units)
    return mass(value, units)


def per_amount(value: Quantity, units: UnitSystem) -> str:
    """What a price is for: "a kilogram", "a pound", else "for 100 g".

    >>> from calc.units import quantity
    >>> per_amount(quantity(1, "kilogram"), "metric"), per_amount(quantity(100, "gram"), "metric")
    ('a kilogram', 'for 100 g')
    """
    names = {"kilogram": "a kilogram", "pound": "a pound", "ounce": "an ounce", "gram": "a gram"}
    if float(value.magnitude) == 1 and str(value.units) in names:
        return names[str(value.units)]
    return f"for {mass(value, units)}"


def duration(seconds: float) -> str:
    """A length of time, at most two units."""
    total = round(seconds)
    if abs(total) < 60:
        return f"{total} s"
    minutes, left = divmod(total, 60)
    if minutes < 10 and left:
        return f"{minutes} min {left} s"
    if left >= 30:
        minutes += 1
    if minutes < 120:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    days, hours = divmod(hours, 24)
    return f"{days} days {hours} h" if hours else f"{days} days"


def clock(at: datetime, now: datetime) -> str:
    """Local time of day, with the date where it is not today; both times carry the person's zone."""
    time = at.strftime("%H:%M")
    if at.date() == now.date():
        return time
    if at.date() == now.date() + timedelta(days=1):
        return f"tomorrow {time}"
    return f"{at.strftime('%A')} {at.day} {at.strftime('%B')} {time}"


def local_clock(now: datetime, at: datetime) -> str:
    """The same of any moment, in the zone of ``now``."""
    return clock(at.astimezone(now.tzinfo), now)


_TIME_OF_DAY = re.compile(r"(?<![\d.:])([01]?\d|2[0-3]):([0-5]\d)(?![\d:])")


def twelve_hours(text: str) -> str:
    """Every time of day in a text on a clock of 12 hours.

    >>> twelve_hours("Flame-out at 12:46, then 19:05 and 00:30.")
    'Flame-out at 12:46 pm, then 7:05 pm and 12:30 am.'
    """
    return _TIME_OF_DAY.sub(lambda m: f"{(int(m[1]) + 11) % 12 + 1}:{m[2]} {'pm' if int(m[1]) >= 12 else 'am'}", text)


_COINS = {"£": "pounds", "€": "euros", "$": "dollars"}
_SPOKEN = (
    (r"\b0?(\d{1,2}):00\b", lambda m: f"{m[1]} o'clock"),
    (r"\b0?(\d{1,2}):0?(\d{1,2})\b", lambda m: f"{m[1]} {m[2]}"),
    (r"([£€$])(\d+)\.00\b", lambda m: f"{m[2]} {_COINS[m[1]]}"),
    (r"([£€$])(\d+)\.(\d\d)\b", lambda m: f"{m[2]} {_COINS[m[1]]} {m[3]}"),
    (r"(\d)\.(\d+)", lambda m: f"{m[1]} point {' '.join(m[2])}"),
    (r"°C\b", lambda m: "degrees"),
    (r"°F\b", lambda m: "degrees Fahrenheit"),
    (r"(?<=\d )l\b", lambda m: "litres"),
    (r"(?<=\d )ml\b", lambda m: "millilitres"),
    (r"(?<=\d )kg\b", lambda m: "kilos"),
    (r"(?<=\d )g\b", lambda m: "grams"),
    (r"(?<=\d )lb\b", lambda m: "pounds"),
    (r"(?<=\d )oz\b", lambda m: "ounces"),
    (r"(?<=\d )cm\b", lambda m: "centimetres"),
    (r"(?<=\d )in\b", lambda m: "inches"),
    (r"(?<=\d )kW\b", lambda m: "kilowatts"),
    (r"(?<=\d )mg/l\b", lambda m: "milligrams a litre"),
    (r"(?<=\d )m\b", lambda m: "metres"),
    (r"(?<=\d )hPa\b", lambda m: "hectopascals"),
    (r"(?<=\d )min\b", lambda m: "minutes"),
    (r"(?<=\d )s\b", lambda m: "seconds"),
    (r"(?<=\d )h\b", lambda m: "hours"),
    (r"%", lambda m: " percent"),
    (r"±", lambda m: "plus or minus"),
    (r"[\"()]", lambda m: ""),
    (r"\s*\n\s*", lambda m: " "),
)


def gravity_aloud(figures: str, said: GravitySaid = "pairs") -> str:
    """A gravity as it is read aloud, in pairs of figures or one by one.

    >>> gravity_aloud("1.057"), gravity_aloud("1.008"), gravity_aloud("0.998"), gravity_aloud("1.057", "digits")
    ('10 57', '10 oh 8', '0 point 9 9 8', '1 point oh 5 7')
    """
    before, behind = figures.replace(".", "")[:2], figures[-2:]
    if said == "pairs" and before != "09" and behind != "00":
        return f"{before} {f'oh {behind[1]}' if behind[0] == '0' else behind}"
    return f"{figures[0]} point {' '.join(figures[2:]).replace('0', 'oh')}"


def spoken(text: str, said: GravitySaid = "pairs") -> str:
    """The reply as it is read aloud: no symbols, decimals digit by digit, gravities as the person likes them.

    >>> spoken("6.2 l at 67 °C, gravity 1.057")
    '6 point 2 litres at 67 degrees, gravity 10 57'
    >>> spoken("tomorrow 08:00")
    "tomorrow 8 o'clock"
    """
    text = re.sub(r"(?<![\d.])[01]\.\d{3}(?![\d.]*\d)", lambda found: gravity_aloud(found[0], said), text)
    for pattern, word in _SPOKEN:
        text = re.sub(pattern, word, text)
    return text.strip()
