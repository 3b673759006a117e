"""What counts as a question, by degrees: for certain, perhaps, asked politely, asking leave."""

from __future__ import annotations

import pytest

from conversations.understanding import asking


@pytest.mark.parametrize("text", ["is the bag out", "was it 66", "does 6 litres fit", "can I bottle", "would the lid help", "isn't it done", "Must we stir"])
def test_these_are_questions_for_certain(text: str) -> None:
    assert asking.asks_for_certain(text)


@pytest.mark.parametrize("text", ["was at 66", "was down to 64", "was sixty six", "were adding hops", "would you pause it", "can you pause it", "bag is out", "doing well"])
def test_these_are_none_for_certain(text: str) -> None:
    assert not asking.asks_for_certain(text)


@pytest.mark.parametrize("text", ["so what now", "hmm how long", "bag out?", "and is it done", "whats next", "ok when do hops go in"])
def test_these_may_ask(text: str) -> None:
    assert asking.asks(text)


@pytest.mark.parametrize("text", ["could you pause it?", "please can you set a timer", "mash is at 66", "somehow it boiled", "potside, would you stop"])
def test_these_do_not_ask(text: str) -> None:
    assert not asking.asks(text)


def test_a_wish_for_all_of_us_is_polite_only_where_that_is_meant() -> None:
    assert not asking.asks_politely("can we pause")
    assert asking.asks_politely("can we pause", or_together=True)
    assert asking.asks_leave("can we pause")
    assert not asking.asks_leave("can i pause")
    assert asking.asks_own_leave("can i pause")
    assert asking.is_polite("pause it if you can, could you")


def test_whether_something_is_wise_or_allowed_is_told_from_what_is_asked_for() -> None:
    assert asking.wonders("so can i squeeze it")
    assert asking.wonders("is that ok")
    assert not asking.wonders("what is next")


def test_a_word_that_asks_counts_wherever_it_stands_and_only_whole() -> None:
    assert asking.has_question_word("the hops went in when")
    assert not asking.has_question_word("somewhat warm")
    assert asking.of_the_trade("bottles or keg")
    assert not asking.of_the_trade("bottles in the box")
