"""At which hour of a day something is said: the one that the person likes, outside of quiet hours."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from conversations.session.state import State
from conversations.understanding.times import on_the_wall


def _inside(hhmm: str, start: str, end: str) -> bool:
    """Whether a wall time lies in quiet hours, which may run over midnight."""
    return start <= hhmm < end if start <= end else hhmm >= start or hhmm < end


def at_hour(day: date, state: State, hhmm: str = "") -> datetime:
    """A day at the hour that the person likes; inside of quiet hours it waits for their end."""
    wanted = hhmm or state.check_at
    if state.quiet_from != state.quiet_to and _inside(wanted, state.quiet_from, state.quiet_to):
        day = day + timedelta(days=1) if wanted >= state.quiet_from > state.quiet_to else day
        wanted = state.quiet_to
    hour, minute = (int(piece) for piece in wanted.split(":"))
    return on_the_wall(datetime.combine(day, time(hour, minute)), state.zone)
