"""Slots that hold an amount: quantities with or without their unit, bare figures, money."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from conversations.intents import Measured
from conversations.understanding.bare_figures import default_unit, gravity_shape, gravity_value
from conversations.understanding.money import currency_at, is_rate, money_at, rate_at
from conversations.understanding.quantities import KINDS, unit_at
from conversations.understanding.sentences import Filled, PlaceReader
from conversations.understanding.short_sizes import bottle_size, counted_pints
from conversations.understanding.written import Written

_BARE = {"temp": "temperature", "vol": "volume", "depthn": "depth", "massn": "mass"}
_LENGTHS = ("depth", "diameter")


def _kind(unit: str) -> str:
    return KINDS.get(unit, "")


def _amount(kind: str, written: Written, i: int) -> Iterator[Filled]:
    """A quantity of that kind with its unit."""
    item = written.items[i]
    if item.kind != "qty":
        return
    of = _kind(item.unit)
    if of == ("length" if kind in _LENGTHS else kind) and not (of == "mass" and is_rate(written.items, i)):
        yield i + 1, Measured(value=item.value, unit=item.unit), 1.0


def _perhaps_bare(name: str, written: Written, i: int) -> Iterator[Filled]:
    """The same, or a bare number in the unit of the person's setting."""
    item = written.items[i]
    # No thermometer shows "1.018".
    as_gravity = name == "temperature" and len(item.raw) > 4 and gravity_shape(item) is not None
    if item.kind == "num" and not as_gravity:
        yield i + 1, {name: Measured(value=item.value, unit=default_unit(name, written.context))}, 0.9
    for end, value, worth in _amount(name, written, i):
        yield end, {name: value}, worth


def _money(written: Written, i: int) -> Iterator[Filled]:
    paid = money_at(written.items, i)
    if paid is not None:
        yield paid[0], {"money": paid[1], "currency": paid[2]}, 1.0


def _paid(written: Written, i: int) -> Iterator[Filled]:
    """A sum that names its currency."""
    paid = money_at(written.items, i)
    if paid is not None and any(currency_at(each) for each in written.items[i : paid[0]]):
        yield paid[0], {"money": paid[1], "currency": paid[2]}, 1.0


def _priced(written: Written, i: int) -> Iterator[Filled]:
    rate = rate_at(written.items, i)
    if rate is not None:
        yield rate[0], {"mass": rate[1]}, 1.0


def _currency(written: Written, i: int) -> Iterator[Filled]:
    code = currency_at(written.items[i])
    if code:
        yield i + 1, code, 1.0


def _milligrams(written: Written, i: int) -> Iterator[Filled]:
    item = written.items[i]
    if (item.kind == "num" and item.value >= 0) or item.unit == "milligram / litre":
        yield i + 1, item.value, 0.9


def _hectopascals(written: Written, i: int) -> Iterator[Filled]:
    """Pressure of the air, as a weather report gives it."""
    item = written.items[i]
    if (item.kind == "num" or item.unit in ("hectopascal", "millibar")) and 870 <= item.value <= 1090:
        yield i + 1, Measured(value=item.value / 10, unit="kilopascal"), 1.0
    elif item.unit == "kilopascal" and 87 <= item.value <= 109:
        yield i + 1, Measured(value=item.value, unit="kilopascal"), 1.0


def _metres(written: Written, i: int) -> Iterator[Filled]:
    """A height above the sea: "300 m" was read as minutes."""
    item = written.items[i]
    if item.kind == "dur" and written.words(i, i + 1).rstrip(".").endswith("m") and "min" not in written.words(i, i + 1):
        yield i + 1, Measured(value=item.value / 60, unit="metre"), 1.0
    elif item.kind == "qty" and item.unit in ("metre", "foot"):
        yield i + 1, Measured(value=item.value, unit=item.unit), 1.0


def _percent(written: Written, i: int) -> Iterator[Filled]:
    item = written.items[i]
    if (item.kind == "num" and not item.fraction and 0 < item.value < 30) or item.unit == "percent":
        yield i + 1, Measured(value=item.value, unit="percent"), 1.0


def _bottle_size(written: Written, i: int) -> Iterator[Filled]:
    if size := bottle_size(written.items[i]):
        yield i + 1, size, 1.0


def _pints(written: Written, i: int) -> Iterator[Filled]:
    if size := counted_pints(written.items[i]):
        yield i + 1, size, 1.0


def _bare(written: Written, i: int) -> Iterator[Filled]:
    item = written.items[i]
    if item.kind in ("num", "qty"):
        yield i + 1, {"item": item}, 0.9


def _unit_word(written: Written, i: int) -> Iterator[Filled]:
    unit = unit_at(written.items, i, written.context.units)
    if unit is not None:
        yield unit[1], unit[0], 1.0


def _gravity(written: Written, i: int) -> Iterator[Filled]:
    """A gravity where one is spoken of: short forms too."""
    value = gravity_value(written.items[i])
    if value is not None:
        yield i + 1, Measured(value=value, unit="dimensionless"), 1.0


def _specific_gravity(written: Written, i: int) -> Iterator[Filled]:
    """A figure that can hardly be anything else."""
    item = written.items[i]
    value = gravity_value(item) if item.kind == "qty" and _kind(item.unit) == "gravity" else gravity_shape(item)
    if value is not None:
        yield i + 1, Measured(value=value, unit="dimensionless"), 1.0


def _count(written: Written, i: int) -> Iterator[Filled]:
    item = written.items[i]
    if item.kind == "num" and item.value == int(item.value) and 1 <= item.value <= 1e6:
        yield i + 1, item.value, 0.9


def _number(written: Written, i: int) -> Iterator[Filled]:
    item = written.items[i]
    if item.kind == "num":
        yield i + 1, item.value, 0.9


def _one(written: Written, i: int) -> Iterator[Filled]:
    if written.items[i].said == "one":
        yield i + 1, {}, 1.0


def _share(written: Written, i: int) -> Iterator[Filled]:
    item = written.items[i]
    if item.fraction and 0 < item.value < 1:
        yield i + 1, item.value, 1.0


def _quantity(written: Written, i: int) -> Iterator[Filled]:
    """Anything with a unit."""
    item = written.items[i]
    if item.kind == "dur":
        yield i + 1, Measured(value=item.value, unit="second"), 1.0
    if item.kind == "qty":
        yield i + 1, Measured(value=item.value, unit=item.unit), 1.0


AMOUNTS: dict[str, PlaceReader] = {
    **{kind: partial(_perhaps_bare, name) for kind, name in _BARE.items()},
    "money": _money,
    "paid": _paid,
    "priced": _priced,
    "currency": _currency,
    "mgl": _milligrams,
    "hectopascals": _hectopascals,
    "metres": _metres,
    "percentn": _percent,
    "bottle_size": _bottle_size,
    "pints": _pints,
    "bare": _bare,
    "unitword": _unit_word,
    "gravity": _gravity,
    "sg": _specific_gravity,
    "count": _count,
    "number": _number,
    "one": _one,
    "share": _share,
    "quantity": _quantity,
}
"""Readers of slots by their kind."""


def amount_of(kind: str) -> PlaceReader:
    """The reader of any other kind of quantity: temperature, volume, mass, depth, power, pressure, percent."""
    return partial(_amount, kind)
