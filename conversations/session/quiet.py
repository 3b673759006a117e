"""Quiet hours: what is not on the hob waits until they end, unless the person asked for it a short while before."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from conversations.session.events import Reminder
from conversations.session.state import State

ON_THE_HOB = ("timer", "stage", "hop")
"""Kinds of reminders that cannot wait: something is hot, or somebody stands beside it."""
STILL_UP = timedelta(hours=3)
"""Who asks for a reminder within this time is awake for it."""


def ends(state: State, now: datetime) -> datetime | None:
    """When the quiet hours of this moment end, in UTC; None where it is not quiet. Times of day are local."""
    begin, end = time.fromisoformat(state.quiet_from), time.fromisoformat(state.quiet_to)
    if begin == end:
        return None
    zone = ZoneInfo(state.zone)
    local = now.astimezone(zone)
    clock = local.time().replace(tzinfo=None)
    inside = begin <= clock < end if begin < end else clock >= begin or clock < end
    if not inside:
        return None
    day = local.date() + timedelta(days=1 if clock >= end else 0)
    # An hour that the spring change leaves out is found by the way through UTC, which moves it forward.
    return datetime.combine(day, end, zone).astimezone(UTC)


def waits_until(state: State, reminder: Reminder, now: datetime) -> datetime | None:
    """Until when a reminder that is due waits; None where it is said now."""
    if reminder.kind in ON_THE_HOB or reminder.key.startswith("timer:"):
        return None
    asked = reminder.data.get("asked")
    if asked is not None and now - datetime.fromisoformat(asked) < STILL_UP:
        return None
    return ends(state, now)
