"""Stable or not, on simulated fermentations: no beer passes that would still make bottles gush."""

from __future__ import annotations

import random

import pytest

from calc.finish import is_stable
from calc.units import quantity
from tests.references.conftest import Agree
from tests.references.fermentations import slow

RUNS = 200
SOURCE = "Source: logistic (ASBC Yeast-14) and Gompertz (Zwietering 1990) curves, seeded noise"


@pytest.mark.parametrize("step_days", [0.5, 1.0, 2.0, 3.0])
def test_never_stable_while_it_still_drops(agree: Agree, step_days: float) -> None:
    wrong = passed = 0
    for seed in range(RUNS):
        chance = random.Random(seed)
        course = slow(chance)
        readings, day = [], 0.0
        while day <= 30:
            readings.append(course.reading(day, chance))
            if is_stable(readings).stable:
                passed += 1
                wrong += course.gravity(day) - course.gravity(day + 3) >= 0.002
            day += step_days
    # The test must let beer pass, too.
    assert passed > RUNS
    agree(
        f"stable but falling 0.002 in three days, of {RUNS} fermentations read every {step_days:g} days",
        wrong,
        0,
        0,
        SOURCE,
        "times",
    )


def test_does_not_keep_the_brewer_waiting(agree: Agree) -> None:
    late = []
    for seed in range(RUNS):
        chance = random.Random(seed)
        course = slow(chance)
        day = course.finished_day() + 1
        readings = [course.reading(day, chance), course.reading(day + 2, chance)]
        original = quantity(course.original, "dimensionless")
        while not is_stable(readings, original_gravity=original).stable and len(readings) < 30:
            day += 1
            readings.append(course.reading(day + 2, chance))
        late.append(day + 2 - course.finished_day())
    agree(
        "time from the end of fermentation to stable, daily readings from a day after it, median",
        sorted(late)[RUNS // 2],
        3.0,
        1.0,
        "Common practice, no source: readings two or three days apart",
        "days",
    )
