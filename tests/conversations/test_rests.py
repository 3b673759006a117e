"""A mash of several rests: kept from the recipe, called on the day, counted in the times."""

from __future__ import annotations

from datetime import timedelta

import pytest

from calc.units import quantity
from conversations.session import plan, rests
from conversations.session.timeline import minutes_of
from tests.conversations.test_recipe_session import Chat

TOLD = "Mash 52 C 15 min, 64 C 45 min, 72 C 20 min"
HAND_HOB = 1.94
"""kW that reach the pot where 8 litres boil in 25 minutes: 8 kg x 4.19 kJ/kg K x 85 K / 1500 s. By hand."""


def mashing(*more: str) -> Chat:
    chat = Chat()
    for text in ("it takes 25 minutes to boil 8 litres", "brew 8 litres of wheat beer", "1 kg pilsner malt", "800 g wheat malt", TOLD, *more):
        chat.says(text)
    return chat


def test_all_rests_are_kept_and_the_main_one_is_the_mash() -> None:
    recipe = mashing().recipe
    assert [(rest.temperature.value, rest.minutes) for rest in recipe.rests] == [(52, 15), (64, 45), (72, 20)]
    assert (recipe.mash_temperature.value, recipe.mash_minutes) == (64, 45)


def test_the_strike_water_is_for_the_first_rest() -> None:
    chat = mashing()
    single = chat.recipe.model_copy(update={"rests": (), "mash_temperature": chat.recipe.rests[0].temperature})
    assert plan.strike(chat.recipe, chat.state.kit) == plan.strike(single, chat.state.kit)


def test_the_climb_takes_what_half_the_hob_needs_for_water_and_grain() -> None:
    chat = mashing()
    water_l = float(plan.mash_water(chat.recipe, chat.state.kit).magnitude)
    # Source: heat balance by hand; water 4.19 kJ/(kg K), malt 0.4 of it, 1.5 kg of steel at 0.5.
    heat_kj = (water_l * 4.19 + 1.8 * 0.4 * 4.19 + 1.5 * 0.5) * 12
    step = rests.steps(chat.recipe, chat.state.kit)[1]
    assert step.climb == pytest.approx(heat_kj / (HAND_HOB * 0.5) / 60, abs=0.8)
    assert rests.mash_length(chat.recipe, chat.state.kit) == minutes_of(chat.recipe, chat.state.kit)["mash"][0]


def test_each_rest_is_called_and_readings_are_judged_by_the_rest_of_the_hour() -> None:
    chat = mashing("grain is in")
    calls = {reminder.name: reminder for reminder in chat.state.reminders.values() if reminder.name.startswith("rest_")}
    assert set(calls) == {"rest_1", "rest_2"}
    assert "64 °C" in calls["rest_1"].text
    assert calls["rest_1"].due == pytest.approx(chat.now + timedelta(minutes=15), abs=timedelta(seconds=1))
    assert "On target (52 °C)" in chat.says("52 C")
    chat.now += timedelta(minutes=30)
    assert "On target (64 °C)" in chat.says("64 C")


def test_one_temperature_told_later_is_the_whole_mash_again() -> None:
    chat = mashing("mash at 66 for 60 minutes")
    assert chat.recipe.rests == ()
    assert "rest" not in chat.says("grain is in").lower()
    in_the_mash = mashing("grain is in", "mash at 66 for 60 minutes")
    names = [reminder.name for reminder in in_the_mash.state.reminders.values()]
    assert not any(name.startswith("rest_") for name in names)


def test_a_mash_at_one_temperature_is_one_rest() -> None:
    recipe = mashing("mash at 66 for 60 minutes").recipe
    row = rests.steps(recipe, Chat().state.kit)
    assert [(step.begins, step.ends) for step in row] == [(0.0, 60.0)]
    assert rests.rest_at(recipe, Chat().state.kit, 500.0).temperature.quantity == quantity(66.0, "degC")
