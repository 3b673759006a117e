"""The calendar file read back by its library, and the picture of the day."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta

import pytest
from icalendar import Calendar
from PIL import Image

from bot.calendar_file import calendar
from bot.pictures import look
from bot.timeline_picture import picture
from conversations.session.state import Kit
from conversations.session.timeline import days_after, steps_from
from tests.conversations.test_timeline import RECIPE

START = datetime(2026, 3, 28, 18, 0, tzinfo=UTC)
ROW = steps_from(START, RECIPE, Kit())
WEEKS = days_after(ROW[-2].ends, "Europe/Lisbon", Kit())


def test_every_step_is_an_event_with_an_alarm() -> None:
    # Source: RFC 5545, 3.6.1: UID and DTSTAMP are required, 3.6.6 for the alarm.
    made = calendar("Alder bitter", (*ROW, *WEEKS), START, 3)
    events = Calendar.from_ical(made).walk("VEVENT")
    assert len(events) == len(ROW) + len(WEEKS)
    assert len({str(event["UID"]) for event in events}) == len(events)
    for event, step in zip(events, (*ROW, *WEEKS), strict=True):
        assert event["DTSTART"].dt == step.begins
        assert event["DTEND"].dt == step.ends
        assert event["DTSTAMP"].dt == START
        (alarm,) = event.walk("VALARM")
        assert alarm["TRIGGER"].dt <= timedelta(0)
    assert all(len(line) <= 75 for line in made.split(b"\r\n"))
    assert calendar("Alder bitter", (*ROW, *WEEKS), START, 3) == made


def test_letters_that_mean_something_in_the_file_are_escaped() -> None:
    made = calendar("Ale; with, commas\nand lines", ROW[:1], START, 1)
    (event,) = Calendar.from_ical(made).walk("VEVENT")
    assert str(event["SUMMARY"]).startswith("Ale; with, commas and lines: ")


def test_picture_of_the_day() -> None:
    made = Image.open(io.BytesIO(picture("Alder bitter", ROW, "Europe/Lisbon", "22:00", "07:00")))
    assert made.width == 1080
    # Stages in the evening are hatched in another colour than the bars of the day.
    quiet = Image.open(io.BytesIO(picture("Alder bitter", ROW, "Europe/Lisbon", "00:00", "00:00")))
    assert made.tobytes() != quiet.tobytes()


@pytest.mark.parametrize("theme", [look.DAY, look.NIGHT])
def test_picture_of_the_day_looks_like_the_others(theme: look.Theme) -> None:
    made = Image.open(io.BytesIO(picture("Ale for $5 or $6", ROW, "Europe/Lisbon", "22:00", "07:00", theme.name))).convert("RGB")
    colours = {"#{:02x}{:02x}{:02x}".format(*colour) for _, colour in made.getcolors(1 << 22) or [] if isinstance(colour, tuple)}
    assert {theme.paper, theme.card, theme.temperature, theme.gravity} <= colours
