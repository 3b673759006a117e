"""Why a number is counted with: the chain, and where it comes from."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat

RECIPE = "recipe: Old bitter; 8 litres; 1.6 kg pale malt; 20 g fuggle 5% at 60; dry english ale yeast; mash at 66"


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("how do you know my boil-off", "1.50 l an hour: assumed"),
        ("why 1.5 litres an hour", "1.50 l an hour: assumed"),
        ("where does my efficiency come from", "72.0 %: assumed"),
        ("explain the 1.041", "in the pot after the boil, that is 1.041"),
        ("why did you think 1.041?", "72.0 % reaches the pot (assumed, usual)"),
        ("why do you think it will be 4 %", "ferments 65 to 75 %"),
    ],
)
def test_why(said: str, answer: str) -> None:
    chat = Chat()
    chat.says(RECIPE)
    assert answer in chat.says(said)


def test_forgetting_what_was_learned_takes_nothing_over() -> None:
    chat = Chat()
    chat.says(RECIPE)
    before = chat.state.kit
    assert "Nothing is changed" in chat.says("forget what you learned")
    assert chat.state.kit == before
