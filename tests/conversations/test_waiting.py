"""The weeks of waiting: how long, when to drink, what is due today, a quiet airlock, unchanged so far, per bottle."""

from __future__ import annotations

import re

import pytest

from conversations.session.events import Heard
from conversations.session.step import step
from tests.conversations.weeks import Chat, pitched


def _fermenting(*gravities: tuple[float, str]) -> Chat:
    """A chat with gravities so many days after the one before."""
    chat = pitched()
    for days, gravity in gravities:
        chat.waits(days)
        chat.says(f"{gravity} at 20 C")
    return chat


@pytest.mark.parametrize("asked", ["how long does this take", "how long is this going to take", "how long will it take", "how much longer will it be", "how long does fermentation last", "quick one, how long will this take"])
def test_how_long_it_takes_is_told_in_days(asked: str) -> None:
    chat = _fermenting((3, "1.022"))
    before = chat.batch
    answer = chat.says(asked)
    assert "It should end at" in answer
    assert re.search(r"Ready to drink about \w+ \d+ \w+, in \d+ days", answer)
    assert chat.batch == before


def test_on_the_hob_it_is_the_clock() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Stair bitter", "1.1 kg pale malt", "mashed in")
    assert "Ready to drink" not in chat.says("how long does this take")


@pytest.mark.parametrize("asked", ["when can I drink it", "when is it ready to drink", "can I drink it yet?", "how long before I can drink it", "when will it be drinkable", "when can I taste it"])
def test_when_it_can_be_drunk(asked: str) -> None:
    chat = _fermenting((3, "1.022"), (4, "1.011"), (2, "1.011"))
    # The proof is there: bottled today it is ready in the page's 14 days.
    assert "Ready to drink about Monday 2 February, in 14 days." in chat.says(asked)


@pytest.mark.parametrize("asked", ["what have I got to do today", "what do I do today", "anything to do today?", "what needs doing today", "what's on today", "what's due today", "any jobs for today"])
def test_what_is_due_today(asked: str) -> None:
    chat = pitched()
    assert "First look" in chat.says(asked)
    assert "First look" not in chat.says("what do I have to do tomorrow")


def test_what_was_done_today_is_still_the_diary() -> None:
    chat = _fermenting((2, "1.030"))
    assert "1.030" in chat.says("what did I do today")


def test_what_is_overdue_is_said_so_and_not_counted_backwards() -> None:
    chat = pitched()
    # The messenger was off: nothing has fired for two days.
    chat.now = chat.now.replace(day=chat.now.day + 2)
    for asked in ("how long left", "what's next", "what have I got to do today"):
        text = "\n".join(reply.text for reply in step(chat.state, Heard(text=asked), chat.now).replies)
        assert "Overdue since" in text
        assert not re.search(r"-\d", text)


@pytest.mark.parametrize("asked", ["what day did I pitch", "which day did I pitch the yeast", "what date did I pitch"])
def test_the_day_of_pitching_is_not_today(asked: str) -> None:
    chat = pitched()
    chat.waits(2)
    answer = chat.says(asked)
    assert "Saturday 10 January" in answer
    assert "Monday" in chat.says("what day is it")


def test_unchanged_for_a_day_is_said_and_what_is_missing() -> None:
    chat = _fermenting((3, "1.022"), (2, "1.012"))
    assert "Still falling" in chat.says("is it done")
    chat.waits(1)
    answer = chat.says("still 1.012 at 20 C")
    assert "1.012 again, unchanged for 1.0 days so far" in answer
    # Two days from the first of the two: the 15th and two days.
    assert "on Saturday 17 January or later" in answer
    assert "Do not bottle yet" in answer
    chat.waits(1)
    assert "Stable: 1.012" in chat.says("1.012 at 20 C")


def test_two_readings_of_one_hour_prove_nothing() -> None:
    chat = _fermenting((3, "1.022"), (2, "1.012"))
    chat.waits(0.04)
    assert "unchanged" not in chat.says("1.012 at 20 C")


@pytest.mark.parametrize("said", ["airlock has stopped", "the bubbling has stopped", "no more bubbles", "it's gone quiet"])
def test_a_quiet_airlock_is_weighed_by_how_far_it_is(said: str) -> None:
    early, late = pitched(), _fermenting((3, "1.022"), (2, "1.013"))
    early.waits(0.5)
    assert "a lag of a day is common" in early.says(said)
    answer = late.says(said)
    # By hand, in points: (48 - 13) / 48 is 73 %; by extract a percent less.
    assert re.search(r"7[23] % attenuated", answer)
    assert "fresh yeast" not in answer
    done = _fermenting((3, "1.022"), (4, "1.011"), (2, "1.011"))
    assert "Stable: 1.011" in done.says(said)


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("airlock every 8 seconds now", "every 8 s: well at work"), ("a bubble every 30 seconds", "every 30 s: slowing down"), ("one bubble every 2 minutes", "every 2 min: nearly quiet"),
        ("5 bubbles a minute", "every 12 s: well at work"), ("airlock goes every half a minute", "every 30 s: slowing"), ("6 seconds between bubbles", "every 6 s: well at work"),
    ],
)  # fmt: skip
def test_so_many_bubbles(said: str, answer: str) -> None:
    chat = _fermenting((3, "1.022"))
    readings = len(chat.batch.readings)
    assert answer in chat.says(said)
    assert (len(chat.batch.readings), len(chat.state.timers)) == (readings, 0)


@pytest.mark.parametrize("asked", ["how much per bottle then", "how much is that per bottle", "and per bottle", "how much goes in each bottle", "how many grams in each"])
def test_per_bottle_behind_the_sugar_is_the_sugar(asked: str) -> None:
    chat = _fermenting((3, "1.022"), (4, "1.011"), (2, "1.011"))
    sugar = chat.says("how much priming sugar for 5 litres")
    assert re.findall(r"[\d.]+ g in \d+ ml", chat.says(asked)) == re.findall(r"[\d.]+ g in \d+ ml", sugar)
    assert "price" in chat.says("what does a bottle cost")


def test_the_warm_rest_is_said_once_though_the_forecast_moves() -> None:
    chat, said = pitched(original="1.046"), list[str]()
    for days, gravity in ((2, "1.022"), (1, "1.012"), (1, "1.012"), (4, "1.012")):
        said += chat.waits(days)
        chat.says(f"{gravity} at 20 C")
    assert sum("Warm rest" in each for each in said) == 1


@pytest.mark.parametrize("asked", ["22 now can i pitch", "can I pitch yet"])
def test_once_the_yeast_is_in_nobody_pitches_again(asked: str) -> None:
    chat = _fermenting((3, "1.022"))
    before = chat.batch
    assert "is in already" in chat.says(asked)
    assert chat.batch == before
