"""Questions on the way from the mash to the glass: losses, strength, fizz, a little less hops; and the chiller, the bag, the level at the start."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, minutes, recorded


def _reading(chat_text: str, stage: str = "boil") -> float:
    chat = at_stage(stage)
    minutes(chat, 20)
    chat.says(chat_text)
    newest = [each for each in chat.batch.readings if each.kind == "volume" and abs(each.value.value - 7.8) < 0.01]
    assert len(newest) == 1
    began = chat.batch.boil_started
    assert began is not None
    return (newest[0].at - began).total_seconds()


@pytest.mark.parametrize(
    "text",
    ["level's 7.8 L as of the start", "7.8 litres at the start of the boil", "it was 7.8 litres when the boil started", "started the boil with 7.8 litres", "had 7.8 l at the start"],
)
def test_litres_of_the_start_of_the_boil_are_kept_for_then(text: str) -> None:
    assert _reading(text) == 0


@pytest.mark.parametrize("text", ["7.8 litres", "level's 7.8 L now"])
def test_litres_without_a_start_are_of_now(text: str) -> None:
    assert _reading(text) == 1200


@pytest.mark.parametrize("text", ["was it 7.8 litres at the start", "should have had 7.8 l at the start", "how much should I have had at the start"])
def test_litres_that_are_asked_or_wished_for_are_none(text: str) -> None:
    assert not recorded(at_stage("boil"), text)


@pytest.mark.parametrize("text", ["righto bag's coming out", "bag's coming out", "bag is coming out now", "right, lifting the bag"])
def test_the_bag_that_is_coming_out_is_out(text: str) -> None:
    chat = at_stage("mash")
    chat.says(text)
    assert chat.batch.stage == "drain"


@pytest.mark.parametrize("text", ["bag comes out in ten minutes", "when is the bag coming out", "bag's coming out soon", "is the bag coming out", "bag's not coming out yet", "righto"])
def test_the_bag_that_is_to_come_out_is_not(text: str) -> None:
    assert not recorded(at_stage("mash"), text)


def test_when_the_bag_comes_out_tells_what_is_left_of_the_mash() -> None:
    assert "60 min left of the mash" in at_stage("mash").says("when is the bag coming out")


@pytest.mark.parametrize("text", ["chiller's in", "put the chiller in", "immersion chiller in", "chiller is in the pot"])
def test_a_chiller_is_boiled_in_the_boil_and_chills_after_it(text: str) -> None:
    chat = at_stage("boil")
    assert "water on after flame-out" in chat.says(text)
    assert chat.batch.stage == "boil"
    chat = at_stage("steep")
    chat.says(text)
    assert chat.batch.stage == "chill"


@pytest.mark.parametrize("text", ["shall I put the chiller in", "chiller's not in yet", "when do I put the chiller in", "should I buy a chiller", "is the chiller in"])
def test_a_chiller_that_is_asked_about_moves_nothing(text: str) -> None:
    for stage in ("boil", "steep"):
        assert not recorded(at_stage(stage), text)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("will 7 grams instead of 8 make it less bitter", "less"),
        ("what if I use 7 g of goldings instead of 8", "less"),
        ("would 9 g instead of 8 make it more bitter", "more"),
        ("does 7 g rather than 8 matter", "less"),
    ],
)
@pytest.mark.parametrize("stage", ["plan", "boil"])
def test_a_little_less_hops_is_reckoned_and_nothing_is_changed(stage: str, text: str, word: str) -> None:
    chat = at_stage(stage)
    assert not recorded(chat, text)
    said = chat.says(text)
    assert said.startswith("Hardly: 0.5 IBU " + word)
    assert "Nothing is changed yet" in said


def test_many_more_hops_are_tasted_and_an_amount_that_is_not_there_is_said_so() -> None:
    chat = at_stage("plan")
    assert chat.says("will 20 g instead of 12 make it more bitter").startswith("Yes: 1")
    assert "No hop of 30 g is planned: 12.0 g Fuggle, 8.0 g Goldings" in chat.says("will 25 g instead of 30 make it less bitter")


def test_an_amount_that_is_told_in_the_same_unit_is_changed() -> None:
    chat = at_stage("plan")
    chat.says("7 grams instead of 8")
    assert [hop.mass.value for hop in chat.batch.recipe.hops] == [12, 7]


@pytest.mark.parametrize("text", ["what strength did it end up at", "how strong did it turn out", "what ABV did it come out at", "what did it end up at", "how alcoholic did it get"])
@pytest.mark.parametrize("stage", ["bottle", "condition"])
def test_the_strength_that_it_ended_up_at_is_of_its_gravities(stage: str, text: str) -> None:
    assert at_stage(stage).says(text) == "4.5 % alcohol by volume, from 1.045 to 1.011."


@pytest.mark.parametrize(
    ("text", "volumes"),
    [
        ("how much sugar for a fairly flat fizz", "1.8 volumes"),
        ("how much sugar for a soft carbonation", "1.8 volumes"),
        ("how much sugar if I want it less fizzy", "1.8 volumes"),
        ("how much sugar for a lively fizz", "2.8 volumes"),
        ("how much sugar if I want it very fizzy", "2.8 volumes"),
        ("how much sugar", "2.4 volumes"),
    ],
)
def test_sugar_for_a_fizz_in_words_is_shown_and_not_kept(text: str, volumes: str) -> None:
    for stage in ("ferment", "bottle"):
        chat = at_stage(stage)
        said = chat.says(text)
        assert volumes in said.split("\n")[0]
        assert chat.batch.priming.volumes == 2.4
        assert ("Not yet: gravity is not proven steady" in said) == (stage == "ferment")


def test_flat_bottles_are_still_a_finding() -> None:
    chat = at_stage("condition")
    said = chat.says("they are flat")
    assert "volumes." not in said


@pytest.mark.parametrize("text", ["how much did I lose", "how much was lost", "how many litres have I lost so far"])
def test_losses_are_what_was_measured_on_the_way(text: str) -> None:
    # 10 l hot before the boil are 9.6 l cold; 14 bottles of 500 ml are 7 l.
    assert "7.6 l in the fermenter" in at_stage("ferment").says(text)
    said = at_stage("condition").says(text)
    assert "600 ml to yeast, samples and what stays in the fermenter: 7.6 l in the fermenter, 7.0 l in bottles." in said
    assert "in all, counted cold" in said


def test_losses_need_two_measurements() -> None:
    chat = at_stage("transfer")
    assert "I need the litres before and after" in chat.says("how much did I lose")
    assert not recorded(chat, "how much did I lose")
