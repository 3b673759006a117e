"""Whether a message is a sentence of the language data with nothing put in between, and what the ear makes of that."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from bot.speech.commands import at_stage
from conversations.hearing import Alternative, meaning_of, settle
from conversations.intents import Context
from conversations.session.fold import EMPTY
from conversations.understanding.understand import understand
from conversations.understanding.word_for_word import is_word_for_word

NOW = datetime(2026, 3, 14, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "stage", "whole"),
    [
        ("what's the plan", "plan", True),
        ("how much will be left by the end at this rate", "boil", True),
        ("forget the pot width", None, True),
        ("yeast has really gone in", "pitch", False),
        ("the wort is cold and green", "chill", False),
        ("hops in and yeast in", "boil", False),
    ],
)
def test_one_sentence_through_the_whole_message(text: str, stage: str | None, whole: bool) -> None:
    context = Context(now=NOW, stage=stage)
    assert is_word_for_word(understand(text, context), context) == whole


@pytest.mark.parametrize(
    ("text", "stage", "decision"),
    [
        ("what's the plan", "plan", "accept"),
        ("did I miss anything", "boil", "accept"),
        # Understood, but said in other words than the data has, or of a size that is settled by then.
        ("go for ten litres", "mash", "ask"),
        ("the shop sits at five on saturdays", "boil", "ask"),
    ],
)
def test_what_stands_in_the_sentences_is_taken_though_its_shape_was_never_drawn(text: str, stage: str, decision: str) -> None:
    assert settle([Alternative(text, 1.0, like=False)], at_stage(EMPTY, stage, NOW), NOW).decision == decision


def test_the_two_ways_to_say_a_hop_are_one_meaning() -> None:
    context = Context(now=NOW, stage="plan")
    said = [meaning_of(understand(f"swap the {hop} for northdown", context)) for hop in ("fuggle", "fuggles", "goldings")]
    assert said[0] == said[1] != said[2]
