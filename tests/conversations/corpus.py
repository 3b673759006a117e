"""The labelled messages of fixtures/understanding/, as data."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any, Literal, get_args
from zoneinfo import ZoneInfo

from conversations.intents import Context, Intent, Measured, UnitSystem

FOLDER = Path(__file__).parents[2] / "fixtures" / "understanding"
PARTS = ("development", "held_out", "negatives")
ZONE = "Europe/London"
NOW = datetime(2026, 11, 19, 15, 20, tzinfo=ZoneInfo(ZONE))
_KEYS = frozenset(
    {"text", "style", "stage", "expects", "units", "last", "means", "ask", "quantities"},
)
_TEXTS = frozenset(
    "name what text zone system to from after at until unit ion currency squeezed side how direction".split()  # noqa: SIM905
)
_FIGURE = re.compile(r"-?\d+(\.\d+)?( [a-z_].*)?")
_PLAIN = frozenset({"duration_s", "every_s"})


@dataclass(frozen=True)
class Label:
    """One intent that a message should be read as; numbers as Measured, everything else as text."""

    name: str
    slots: dict[str, Measured | str]


@dataclass(frozen=True)
class Message:
    """One labelled message."""

    text: str
    style: Literal["typed", "dictated"]
    context: Context
    means: tuple[Label, ...] | None
    """None where only `quantities` are labelled."""
    ask: bool
    quantities: tuple[tuple[float, str], ...]
    last: Label | None


def _measured(text: str) -> Measured:
    number, _, unit = text.strip().partition(" ")
    return Measured(value=float(number), unit=unit or "dimensionless")


def read_label(text: str) -> Label:
    """`name slot=value unit, slot=value` as a label.

    >>> read_label("kit.mark volume=2 litre, depth=6.3 centimetre").slots["depth"]
    Measured(value=6.3, unit='centimetre')
    """
    name, _, rest = text.partition(" ")
    slots: dict[str, Measured | str] = {}
    for part in re.split(r", (?=\w+=)", rest) if rest else []:
        key, _, value = part.partition("=")
        if key in _TEXTS or not _FIGURE.fullmatch(value):
            slots[key] = value
        elif key in _PLAIN:
            slots[key] = Measured(value=float(value), unit="second")
        else:
            slots[key] = _measured(value)
    return Label(name, slots)


def _as_intent(label: Label) -> Intent:
    """A label as the session would hand it to the understanding as what came last."""
    slots: dict[str, Any] = {
        key: value.value if key in _PLAIN and isinstance(value, Measured) else value
        for key, value in label.slots.items()
    }
    return Intent(name=label.name, slots=slots)


def read_message(raw: dict[str, Any]) -> Message:
    if strange := set(raw) - _KEYS:
        raise ValueError(f"unknown keys {sorted(strange)} in {raw}")
    units = raw.get("units", "metric")
    if units not in get_args(UnitSystem):
        raise ValueError(f"unknown units in {raw}")
    last = read_label(raw["last"]) if "last" in raw else None
    means = tuple(read_label(one) for one in raw["means"]) if "means" in raw else None
    if raw.get("ask"):
        means = ()
    return Message(
        text=raw["text"],
        style=raw["style"],
        context=Context(
            now=NOW,
            zone=ZONE,
            units=units,
            stage=raw.get("stage"),
            expects=raw.get("expects"),
            last=_as_intent(last) if last else None,
        ),
        means=means,
        ask=bool(raw.get("ask", False)),
        quantities=tuple((one.value, one.unit) for one in map(_measured, raw.get("quantities", []))),
        last=last,
    )


@cache
def messages(part: str) -> tuple[Message, ...]:
    """The messages of one part: development, held_out or negatives."""
    pages = sorted(FOLDER.glob(f"{part}*.toml"))
    raw = [one for page in pages for one in tomllib.loads(page.read_text())["messages"]]
    if part == "negatives":
        raw = [{**one, "ask": True} for one in raw]
    return tuple(read_message(one) for one in raw)
