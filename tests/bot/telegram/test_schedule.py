"""Reminders: on time, once, together when they were missed, quiet when they can wait."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from conversations.session.events import Due, Heard
from conversations.session.fold import EMPTY
from conversations.session.outcome import Outcome
from conversations.session.quiet import ends
from conversations.session.state import State
from conversations.session.step import step
from tests.bot.telegram.kitchen import BEN, Kitchen
from tests.bot.telegram.test_access import token_in


def told(kitchen: Kitchen, after: int) -> list[str]:
    return [reply.text for row, _, reply in kitchen.outbox() if row > after]


async def test_due_reminder_is_said_once(kitchen: Kitchen) -> None:
    await kitchen.say("remind me in 5 minutes to stir")
    before = kitchen.last_reply()
    kitchen.later(minutes=4, seconds=59)
    assert kitchen.schedule.tick() == 0
    kitchen.later(seconds=1)
    assert kitchen.schedule.tick() == 1
    assert kitchen.schedule.tick() == 0
    assert told(kitchen, before) == ["Reminder: stir."]


async def test_missed_reminders_come_as_one_message_with_advice(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    for minutes in range(10, 30):
        await kitchen.say(f"remind me in {minutes} minutes to look at thing{minutes}")
    before = kitchen.last_reply()
    kitchen.later(hours=3)
    kitchen.schedule.tick()
    (message,) = told(kitchen, before)
    assert message.startswith("I was away: 20 reminders were missed, the first 2 h 50 min ago.")
    assert "thing10" in message
    assert "and 14 more." in message
    assert len(message.splitlines()) <= 10
    assert kitchen.store.next_due("telegram:11") is None
    assert kitchen.schedule.tick() == 0


async def test_what_is_on_the_hob_comes_first_and_gets_its_advice(kitchen: Kitchen) -> None:
    await kitchen.say("brew 8 litres of brown ale")
    await kitchen.say("remind me in 5 minutes to feed the cat")
    await kitchen.say("12 g Fuggle 5% at 60")
    await kitchen.say("it's boiling")
    before = kitchen.last_reply()
    kitchen.later(hours=4)
    kitchen.schedule.tick()
    (message,) = told(kitchen, before)
    assert "turn the hob off first" in message
    assert message.index("Flame-out") < message.index("cat")


async def test_one_late_reminder_says_how_late(kitchen: Kitchen) -> None:
    await kitchen.say("remind me in 5 minutes to stir")
    before = kitchen.last_reply()
    kitchen.later(minutes=15)
    kitchen.schedule.tick()
    assert told(kitchen, before) == ["10 min late: Reminder: stir."]


async def test_clock_put_back_repeats_nothing(kitchen: Kitchen) -> None:
    await kitchen.say("remind me in 5 minutes to stir")
    kitchen.later(minutes=5)
    kitchen.schedule.tick()
    before = kitchen.last_reply()
    kitchen.later(hours=-1)
    kitchen.schedule.tick()
    kitchen.later(hours=1, minutes=10)
    kitchen.schedule.tick()
    assert told(kitchen, before) == []


async def test_restart_between_tick_and_sending_loses_nothing(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path / "d.db")
    await kitchen.say("remind me in 5 minutes to stir")
    kitchen.later(minutes=5)
    now = kitchen.clock.now()
    kitchen.store.close()
    again = Kitchen(tmp_path / "d.db", paired=False)
    again.clock.move_to(now)
    before = again.last_reply()
    again.schedule.tick()
    again.store.close()
    third = Kitchen(tmp_path / "d.db", paired=False)
    third.clock.move_to(now)
    third.schedule.tick()
    assert told(third, before) == ["Reminder: stir."]
    assert third.store.unsent_chats() == ["telegram:11"]


def fails_on_stir(state: State, message: Heard | Due, now: datetime) -> Outcome:
    if isinstance(message, Due) and "stir" in state.reminders[message.key].text:
        raise ValueError
    return step(state, message, now)


async def test_reminder_that_fails_is_told_and_holds_up_nothing(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path / "d.db", fails_on_stir)
    await kitchen.say("remind me in 5 minutes to stir")
    await kitchen.say("remind me in 6 minutes to drain")
    before = kitchen.last_reply()
    kitchen.later(minutes=5)
    kitchen.schedule.tick()
    kitchen.later(minutes=1)
    kitchen.schedule.tick()
    assert kitchen.schedule.tick() == 0
    first, second = told(kitchen, before)
    assert first.startswith("A reminder fell due: Reminder: stir.")
    assert second == "Reminder: drain."
    kitchen.store.close()
    again = Kitchen(tmp_path / "d.db", fails_on_stir, paired=False)
    again.clock.move_to(kitchen.clock.now())
    again.schedule.tick()
    assert len(told(again, before)) == 2


async def test_quiet_hours_hold_what_can_wait(kitchen: Kitchen) -> None:
    await kitchen.say("quiet from 22:00 to 07:00")
    told_then = await kitchen.say("remind me today at 23:30 to look at the airlock")
    assert "quiet hours" in told_then
    before = kitchen.last_reply()
    kitchen.clock.move_to(datetime(2026, 3, 14, 23, 30, tzinfo=UTC))
    kitchen.schedule.tick()
    assert told(kitchen, before) == []
    kitchen.clock.move_to(datetime(2026, 3, 15, 6, 59, tzinfo=UTC))
    assert kitchen.schedule.tick() == 0
    kitchen.clock.move_to(datetime(2026, 3, 15, 7, 0, tzinfo=UTC))
    kitchen.schedule.tick()
    assert told(kitchen, before) == ["Reminder: look at the airlock."]


async def test_quiet_hours_hold_nothing_hot_and_nothing_just_asked_for(kitchen: Kitchen) -> None:
    kitchen.clock.move_to(datetime(2026, 3, 14, 23, 0, tzinfo=UTC))
    await kitchen.say("timer 5 minutes")
    await kitchen.say("remind me in 5 minutes to stir")
    before = kitchen.last_reply()
    kitchen.later(minutes=5)
    kitchen.schedule.tick()
    assert len(told(kitchen, before)) == 2


@pytest.mark.parametrize(
    ("now", "end"),
    [
        # Source: the IANA time zone database as Python's zoneinfo reads it; Europe/Berlin changes on 29 March
        # 2026 at 02:00 to 03:00, and on 25 October at 03:00 back to 02:00.
        ("2026-03-28T23:00", "2026-03-29T02:30"),
        ("2026-03-29T01:59", "2026-03-29T02:30"),
        ("2026-10-24T23:00", "2026-10-25T02:30"),
        ("2026-03-14T12:00", None),
    ],
)
def test_quiet_hours_end_at_a_time_that_exists(now: str, end: str | None) -> None:
    zone = ZoneInfo("Europe/Berlin")
    state = EMPTY.model_copy(update={"zone": "Europe/Berlin", "quiet_from": "22:00", "quiet_to": "02:30"})
    found = ends(state, datetime.fromisoformat(now).replace(tzinfo=zone))
    if end is None:
        assert found is None
        return
    assert found is not None
    wanted = datetime.fromisoformat(end).replace(tzinfo=zone).astimezone(UTC)
    assert found == wanted
    assert found.astimezone(zone).strftime("%H:%M") in ("02:30", "03:30")


def test_equal_times_mean_never_quiet() -> None:
    state = EMPTY.model_copy(update={"quiet_from": "22:00", "quiet_to": "22:00"})
    assert ends(state, datetime(2026, 3, 14, 23, tzinfo=UTC)) is None


async def test_guest_in_quiet_hours_is_told_without_a_sound(kitchen: Kitchen) -> None:
    await kitchen.say("no quiet hours")
    await kitchen.say(f"/start {token_in(await kitchen.say('/invite'))}", BEN)
    await kitchen.say("quiet from 22:00 to 07:00", BEN)
    await kitchen.say(f"/start {token_in(await kitchen.say('/share'))}", BEN)
    await kitchen.say("remind me today at 23:30 to look at the airlock")
    kitchen.clock.move_to(datetime(2026, 3, 14, 23, 20, tzinfo=UTC))
    await kitchen.say("timer 10 minutes")
    before = kitchen.last_reply()
    kitchen.clock.move_to(datetime(2026, 3, 14, 23, 30, tzinfo=UTC))
    kitchen.schedule.tick()
    sounds = kitchen.store.rows("SELECT address, quiet, reply FROM outbox WHERE id > ? ORDER BY id", before)
    heard = {(address, bool(quiet)) for address, quiet, reply in sounds if "airlock" in reply}
    assert heard == {("telegram:11", False), ("telegram:12", True)}
    assert {bool(quiet) for _, quiet, reply in sounds if "Time is up" in reply} == {False}
