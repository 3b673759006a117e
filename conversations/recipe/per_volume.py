"""Amounts told for each litre or gallon, or as shares of all the grain, as amounts of the whole batch."""

from __future__ import annotations

from typing import TypeVar

from conversations.intents import Measured
from conversations.recipe.recipe_text import ReadGrain, ReadHop, ReadYeast

Part = TypeVar("Part", ReadGrain, ReadHop, ReadYeast)


def times_volume(mass: Measured | None, per: str, volume: Measured | None) -> Measured | None:
    """A mass for each litre or gallon times the batch; None where the batch is not known in that measure.

    >>> times_volume(Measured(value=5, unit="gram"), "litre", Measured(value=8, unit="litre")).value
    40.0
    """
    if mass is None or per not in ("litre", "gallon"):
        return mass
    if volume is None or (per == "gallon" and "gallon" not in volume.unit):
        # A gallon is one of two; the batch says which.
        return None
    many = volume.in_unit("litre") if per == "litre" else volume.value
    return Measured(value=round(mass.value * many, 4), unit=mass.unit)


def for_all_of_it(part: Part, volume: Measured | None) -> Part:
    """An ingredient with the mass of the whole batch."""
    if not part.per:
        return part
    return part.model_copy(update={"mass": times_volume(part.mass, part.per, volume), "per": ""})


def share_of(grain: ReadGrain, total: Measured | None) -> ReadGrain:
    """The grain with its mass where its share and the mass of all are told."""
    if total is None or grain.mass is not None or grain.share is None:
        return grain
    mass = Measured(value=round(total.value * grain.share / 100, 6), unit=total.unit)
    return grain.model_copy(update={"mass": mass, "share": None})
