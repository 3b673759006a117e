"""The yeast that is there, told or from the stock: whether it is enough, whether it is too old, what stays of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import NamedTuple

from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from calc.yeast import dry_yeast_range, mass_with_age, opened_sachet_keeps, sachet_left, viability
from conversations.session import plan, wording
from conversations.session.fermentation import yeast_type
from conversations.session.state import Recipe, StockItem
from conversations.session.stock_items import fitting
from conversations.session.turn import Turn

_DATED_AHEAD = 730
"""Days from packing to the date on a sachet of dry yeast. Common practice: two to three years."""
SMALLEST_LEFT = 0.5
"""Grams that are worth folding a sachet for."""


class InHand(NamedTuple):
    """Grams of dry yeast, the share of its cells that live, and how long it has been open (None: sealed or unknown)."""

    grams: float
    viable: float
    opened_days: int | None


def in_hand(recipe: Recipe, stock: tuple[StockItem, ...], today: date) -> InHand | None:
    """What the person said is there, else what the stock has of the recipe's yeast; None where nobody knows."""
    rows = [item for item in fitting(stock, "yeast", recipe.yeast or "yeast") if item.left.unit in ("gram", "kilogram", "ounce")]
    item = max(rows, key=lambda each: each.left.in_unit("gram"), default=None)
    if recipe.yeast_mass is not None:
        return InHand(recipe.yeast_mass.in_unit("gram"), *_age(item, today))
    return None if item is None else InHand(sum(each.left.in_unit("gram") for each in rows), *_age(item, today))


def _age(item: StockItem | None, today: date) -> tuple[float, int | None]:
    if item is None:
        return 1.0, None
    opened = (today - item.opened).days if item.opened is not None else None
    dated = item.best_before - timedelta(days=_DATED_AHEAD) if item.best_before is not None else item.bought_on
    age = max((today - (item.packed or min(dated, item.bought_on))).days, opened or 0, 0)
    try:
        share = viability(quantity(age, "day"), opened_for=quantity(max(0, opened or 0), "day"))
    except OutOfRange:
        return 0.0, opened
    return float(share.to("dimensionless").magnitude), opened


def yeast_problem(turn: Turn, recipe: Recipe) -> list[str]:
    """Why the yeast in hand will not do, in one sentence; empty where it will or where it is not known."""
    hand = in_hand(recipe, turn.state.stock, turn.now.date())
    if hand is None or "liquid" in recipe.yeast.lower() or not recipe.grains:
        return []
    dose = dry_yeast_range(plan.batch_volume(recipe), plan.original_gravity(recipe, turn.state.kit), yeast_type(recipe))
    if hand.opened_days is not None and not opened_sachet_keeps(quantity(hand.opened_days, "day")):
        return [
            f"The sachet has been open for {hand.opened_days} days: too long to trust. {_grams(dose.usual)} fresh is usual."
        ]
    if hand.viable < 0.1:
        return [f"The yeast is too old to trust. {_grams(dose.usual)} fresh is usual."]
    least = mass_with_age(dose.low, quantity(100 * hand.viable, "percent"))
    if hand.grams >= 0.98 * float(least.magnitude):
        return []
    usual = mass_with_age(dose.usual, quantity(100 * hand.viable, "percent"))
    old = f" at its age ({hand.viable:.0%} alive)" if hand.viable < 0.95 else ""
    return [
        f"{_grams(quantity(hand.grams, 'gram'))} of yeast is little for this: {_grams(usual)} is usual{old}. "
        "Get more, or make less or weaker beer."
    ]


def yeast_left(turn: Turn, recipe: Recipe, used: Quantity) -> str:
    """What stays of the sachet after pitching, and how it keeps; empty where its mass is unknown."""
    hand = in_hand(recipe, turn.state.stock, turn.now.date())
    if hand is None:
        return ""
    if hand.grams < float(used.to("gram").magnitude):
        return f" You have {_grams(quantity(hand.grams, 'gram'))}: use all of it."
    left = sachet_left(quantity(hand.grams, "gram"), used)
    if float(left.magnitude) < SMALLEST_LEFT:
        return ""
    return f" {_grams(left)} stays: fold it shut, dry, in the fridge; use it within three months."


def _grams(value: Quantity) -> str:
    return wording.mass(value, "metric")
