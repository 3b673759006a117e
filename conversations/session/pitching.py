"""How much dry yeast the wort that is really there wants, by its litres, its gravity and the age of the sachet."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from calc.units import Quantity, quantity
from calc.yeast import dry_yeast_mass, mass_with_age
from conversations.intents import Measured
from conversations.session import course, plan
from conversations.session.fermentation import yeast_type
from conversations.session.state import Batch, State
from conversations.session.yeast_in_hand import in_hand

FRESH, _TRUSTED = 0.95, 0.1
"""Shares of living cells: above the one nobody weighs out more, below the other nothing is trusted."""


class Dose(NamedTuple):
    """Litres and gravity that are pitched, the grams that want to go in, and the share of the yeast that lives."""

    volume: Quantity
    gravity: Quantity
    grams: Quantity
    viable: float


def dose(batch: Batch, state: State, now: datetime) -> Dose:
    """The dose for a batch as measured, else as its readings lead to, else as planned.

    Raises:
        OutOfRange: no yeast is reckoned for so much or so strong a wort.
    """
    recipe, kit = batch.recipe, state.kit
    here = course.position(batch, kit, now) if recipe.grains else None
    volume = plan.volume_now(batch) or plan.batch_volume(recipe)
    gravity = plan.gravity_now(batch)
    if gravity is None and here is not None:
        gravity = quantity(here.gravity, "dimensionless")
    if gravity is None:
        gravity = plan.original_gravity(recipe, kit) if recipe.grains else quantity(1.045, "dimensionless")
    grams = dry_yeast_mass(volume, gravity, yeast_type(recipe))
    hand = in_hand(recipe, state.stock, now.date())
    viable = hand.viable if hand is not None else 1.0
    if _TRUSTED < viable < FRESH:
        grams = mass_with_age(grams, quantity(100 * viable, "percent"))
    return Dose(volume, gravity, grams, viable)


def drawn(batch: Batch, state: State, now: datetime) -> Measured:
    """What of the yeast in hand goes in: the dose, or all of it where it is less."""
    grams = float(dose(batch, state, now).grams.to("gram").magnitude)
    hand = in_hand(batch.recipe, state.stock, now.date())
    return Measured(value=round(min(grams, hand.grams) if hand is not None and hand.grams > 0 else grams, 1), unit="gram")
