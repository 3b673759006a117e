"""Brew days of a kitchen whose true numbers are known, as scripts to rehearse; readings carry noise.

The truth, per litre and kilogram as the plan counts them: so much water stays in the grain, so much boils away
in an hour, such a share of the malt's extract reaches the pot. Wort in the pot is hot and takes more room.
Noise: a stick read to the millimetre, half a division of a hydrometer of 0.001, a thermometer of 0.3 K.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from calc.density import cold_volume
from calc.extract import expected_gravity
from calc.units import quantity


@dataclass(frozen=True)
class Truth:
    """What the kitchen really does."""

    boil_off_l_h: float = 1.9
    absorption_l_kg: float = 0.64
    efficiency: float = 0.68
    dead_space_l: float = 0.45
    hob_watt: float = 1650.0
    cooling_min: float = 24.0
    scatter: float = 0.01
    """From batch to batch, as a share."""


PALE_KG, CRYSTAL_KG, DIAMETER_CM = 1.9, 0.15, 24.0
NAMES = ("Alder bitter", "Birch bitter", "Hazel bitter", "Rowan bitter", "Willow bitter")
STICK_MM, GRAVITY, THERMOMETER_K = 0.4, 0.0004, 0.3


def hot(cold_l: float, at_c: float) -> float:
    return float(cold_volume(quantity(cold_l, "litre"), quantity(20, "degC"), quantity(at_c, "degC")).magnitude)


def days(seed: int, truth: Truth, count: int = 3, start: str = "2026-03-07 09:00 Europe/Lisbon") -> list[str]:
    """The script of so many brew days, a fortnight apart."""
    chance = random.Random(seed)
    lines = [
        f"@ {start}",
        f"pot is {DIAMETER_CM:g} cm across",
        "pot is 30 cm high",
    ]
    for number in range(count):
        lines += _day(chance, truth, NAMES[number % len(NAMES)])
    return lines


def _around(chance: random.Random, value: float, share: float) -> float:
    return value * chance.gauss(1.0, share)


def _day(chance: random.Random, truth: Truth, name: str) -> list[str]:
    grain = PALE_KG + CRYSTAL_KG
    absorbed = _around(chance, truth.absorption_l_kg, truth.scatter)
    rate = _around(chance, truth.boil_off_l_h, truth.scatter)
    share = _around(chance, truth.efficiency, truth.scatter)
    water = 11.5
    grains = [("pale malt", quantity(PALE_KG, "kg")), ("crystal malt", quantity(CRYSTAL_KG, "kg"))]

    def temperature(true_c: float) -> str:
        return f"{chance.gauss(true_c, THERMOMETER_K):.1f} C"

    def stick(cold_l: float, at_c: float) -> str:
        depth_mm = hot(cold_l, at_c) * 1e6 / (math.pi / 4 * (10 * DIAMETER_CM) ** 2)
        return f"stick {round(chance.gauss(depth_mm, STICK_MM)) / 10:.1f} cm"

    def gravity(volume_l: float) -> str:
        true = float(expected_gravity(grains, quantity(volume_l, "litre"), share).magnitude)
        return f"gravity {round(chance.gauss(true, GRAVITY) * 2000) / 2000:.4f}"

    lines = [
        f"brew 8 litres of {name}",
        f"{PALE_KG:g} kg pale malt",
        f"{1000 * CRYSTAL_KG:g} g crystal malt",
        "15 g Fuggle 4.8% at 60",
        "dry english yeast",
        "next",
        "+15m",
        "next",
        f"{water + chance.gauss(0, 0.02):.2f} litres",
    ]
    heat_kj_per_k = water * 0.998 * 4.19 + 1.5 * 0.5
    minutes = 15
    rise = minutes * 60 * truth.hob_watt / 1000 / heat_kj_per_k
    lines += [temperature(18.0), f"+{minutes}m", temperature(18.0 + rise), "+12m", "grain is in", "+3m", temperature(66.5)]
    drained_c = chance.uniform(60.0, 68.0)
    drained = water - absorbed * grain
    lines += ["+57m", "bag out", "squeezed the bag", "+8m", temperature(drained_c), stick(drained, drained_c)]
    lines += [f"{gravity(drained)} at 20 C", "next", "+12m", "it's boiling", "hops in", "+60m"]
    boiled = drained - rate
    lines += ["flame out", "+2m", temperature(97.0), stick(boiled, 97.0)]
    lines += ["next", "+2m", temperature(15 + 80 * math.exp(-2 / truth.cooling_min)), "+20m"]
    lines += [temperature(15 + 80 * math.exp(-22 / truth.cooling_min)), "+25m", "chilled"]
    over = boiled - _around(chance, truth.dead_space_l, 0.05)
    lines += [f"{over + chance.gauss(0, 0.03):.1f} l", f"{gravity(boiled)} at 20 C", "transferred", "yeast is in"]
    final = 1.011 + chance.uniform(-0.001, 0.001)
    lines += ["+5d", f"gravity {final + 0.004:.3f} at 20 C", "+4d", f"gravity {final:.3f} at 20 C"]
    lines += ["+3d", f"gravity {final:.3f} at 20 C", "bottled", "+2d"]
    return lines
