"""What stands beside a number: when it was taken, whose it is, what is to be reached, where somebody lives."""

from __future__ import annotations

import pytest

from conversations.intents import Context, Intent
from conversations.session.fold import EMPTY
from conversations.session.timers import change
from conversations.session.turn import Turn
from conversations.understanding.understand import understand
from tests.conversations.corpus import NOW, ZONE


def read(text: str, stage: str | None = "ferment") -> tuple[Intent, ...]:
    return understand(text, Context(now=NOW, zone=ZONE, stage=stage)).intents


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("27 C at 8 this morning", "2026-11-19T08:00"),
        ("at half past one it was 1.016", "2026-11-19T13:30"),
        ("was 1.019 yesterday at 6pm", "2026-11-18T18:00"),
        ("sunday it read 1.022", "2026-11-15T12:00"),
        ("took a reading on tuesday evening and got 1.019", "2026-11-17T20:00"),
        ("hydrometer was at 1.017 at 8 last night", "2026-11-18T20:00"),
        ("gravity 1.020 on 3 November", "2026-11-03T12:00"),
    ],
)
def test_a_reading_keeps_the_time_at_which_it_was_taken(text: str, at: str) -> None:
    (intent,) = read(text)
    assert str(intent.slots["at"]).startswith(at)


@pytest.mark.parametrize("text", ["1.018 since sunday", "1.012 after ten days", "1.009 again, same as tuesday"])
def test_how_long_it_took_is_no_time_of_a_reading(text: str) -> None:
    (intent,) = read(text)
    assert intent.name == "reading.gravity"
    assert "at" not in intent.slots


@pytest.mark.parametrize(
    ("text", "stage"),
    [
        ("66 on one side", "ferment"),
        ("water to get 8.5 litres", "plan"),
        ("boil off was 2 litres", "boil"),
        ("that was in 1066", "drain"),
        ("I had 2 pints last night", "drain"),
        ("my temperature is 38", "ferment"),
    ],
)
def test_such_numbers_are_no_readings(text: str, stage: str) -> None:
    assert not [each for each in read(text, stage) if each.name.startswith("reading.")]


@pytest.mark.parametrize(
    ("text", "zone"),
    [
        ("I live in Chicago", "America/Chicago"),
        ("we live in Scotland", "Europe/London"),
        ("I'm based in Melbourne, Australia", "Australia/Melbourne"),
        ("I'm on New York time", "America/New_York"),
    ],
)
def test_a_place_names_its_zone(text: str, zone: str) -> None:
    assert [(each.name, each.slots.get("zone")) for each in read(text, None)] == [("settings.zone", zone)]


def test_no_clock_is_changed_by_thousands_of_years() -> None:
    turn = Turn(EMPTY, NOW)
    change(turn, Intent(name="timer.extend", slots={"duration_s": 1e12}))
    assert not turn.events
    assert "more than a year" in " ".join(turn.lines)


@pytest.mark.parametrize("stage", ["steep", "chill", "transfer", "pitch"])
def test_a_figure_before_a_comma_is_not_the_one_behind_it(stage: str) -> None:
    """A fresh reader's "it's at 21, gravity 1.044" was two gravities."""
    for text in ("it's at 21, gravity 1.044", "21, gravity 1.044"):
        intents = understand(text, Context(now=NOW, stage=stage)).intents
        gravities = [each.slots["gravity"].value for each in intents if each.name == "reading.gravity"]
        assert gravities == [1.044], text
