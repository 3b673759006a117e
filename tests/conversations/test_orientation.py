"""What somebody brewing for the first time is told where they are lost, slip or hurry."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.clock import SimulatedClock
from bot.store import Store
from bot.terminal import Terminal
from conversations.understanding.answers import find_answer
from tests.conversations.weeks import Chat

RECIPE = ("brew 6 litres of lane pale", "1.1 kg pale malt", "8 g Challenger 7% at 60", "10 g Goldings 5% at 10")


@pytest.fixture
def planned() -> Chat:
    chat = Chat()
    chat.says(*RECIPE)
    return chat


@pytest.fixture
def boiling(planned: Chat) -> Chat:
    planned.says("next", "next", "grain is in")
    planned.waits(61 / 1440)
    planned.says("bag out", "it's boiling", "hops in")
    return planned


def test_help_says_how_to_begin_and_later_what_the_stage_waits_for(planned: Chat) -> None:
    assert Chat().says("help").startswith('"brew 8 litres of brown ale" starts a batch')
    planned.says("next", "next")
    told = planned.says("help")
    assert told.startswith("Heat the strike water: Fill the pot")
    assert "starts a batch" not in told


def test_the_recipe_is_not_asked_for_again_once_it_is_told(planned: Chat) -> None:
    assert 'Then say "next"' in planned.says("what's next")
    assert "recipe a line at a time" not in planned.says("what's next")
    assert "recipe a line at a time" in Chat().says("let's brew", "what's next")


def test_the_water_is_to_be_as_hot_as_the_strike_until_the_grain_is_in(planned: Chat) -> None:
    strike = planned.says("next", "next").splitlines()[0].split(" to ")[1].strip(".")
    assert strike.endswith("°C")
    assert strike in planned.says("what temperature should the water be")
    planned.says("grain is in")
    assert planned.says("what temperature should it be").endswith("in the mash.")
    assert strike not in planned.says("what temperature should it be")


def test_a_heads_up_is_not_told_beside_what_it_goes_before(boiling: Chat) -> None:
    left = boiling.says("how long left")
    assert "Hops now: 10.0 g Goldings" in left
    assert "In 1 min" not in left
    assert left.startswith("60 min left of the boil, until ")
    assert any("In 1 min: 10.0 g Goldings" in each for each in boiling.waits(51 / 1440))


def test_a_boil_that_ends_long_before_its_time_may_be_a_slip(boiling: Chat) -> None:
    assert 'That is 60 min before the end of the boil. A slip? "undo"' in boiling.says("flame out")
    assert "boil" in boiling.says("undo", "what's next").lower()
    boiling.waits(61 / 1440)
    assert "A slip" not in boiling.says("flame out")


def test_going_back_is_no_slip(planned: Chat) -> None:
    planned.says("next", "next", "grain is in")
    assert "A slip" not in planned.says("back")


def test_oops_is_told_how_to_take_back_and_takes_nothing_back(boiling: Chat) -> None:
    before = boiling.state.undo
    assert '"undo" takes back the last' in boiling.says("oops")
    assert boiling.state.undo == before
    assert Chat().says("oops") == "All right."


def test_a_label_that_ends_in_a_stop_gets_no_second_one(planned: Chat) -> None:
    assert planned.says("pot holds 10 litres", "undo") == "Taken back: Pot holds 10.0 l."


def test_water_stirred_into_the_mash_is_followed_by_its_temperature(planned: Chat) -> None:
    planned.says("next", "next", "grain is in", "64 C")
    assert "send the temperature" in planned.says("added 500 ml boiling water")


def test_a_target_that_is_nearly_met_is_not_said_to_be_met(planned: Chat) -> None:
    planned.says("next", "next")
    assert "Near enough to" in planned.says("69 C")
    assert "69.5 °C it is" in planned.says("69.5 C")


@pytest.mark.parametrize("text", ["is it still ok", "is the beer still good", "is my pot still ok to use"])
def test_still_is_a_vessel_only_where_it_is_one(text: str) -> None:
    answer = find_answer(text)
    assert answer is None or answer.key != "distilling"
    vessel = find_answer("can I build a still")
    assert vessel is not None
    assert vessel.key == "distilling"


def test_the_chat_opens_with_how_to_begin_or_with_where_the_batch_is(tmp_path: Path) -> None:
    store = Store.open(tmp_path / "diary.db")
    terminal = Terminal(store, SimulatedClock(datetime(2026, 4, 18, 10, tzinfo=UTC)), io.StringIO())
    assert "let's brew" in terminal.opening()
    terminal.say("brew 6 litres of lane pale")
    assert terminal.opening().startswith("lane pale, plan.")
    store.close()
