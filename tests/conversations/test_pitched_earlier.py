"""When the yeast went in, told later: the fermentation counts from then, and what is only meant, asked or somebody else's does not."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.batch_record import Record
from tests.conversations.brew_day import at_stage, minutes, recorded
from tests.conversations.weeks import LISBON, Chat


def at_pitch() -> Chat:
    """Half an hour after the transfer, on the hour."""
    chat = at_stage("pitch")
    chat.now = chat.now.replace(hour=20, minute=30, second=0, microsecond=0)
    return chat


@pytest.mark.parametrize(
    "text",
    [
        "21 degrees, sprinkled the dried yeast on at ten past eight",
        "21 degrees, sprinkled yeast on at ten past eight",
        "pitched at ten past eight, wort at 21",
        "21 degrees, yeast in at 20:10",
        "wort at 21, pitched the yeast 20 minutes ago",
    ],
)
def test_two_records_and_the_second_keeps_its_time(text: str) -> None:
    chat = at_pitch()
    said = chat.says(text)
    assert chat.batch.stage == "ferment"
    assert chat.batch.entered["ferment"] == chat.now - timedelta(minutes=20)
    assert [each.value.value for each in chat.batch.readings if each.kind == "temperature"][-1] == 21
    assert "Yeast in at 20:10" in said
    assert "did not get" not in said


def test_an_undo_takes_it_back_and_the_diary_tells_the_true_time() -> None:
    chat = at_pitch()
    chat.says("pitched at ten past eight")
    own = tuple(event for event in chat.events if event.batch == chat.batch.id)
    record = Record(chat.batch, chat.state.kit, chat.state.currency, chat.state.units, LISBON, chat.now, own)
    assert record.pitched == chat.now - timedelta(minutes=20)
    chat.says("undo")
    assert chat.batch.stage == "pitch"


def test_without_a_time_it_is_now() -> None:
    chat = at_pitch()
    chat.says("sprinkled the dried yeast on")
    assert chat.batch.entered["ferment"] == chat.now


@pytest.mark.parametrize(
    "text",
    ["will pitch at ten past eight", "pitching at ten past nine", "did I pitch at ten past eight", "neighbour pitched his yeast at ten past eight", "should have pitched at ten past eight"],
)
def test_what_is_to_come_asked_or_somebody_elses_pitches_nothing(text: str) -> None:
    chat = at_pitch()
    minutes(chat, 1)
    assert not recorded(chat, text)
