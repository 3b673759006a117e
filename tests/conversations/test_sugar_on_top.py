"""More sugar into bottles that are filled: the danger first, at whatever stage it is asked, and a note where it was done."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, recorded
from tests.conversations.weeks import Chat, lots

ASKED = (
    "can I add more sugar to the bottles?",
    "is it ok to open a bottle and add sugar",
    "they're flat, should I add sugar to each bottle",
    "what if I add another spoon of sugar to each bottle",
    "can I top up the bottles with sugar",
    "I already capped them, can I add more sugar",
    "do the bottles need more sugar?",
    "can I add sugar after bottling",
    "add more sugar to the bottles",
    "how much more sugar can I put in capped bottles",
)


@pytest.mark.parametrize("stage", ["mash", "ferment", "bottle", "condition"])
@pytest.mark.parametrize("text", ASKED)
def test_the_danger_is_told_at_every_stage(stage: str, text: str) -> None:
    chat = at_stage(stage)
    assert not recorded(chat, text)
    said = chat.says(text)
    assert "do not open the bottles to add sugar" in said
    assert "bursts glass" in said
    assert "stir in gently" not in said


@pytest.mark.parametrize("text", ["more sugar?", "a bit more sugar then?"])
def test_the_danger_is_told_in_few_words(text: str) -> None:
    chat = at_stage("condition")
    assert not recorded(chat, text)
    assert "do not open the bottles to add sugar" in chat.says(text)


def test_the_danger_is_told_where_no_batch_runs() -> None:
    assert "do not open the bottles to add sugar" in Chat().says(ASKED[0])


def test_what_is_bottled_unfinished_is_not_to_be_kept_warm() -> None:
    chat = at_stage("ferment")
    chat.says("gravity 1.020", "bottle anyway, I accept the risk", "bottled 14 of 500 ml")
    said = chat.says(ASKED[0])
    assert chat.batch.stage == "condition"
    assert "no warmer place" in said
    assert "24 °C" not in said


@pytest.mark.parametrize(
    "text", ["how do I add priming sugar", "do I put sugar in each bottle or in the bucket", "how much sugar per bottle", "do the big bottles need more sugar", "should I add more sugar to the fermenter"]
)
def test_what_is_asked_before_capping_is_another_question(text: str) -> None:
    assert "do not open the bottles" not in at_stage("bottle").says(text)


@pytest.mark.parametrize("stage", ["bottle", "condition"])
@pytest.mark.parametrize("text", ["I opened them all and put half a teaspoon of sugar in each", "put another 10 g of sugar in the bottles", "I added a bit more sugar to the bottles"])
def test_sugar_that_is_in_on_top_is_a_note_with_its_danger(stage: str, text: str) -> None:
    chat = at_stage(stage)
    before = lots(chat)
    said = chat.says(text)
    assert (chat.batch.stage, lots(chat)) == (stage, before)
    assert text in chat.batch.notes[-1]
    assert "closed box" in said


@pytest.mark.parametrize("stage", ["bottle", "condition"])
@pytest.mark.parametrize(
    "text",
    ["I wish I had put more sugar in the bottles", "my mate put more sugar in his bottles", "I never put more sugar in the bottles", "should have put more sugar in the bottles", "I almost added more sugar to the bottles", "I added the sugar before capping the bottles"],
)  # fmt: skip
def test_sugar_that_is_not_in_is_no_note(stage: str, text: str) -> None:
    assert not recorded(at_stage(stage), text)
