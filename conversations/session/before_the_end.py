""" "remind me ten minutes before the end": counted from the clock that runs, and moved where that is moved."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from conversations.session import stage_clocks, wording
from conversations.session.events import Reminder
from conversations.session.turn import Turn

_TIMED = ("mash", "boil", "steep")
_STAGE, _SECONDS = "before_end", "before_s"


def remind(turn: Turn, what: str, stage: str, seconds: float) -> bool:
    """Set a reminder so long before the end of a stage, or of the one clock that runs; False where there is none."""
    batch = turn.batch
    meant = stage or (batch.stage if batch is not None and batch.stage in _TIMED else "")
    end = stage_clocks.end_of(turn, meant) if meant else None
    own = [timer for timer in turn.state.timers if timer.ends is not None]
    if batch is not None and end is not None and not stage_clocks.is_over(turn, meant):
        left, name, data = stage_clocks.left_s(batch, end, turn.now), f"the {meant}", {_STAGE: meant, _SECONDS: seconds}
    elif not stage and len(own) == 1 and own[0].ends is not None:
        left, name, data = (own[0].ends - turn.now).total_seconds(), f"the {own[0].name} timer" if own[0].name else "the timer", {}
    else:
        turn.say(stage_clocks.why_none(turn, meant) if meant else "No clock runs whose end I could count from.")
        return False
    if left <= seconds:
        turn.say(f"Only {wording.duration(left)} left of {name}: that is now. No reminder is set.")
        return True
    at = turn.in_seconds(left - seconds)
    data = {**data, "asked": turn.now.isoformat()}
    turn.remind(f"reminder:{turn.number()}", at, f"Reminder: {what}.", batch=batch.id if batch is not None and _STAGE in data else None, kind="reminder", name=what, data=data)
    turn.say(f"{wording.clock(at.astimezone(turn.now.tzinfo), turn.now)}, {wording.duration(seconds)} before the end of {name}: {what}.")
    turn.offer(("cancel", "undo"))
    return True


def settle(turn: Turn) -> None:
    """After a message: where the end of a stage has moved, what was asked for before it moves along."""
    batch = turn.batch
    if batch is None:
        return
    for each in tuple(turn.state.reminders.values()):
        if each.batch != batch.id or _STAGE not in each.data:
            continue
        end = stage_clocks.end_of(turn, str(each.data[_STAGE]))
        if end is None:
            continue
        due = _wanted(end) - timedelta(seconds=float(each.data[_SECONDS]))
        if due > turn.now and abs((due - each.due).total_seconds()) > 1:
            moved = each.model_copy(update={"due": due.astimezone(ZoneInfo("UTC"))})
            turn.note_event("reminder_set", batch=batch.id, reminder=moved.model_dump(mode="json"))


def _wanted(end: Reminder) -> datetime:
    return datetime.fromisoformat(end.data[stage_clocks.HELD]) if stage_clocks.HELD in end.data else end.due
