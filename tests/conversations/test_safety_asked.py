"""Bottles under too much pressure, a lid that bulges, a hot pot moved into ice: the caution comes, however it is said."""

from __future__ import annotations

import pytest

from calc.carbonation import from_volumes
from calc.pressure import bottle_pressure
from calc.units import quantity
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


BOTTLES_IN_THE_HEAT = (
    "will they explode if i put them on the radiator", "can I leave the bottles in the sun", "ok to keep them by the oven", "is it safe to keep them in the car",
    "put them on top of the boiler ok?", "they got a bit hot in the car is that dangerous", "the bottles are stood next to the radiator", "would a warm room be too warm for them",
    "can i put em near the heater so they carb up quicker", "bottles in the conservatory alright?", "my bottles were in the sun all day", "they are on the windowsill",
    "do they pop if it gets really hot", "summer is coming, could the bottles burst",
)  # fmt: skip


@pytest.mark.parametrize("text", BOTTLES_IN_THE_HEAT)
@pytest.mark.parametrize("stage", ["bottle", "condition"])
def test_warmth_makes_pressure_in_bottles_and_nothing_is_recorded(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text)
    assert "Glass can burst" in said
    assert "nobody near" in said
    assert "Goggles" in said
    assert not recorded(chat, text)


def test_so_much_more_pressure_as_the_answer_says() -> None:
    cool, hot = (bottle_pressure(from_volumes(2.4), quantity(degrees, "degC")).to("bar").magnitude for degrees in (20, 40))
    assert hot / cool == pytest.approx(5 / 3, rel=0.03)


@pytest.mark.parametrize("text", ["can i put it on the radiator", "the fermenter is next to the radiator", "is it ok in the sun", "keep the bucket by the boiler?"])
def test_a_fermenter_stands_away_from_direct_heat(text: str) -> None:
    chat = at_stage("ferment")
    assert "direct heat swings" in chat.says(text)
    assert not recorded(chat, text)


@pytest.mark.parametrize(
    "text",
    ["dry the bottles in the oven", "can i sterilise bottles in the oven", "it is hot today", "the car broke down", "shes at the beach in the sun", "where do I keep them", "put two in the fridge"],
)
def test_other_heat_is_no_pressure(text: str) -> None:
    assert "Glass can burst" not in at_stage("condition").says(text)


@pytest.mark.parametrize(
    "text",
    [
        "cap didnt seal", "one of the caps is loose", "one cap isnt on right", "a cap came off", "the cap wasnt tight on one", "i can hear hissing from a cap", "one of the tops is leaking",
        "swing top doesnt seal", "one bottle wasnt capped properly", "cap popped off",
    ],
)  # fmt: skip
@pytest.mark.parametrize("stage", ["bottle", "condition"])
def test_a_cap_that_does_not_seal_is_put_right_and_no_gusher(stage: str, text: str) -> None:
    chat = at_stage(stage)
    assert "new sanitised cap" in chat.says(text)
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["all capped", "the caps are silver", "how many caps do I need", "capped them all"])
def test_good_caps_are_no_loose_ones(text: str) -> None:
    assert "new sanitised cap" not in at_stage("bottle").says(text)
