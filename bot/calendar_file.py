"""The brew day and the dates after it as an iCalendar file (RFC 5545) for the phone's calendar."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from bot.attachments import Diary, File
from conversations.session.events import Attachment
from conversations.session.timeline import Step
from conversations.session.timetable import unpacked

_RINGS_BEFORE = timedelta(minutes=10)


def calendar(name: str, steps: tuple[Step, ...], stamp: datetime, number: int) -> bytes:
    """One event a step, each with an alarm; the same steps give the same file, so that a second import changes nothing."""
    from icalendar import Alarm, Calendar, Event

    name = " ".join(name.split())
    made = Calendar()
    made.add("prodid", "-//Potside//brew day//EN")
    made.add("version", "2.0")
    made.add("x-wr-calname", name)
    for step in steps:
        event = Event()
        event.add("uid", f"batch-{number}-{step.name}@potside")
        event.add("dtstamp", stamp.astimezone(UTC))
        event.add("dtstart", step.begins.astimezone(UTC))
        event.add("dtend", max(step.ends, step.begins + timedelta(minutes=1)).astimezone(UTC))
        event.add("summary", f"{name}: {step.title}")
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", step.title)
        # The first thing wants a warning; what follows one upon the other rings when it begins.
        alarm.add("trigger", -_RINGS_BEFORE if step.name in ("prepare", "bottle") else timedelta(0))
        event.add_component(alarm)
        made.add_component(event)
    return bytes(made.to_ical())


def make(diary: Diary, attachment: Attachment) -> File:
    """The file that "put it in my calendar" asks for."""
    state = diary.state
    batch = next((each for each in state.batches if each.id == attachment.batch), None)
    steps = unpacked(attachment.options["steps"])
    name = batch.name if batch else "Brew day"
    data = calendar(name, steps, state.clock or steps[0].begins, batch.id if batch else 0)
    return File("brew-day.ics", "text/calendar", data)
