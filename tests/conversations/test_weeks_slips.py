"""Slips in the weeks: hops of a boil that is over, two sizes of bottles at once, sugar for capped bottles, another bottle tasted."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, recorded


@pytest.mark.parametrize("stage", ["ferment", "bottle", "condition"])
@pytest.mark.parametrize("text", ["the Fuggle went in at the boil", "I actually put 8 g of Goldings in the boil"])
def test_hops_of_a_boil_that_is_over_are_a_note(stage: str, text: str) -> None:
    chat = at_stage(stage)
    hops, clocks = chat.batch.recipe.hops, {*chat.state.reminders}
    chat.says(text)
    assert chat.batch.stage == stage
    assert chat.batch.recipe.hops == hops
    assert {*chat.state.reminders} <= clocks
    assert text in chat.batch.notes[-1]


@pytest.mark.parametrize("text", ["should the Fuggle have gone in at the boil?", "I wish I had put Goldings in the boil", "my mate put 8 g of Goldings in his boil", "what went in at the boil", "the Fuggle didnt go in at the boil, I put it in the bin"])
def test_what_did_not_go_in_at_the_boil_is_no_note(text: str) -> None:
    chat = at_stage("ferment")
    notes = chat.batch.notes
    chat.says(text)
    assert (chat.batch.notes, chat.batch.stage) == (notes, "ferment")


@pytest.mark.parametrize(
    "text",
    ["bottling now: six 500 ml and three 330 ml", "we filled six 500 ml and three 330 ml", "bottled 6 500 ml and 3 330 ml", "bottled six 500 ml bottles and three 330 ml bottles", "6 500 ml and 3 330 ml", "got six 500 ml and three 330 ml bottles"],
)  # fmt: skip
def test_two_sizes_in_one_message_are_both_counted(text: str) -> None:
    chat = at_stage("bottle")
    readings = chat.batch.readings
    chat.says(text)
    assert [(lot.count, lot.size.in_unit("millilitre")) for lot in chat.batch.bottles] == [(6, 500), (3, 330)]
    assert chat.batch.readings == readings


@pytest.mark.parametrize("text", ["we need six 500 ml and nine 330 ml bottles", "bottled six 500 ml and my mate three 330 ml"])
def test_of_two_sizes_one_alone_is_never_counted(text: str) -> None:
    chat = at_stage("bottle")
    bottles, readings = chat.batch.bottles, chat.batch.readings
    chat.says(text)
    assert (chat.batch.bottles, chat.batch.readings) == (bottles, readings)


@pytest.mark.parametrize("text", ["should I put more sugar in?", "its flat, can I add more sugar to the bottles?"])
def test_no_sugar_goes_into_capped_bottles(text: str) -> None:
    chat = at_stage("condition")
    said = chat.says(text)
    assert "do not open the bottles to add sugar" in said
    assert "chill one bottle" in said
    assert "stir in gently" not in said
    assert not recorded(chat, text)


def test_another_bottle_with_a_score_is_a_tasting_note() -> None:
    chat = at_stage("condition")
    said = chat.says("opened another. lots of chocolate, bit thin, nice head. 7 out of 10")
    note = chat.batch.tastings[-1]
    assert note.score == 7
    assert "chocolate" in note.taste
    assert "it has begun" not in said


def test_thin_is_not_heard_as_plain_sugar() -> None:
    chat = at_stage("condition")
    said = chat.says("tasting: lots of chocolate, a bit thin, nice head. 7/10")
    assert "Heard: thin or watery." in said


def test_a_gravity_beside_what_went_in_at_the_boil_is_not_lost() -> None:
    chat = at_stage("ferment")
    chat.says("the Fuggle went in for the boil and the gravity is 1.012")
    assert [each.value.value for each in chat.batch.readings if each.kind == "gravity"][-1] == 1.012
    assert chat.batch.stage == "ferment"


@pytest.mark.parametrize("text", ["bottled six 500 ml bottles and nine 330 ml bottles", "bottled 6 x 500 ml and 9 x 330 ml"])
def test_where_the_first_size_is_refused_the_second_is_not_counted_alone(text: str) -> None:
    chat = at_stage("ferment")
    chat.says("gravity 1.020")
    chat.says(text)
    assert (chat.batch.bottles, chat.batch.stage) == ((), "ferment")
