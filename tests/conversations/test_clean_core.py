"""What is told in a clean sentence with talk behind it, and a second of the same with its words left out."""

from __future__ import annotations

from datetime import timedelta

import pytest

from conversations.intents import Context
from conversations.session.events import Heard
from conversations.session.fold import EMPTY
from conversations.session.step import step
from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import NOW, ZONE


def _read(text: str, stage: str, *names: str) -> list[tuple[str, object]]:
    found = read(text, Context(now=NOW, zone=ZONE, stage=stage, names=names))
    return [(each.name, each.slots.get("name") or each.slots.get("duration_s")) for each in found.intents]


@pytest.mark.parametrize(
    ("stage", "core", "talk"),
    [
        ("pitch", "yeast is in", "who ate my sandwich"),
        ("boil", "it's boiling now", "mum can you hold the ladder"),
        ("ferment", "it's nineteen degrees in the fermenter", "don't touch your sister's drawing"),
        ("mash", "sixty six point two degrees", "no darling leave the scissors"),
        ("mash", "cancel the rice timer", "everybody hates rice"),
    ],
)
def test_a_clean_sentence_is_taken_and_the_talk_behind_it_is_left_unread(stage: str, core: str, talk: str) -> None:
    context = Context(now=NOW, zone=ZONE, stage=stage)
    found, alone = read(f"{core} {talk}", context), read(core, context)
    assert alone.intents
    assert [(each.name, each.slots) for each in found.intents] == [(each.name, each.slots) for each in alone.intents]
    assert any(talk in piece for piece in found.unread)


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("pitch", "yeast is in not yet you wally"),
        ("pitch", "yeast is in who says"),
        ("boil", "it's boiling if you ask him"),
        ("boil", "it's boiling nobody knows that yet"),
        ("ferment", "it's nineteen degrees you'll need a coat"),
        ("mash", "thirty eight degrees you are staying in bed"),
        ("mash", "sixty six degrees come back when it's there"),
    ],
)
def test_talk_that_could_turn_it_round_leaves_all_of_it_unread(stage: str, text: str) -> None:
    assert [each for each in _read(text, stage) if not each[0].startswith("ask.")] == []


def test_talk_with_the_name_of_another_clock_is_not_left_out() -> None:
    assert _read("cancel the rice timer everybody hates dumplings", "mash", "rice") == [("timer.cancel", "rice")]
    assert _read("cancel the rice timer everybody hates dumplings", "mash", "rice", "dumplings") == []


def test_the_words_of_the_first_are_those_of_the_second() -> None:
    assert _read("set a timer for nine minutes for the rice and one for four minutes for the eggs", "mash") == [
        ("timer.start", "rice"),
        ("timer.start", "eggs"),
    ]
    counts = read("that makes nine bottles of half a litre and four of 330 millilitres", Context(now=NOW, zone=ZONE, stage="bottle"))
    assert [each.slots["count"] for each in counts.intents] == [9, 4]


def test_a_second_is_none_where_the_first_is_only_wished_for() -> None:
    for text in ("I need nine bottles of 500 ml and four of 330 ml", "if only we had nine bottles of 500 ml and four of 330"):
        assert _read(text, "bottle") == []


def test_the_reply_says_what_was_left_out() -> None:
    state = step(EMPTY, Heard(text="brew 10 litres of brown ale"), NOW - timedelta(minutes=5)).state
    told = step(state, Heard(text="2 kg pale malt no darling not on the sofa"), NOW)
    assert any('I did not get "no darling not on the sofa"' in reply.text for reply in told.replies)
