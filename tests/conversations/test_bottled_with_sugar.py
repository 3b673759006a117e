"""Bottles and their sugar in one message, and bottles that hold all the beer: the bottling is done, and the sugar noted."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat, lots, pitched, steady

TOLD = (
    "bottled 8 of 500 and 3 of 330 with 23 g sugar",
    "bottled it all, 8 of 500 and 3 of 330, used 23 g of table sugar",
    "23 g sugar, bottled 8 500 ml and 3 330 ml",
    "capped 8 500s and 3 330s, primed with 23 g of sugar",
)


def _ready(stage: str) -> Chat:
    return steady(stage)


@pytest.mark.parametrize("stage", ["ferment", "bottle"])
@pytest.mark.parametrize("text", TOLD)
def test_bottles_told_with_their_sugar_are_bottled(stage: str, text: str) -> None:
    chat = _ready(stage)
    said = chat.says(text)
    assert chat.batch.stage == "condition"
    assert lots(chat) == [(8, 500), (3, 330)]
    assert chat.batch.notes == ("priming sugar: 23 g table sugar",)
    assert said.startswith("Bottled: 8 of 500 ml and 3 of 330 ml")
    assert "2.1 volumes in 5.0 l" in said


@pytest.mark.parametrize("stage", ["ferment", "bottle"])
def test_sugar_for_each_bottle_is_summed(stage: str) -> None:
    chat = _ready(stage)
    chat.says("bottled 10 of 500 with 3 g sugar in each")
    assert chat.batch.notes == ("priming sugar: 30 g table sugar",)
    assert chat.batch.stage == "condition"


def test_bottles_that_hold_all_the_beer_are_the_last() -> None:
    chat = steady()
    assert chat.says("bottled 6 of 500").startswith("Bottles: 6")
    assert chat.batch.stage == "bottle"
    chat.says("bottled 9 of 500 so far")
    assert chat.batch.stage == "bottle"
    assert chat.says("bottled 8 of 500 and 3 of 330").startswith("Bottled: 8 of 500 ml and 3 of 330 ml")
    assert chat.batch.stage == "condition"


def test_two_sizes_told_from_the_fermenter_are_bottled_and_not_in_the_cupboard() -> None:
    chat = steady("ferment")
    chat.says("bottled 9 500ml and 1 330")
    assert (chat.batch.stage, lots(chat), chat.state.kit.bottles) == ("condition", [(9, 500), (1, 330)], ())


def test_what_is_not_ready_is_not_bottled_by_its_sugar() -> None:
    chat = pitched()
    chat.waits(3)
    chat.says("1.020 at 20 C")
    said = chat.says(TOLD[0])
    assert chat.batch.stage == "ferment"
    assert not chat.batch.bottles
    assert "Bottled now it could" in said


def test_much_too_much_sugar_in_closed_bottles_is_a_danger() -> None:
    chat = steady()
    said = chat.says("bottled 10 of 500 with 80 g sugar")
    assert "That is much" in said
    assert "closed box" in said


@pytest.mark.parametrize(
    "text",
    ["if I bottled 8 of 500 with 23 g sugar", "my mate bottled 8 of 500 with 23 g sugar", "should I have bottled 8 of 500 with 23 g sugar", "I never bottled 8 of 500 with 23 g sugar", "last time I bottled 8 of 500 with 23 g sugar"],
)  # fmt: skip
def test_what_is_only_talked_of_is_not_bottled(text: str) -> None:
    chat = steady()
    chat.says(text)
    assert (chat.batch.stage, chat.batch.bottles, chat.batch.notes) == ("bottle", (), ())
