"""Reminders that the person sets: once, again and again, or so long after something of the brew day."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from conversations.intents import Intent
from conversations.session import before_the_end, quiet, watch, wording
from conversations.session.events import Reminder
from conversations.session.state import Awaited, Batch
from conversations.session.turn import Handlers, Turn
from conversations.understanding.past import WEEKDAY
from conversations.understanding.times import after

FARTHEST = timedelta(days=400)
_DAY = re.compile(r"\b(monday|tuesday|wednesday|thursday|friday|saturday|sunday|today|tonight|tomorrow)", re.IGNORECASE)
SHORTEST_REPEAT_S = 60.0
_DAY_S = 86400.0
_STAGE_OF = {"pitch": "ferment", "flame_out": "steep", "bottle": "condition", "mash": "mash", "boil": "boil"}
"""The stage that is entered when the event happens."""
_SAID = {"pitch": "pitching", "flame_out": "flame-out", "bottle": "bottling", "mash": "mashing in", "boil": "the boil"}


def remind(turn: Turn, intent: Intent) -> None:
    """Set a reminder; where the time is missing it is asked for once, and the local time is echoed."""
    slots = intent.slots
    what = str(slots.get("what", "")).strip() or "your reminder"
    if "before" in slots and before_the_end.remind(turn, what, str(slots["before"]), float(slots["duration_s"])):
        return
    if "after" in slots:
        _after(turn, what, str(slots["after"]), float(slots["duration_s"]))
    elif "every_s" in slots:
        _repeat(turn, what, intent)
    elif "at" in slots or ("duration_s" in slots and "before" not in slots):
        _once(turn, what, intent)
    else:
        turn.say(f'When? "in 20 minutes", "tomorrow at 8": {what}.')
        turn.offer(("in 10 minutes", "in 10 minutes"), ("in an hour", "in 1 hour"), ("tomorrow at 9", "tomorrow at 9"))
        turn.expects, turn.question = "reminder.when", {"what": what}


def when(turn: Turn, intent: Intent) -> None:
    """The answer to "When?"."""
    question = turn.state.question or {}
    remind(turn, intent.model_copy(update={"slots": {**intent.slots, "what": question.get("what", "")}}))


def _once(turn: Turn, what: str, intent: Intent) -> None:
    at = _time(turn, intent)
    if at is None:
        return
    key = f"reminder:{turn.number()}"
    turn.remind(key, at, f"Reminder: {what}.", kind="reminder", name=what, data={"asked": turn.now.isoformat()})
    turn.say(f"{wording.local_clock(turn.now, at)}: {what}.")
    waits = quiet.waits_until(turn.state, turn.state.reminders[key], at)
    if waits is not None:
        turn.say(f"That is in your quiet hours, so it comes at {wording.local_clock(turn.now, waits)}.")
    turn.offer(("cancel", "undo"))


def _time(turn: Turn, intent: Intent) -> datetime | None:
    """The time that was asked for; None, with a sentence, where it cannot be."""
    if "at" in intent.slots:
        at = datetime.fromisoformat(str(intent.slots["at"]))
    else:
        at = turn.in_seconds(float(intent.slots["duration_s"]))
    if turn.now < at <= turn.now + FARTHEST:
        return at
    turn.say('That time has passed or is more than a year away. Try "remind me tomorrow at 8 to ...".')
    return None


def _repeat(turn: Turn, what: str, intent: Intent) -> None:
    seconds = float(intent.slots["every_s"])
    if not SHORTEST_REPEAT_S <= seconds <= FARTHEST.total_seconds():
        turn.say('I can repeat from every minute to once a year: "remind me every 12 hours to ...".')
        return
    until = intent.slots.get("until")
    first = datetime.fromisoformat(str(intent.slots["at"])) if "at" in intent.slots else later(turn.now, turn.state.zone, seconds)
    if until is not None and datetime.fromisoformat(str(until)) < first:
        turn.say("That ends before it begins. Send it again with a later end.")
        return
    data = {"every_s": seconds, **({"until": until} if until else {})}
    turn.remind(f"reminder:{turn.number()}", first, f"Reminder: {what}.", kind="reminder", name=what, data=data)
    end = f" until {wording.local_clock(turn.now, datetime.fromisoformat(str(until)))}" if until else ""
    turn.say(f"{_each(seconds).capitalize()}{end}, first {wording.local_clock(turn.now, first)}: {what}.")
    turn.offer(("cancel", "undo"))


def _each(seconds: float) -> str:
    for unit, name in ((604800, "week"), (86400, "day"), (3600, "hour"), (60, "minute")):
        if seconds % unit == 0:
            count = int(seconds // unit)
            return f"every {name}" if count == 1 else f"every {count} {name}s"
    return f"every {wording.duration(seconds)}"


def later(at: datetime, zone: str, seconds: float) -> datetime:
    """The next time of a repetition: whole days keep the hour on the wall, all else counts real seconds."""
    return after(at, zone, seconds, whole_days=seconds % _DAY_S == 0)


def again(turn: Turn, reminder: Reminder) -> None:
    """After a repeating reminder has been said: set its next time; times that passed meanwhile are left out."""
    seconds = float(reminder.data.get("every_s", 0.0))
    if seconds < SHORTEST_REPEAT_S:
        return
    # What quiet hours held back was wanted at another hour, and so is the next one.
    wanted = datetime.fromisoformat(reminder.data["wanted"]) if "wanted" in reminder.data else reminder.due
    due = later(wanted, turn.state.zone, seconds)
    while due <= turn.now:
        due = later(due, turn.state.zone, seconds)
    until = reminder.data.get("until")
    if until and due > datetime.fromisoformat(str(until)):
        turn.say("That was the last one.")
        return
    data = {key: value for key, value in reminder.data.items() if key != "wanted"}
    following = reminder.model_copy(update={"due": due.astimezone(ZoneInfo("UTC")), "data": data})
    turn.note_event("reminder_set", batch=reminder.batch, reminder=following.model_dump(mode="json"))


def _after(turn: Turn, what: str, event: str, seconds: float) -> None:
    batch = turn.batch
    if batch is None:
        turn.say(
            f'No batch is running, so there is no {_SAID[event]} to count from. "brew 5 litres of ..." starts one.'
        )
        return
    happened = _happened(batch, event)
    if happened is not None:
        at = later(happened, turn.state.zone, seconds)
        if at <= turn.now:
            turn.say(f"{wording.duration(seconds)} after {_SAID[event]} was {wording.local_clock(turn.now, at)}: that has passed.")
            return
        turn.remind(f"reminder:{turn.number()}", at, f"Reminder: {what}.", batch=batch.id, kind="reminder", name=what)
        turn.say(f"{wording.local_clock(turn.now, at)}: {what}.")
    else:
        awaited = Awaited(key=f"reminder:{turn.number()}", batch=batch.id, event=event, seconds=seconds, text=what)
        turn.record("awaited_set", label=f"reminder {what}", awaited=awaited.model_dump(mode="json"))
        turn.say(f"{wording.duration(seconds)} after {_SAID[event]}: {what}. I count from then.")
    turn.offer(("cancel", "undo"))


def _happened(batch: Batch, event: str) -> datetime | None:
    if event == "boil":
        return batch.boil_started
    return batch.entered.get(_STAGE_OF[event])


def happened(turn: Turn, stage: str) -> None:
    """A stage was entered: what waits for it gets its time."""
    for awaited in turn.state.awaited:
        if awaited.batch != turn.state.current or _STAGE_OF[awaited.event] != stage:
            continue
        turn.record("awaited_dropped", key=awaited.key)
        at = later(turn.now, turn.state.zone, awaited.seconds)
        turn.remind(
            awaited.key, at, f"Reminder: {awaited.text}.", batch=awaited.batch, kind="reminder", name=awaited.text
        )
        turn.say(f"{wording.local_clock(turn.now, at)}: {awaited.text}.")


def show(turn: Turn, intent: Intent) -> None:
    """What reminders are set, the next ones first."""
    mine = sorted((each for each in turn.state.reminders.values() if each.kind != "timer" and not watch.is_past(turn, each)), key=lambda each: each.due)
    lines = []
    for each in mine[:5]:
        repeats = f", {_each(float(each.data['every_s']))}" if each.data.get("every_s") else ""
        lines.append(f"{wording.local_clock(turn.now, each.due)}: {each.text.removeprefix('Reminder: ').rstrip('.')}{repeats}")
    lines += [f"{wording.duration(each.seconds)} after {_SAID[each.event]}: {each.text}" for each in turn.state.awaited]
    turn.say(*lines or ['No reminder is set. "remind me tomorrow at 8 to ..." sets one.'])
    if len(mine) > 5:
        turn.say(f"And {len(mine) - 5} later ones.")


def cancel(turn: Turn, intent: Intent) -> None:
    """Cancel the person's own reminders: one by a word of it, the next one, or all."""
    mine = sorted(
        (each for each in turn.state.reminders.values() if each.kind == "reminder"), key=lambda each: each.due
    )
    waiting = list(turn.state.awaited)
    word = str(intent.slots.get("what") or intent.slots.get("name") or "").lower()
    if word and not any(word in text.lower() for text in [*(each.text for each in mine), *(each.text for each in waiting)]) and (day := _day_in(turn, word)) is not None:
        _cancel_on(turn, mine, day)
        return
    if intent.name != "reminder.cancel_all":
        if word:
            mine = [each for each in mine if word in each.text.lower()]
            waiting = [each for each in waiting if word in each.text.lower()]
        elif len(mine) + len(waiting) > 1:
            turn.say("Which one? " + "; ".join(each.name or each.text for each in mine[:4]))
            turn.offer(*((each.name[:30], f"cancel the reminder about {each.name}") for each in mine[:4] if each.name))
            return
    for each in mine:
        turn.record("reminder_dropped", label="reminder cancelled", key=each.key)
    for awaited in waiting:
        turn.record("awaited_dropped", label="reminder cancelled", key=awaited.key)
    names = [each.name or each.text for each in mine] + [each.text for each in waiting]
    turn.say(f"Cancelled: {', '.join(names)}." if names else "No such timer or reminder is set.")


def cancel_on(turn: Turn, intent: Intent) -> None:
    """ "never mind the saturday one": what the person set for that day."""
    day = _day_in(turn, intent.text)
    mine = sorted((each for each in turn.state.reminders.values() if each.kind == "reminder"), key=lambda each: each.due)
    if day is not None:
        _cancel_on(turn, mine, day)


def _day_in(turn: Turn, text: str) -> date | None:
    """The next day of that name, today included; None where no day is named."""
    found = _DAY.search(text)
    if found is None:
        return None
    word, today = found[1].lower(), turn.now.date()
    if word in ("today", "tonight", "tomorrow"):
        return today + timedelta(days=int(word == "tomorrow"))
    return today + timedelta(days=(WEEKDAY[word] - today.weekday()) % 7)


def _cancel_on(turn: Turn, mine: list[Reminder], day: date) -> None:
    """Cancel what is set for a day; of several it is asked which, and a check of ours stays."""
    there = [each for each in mine if each.due.astimezone(turn.now.tzinfo).date() == day]
    if not there and day == turn.now.date():
        # "Sunday's reminder", said on a Sunday.
        there = [each for each in mine if each.due.astimezone(turn.now.tzinfo).date() == day + timedelta(days=7)]
    if not there:
        turn.say(f"Nothing that you asked for is set for {day:%A} {day.day} {day:%B}.")
        ours = [each for each in turn.state.reminders.values() if each.kind == "check" and each.due.astimezone(turn.now.tzinfo).date() == day]
        turn.say(*(f'My own check stays: {each.text} "no more nudges" ends what is not needed.' for each in ours[:1]))
        if mine:
            turn.say("Set are: " + "; ".join(f"{wording.local_clock(turn.now, each.due)}: {each.name or each.text}" for each in mine[:3]) + ".")
        return
    if len(there) > 1:
        turn.say("Which one? " + "; ".join(f"{wording.local_clock(turn.now, each.due)}: {each.name or each.text}" for each in there[:4]))
        turn.offer(*((each.name[:30], f"cancel the reminder about {each.name}") for each in there[:4] if each.name))
        return
    turn.record("reminder_dropped", label="reminder cancelled", key=there[0].key)
    turn.say(f"Cancelled: {there[0].name or there[0].text}, {wording.local_clock(turn.now, there[0].due)}.")
    turn.offer(("undo", "undo"))


HANDLERS: Handlers = {
    "reminder.cancel_on": cancel_on,
    "reminder.set": remind,
    "reminder.when": when,
    "unclear.reminder": remind,
    "reminder.list": show,
    "reminder.cancel": cancel,
    "reminder.cancel_all": cancel,
}
