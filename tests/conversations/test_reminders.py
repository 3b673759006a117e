"""Reminders in the session: repeats across the change of clocks, counted from an event, cancelled by a word."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from conversations.session.events import Due, Heard
from conversations.session.fold import EMPTY
from conversations.session.state import State
from conversations.session.step import step

ZONE = ZoneInfo("Europe/London")
START = datetime(2026, 3, 27, 14, 0, tzinfo=ZONE)


class Chat:
    """One conversation with a clock of its own."""

    def __init__(self) -> None:
        self.state: State = EMPTY.model_copy(update={"zone": "Europe/London"})
        self.now = START

    def say(self, text: str) -> str:
        outcome = step(self.state, Heard(text=text), self.now)
        self.state = outcome.state
        return "\n".join(reply.text for reply in outcome.replies)

    def next_due(self) -> str:
        reminder = min(self.state.reminders.values(), key=lambda each: each.due)
        self.now = max(self.now, reminder.due.astimezone(ZONE))
        outcome = step(self.state, Due(key=reminder.key), self.now)
        self.state = outcome.state
        return "\n".join(reply.text for reply in outcome.replies)


def test_every_day_keeps_the_hour_when_the_clocks_change_and_every_12_hours_does_not() -> None:
    # Source: the clocks of Europe/London go forward on 29 March 2026 (IANA time zone database).
    chat = Chat()
    chat.say("remind me every day at 8 pm to check the temperature")
    hours = []
    for _ in range(4):
        assert "check the temperature" in chat.next_due()
        hours.append((chat.now.day, chat.now.hour))
    assert hours == [(27, 20), (28, 20), (29, 20), (30, 20)]
    chat.say("cancel all reminders")
    chat.say("remind me every 12 hours to swap the ice")
    before = chat.now
    chat.next_due()
    assert chat.now - before == timedelta(hours=12)


def test_a_repeat_ends_and_leaves_out_what_passed_while_nobody_was_there() -> None:
    chat = Chat()
    chat.say("remind me every 2 hours until 8 pm to stir")
    chat.now += timedelta(hours=3, minutes=30)
    assert "stir" in chat.next_due()
    assert [each.due.astimezone(ZONE).hour for each in chat.state.reminders.values()] == [18]
    chat.next_due()
    assert "That was the last one." in chat.next_due()
    assert chat.state.reminders == {}


def test_days_after_pitching_wait_for_it() -> None:
    chat = Chat()
    chat.say("brew 5 litres of bitter")
    assert "I count from then" in chat.say("remind me 3 days after pitching to take a gravity")
    chat.now += timedelta(hours=6)
    assert "Monday 30 March 20:00: take a gravity" in chat.say("yeast is in")
    assert chat.state.awaited == ()
    chat.say("undo")
    assert len(chat.state.awaited) == 1


def test_a_missing_time_is_asked_for_once() -> None:
    chat = Chat()
    assert chat.say("remind me to check the airlock").startswith("When?")
    assert "14:20: check the airlock" in chat.say("in 20 minutes")
    assert len(chat.state.reminders) == 1


def test_a_reminder_is_cancelled_by_a_word_of_it() -> None:
    chat = Chat()
    chat.say("remind me at 5 pm to swap the ice")
    chat.say("remind me at 6 pm to call home")
    assert chat.say("cancel the reminder about the ice") == "Cancelled: swap the ice."
    assert [each.name for each in chat.state.reminders.values()] == ["call home"]


def test_times_are_shown_on_the_clock_of_the_person() -> None:
    chat = Chat()
    chat.say("use a 12 hour clock")
    assert "until 2:05 pm" in chat.say("timer 5 minutes")


def test_make_that_changes_the_timer_that_was_just_started() -> None:
    chat = Chat()
    chat.say("timer 5 minutes")
    chat.say("make that 6")
    assert [each.duration_s for each in chat.state.timers] == [360.0]


def test_a_range_is_not_recorded_and_offers_both_ends() -> None:
    chat = Chat()
    chat.say("brew 5 litres of bitter")
    chat.say("grain in")
    outcome = step(chat.state, Heard(text="65-67"), chat.now)
    assert [choice.says for choice in outcome.replies[0].choices] == [
        "temperature 65 °C",
        "temperature 66 °C",
        "temperature 67 °C",
    ]
    assert outcome.state.batches[0].readings == ()


def test_a_call_that_waited_while_its_reminder_was_put_off_says_nothing() -> None:
    chat = Chat()
    chat.say("remind me in 2 hours to stir")
    [reminder] = chat.state.reminders.values()
    early = step(chat.state, Due(key=reminder.key), chat.now + timedelta(hours=1))
    assert (early.events, early.replies, early.state.reminders) == ((), (), chat.state.reminders)
    assert step(chat.state, Due(key=reminder.key), chat.now + timedelta(hours=2)).replies
