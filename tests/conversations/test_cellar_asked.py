"""The gravity and the temperatures as a picture, and the diary as a file, asked in the weeks."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat, pitched, steady


def _unmeasured() -> Chat:
    chat = Chat()
    chat.says("brew 5 litres of mild", "1.1 kg pale malt", "use dry ale yeast", "chilled", "5 litres", "transferred", "yeast is in")
    chat.waits(3)
    return chat


def test_a_gravity_without_an_original_says_what_the_recipe_gives() -> None:
    chat = _unmeasured()
    assert "By the recipe it began at 1.044; that was not measured." in chat.says("show me the gravity")
    said = chat.says("1.020 at 20 C", "show me the gravity")
    assert "1.044 by the recipe, not measured: about 3.2 % alcohol" in said
    assert [each.kind for each in chat.attached] == ["gravity_chart"]


def test_a_measured_original_is_not_said_to_be_of_the_recipe() -> None:
    chat = steady()
    assert "by the recipe" not in chat.says("show me the gravity")


@pytest.mark.parametrize("text", ["picture of the fermentation temperatures", "graph of the temperature", "fermentation temperature chart"])
def test_temperatures_are_told_with_their_picture(text: str) -> None:
    chat = pitched()
    assert "No temperature" in chat.says(text)
    chat.says("19 C in the fermenter")
    chat.waits(1)
    said = chat.says("21 C in the fermenter", text)
    assert said.startswith("19 °C to 21 °C in 2 readings.")
    assert [each.kind for each in chat.attached] == ["gravity_chart"]


@pytest.mark.parametrize("text", ["export the diary", "how do I export the diary", "can I have the diary as a file", "download my brewing log"])
def test_the_diary_is_exported(text: str) -> None:
    chat = steady()
    chat.says(text)
    assert "data_json" in [each.kind for each in chat.attached]
