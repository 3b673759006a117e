"""The words that the two halves of `conversations` share: what was read in a message, and in what situation."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict

from calc.units import Quantity, quantity

UnitSystem = Literal["metric", "imperial", "us"]


class Measured(BaseModel):
    """A number with a pint unit name, as it is stored and printed; specific gravity is dimensionless."""

    model_config = ConfigDict(frozen=True)
    value: float
    unit: str

    @property
    def quantity(self) -> Quantity:
        """The same as a pint quantity of the project's registry."""
        return quantity(self.value, self.unit)

    def in_unit(self, unit: str) -> float:
        """The number in another unit; pint raises DimensionalityError where that makes no sense."""
        return _converted(self.value, self.unit, unit)


@lru_cache(maxsize=4096)
def _converted(value: float, unit: str, wanted: str) -> float:
    return float(quantity(value, unit).to(wanted).magnitude)


class Span(BaseModel):
    """One quantity found in a message: the words as they were written, and their reading."""

    model_config = ConfigDict(frozen=True)
    text: str
    start: int
    end: int
    value: float
    unit: str


class Intent(BaseModel):
    """One thing that the person said: a dotted name from the sentence files and its slots.

    Slot values are :class:`Measured` for quantities, str for names and free text, float for plain numbers;
    ``duration_s`` is a float in seconds, ``at`` an ISO 8601 time with offset.
    """

    model_config = ConfigDict(frozen=True)
    name: str
    slots: dict[str, Any] = {}
    text: str = ""


class Context(BaseModel):
    """What understanding may know of the situation; every field has a neutral default."""

    model_config = ConfigDict(frozen=True)
    now: datetime
    """Time of the message, with its zone."""
    zone: str = "UTC"
    units: UnitSystem = "metric"
    stage: str | None = None
    """Current stage of the batch: plan, prepare, heat, mash, drain, top_up, boil, steep, chill, transfer,
    pitch, ferment, bottle, condition; None without a batch."""
    expects: str | None = None
    """Intent name that an open question of ours waits for, such as ``reading.gravity`` or ``yes_no``."""
    last: Intent | None = None
    """The last recorded reading or answered sum, for "no, 1.052", "make that 6", "that was Fahrenheit"."""
    names: tuple[str, ...] = ()
    """Names of running timers and of the hops in the recipe, so that they are recognised in a message."""
    reminded_of: tuple[str, ...] = ()
    """What the pending reminders say, so that one of their words names them: "cancel the fridge"."""


class Understanding(BaseModel):
    """Everything read in one message; ``unread`` holds the pieces that nothing was made of."""

    model_config = ConfigDict(frozen=True)
    text: str
    quantities: tuple[Span, ...] = ()
    intents: tuple[Intent, ...] = ()
    unread: tuple[str, ...] = ()
    taken_for: str = ""
    """Known words that the message was taken for, where it was not read as it stands."""
