"""Weeks in which everything fails: what people said and were promised is there at the end, once.

Seeded: the same seed plays the same weeks. ``POTSIDE_SOAK_SEED`` and ``POTSIDE_SOAK_DAYS`` play others.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.soak.invariants import check
from tests.soak.people import Person
from tests.soak.world import START, World

SEED = int(os.environ.get("POTSIDE_SOAK_SEED", "20260922"))


def weeks(path: Path, people: int, days: int, check_every: int, damage: bool) -> World:
    world = World(path, [Person(number, SEED) for number in range(people)], START, SEED)
    for day in range(days):
        world.day(day)
        if day % check_every == check_every - 1:
            check(world)
        if damage and day % 9 == 8:
            world.damage_and_restore()
            world.calm()
            check(world)
        if day % 3 == 1:
            world.back_up()
    print(dict(world.happened), dict(check(world)))
    return world


@pytest.mark.slow
def test_five_days_of_four_people(tmp_path: Path) -> None:
    world = weeks(tmp_path / "diary.db", people=4, days=5, check_every=5, damage=False)
    assert world.happened["killed"] > 2
    assert check(world)["readings"] > 30


@pytest.mark.slow
def test_sixty_days_of_twenty_people(tmp_path: Path) -> None:
    days = int(os.environ.get("POTSIDE_SOAK_DAYS", "60"))
    world = weeks(tmp_path / "diary.db", people=20, days=days, check_every=20, damage=False)
    # Otherwise the weeks were too quiet to prove anything.
    for what in ("killed", "disk full", "read-only", "clock step", "long stop", "delivered twice", "send failed"):
        assert world.happened[what] >= 5, what
    counts = check(world)
    assert counts["readings"] > 1000
    assert counts["reminders fired"] > 1000


@pytest.mark.slow
def test_damaged_pages_are_noticed_and_a_backup_takes_over(tmp_path: Path) -> None:
    world = weeks(tmp_path / "diary.db", people=6, days=30, check_every=10, damage=True)
    assert world.happened["damaged"] == 3
