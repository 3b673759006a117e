"""Reminders that count back from the end of what runs."""

from __future__ import annotations

from datetime import timedelta

import pytest

from conversations.intents import Context
from conversations.session.events import Reminder
from conversations.understanding.beyond_sentences import read
from tests.conversations.brew_day import at_stage, minutes
from tests.conversations.corpus import NOW, ZONE
from tests.conversations.weeks import Chat


def _asked(chat: Chat) -> list[Reminder]:
    return [each for each in chat.state.reminders.values() if each.kind == "reminder"]


def _before(chat: Chat, end: str) -> timedelta:
    (mine,) = _asked(chat)
    return chat.state.reminders[f"{chat.batch.id}:{end}"].due - mine.due


@pytest.mark.parametrize(
    ("text", "stage", "end", "before"),
    [
        ("remind me to heat the rinse water ten minutes before the end", "mash", "mash_end", 10),
        ("remind me ten minutes before the end to heat the rinse water", "mash", "mash_end", 10),
        ("warn me 5 minutes before the mash ends", "mash", "mash_end", 5),
        ("give me a shout five minutes before it's done", "mash", "mash_end", 5),
        ("remind me to add the finings 15 minutes before the end of the boil", "boil", "flame_out", 15),
        ("remind me a quarter of an hour before flame-out to add the finings", "boil", "flame_out", 15),
    ],
)
def test_so_long_before_the_end_of_what_runs(text: str, stage: str, end: str, before: float) -> None:
    chat = at_stage(stage)
    chat.says(text)
    assert _before(chat, end) == timedelta(minutes=before)


def test_it_moves_with_that_end() -> None:
    chat = at_stage("mash")
    chat.says("remind me to heat the rinse water ten minutes before the end", "mash 10 minutes longer")
    assert _before(chat, "mash_end") == timedelta(minutes=10)
    chat.says("pause")
    minutes(chat, 7)
    chat.says("resume")
    assert _before(chat, "mash_end") == timedelta(minutes=10)


def test_without_a_clock_the_time_is_asked() -> None:
    chat = at_stage("plan")
    assert "When?" in chat.says("remind me to sanitise ten minutes before the end")
    assert not _asked(chat)
    chat.says("in 20 minutes")
    assert len(_asked(chat)) == 1
    mashing = at_stage("mash")
    assert "When?" in mashing.says("remind me to weigh hops 10 minutes before the end of the boil")


def test_the_one_kitchen_timer_has_an_end_too() -> None:
    chat = at_stage("plan")
    chat.says("set a timer for 30 minutes for the rice", "remind me to drain it ten minutes before the end")
    (mine,) = _asked(chat)
    assert mine.due - chat.now == pytest.approx(timedelta(minutes=20), abs=timedelta(minutes=1))


def test_what_is_nearly_over_is_said_to_be() -> None:
    chat = at_stage("mash")
    minutes(chat, 55)
    assert "that is now" in chat.says("remind me to heat water ten minutes before the end")
    assert not _asked(chat)


@pytest.mark.parametrize(
    "text",
    ["remind me 10 minutes before the end of the match to order pizza", "what goes in ten minutes before the end", "hops go in 10 minutes before the end of the boil", "the finings go in ten minutes before the end"],
)
def test_what_is_said_of_other_ends_sets_nothing(text: str) -> None:
    assert "reminder.set" not in [each.name for each in read(text, Context(now=NOW, zone=ZONE, stage="boil")).intents]
