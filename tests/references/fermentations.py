"""Simulated fermentations by published kinetic models, with readings as a hydrometer in a kitchen gives them.

Two curves: the logistic of the method ASBC Yeast-14 (after Speers et al., J. Inst. Brew. 109 (2003) 229), and
Gompertz's in the form of Zwietering et al., Appl. Environ. Microbiol. 56 (1990) 1875. Their numbers are drawn
from what ale at kitchen temperatures does (from memory).
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from calc.units import Quantity, quantity

READING_SPREAD = 0.0005
DIVISION = 0.001


@dataclass(frozen=True)
class Fermentation:
    """One true course of gravity."""

    gompertz: bool
    original: float
    final: float
    rate_per_day: float
    middle_day: float

    def gravity(self, day: float) -> float:
        decay = math.exp(-self.rate_per_day * (day - self.middle_day))
        share = math.exp(-decay) if self.gompertz else 1 / (1 + decay)
        return self.original - (self.original - self.final) * share

    def finished_day(self) -> float:
        """When gravity is within 0.001 of its end, by bisection."""
        low, high = 0.0, 200.0
        for _ in range(80):
            middle = (low + high) / 2
            low, high = (middle, high) if self.gravity(middle) - self.final > 0.001 else (low, middle)
        return high

    def reading(self, day: float, chance: random.Random) -> tuple[Quantity, Quantity]:
        """Time and gravity as written down: off by chance, then rounded to a division."""
        seen = self.gravity(day) + chance.gauss(0, READING_SPREAD)
        return quantity(day, "day"), quantity(round(seen / DIVISION) * DIVISION, "dimensionless")


def drawn(chance: random.Random) -> Fermentation:
    """A course drawn at random from a wide range."""
    gompertz = chance.random() < 0.5
    original = chance.uniform(1.035, 1.070)
    attenuation = chance.uniform(0.66, 0.86)
    return Fermentation(
        gompertz,
        original,
        original - (original - 1) * attenuation,
        chance.uniform(0.5, 1.8) if gompertz else chance.uniform(0.8, 2.2),
        chance.uniform(0.7, 2.2),
    )


def slow(chance: random.Random) -> Fermentation:
    """As :func:`drawn`, with slower ones among them: the cases in which bottles burst."""
    course = drawn(chance)
    return Fermentation(
        course.gompertz, course.original, course.final, chance.uniform(0.25, 1.2), course.middle_day
    )
