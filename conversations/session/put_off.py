"""A check of the weeks put off by message: "in two days", "tomorrow", "not before Saturday"; it keeps its new time until it is answered."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from conversations.intents import Intent
from conversations.session import watch, wording
from conversations.session.events import Reminder
from conversations.session.fermentation import table
from conversations.session.hours import at_hour
from conversations.session.judgement import judge
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.understanding.times import DEFAULT_HOUR

_FRESH = timedelta(hours=20)
"""How long a call that was not answered is what "later" is said of; after that it is the next one."""
_BY_DAYS = 20 * 3600.0
"""A length from which a day is meant and not an hour: it comes at the hour that the person likes."""
_WITH_BEER = ("ferment", "bottle", "condition")
_NAMED_HOUR = re.compile(rf"\b({DEFAULT_HOUR}|nine)\b|\d[:.]\d\d|\b(morning|noon|midday|lunchtime|afternoon|evening|night|tonight)\b", re.IGNORECASE)
_WEEKEND = re.compile(r"\bweekend\b", re.IGNORECASE)
_SATURDAY = 5
_AFTER_WORK = re.compile(r"^(?!.*\bam\b).*\bhome\b", re.IGNORECASE)
"""Home at seven is in the evening."""
_IN_DAYS = re.compile(r"\bin (\w+ )?(days?|weeks?)\b", re.IGNORECASE)
_DAY_NUMBER = re.compile(r"^Day \d+:")
_DAY = re.compile(r"\b(tomorrow|weekend|mon|tues?|wednes|thurs?|fri|satur|sun)(day)?\b", re.IGNORECASE)
"""A day in "ask me tomorrow at 8": of that check, and no hour for all of them."""


def _answered(turn: Turn, fired: Reminder) -> bool:
    """Whether what a check asked for came since."""
    batch = next((each for each in turn.state.batches if each.id == fired.batch), None)
    asks = fired.data.get("asks")
    return batch is not None and any(each.kind == asks and each.at >= fired.due for each in batch.readings)


def meant(turn: Turn, until: datetime | None = None) -> Reminder | None:
    """What is to be put off: the call that was said and not answered, else the next check of the weeks.

    ``until`` is the new time: a check that comes later than that anyway is not the one that is meant.
    """
    fired = turn.state.last_fired
    weeks = fired is None or fired.kind in ("check", "nudge")
    if fired is not None and (not weeks or (turn.now - fired.due <= _FRESH and not _answered(turn, fired))):
        return fired
    batch = turn.batch
    following = watch.next_check(turn, batch) if batch is not None and batch.stage in _WITH_BEER else None
    if following is not None and (until is None or following.due < until):
        return following
    return None if following is not None and weeks else fired


def put_off(turn: Turn, reminder: Reminder, due: datetime) -> Reminder:
    """Bring a reminder back at another time; what would ask for the same before then is silent."""
    batch = next((each for each in turn.state.batches if each.id == reminder.batch), None)
    if batch is not None and batch.stage == "ferment":
        day = watch.day_of(judge(batch).pitched, due, turn.state)
        reminder = reminder.model_copy(update={"text": _DAY_NUMBER.sub(f"Day {day}:", reminder.text)})
    turn.record(
        "reminder_set",
        label="snooze",
        batch=reminder.batch,
        reminder=reminder.model_copy(
            update={
                "due": due.astimezone(UTC),
                "data": {**reminder.data, "asked": turn.now.isoformat()},
                "kind": "reminder" if reminder.kind in ("timer", "nudge") else reminder.kind,
                # The next nudge takes the old key.
                "key": f"{reminder.key}:later" if reminder.kind == "nudge" else reminder.key,
            }
        ).model_dump(mode="json"),
    )
    for other in tuple(turn.state.reminders.values()):
        if watch.waits_behind(other, reminder, due):
            turn.note_event("reminder_dropped", batch=other.batch, key=other.key)
    return reminder


def by_length(turn: Turn, intent: Intent) -> None:
    """ "later", "in 2 hours", "in 3 days"."""
    fired = turn.state.last_fired
    weeks = fired.kind in ("check", "nudge") if fired is not None else turn.batch is not None and turn.batch.stage in _WITH_BEER
    seconds = float(intent.slots.get("duration_s", table("put_off")["hours"] * 3600 if weeks else table("put_off")["minutes"] * 60))
    due = turn.in_seconds(seconds)
    reminder = meant(turn, due)
    if reminder is None:
        _nothing(turn)
        return
    if seconds >= _BY_DAYS and reminder.kind in ("check", "nudge"):
        due = at_hour((turn.now + timedelta(seconds=seconds)).date(), turn.state)
        _say(turn, put_off(turn, reminder, due), due)
        return
    moved = put_off(turn, reminder, due)
    if reminder == turn.state.last_fired or reminder.due <= turn.now:
        turn.say(f"Again in {wording.duration(seconds)}.")
    else:
        _say(turn, moved, due)


def until(turn: Turn, intent: Intent) -> None:
    """ "ask me tomorrow", "snooze till Saturday", "on Thursday evening": at the check's usual hour where none is named."""
    if "at" not in intent.slots and not _WEEKEND.search(intent.text):
        by_length(turn, intent)
        return
    due = day_at(turn, intent)
    reminder = meant(turn, due)
    if reminder is None:
        _nothing(turn)
        return
    if due <= turn.now:
        turn.say(f"{wording.local_clock(turn.now, due)} is past. When shall I ask?")
        return
    _say(turn, put_off(turn, reminder, due), due)


def _nothing(turn: Turn) -> None:
    turn.say("There is nothing to put off.")
    if turn.batch is not None:
        _next(turn, turn.batch)


def day_at(turn: Turn, intent: Intent) -> datetime:
    """The time of a day that was named, at the hour of the checks unless an hour was named too."""
    if _WEEKEND.search(intent.text) and "at" not in intent.slots:
        ahead = (_SATURDAY - turn.now.weekday()) % 7 or 7
        return at_hour(turn.now.date() + timedelta(days=ahead), turn.state)
    at = datetime.fromisoformat(str(intent.slots["at"])).astimezone(turn.now.tzinfo)
    if (at.hour == DEFAULT_HOUR and at.minute == 0 and not _NAMED_HOUR.search(intent.text)) or _IN_DAYS.search(intent.text):
        return at_hour(at.date(), turn.state)
    return at


def _say(turn: Turn, reminder: Reminder, due: datetime) -> None:
    turn.say(f"Put off to {wording.local_clock(turn.now, due)}: {reminder.text.removeprefix('Reminder: ')}")
    turn.offer(("undo", "undo"))


def pass_over(turn: Turn, intent: Intent) -> None:
    """ "skip this one": the check that was said is let go; the one after it is named."""
    batch, reminder = turn.batch, meant(turn)
    if batch is None or reminder is None or reminder != turn.state.last_fired:
        turn.say('Nothing is asked just now. "tomorrow" or "till Saturday" puts off what comes.')
        if batch is not None:
            _next(turn, batch)
        return
    turn.record("note", label="check let go", text=f"let go: {reminder.text}")
    turn.say(f"Let go: {reminder.text}")
    _next(turn, batch)


def check_hour(turn: Turn, intent: Intent) -> None:
    """ "check at 8pm", "ask me in the mornings": the hour of the checks over the weeks. "Ask me tomorrow" puts one off."""
    if "at" in intent.slots and (_DAY.search(intent.text) or _IN_DAYS.search(intent.text)):
        until(turn, intent)
        return
    part = str(intent.slots.get("part", ""))
    at = str(table("put_off")["hour_of"][part]) if part else str(intent.slots["at"])[11:16]
    if not part and at < "12:00" and _AFTER_WORK.search(intent.text):
        at = f"{int(at[:2]) + 12}{at[2:]}"
    turn.record("settings_told", label="hour of checks", check_at=at)
    turn.say(f"Checks at {at}.")
    if turn.state.quiet_from != turn.state.quiet_to:
        turn.say(f"Quiet from {turn.state.quiet_from} to {turn.state.quiet_to}: what falls in there waits.")


def days_only(turn: Turn, intent: Intent) -> None:
    """ "only ask me at weekends": the beer sets the days; what can be set is the hour, and one check can be put off."""
    turn.say(f'The beer sets the days, you set the hour: {turn.state.check_at} now, "check at 8pm" moves it.')
    turn.say('"till Saturday" puts off the one that comes, "in two days" too.')
    if turn.batch is not None:
        _next(turn, turn.batch)


def _next(turn: Turn, batch: Batch) -> None:
    following = watch.next_check(turn, batch)
    if following is not None:
        turn.say(f"Next, {wording.local_clock(turn.now, following.due)}: {following.text}")


HANDLERS: Handlers = {
    "settings.check_hour": check_hour,
    "weeks.check_hour": check_hour,
    "weeks.check_days": days_only,
    "snooze": by_length,
    "weeks.put_off": until,
    "weeks.let_go": pass_over,
}
