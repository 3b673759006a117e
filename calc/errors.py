"""The one error that calc raises for an argument it cannot work with."""

from __future__ import annotations


class OutOfRange(ValueError):
    """An argument has the wrong kind of unit, is not a finite number, or lies outside its valid range.

    Attributes:
        argument: name of the offending argument, as in the function's signature.
        value: what was given, as a float in ``unit``; None where it could not be read in that unit at all.
        unit: pint name of the unit in which ``low`` and ``high`` are meant.
        low: smallest accepted value, None where there is none.
        high: largest accepted value, None where there is none.
        reason: short English words for a developer; never shown to the brewer.
    """

    def __init__(
        self,
        argument: str,
        value: float | None,
        unit: str,
        low: float | None = None,
        high: float | None = None,
        reason: str = "",
    ) -> None:
        self.argument = argument
        self.value = value
        self.unit = unit
        self.low = low
        self.high = high
        self.reason = reason or f"must lie between {low} and {high}"
        super().__init__(f"{argument} = {value} {unit}: {self.reason}")
