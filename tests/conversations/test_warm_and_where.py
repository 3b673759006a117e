"""How warm and where: the yeast's range is one, whoever asks; bottles and the fermenter have their place; another week does no harm."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, recorded

PITCH = (
    "what temp before I pitch", "what temp do I need before pitching", "what temperature do I pitch at", "how cold before the yeast goes in",
    "how cool does it need to be for the yeast",
)  # fmt: skip


@pytest.mark.parametrize("text", PITCH)
@pytest.mark.parametrize("stage", ["plan", "boil", "chill", "pitch"])
def test_the_degrees_to_pitch_at_are_told_at_any_stage(stage: str, text: str) -> None:
    said = at_stage(stage).says(text)
    assert said.startswith("Pitch at 18 °C to 22 °C for ale yeast")


def test_the_degrees_to_pitch_at_need_no_grain() -> None:
    chat = at_stage("plan")
    chat.says("new batch of pale ale")
    assert chat.says("what temp before I pitch").startswith("Pitch at 18 °C to 22 °C")


@pytest.mark.parametrize("text", ["too warm for this yeast", "is it too warm for this yeast", "is it cool enough for the yeast"])
def test_too_warm_for_the_yeast_is_judged_by_the_last_reading(text: str) -> None:
    chat = at_stage("ferment")
    assert "18 °C to 22 °C suits ale yeast" in chat.says(text)
    chat.says("fermenter at 25")
    said = chat.says(text)
    assert "25 °C by the last reading" in said
    assert "3.0 °C too warm for ale yeast" in said
    chat.waits(4)
    assert "by the last reading" not in chat.says(text)


@pytest.mark.parametrize("text", ["it's 25, too warm for this yeast?", "is 25 too warm for the yeast"])
def test_a_figure_that_is_asked_about_is_judged_and_not_kept(text: str) -> None:
    chat = at_stage("ferment")
    assert not recorded(chat, text)
    assert "too warm for ale yeast" in chat.says(text)


@pytest.mark.parametrize(
    "text",
    ["where do I keep them and how warm", "where should I store the bottles", "how do I store them", "how warm should they be", "store in fridge or warm?", "where do the bottles go now"],
)
@pytest.mark.parametrize("stage", ["bottle", "condition"])
def test_bottles_have_their_place_and_their_warmth_once(stage: str, text: str) -> None:
    said = at_stage(stage).says(text)
    assert said.count("18 °C to 22 °C for the first two weeks") == 1
    assert "strike" not in said


def test_the_fermenter_has_its_place_too() -> None:
    said = at_stage("ferment").says("where do I keep it and how warm")
    assert said.count("18 °C to 22 °C for ale yeast") == 1
    assert "Dark and steady" in said


def test_how_warm_is_of_the_mash_in_the_mash_and_of_the_water_before() -> None:
    assert "67 °C in the mash" in at_stage("mash").says("how warm should it be")
    assert "strike water" in at_stage("heat").says("how warm should it be")


@pytest.mark.parametrize("text", ["is it ok to leave it another week", "can I leave it another week", "would another week hurt", "ok to leave it two more weeks?"])
def test_another_week_on_the_yeast_does_no_harm_until_it_does(text: str) -> None:
    chat = at_stage("ferment")
    assert chat.says(text).startswith("Yes: ")
    assert not recorded(chat, text)
    chat.waits(60)
    assert "Better bottle it before" in chat.says(text)


def test_bottles_may_be_left_and_young_ones_must() -> None:
    chat = at_stage("condition")
    assert chat.says("is it ok to leave them another week").startswith("Yes")
    chat.waits(40)
    assert "keep for months" in chat.says("can I leave them another month")


@pytest.mark.parametrize("text", ["leave it another 10 minutes", "remind me to leave it another week", "I left it another week"])
def test_what_is_told_or_ordered_asks_no_leave(text: str) -> None:
    assert "on the yeast" not in at_stage("ferment").says(text)


ROOMS = (
    "cupboard was 23", "the cupboard is 23 degrees", "my flat is 26 today", "it's 24 in the cupboard", "the room was 27.5 C last night", "thermometer in the cupboard says 24", "room's about twenty three",
    "25 degrees in the spare room", "the garage got up to 29 yesterday", "kitchen is at 26",
)  # fmt: skip


@pytest.mark.parametrize("text", ROOMS)
@pytest.mark.parametrize("stage", ["pitch", "ferment"])
def test_a_room_s_warmth_is_judged_and_not_kept_as_the_beer_s(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text)
    assert "the room's, not the beer's, so not kept" in said
    assert "Stand it in a tub of cold water" in said
    assert not recorded(chat, text)
    assert any(label.startswith("fermenter at ") for label in chat.choices)


@pytest.mark.parametrize("text", ROOMS)
@pytest.mark.parametrize("stage", ["bottle", "condition"])
def test_a_warm_room_is_judged_for_the_bottles_in_it(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text)
    assert "18 °C to 22 °C" in said
    assert "Not kept" in said
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["its 32 in my flat are the bottles safe", "what if my flat gets to 30", "the loft was 41 degrees"])
def test_a_hot_room_presses_in_the_bottles(text: str) -> None:
    said = at_stage("condition").says(text)
    assert "too warm for bottles" in said
    assert "bar then, 2.9 at 20 °C" in said
    assert "Goggles" in said


def test_the_beer_s_own_warmth_is_said_with_a_button() -> None:
    chat = at_stage("ferment")
    chat.says("cupboard was 23")
    chat.says(chat.choices["fermenter at 23 °C"])
    assert chat.batch.readings[-1].value.value == 23


@pytest.mark.parametrize("text", ["fermenter in the cupboard is at 21", "the beer in the cupboard is 21 degrees", "kitchen thermometer says 21", "cupboard was 23, fermenter at 21", "beer is 21"])
def test_what_stands_in_a_room_keeps_its_own_temperature(text: str) -> None:
    chat = at_stage("ferment")
    chat.says(text)
    assert [each.value.value for each in chat.batch.readings if each.stage == "ferment"] == [21]


def test_the_mash_is_not_a_room() -> None:
    chat = at_stage("mash")
    chat.says("the kitchen is 20 and the mash is at 66")
    assert [each.value.value for each in chat.batch.readings] == [66]
    assert "taken as the room's" not in chat.says("its 66 in the kitchen")
