"""Rehearsals: the same script prints the same, reminders fire in order, bad lines are named before anything runs."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta

import pytest

from bot.rehearse import rehearse
from bot.script import DEFAULT_START, Move, Say, ScriptError, read_script
from tests.bot.small_session import step

SCRIPT = """\
# a short afternoon
@ 2026-03-14 09:30 Europe/Lisbon
in 20 stir
in 5 look
note first

+4m
note second
+1h
1
"""

EXPECTED = """\
[09:30] > in 20 stir
[09:30] will do
[09:30] > in 5 look
[09:30] will do
[09:30] > note first
[09:30] noted: first
        1) More  2) Tea
[09:34] > note second
[09:34] noted: second
        1) More  2) Tea
[09:35] look
[09:50] stir
[10:34] > 1
[10:34] noted: more
        1) More  2) Tea
"""


def play(script: str) -> str:
    out = io.StringIO()
    rehearse(script.splitlines(), out, step)
    return out.getvalue()


def test_plays_as_written_and_again() -> None:
    assert play(SCRIPT) == EXPECTED
    assert play(SCRIPT) == EXPECTED


def test_hours_are_real_hours_when_summer_time_begins() -> None:
    # Source: Directive 2000/84/EC: summer time begins at 01:00 UTC on the last Sunday in March.
    out = play("@ 2026-03-29 00:30 Europe/Lisbon\nin 60 x\n+2h\nnote y")
    assert out.splitlines()[2:4] == ["[02:30] x", "[03:30] > note y"]


def test_a_choice_is_offered_until_the_next_message() -> None:
    assert "?" in play("note a\nnothing\n1")
    assert "will do" in play("note a\n2")


@pytest.mark.parametrize(
    ("line", "steps"),
    [
        ("+20m", [Move(1, timedelta(minutes=20))]),
        ("+90s", [Move(1, timedelta(seconds=90))]),
        ("+3d", [Move(1, timedelta(days=3))]),
        ("+1h", [Move(1, timedelta(hours=1))]),
        ("+1h30m", [Move(1, timedelta(minutes=90))]),
        ("  # x", []),
        ("", []),
        ("hops in", [Say(1, "hops in")]),
    ],
)
def test_lines(line: str, steps: list[Say | Move]) -> None:
    assert read_script([line]) == (DEFAULT_START, steps)


def test_start() -> None:
    start, _ = read_script(["@ 2026-07-01 9:05 Europe/Lisbon"])
    assert start.astimezone(UTC) == datetime(2026, 7, 1, 8, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    "line",
    [
        "+20",
        "+m",
        "+20 weeks",
        "@ tomorrow",
        "@ 2026-13-01 09:00",
        "@ 2026-03-14 25:00",
        "@ 2026-03-14 09:30 Nowhere/At",
        "@ 2026-03-14 09:30 ../x",
        "+99999999d",
    ],
)
def test_bad_lines_are_named(line: str) -> None:
    with pytest.raises(ScriptError, match=r"^Line 2: "):
        read_script(["# fine", line])


def test_second_start_is_refused() -> None:
    with pytest.raises(ScriptError, match=r"^Line 2: "):
        read_script(["hello", "@ 2026-03-14 09:30"])
