"""Bottles under too much pressure, a lid that bulges, a hot pot moved into ice: the caution comes, however it is said."""

from __future__ import annotations

import pytest

from conversations.understanding.answers import find_answer
from tests.conversations.brew_day import at_stage, recorded

HARD_BOTTLES = (
    "is it safe if one bottle feels rock hard",
    "bottle is rock hard",
    "bottles rock solid should I worry",
    "one's bulging",
    "they're bulging a bit at the bottom",
    "two of the bottles feel really hard",
    "the caps are domed",
    "the bottle's swollen",
    "should I open a bottle that is bulging",
    "when can I drink them, the caps are bulging",
    "bottles really tight",
    "I can't squeeze the bottle at all",
    "all the bottles are rock hard after 3 days",
)
NO_HARD_BOTTLES = (
    "is it hard to brew", "my water is very hard", "that was hard work", "bottle caps are hard to find", "labels are hard to get off the bottles",
    "crimping caps is hard", "the bag is rock solid", "how hard should it boil", "bottle one is done", "the hydrometer is hard to read",
)  # fmt: skip


@pytest.mark.parametrize("text", HARD_BOTTLES)
@pytest.mark.parametrize("stage", ["bottle", "condition"])
def test_an_overcarbonated_bottle_is_met_with_distance_and_protection(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text).lower()
    assert all(word in said for word in ("goggles", "gloves", "towel", "fridge", "vent slowly", "stand away", "qualified"))
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", NO_HARD_BOTTLES)
def test_hard_means_something_else_elsewhere(text: str) -> None:
    found = find_answer(text)
    assert found is None or found.key != "hard_bottle"


@pytest.mark.parametrize("text", ["the fermenter lid is bulging", "bucket lid is domed up", "my fermenter looks swollen"])
def test_a_bulging_fermenter_is_let_off_slowly(text: str) -> None:
    said = at_stage("ferment").says(text)
    assert "Face away" in said
    assert "airlock" in said


@pytest.mark.parametrize("text", ["lid on and into a sink full of ice", "lid on, into a bath full of cold water", "pot into a bucket of iced water"])
@pytest.mark.parametrize("stage", ["boil", "steep"])
def test_a_pot_that_goes_into_ice_is_chilling_and_the_hot_pot_is_minded(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text)
    assert "do not carry a full hot pot alone" in said
    assert "I did not get" not in said
    assert chat.batch.stage == "chill"


@pytest.mark.parametrize(
    "text",
    ["I should put it into a sink full of ice", "next it goes into a sink full of ice", "is a sink full of ice enough", "don't put it into a sink full of ice"],
)
def test_ice_that_is_only_spoken_of_moves_nothing(text: str) -> None:
    chat = at_stage("steep")
    assert not recorded(chat, text)
