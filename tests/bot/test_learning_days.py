"""Three batches in a row in a kitchen of which the truth is known: what Potside learned of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversations.session.state import State
from tests.bot.played_days import played
from tests.bot.simulated_kitchen import Truth, days

FIXTURE_SEED = 2026
FIXTURES = Path(__file__).parents[2] / "fixtures" / "days"
KITCHENS = [Truth(), Truth(boil_off_l_h=1.2, absorption_l_kg=0.42, efficiency=0.78), Truth(boil_off_l_h=2.6, absorption_l_kg=0.85, efficiency=0.62)]


def misses(state: State, truth: Truth) -> dict[str, float]:
    """How far each learned value is off, as a share of the truth."""
    kit = state.kit
    assert kit.absorption is not None
    assert kit.efficiency is not None
    return {
        "boil_off": kit.boil_off.in_unit("litre / hour") / truth.boil_off_l_h - 1,
        "absorption": kit.absorption.in_unit("litre") / truth.absorption_l_kg - 1,
        "efficiency": kit.efficiency / truth.efficiency - 1,
    }


def test_three_rehearsed_batches_teach_the_kitchen_within_three_percent() -> None:
    # Source: the numbers that the simulation used to make the readings, noise and scatter included.
    lines = (FIXTURES / "three_batches_learned.txt").read_text(encoding="utf-8").splitlines()
    for name, miss in misses(played(lines).state, Truth()).items():
        assert abs(miss) < 0.03, (name, miss)


def test_the_rehearsal_is_what_the_simulation_makes() -> None:
    lines = (FIXTURES / "three_batches_learned.txt").read_text(encoding="utf-8").splitlines()
    made = days(FIXTURE_SEED, Truth())
    said = [line for line in lines if line and not line.startswith("#")]
    assert said[: len(made)] == made


@pytest.mark.slow
def test_other_kitchens_and_other_noise() -> None:
    """Not every kitchen comes within 3 % after three batches: readings of a home stick do not carry that far."""
    found = [miss for seed in range(8) for kitchen in KITCHENS for miss in misses(played(days(seed, kitchen)).state, kitchen).values()]
    within = sum(abs(miss) < 0.03 for miss in found) / len(found)
    assert within >= 0.9
    assert max(abs(miss) for miss in found) < 0.08


def test_next_plan_uses_what_was_learned_and_undo_gives_it_back() -> None:
    lines = days(3, Truth(), count=1)
    state = played(lines).state
    assert set(state.kit.learned) >= {"boil_off", "absorption", "efficiency", "hob_power"}
    assert "boil_off" not in state.kit.told
    again = played([*lines, "boil off 2.5 litres per hour"]).state
    assert again.kit.boil_off.value == pytest.approx(2.5)
    assert "boil_off" in again.kit.told
    assert "boil_off" not in again.kit.learned


def test_one_slip_of_the_thumb_is_set_aside() -> None:
    lines = days(5, Truth(), count=4)
    slips = [i for i, line in enumerate(lines) if line.startswith("stick")]
    # The last reading of the third boil, four centimetres too low.
    depth = float(lines[slips[5]].split()[1])
    lines[slips[5]] = f"stick {depth - 4:.1f} cm"
    for name, miss in misses(played(lines).state, Truth()).items():
        assert abs(miss) < 0.05, (name, miss)


def test_one_bad_first_batch_does_not_teach_nonsense() -> None:
    lines = days(5, Truth(), count=1)
    slip = [i for i, line in enumerate(lines) if line.startswith("stick")][-1]
    depth = float(lines[slip].split()[1])
    # The stick at flame-out read six centimetres too low: by it alone 4.4 l boiled off in an hour.
    lines[slip] = f"stick {depth - 6:.1f} cm"
    kit = played(lines).state.kit
    assert kit.efficiency is not None
    # Source: the truth is 1.9 l an hour and 68 %; the gravities contradict the stick, so that it counts for little.
    assert kit.boil_off.in_unit("litre / hour") == pytest.approx(1.9, abs=0.4)
    assert kit.efficiency == pytest.approx(0.68, abs=0.06)
