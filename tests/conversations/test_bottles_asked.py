"""Bottles of several sizes asked about in one message: each size belongs to the question, and nothing is counted by asking."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import lots, steady


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("are 8 500s and 3 330s enough", "Enough: 8 of 500 ml and 3 of 330 ml, 5.0 l"),
        ("8 of 500 and 3 of 330, is that enough", "Enough: 8 of 500 ml and 3 of 330 ml, 5.0 l"),
        ("will 6 of 500 and 4 of 330 be enough?", "Not enough: 6 of 500 ml and 4 of 330 ml, 4.3 l, for 5.0 l (as measured). 2 more of 500 ml."),
    ],
)
def test_all_sizes_are_held_against_the_beer(text: str, answer: str) -> None:
    chat = steady()
    assert answer in chat.says(text)
    assert (chat.batch.bottles, chat.state.kit.bottles) == ((), ())


def test_bottles_that_were_just_told_are_what_is_enough() -> None:
    chat = steady("ferment")
    assert "Enough: 8 of 500 ml and 3 of 330 ml" in chat.says("I have 8 of 500 and 3 of 330 bottles", "is that enough")
    assert "It can be bottled" in chat.says("1.011 at 20 C", "is that enough")


def test_what_somebody_has_is_kept_beside_the_question() -> None:
    chat = steady("ferment")
    assert "Not enough: 6 of 500 ml and 4 of 330 ml" in chat.says("i have 6 500 ml and 4 330 ml bottles, is that enough?")
    assert [count for count, _ in chat.state.kit.bottles] == [6, 4]


@pytest.mark.parametrize("text", ["how much sugar for 750 ml, 500 ml and 330 ml bottles", "how much sugar for the 750s, the 500s and the 330s"])
def test_sugar_of_several_sizes_is_one_short_answer(text: str) -> None:
    chat = steady()
    said = chat.says(text)
    assert said.startswith("4.4 g in 750 ml, 2.9 g in 500 ml, 1.9 g in 330 ml")
    assert len(said.splitlines()) <= 3
    assert "29 g for all 5.0 l" in said


def test_sugar_of_counted_sizes_is_for_them_all() -> None:
    chat = steady()
    said = chat.says("how much sugar for 2 of 750, 4 of 500 and 5 of 330")
    assert said.count("Sugar: ") == 1
    assert "for 5.2 l" in said
    assert not chat.batch.bottles


@pytest.mark.parametrize("text", ["are 8 500s enough for 6 litres of stout", "is 330 or 500 better"])
def test_another_question_is_left_alone(text: str) -> None:
    said = steady().says(text)
    assert not said.startswith(("Enough", "Not enough"))


def test_how_many_have_i_got_counts_the_filled_ones() -> None:
    chat = steady()
    chat.says("6 500 ml and 3 330 ml")
    assert lots(chat) == [(6, 500), (3, 330)]
    assert chat.says("how many bottles have I got").startswith("6 of 500 ml and 3 of 330 ml")
