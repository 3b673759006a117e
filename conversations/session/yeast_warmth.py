"""How warm a yeast likes it, in words: the one place where its range is put into the person's degrees."""

from __future__ import annotations

from dataclasses import dataclass

from calc.units import Quantity
from calc.yeast import temperature_range
from conversations.intents import UnitSystem
from conversations.session import wording
from conversations.session.fermentation import type_words, yeast_type
from conversations.session.state import Recipe


@dataclass(frozen=True, slots=True)
class YeastWarmth:
    """The range of a recipe's yeast: its limits, both as they are shown, and the yeast's name."""

    low: Quantity
    high: Quantity
    low_words: str
    high_words: str
    yeast: str
    assumed: bool
    """Whether no yeast was told, so that ale is assumed."""

    @property
    def words(self) -> str:
        """Such as "18 °C to 22 °C"."""
        return f"{self.low_words} to {self.high_words}"


def yeast_warmth(recipe: Recipe, units: UnitSystem) -> YeastWarmth:
    """The range of the yeast of a recipe.

    >>> yeast_warmth(Recipe(), "metric").words, yeast_warmth(Recipe(yeast="dry lager yeast"), "metric").yeast
    ('18 °C to 22 °C', 'lager yeast')
    """
    style = yeast_type(recipe)
    usual = temperature_range(style)
    low, high = wording.temperature(usual.low, units), wording.temperature(usual.high, units)
    return YeastWarmth(usual.low, usual.high, low, high, f"{type_words(style)} yeast", not recipe.yeast)
