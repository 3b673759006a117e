"""Compares what was read in a message with its label."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import pint

from calc.units import quantity
from conversations.intents import Context, Intent, Measured, Understanding
from tests.conversations.corpus import Label, Message

SILENT_INTENTS = frozenset({"yes", "no", "note", "timer.status", "batch.list"})
ASK = "(ask)"
_ARTICLES = frozenset({"the", "a", "an", "my", "to", "of", "timer", "about", "that", "yeast", "batch"})
_TIMES = frozenset({"at", "until"})
Reader = Callable[[str, Context], Understanding]


def records(name: str) -> bool:
    """Whether an intent of that name leaves a trace in the diary, the clocks or the settings."""
    return name not in SILENT_INTENTS and not name.startswith(("ask.", "unclear."))


def plato_to_gravity(degrees: float) -> float:
    """Specific gravity 20/20 at which the ASBC polynomial gives that many degrees Plato, by bisection.

    Source: American Society of Brewing Chemists, Methods of Analysis, table 1, in the cubic form
    P = -616.868 + 1111.14 S - 630.272 S^2 + 135.997 S^3, good to about 0.02 P up to 33 P.

    >>> round(plato_to_gravity(12.0), 4)
    1.0484
    """
    low, high = 1.0, 1.2
    for _ in range(60):
        middle = (low + high) / 2
        found = -616.868 + 1111.14 * middle - 630.272 * middle**2 + 135.997 * middle**3
        low, high = (middle, high) if found < degrees else (low, middle)
    return low


def _number(value: Any) -> Measured | None:
    if isinstance(value, Measured):
        return value
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    return Measured(value=float(value), unit="dimensionless")


def same_number(label: Measured, got: Measured) -> bool:
    """Whether both are the same quantity: gravities to the fourth decimal, everything else but for rounding of floats."""
    if label.unit == "degree_plato" and got.unit == "dimensionless":
        return abs(plato_to_gravity(label.value) - got.value) < 1e-4
    if label.unit == got.unit:
        close = 5e-5 if label.unit == "dimensionless" and label.value < 2 else 1e-6 * max(1.0, abs(label.value))
        return abs(label.value - got.value) < close
    try:
        there = float(quantity(got.value, got.unit).to(label.unit).magnitude)
    except (pint.errors.PintError, ValueError):
        return False
    # Another unit of the same kind is the same reading only where it is the exact same amount.
    return abs(there - label.value) < 1e-6 * max(1.0, abs(label.value))


def _words(text: str) -> list[str]:
    return [w.rstrip("s") for w in re.findall(r"\w+", text.lower()) if w not in _ARTICLES]


def _at(value: str, context: Context) -> datetime:
    when = datetime.fromisoformat(value)
    return when if when.tzinfo else when.replace(tzinfo=context.now.tzinfo)


def _same_time(label: str, got: str, context: Context) -> bool:
    when = _at(got, context)
    if "/" in label:
        first, last = (_at(one, context) for one in label.split("/"))
        return first <= when <= last
    if "T" not in label:
        return when.astimezone(context.now.tzinfo).date().isoformat() == label
    return abs((when - _at(label, context)).total_seconds()) < 1


def _plain(slots: dict[str, Any]) -> dict[str, Any]:
    """Slots with every number as Measured."""
    result: dict[str, Any] = {}
    for key, value in slots.items():
        if key in ("duration_s", "every_s") and not isinstance(value, Measured):
            value = Measured(value=float(value), unit="second")
        result[key] = _number(value) or value
    return result


def _corrected(slots: dict[str, Any], last: Label) -> dict[str, Any]:
    """The slots of the last intent with what a correction changes, in the way in which the session takes it."""
    key = next((k for k, v in last.slots.items() if isinstance(v, Measured)), "")
    old = last.slots.get(key)
    if not isinstance(old, Measured):
        return slots
    new = slots.get("value", slots.get("duration_s", slots.get("quantity")))
    unit = slots.get("unit")
    if isinstance(new, Measured) and new.unit != "dimensionless":
        unit = new.unit
    value = new.value if isinstance(new, Measured) else old.value
    if key == "gravity" and unit in ("degC", "degF"):
        # "that was at 25 C" is the sample's temperature, not another gravity.
        return {**last.slots, "temperature": Measured(value=value, unit=str(unit))}
    if key == "gravity" and value > 900:
        value /= 1000
    return {**last.slots, key: Measured(value=value, unit=str(unit or old.unit))}


@dataclass
class Verdict:
    """What was right and wrong about one message."""

    message: Message
    got: tuple[Intent, ...]
    right: Counter[str] = field(default_factory=Counter)
    missed: Counter[str] = field(default_factory=Counter)
    extra: Counter[str] = field(default_factory=Counter)
    quantities: int = 0
    exact: int = 0
    silent: list[str] = field(default_factory=list)
    recorded: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    @property
    def good(self) -> bool:
        """Whether nothing at all was wrong."""
        return not (self.missed or self.extra or self.silent or self.complaints or self.exact < self.quantities)


def _numbers_of(slots: dict[str, Any]) -> set[str]:
    return {k for k, v in slots.items() if isinstance(v, Measured) or k in _TIMES}


def _same_slot(key: str, label: Any, got: dict[str, Any], context: Context) -> bool:
    if key in _TIMES:
        if key == "at" and "at" not in got and isinstance(got.get("duration_s"), Measured):
            later = context.now + timedelta(seconds=got["duration_s"].value)
            return _same_time(label, later.isoformat(), context)
        return isinstance(got.get(key), str) and _same_time(label, got[key], context)
    if key == "duration_s" and "duration_s" not in got and "at" in got and isinstance(label, Measured):
        later = context.now + timedelta(seconds=label.value)
        return _same_time(later.isoformat(), got["at"], context)
    if isinstance(label, Measured):
        return isinstance(got.get(key), Measured) and same_number(label, got[key])
    return _words(str(label)) == _words(str(got.get(key, "")))


def _resolve(name: str, slots: dict[str, Any], wanted: str, last: Label | None) -> dict[str, Any]:
    plain = _plain(slots)
    if last is not None and name == "correct" and wanted in ("correct", last.name):
        return _corrected(plain, last)
    return plain


def judge(message: Message, read: Reader) -> Verdict:
    """Read one message and compare it with its label."""
    understood = read(message.text, message.context)
    verdict = Verdict(message, understood.intents)
    _judge_spans(verdict, understood)
    if message.ask:
        verdict.recorded = [one.name for one in understood.intents if records(one.name)]
        verdict.silent = [f"{one.name} {one.slots}" for one in understood.intents if _keeps_number(one)]
        (verdict.missed if verdict.recorded else verdict.right)[ASK] += 1
        verdict.extra.update(verdict.recorded)
    elif message.means is not None:
        _judge_intents(verdict, message, message.means)
    return verdict


def _keeps_number(intent: Intent) -> bool:
    return records(intent.name) and bool(_numbers_of(_plain(intent.slots)))


def _judge_spans(verdict: Verdict, understood: Understanding) -> None:
    for value, unit in verdict.message.quantities:
        verdict.quantities += 1
        if any(span.unit == unit and abs(span.value - value) < 1e-6 for span in understood.quantities):
            verdict.exact += 1
        else:
            verdict.complaints.append(f"{value:g} {unit} was not read")


def _judge_intents(verdict: Verdict, message: Message, means: tuple[Label, ...]) -> None:
    left = list(enumerate(verdict.got))
    order: list[int] = []
    for label in means:
        candidates = [
            (i, one)
            for i, one in left
            if one.name == label.name or (one.name == "correct" and message.last and label.name == message.last.name)
        ]
        wanted = _resolve(label.name, dict(label.slots), label.name, message.last)
        verdict.quantities += len(_numbers_of(wanted))
        if not candidates:
            verdict.missed[label.name] += 1
            continue
        scored = [(i, one, *_compare(wanted, one, label, message)) for i, one in candidates]
        # The nearest of several with the same name, so that one slip does not count against its neighbour.
        i, one, right, wrong = max(scored, key=lambda entry: (entry[2] - len(entry[3]), -entry[0]))
        left.remove((i, one))
        order.append(i)
        verdict.right[label.name] += 1
        verdict.exact += right
        verdict.complaints += wrong
        if records(one.name) and any(note.startswith("number") for note in wrong):
            verdict.silent.append(f"{one.name} {one.slots}")
    for _, one in left:
        verdict.extra[ASK if one.name.startswith("unclear.") else one.name] += 1
        if _keeps_number(one):
            verdict.silent.append(f"{one.name} {one.slots}")
    if not verdict.got and means:
        verdict.extra[ASK] += 1
    if order != sorted(order):
        verdict.complaints.append("order")


def _compare(wanted: dict[str, Any], got: Intent, label: Label, message: Message) -> tuple[int, list[str]]:
    """How many numbers are exact, and what differs; a number too few or too many counts as different."""
    slots = _resolve(got.name, got.slots, label.name, message.last)
    right, wrong = 0, []
    for key, value in wanted.items():
        same = _same_slot(key, value, slots, message.context)
        if key in _numbers_of(wanted):
            right += same
            if not same:
                wrong.append(f"number {key} should be {value}")
        elif not same:
            wrong.append(f"text {key} should be {value!r}")
    spare = _numbers_of(slots) - _numbers_of(wanted)
    if "at" in wanted or "duration_s" in wanted:
        spare -= {"at", "duration_s"}
    wrong += [f"number {key} is too many" for key in sorted(spare)]
    return right, wrong
