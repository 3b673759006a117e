""" "Forget everything" is asked back, "forget the pot height" takes back what was told of the kit."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat


def _told() -> Chat:
    chat = Chat()
    chat.says("brew 8 litres of Fen bitter", "pot is 28 cm across", "pot height is 25 cm", "timer 10 minutes")
    return chat


@pytest.mark.parametrize("said", ["forget everything", "delete everything", "forget it all", "forget the lot", "scrap everything", "clear all", "remove all of it"])
def test_forget_everything_does_nothing_and_asks(said: str) -> None:
    chat = _told()
    before = chat.state
    answer = chat.says(said)
    assert "Forget what? Nothing is changed yet." in answer
    assert (chat.state.timers, chat.state.kit, chat.state.batches) == (before.timers, before.kit, before.batches)
    assert {"cancel all timers", "delete this batch", "erase my data"} <= set(chat.choices.values())


@pytest.mark.parametrize("said", ["cancel everything", "forget the timers", "forget all timers", "get rid of all timers", "delete all my timers"])
def test_of_the_clocks_it_is_the_clocks(said: str) -> None:
    chat = _told()
    chat.says(said)
    assert not chat.state.timers


@pytest.mark.parametrize("said", ["forget the pot height", "delete the height of the pot", "reset the pot height", "forget what I said about the pot height", "can you forget my pot height"])
def test_a_value_of_the_kit_is_taken_back(said: str) -> None:
    chat = _told()
    answer = chat.says(said)
    assert "forgotten" in answer
    assert (chat.state.kit.pot_height, chat.state.kit.told) == (None, ("pot_diameter",))
    assert chat.state.timers
    chat.says("undo")
    assert chat.state.kit.pot_height is not None


@pytest.mark.parametrize("said", ["I forget the pot height", "don't forget the pot height", "did you forget the pot height", "I forgot the pot height", "what if I forget the pot height"])
def test_what_slipped_the_mind_is_still_known(said: str) -> None:
    chat = _told()
    before = chat.state.kit
    chat.says(said)
    assert chat.state.kit == before


def test_what_was_never_told_is_said_so() -> None:
    chat = _told()
    before = chat.state.kit
    assert "nothing was told" in chat.says("forget the boil-off")
    assert chat.state.kit == before
