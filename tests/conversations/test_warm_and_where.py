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
