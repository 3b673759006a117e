"""The row of stages with times: it ends when it should, has no gaps, and knows the quiet hours."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversations.intents import Measured
from conversations.session.state import Hop, Kit, Recipe
from conversations.session.timeline import STAGES, Step, days_after, in_quiet, minutes_of, steps_from, steps_until
from tests.conversations.test_kit_session import Chat

RECIPE = Recipe(
    volume=Measured(value=8, unit="litre"),
    grains=(("pale malt", Measured(value=1.6, unit="kilogram")),),
    hops=(Hop(key="1", name="Fuggle", mass=Measured(value=12, unit="gram"), boil_minutes=60),),
)
moments = st.integers(0, 2 * 365 * 24 * 60).map(lambda minute: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minute))


@given(moments)
@settings(deadline=None)
def test_one_stage_begins_where_the_other_ends_and_the_last_ends_in_time(finish: datetime) -> None:
    row = steps_until(finish, RECIPE, Kit())
    assert [step.name for step in row] == list(STAGES)
    assert row[-1].ends == finish
    assert all(a.ends == b.begins for a, b in pairwise(row))
    assert all(step.ends > step.begins for step in row)
    assert steps_from(row[0].begins, RECIPE, Kit()) == row


def test_heating_follows_the_hob() -> None:
    slow = Kit(hob_power=Measured(value=800, unit="watt"))
    quick = Kit(hob_power=Measured(value=1600, unit="watt"))
    assert minutes_of(RECIPE, slow)["heat"][0] == pytest.approx(2 * minutes_of(RECIPE, quick)["heat"][0])
    # Source: energy of water, 4.19 kJ a litre and kelvin, about 10 l by 55 K at 800 W; the pot adds a few per cent.
    assert minutes_of(RECIPE, slow)["heat"][0] == pytest.approx(10.1 * 4.19 * 55 / 0.8 / 60, rel=0.12)


@given(moments, st.integers(1, 300), st.integers(0, 23), st.integers(0, 23), st.sampled_from(["UTC", "Europe/Lisbon", "America/New_York", "Asia/Kolkata"]))
@settings(deadline=None, max_examples=60)
def test_quiet_hours_against_looking_at_every_minute(begins: datetime, minutes: int, quiet_from: int, quiet_to: int, zone: str) -> None:
    begins = begins.replace(second=0, microsecond=0)
    step = Step("boil", "Boil", begins, begins + timedelta(minutes=minutes), "")
    found = in_quiet(step, zone, f"{quiet_from:02d}:00", f"{quiet_to:02d}:00")

    def quiet(at: datetime) -> bool:
        hour = at.astimezone(ZoneInfo(zone)).hour
        if quiet_from <= quiet_to:
            return quiet_from <= hour < quiet_to
        return hour >= quiet_from or hour < quiet_to

    expected = any(quiet(begins + timedelta(minutes=k)) for k in range(minutes))
    assert found == expected


def test_weeks_later_are_at_seven_on_the_wall_across_summer_time() -> None:
    later = days_after(datetime(2026, 3, 25, 15, tzinfo=UTC), "Europe/Lisbon", Kit())
    walls = [step.begins.astimezone(ZoneInfo("Europe/Lisbon")) for step in later]
    assert {(wall.hour, wall.minute) for wall in walls} == {(19, 0)}
    assert [step.name for step in later] == ["first_gravity", "second_gravity", "bottle", "taste"]


def planned() -> Chat:
    chat = Chat()
    for text in ("brew 8 litres of alder bitter", "1.6 kg pale malt", "12 g Fuggle 5% at 60"):
        chat.says(text)
    return chat


def test_start_from_a_finish_and_back() -> None:
    chat = planned()
    said = chat.says("I want to be done by 17:00")
    start = chat.state.batches[0].planned_start
    assert start is not None
    assert f"Start at {start:%H:%M}" in said
    assert len(said.splitlines()) <= 4
    again = planned()
    assert "17:00" in again.says(f"if I start at {start:%H:%M}")


def test_too_late_says_when_it_would_be_done() -> None:
    said = planned().says("I want to be done by 11:00")
    assert "too soon" in said


def test_quiet_hours_are_said() -> None:
    chat = planned()
    assert "quiet hours" in chat.says("if I start at 20:00")
    assert "quiet hours" not in chat.says("if I start at 11:00")


def test_a_day_that_runs_counts_from_where_it_is() -> None:
    chat = planned()
    chat.says("grain is in")
    chat.now += timedelta(minutes=30)
    first = chat.says("when will I be done")
    chat.now += timedelta(minutes=10)
    assert chat.says("when will I be done") == first


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("tomorrow done by 5pm", "to be done at tomorrow 17:00"),
        ("I want to brew tomorrow from 10am", "From tomorrow 10:00"),
        ("I have to leave at 23:00, when must I start", "to be done at 23:00"),
        ("send me an ics", "Calendar file"),
        ("how long will the brew day take", "in all, with cleaning up"),
    ],
)
def test_times_in_other_words(said: str, answer: str) -> None:
    chat = Chat()
    chat.says("recipe: Old bitter; 8 litres; 1.6 kg pale malt; 20 g fuggle 5% at 60; dry english ale yeast; mash at 66")
    assert answer in chat.says(said)


def test_all_times_of_another_day_name_it() -> None:
    chat = Chat()
    chat.says("recipe: Old bitter; 8 litres; 1.6 kg pale malt; 20 g fuggle 5% at 60; dry english ale yeast; mash at 66")
    chat.says("tomorrow done by 5pm")
    assert chat.says("all times").startswith("Sunday 15 March:")
