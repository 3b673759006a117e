"""Durations and clock times; the hours of summer time are checked against zoneinfo in universal time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.parser import isoparse
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from conversations.intents import Context
from conversations.understanding.understand import understand

LISBON = ZoneInfo("Europe/Lisbon")
NOW = datetime(2026, 3, 14, 9, 30, tzinfo=LISBON)  # a Saturday


def seconds(text: str) -> float:
    [intent] = understand(f"set a timer for {text}", Context(now=NOW)).intents
    assert intent.name == "timer.start"
    return float(intent.slots["duration_s"])


def at(text: str, now: datetime = NOW, zone: str = "Europe/Lisbon") -> datetime:
    [intent] = understand(f"remind me {text} to stir", Context(now=now, zone=zone)).intents
    assert (intent.name, intent.slots["what"]) == ("reminder.set", "stir")
    return isoparse(intent.slots["at"])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1 hour and 15 minutes", relativedelta(hours=1, minutes=15)),
        ("an hour and a half", relativedelta(minutes=90)),
        ("half an hour", relativedelta(minutes=30)),
        ("one and a half hours", relativedelta(minutes=90)),
        ("90s", relativedelta(seconds=90)),
        ("1h30", relativedelta(hours=1, minutes=30)),
        ("1h30m", relativedelta(hours=1, minutes=30)),
        ("an hour and twenty minutes", relativedelta(minutes=80)),
        ("three quarters of an hour", relativedelta(minutes=45)),
        ("a quarter of an hour", relativedelta(minutes=15)),
        ("2 and a half minutes", relativedelta(seconds=150)),
        ("a couple of minutes", relativedelta(minutes=2)),
        ("0.5 hours", relativedelta(minutes=30)),
        ("1:30:00", relativedelta(hours=1, minutes=30)),
        ("twenty five minutes", relativedelta(minutes=25)),
        ("2 days", relativedelta(days=2)),
    ],
)
def test_durations(text: str, expected: relativedelta) -> None:
    zero = datetime(2000, 1, 1, tzinfo=UTC)
    assert seconds(text) == (zero + expected - zero).total_seconds()


@given(st.integers(1, 23), st.integers(1, 59), st.integers(1, 59))
def test_any_duration_is_the_sum_of_its_parts(h: int, m: int, s: int) -> None:
    assert seconds(f"{h} hours {m} minutes and {s} seconds") == 3600 * h + 60 * m + s


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("at half past seven", "2026-03-14T19:30"),
        ("at quarter to ten", "2026-03-14T09:45"),
        ("at ten past six", "2026-03-14T18:10"),
        ("at seven thirty", "2026-03-14T19:30"),
        ("at 19:30", "2026-03-14T19:30"),
        ("at 07:00", "2026-03-15T07:00"),
        ("at 7 am", "2026-03-15T07:00"),
        ("at 7pm", "2026-03-14T19:00"),
        ("at 7 o'clock", "2026-03-14T19:00"),
        ("at noon", "2026-03-14T12:00"),
        ("at midnight", "2026-03-15T00:00"),
        ("tomorrow at 8", "2026-03-15T08:00"),
        ("tomorrow at 8 in the evening", "2026-03-15T20:00"),
        ("tomorrow evening", "2026-03-15T18:00"),
        ("tonight at 9", "2026-03-14T21:00"),
        ("on saturday at noon", "2026-03-14T12:00"),
        ("on saturday at 8 am", "2026-03-21T08:00"),
        ("next saturday at noon", "2026-03-21T12:00"),
        ("monday morning at 7", "2026-03-16T07:00"),
        ("on friday", "2026-03-20T09:00"),
        ("the day after tomorrow at 10", "2026-03-16T10:00"),
        ("on the 5th of april at noon", "2026-04-05T12:00"),
        ("in 3 days", "2026-03-17T09:30"),
        ("at nineteen hundred", "2026-03-14T19:00"),
        ("at nineteen hundred hours", "2026-03-14T19:00"),
        ("tomorrow at oh six hundred", "2026-03-15T06:00"),
        ("tomorrow at oh six thirty", "2026-03-15T06:30"),
        ("at 1845", "2026-03-14T18:45"),
        ("tomorrow at 0630", "2026-03-15T06:30"),
        ("tomorrow at 1000 hours", "2026-03-15T10:00"),
    ],
)
def test_clock_times(text: str, expected: str) -> None:
    assert at(text).astimezone(LISBON).replace(tzinfo=None) == isoparse(expected)


def test_summer_time() -> None:
    # Lisbon's clocks go forward on 29 March 2026 at 01:00 UTC and back on 25 October at 01:00 UTC.
    eve = datetime(2026, 3, 28, 20, 0, tzinfo=LISBON)
    assert at("tomorrow at 8", eve).astimezone(UTC) == datetime(2026, 3, 29, 7, 0, tzinfo=UTC)
    assert at("in 1 day", eve).astimezone(UTC) == datetime(2026, 3, 29, 19, 0, tzinfo=UTC)
    # 01:30 does not exist that night; the clock then shows 02:30, which is 01:30 UTC.
    assert at("tomorrow at 01:30", eve).astimezone(UTC) == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)
    autumn = datetime(2026, 10, 24, 20, 0, tzinfo=LISBON)
    assert at("tomorrow at 8", autumn).astimezone(UTC) == datetime(2026, 10, 25, 8, 0, tzinfo=UTC)


@pytest.mark.parametrize("zone", ["Europe/Lisbon", "America/New_York", "Asia/Kolkata"])
def test_the_persons_zone_decides(zone: str) -> None:
    expected = datetime(2026, 3, 15, 8, 0, tzinfo=ZoneInfo(zone))
    assert at("tomorrow at 8", datetime(2026, 3, 14, 12, 0, tzinfo=UTC), zone) == expected


@given(st.integers(0, 23), st.integers(0, 59), st.integers(0, 2 * 365 * 24 * 60))
def test_never_in_the_past(hour: int, minute: int, later: int) -> None:
    now = (datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=later)).astimezone(LISBON)
    found = at(f"at {hour:02d}:{minute:02d}", now)
    assert 0 < (found - now.astimezone(UTC)).total_seconds() <= 25 * 3600
