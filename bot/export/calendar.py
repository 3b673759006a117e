"""Pending reminders as iCalendar (RFC 5545), for the calendar of a phone."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from icalendar import Alarm, Calendar
from icalendar import Event as CalendarEvent

from bot.attachments import Diary, File
from bot.made_files import safe_name
from conversations.session.events import Attachment

LASTS = timedelta(minutes=15)


def _line(text: str) -> str:
    """The text in one line, whatever a reader of the file takes for the end of one."""
    return " ".join(text.split())


def as_ics(diary: Diary, batch: int | None = None) -> bytes:
    """Each reminder as an event of a quarter of an hour that rings when it begins; of one batch where named."""
    state = diary.state
    calendar = Calendar()
    calendar.add("prodid", "-//Potside//brewing reminders//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", "Potside")
    names = {each.id: each.name for each in state.batches}
    stamp = (state.clock or datetime(1970, 1, 1, tzinfo=UTC)).astimezone(UTC)
    for reminder in sorted(state.reminders.values(), key=lambda each: (each.due, each.key)):
        if batch is not None and reminder.batch != batch:
            continue
        event = CalendarEvent()
        # The key alone would change a moved reminder in place, which is what a calendar should do.
        event.add("uid", f"{safe_name(reminder.key)}@potside.invalid")
        event.add("dtstamp", stamp)
        event.add("dtstart", reminder.due.astimezone(UTC))
        event.add("dtend", (reminder.due + LASTS).astimezone(UTC))
        name = names.get(reminder.batch or 0)
        event.add("summary", _line(f"{name}: {reminder.text}" if name else reminder.text))
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", _line(reminder.text))
        alarm.add("trigger", timedelta(0))
        event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def reminders_ics(diary: Diary, attachment: Attachment) -> File | str:
    """Maker of ``reminders_ics``."""
    if not diary.state.reminders:
        return "No reminder is set, so there is nothing for a calendar."
    return File("Potside reminders.ics", "text/calendar", as_ics(diary, attachment.batch))
