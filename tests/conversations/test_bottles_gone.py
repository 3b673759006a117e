"""Bottles drunk or given away, and how many are left."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import recorded
from tests.conversations.weeks import Chat, lots, steady


def _bottled(text: str = "bottled 8 of 500 and 3 of 330") -> Chat:
    chat = steady()
    chat.says(text)
    chat.waits(21)
    return chat


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("drank two of the 500s", "6 of 500 ml and 3 of 330 ml"),
        ("I drank one of the small ones last night", "8 of 500 ml and 2 of 330 ml"),
        ("gave three of the 330s to my brother", "8 of 500 ml, 4.0 l"),
        ("had two of the big bottles", "6 of 500 ml and 3 of 330 ml"),
    ],
)
def test_what_is_gone_is_taken_off(text: str, left: str) -> None:
    chat = _bottled()
    assert left in chat.says(text)
    assert left in chat.says("how many bottles have I got left")
    assert lots(chat) == [(8, 500), (3, 330)]
    chat.says("undo")
    assert "8 of 500 ml and 3 of 330 ml" in chat.says("how many are left?")


def test_of_several_sizes_the_size_is_asked() -> None:
    chat = _bottled()
    assert not recorded(chat, "drank two")
    assert "which size" in chat.says("drank two")


def test_of_one_size_it_is_plain_and_never_more_than_there_are() -> None:
    chat = _bottled("bottled 10 of 500")
    assert "Left: 8 of 500 ml" in chat.says("drank two")
    assert "Left: 7 of 500 ml" in chat.says("gave one of them to my brother")
    assert "Nothing is changed" in chat.says("drank 9")
    assert "10 were filled, 3 told as gone" in chat.says("how many beers left")


@pytest.mark.parametrize("text", ["had a beer", "drank two coffees", "should I drink one", "my mate drank two", "took two aspirin", "drank two pints of water", "did I drink two?", "I gave six bottles to my brother", "I want to drink one of the small ones"])
def test_what_is_no_bottle_of_this_beer_is_not_taken_off(text: str) -> None:
    chat = _bottled("bottled 10 of 500")
    chat.says(text)
    assert not chat.batch.gone


@pytest.mark.parametrize("text", ["opened a big one", "opened another bottle", "cracked open the first one"])
def test_a_bottle_that_is_opened_is_not_said_to_have_gushed(text: str) -> None:
    chat = _bottled()
    assert not recorded(chat, text)
    assert "How is it?" in chat.says(text)
