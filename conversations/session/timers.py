"""Kitchen timers: many at once, named, lengthened, paused, asked after."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.intents import Intent
from conversations.session import reminders, stage_clocks, wording
from conversations.session.events import Reminder
from conversations.session.orientation import coming
from conversations.session.state import Timer
from conversations.session.turn import Handlers, Turn

_SHORT_NAME = 2
"""Words of a name that stand well before "timer"."""
LONGEST_S = 366 * 86400.0
"""Longest time of a timer, and that a clock is changed by; far beyond it a date runs out of the calendar."""


def start(turn: Turn, intent: Intent) -> None:
    """Start a timer; without a name it goes by its length."""
    seconds = float(intent.slots["duration_s"])
    if not 1 <= seconds <= LONGEST_S:
        turn.say('A timer runs from one second to a year: "timer 10 minutes".')
        return
    name = str(intent.slots.get("name", ""))
    key = f"timer:{turn.number()}"
    _run(turn, Timer(key=key, name=name, duration_s=seconds), seconds)
    end = turn.in_seconds(seconds).astimezone(turn.now.tzinfo)
    turn.last = intent
    until = f"until {wording.clock(end, turn.now)}"
    if len(name.split()) > _SHORT_NAME:
        turn.say(f"{wording.duration(seconds)} timer, {until}: {name}.")
    else:
        turn.say(f"{wording.duration(seconds)}{' ' + name if name else ''} timer, {until}.")


def _run(turn: Turn, timer: Timer, seconds: float) -> None:
    end = turn.in_seconds(seconds)
    running = timer.model_copy(update={"ends": end, "left_s": None})
    turn.record("timer_set", label=f"{_name(timer)} timer", timer=running.model_dump(mode="json"))
    turn.remind(timer.key, end, f"Time is up: {_name(timer)}.", kind="timer", name=timer.key)


def _name(timer: Timer) -> str:
    return timer.name or wording.duration(timer.duration_s)


def _left(timer: Timer, now: datetime) -> float:
    if timer.left_s is not None:
        return timer.left_s
    return max(0.0, (timer.ends - now).total_seconds()) if timer.ends else 0.0


def _chosen(turn: Turn, intent: Intent) -> Timer | None:
    """The timer that is meant: by name, by length for a cancel, or the only (else the next) one."""
    timers = sorted(turn.state.timers, key=lambda timer: _left(timer, turn.now))
    name = str(intent.slots.get("name", "")).lower()
    if name:
        return next((timer for timer in timers if name in timer.name.lower()), None)
    if intent.name == "timer.cancel" and "duration_s" in intent.slots:
        return next((timer for timer in timers if timer.duration_s == intent.slots["duration_s"]), None)
    return timers[0] if timers else None


def _chosen_reminder(turn: Turn, intent: Intent) -> Reminder | None:
    """The stage reminder that a change of time is meant for: the named clock, else the stage's last one."""
    batch = turn.batch
    if batch is None:
        return None
    name = str(intent.slots.get("name", "")).lower()
    return stage_clocks.end_of(turn, stage_clocks.stage_of(name) or name or batch.stage)


def change(turn: Turn, intent: Intent) -> None:
    """Lengthen or shorten a timer, or the clock of the stage that is running."""
    seconds = float(intent.slots["duration_s"]) * (1 if intent.name == "timer.extend" else -1)
    if abs(seconds) > LONGEST_S:
        turn.say("That is more than a year: I change no clock by that.")
        return
    reminder = _chosen_reminder(turn, intent)
    timer = _chosen(turn, intent)
    if timer is not None and (intent.slots.get("name") or reminder is None):
        left = max(1.0, _left(timer, turn.now) + seconds)
        if timer.ends is None:
            paused = timer.model_copy(update={"left_s": left})
            turn.record("timer_set", timer=paused.model_dump(mode="json"))
        else:
            _run(turn, timer, left)
        turn.say(f"{wording.duration(left)} left on {_name(timer)}.")
    elif reminder is not None:
        due = max(reminder.due + timedelta(seconds=seconds), turn.now + timedelta(seconds=1))
        moved_by = due - reminder.due
        for other in tuple(turn.state.reminders.values()):
            # Hops count from the end of the boil, so they move with it; the stir of the mash does not.
            with_it = other.key in (reminder.key, reminder.key + ":soon") or (
                reminder.name == "boil" and other.batch == reminder.batch and ":hop:" in other.key
            )
            if with_it:
                moved = max(other.due + moved_by, turn.now)
                turn.record("reminder_set", reminder=other.model_copy(update={"due": moved}).model_dump(mode="json"))
        batch = turn.batch
        if reminder.name == "boil" and batch is not None:
            longer = batch.recipe.boil_minutes + moved_by.total_seconds() / 60
            recipe = batch.recipe.model_copy(update={"boil_minutes": longer})
            turn.record("recipe_told", recipe=recipe.model_dump(mode="json"))
        left = (due - turn.now).total_seconds()
        turn.say(f"{wording.duration(left)} left: {reminder.text}")
    else:
        turn.say('No such timer is running. "timer 10 minutes" starts one.')


def change_to(turn: Turn, intent: Intent) -> None:
    """Let a running timer end so long from now; without one it is started."""
    timer = _chosen(turn, intent)
    seconds = float(intent.slots["duration_s"])
    if timer is None or not 1 <= seconds <= LONGEST_S:
        start(turn, intent)
        return
    _run(turn, timer.model_copy(update={"duration_s": seconds}), seconds)
    end = turn.in_seconds(seconds).astimezone(turn.now.tzinfo)
    turn.say(f"{wording.duration(seconds)} on {timer.name or 'the timer'}, until {wording.clock(end, turn.now)}.")


def cancel(turn: Turn, intent: Intent) -> None:
    """Cancel one timer, or all."""
    chosen = list(turn.state.timers) if intent.name == "timer.cancel_all" else [_chosen(turn, intent)]
    found = [timer for timer in chosen if timer is not None]
    for timer in found:
        turn.record("timer_dropped", label=f"{_name(timer)} cancelled", key=timer.key)
        turn.drop(timer.key)
    stage = stage_clocks.stage_of(str(intent.slots.get("name", "")))
    if not found and stage and turn.batch is not None and turn.batch.stage == stage:
        ends = 'say "flame out"' if stage == "boil" else 'say "next"'
        turn.say(f'The {stage} has its own clock. "pause the {stage}" holds it; when it is over, {ends}.', stage_clocks.left(turn, stage))
        return
    if not found and intent.slots.get("name"):
        # "cancel the fridge": a clock or a reminder, whichever there is.
        reminders.cancel(turn, intent.model_copy(update={"name": "reminder.cancel"}))
        return
    names = ", ".join(_name(timer) for timer in found)
    turn.say(f"Cancelled: {names}." if found else "No such timer is running.")


def hold(turn: Turn, intent: Intent) -> None:
    """Pause or resume a timer, or the clocks of the stage whose name it goes by."""
    timer = _chosen(turn, intent)
    stage = stage_clocks.stage_of(str(intent.slots.get("name", "")))
    if timer is None and turn.batch is not None and (stage == turn.batch.stage or "name" not in intent.slots):
        (stage_clocks.pause if intent.name == "timer.pause" else stage_clocks.resume)(turn, intent)
        return
    if timer is None and stage:
        turn.say(stage_clocks.why_none(turn, stage))
        return
    if timer is None:
        turn.say("No such timer is running.")
    elif intent.name == "timer.pause" and timer.ends is not None:
        paused = timer.model_copy(update={"ends": None, "left_s": _left(timer, turn.now)})
        turn.record("timer_set", label=f"{_name(timer)} paused", timer=paused.model_dump(mode="json"))
        turn.drop(timer.key)
        turn.say(f"{_name(timer)} paused with {wording.duration(paused.left_s or 0)} left.")
    elif intent.name == "timer.resume" and timer.left_s is not None:
        _run(turn, timer, timer.left_s)
        turn.say(f"{_name(timer)} runs again: {wording.duration(timer.left_s)} left.")
    else:
        turn.say(f"{_name(timer)} is {'paused already' if timer.ends is None else 'running'}.")


def runs(turn: Turn, name: str) -> bool:
    """Whether a clock, a stage or something due goes by that name."""
    called = name.lower()
    due = any(called in (each.text + " " + each.key).lower() for each in coming(turn))
    return due or bool(stage_clocks.stage_of(called)) or any(called in timer.name.lower() for timer in turn.state.timers)


def status(turn: Turn, intent: Intent) -> None:
    """How long is left: of the named clock, or of everything due within the day."""
    name = str(intent.slots.get("name", "")).lower()
    stage = stage_clocks.stage_of(name)
    own = next((timer for timer in turn.state.timers if name and name in timer.name.lower()), None)
    if stage and own is None:
        turn.say(stage_clocks.left(turn, stage) or stage_clocks.why_none(turn, stage))
        return
    due = coming(turn)
    # The end of what is going on is what is asked first.
    first = stage_clocks.left(turn, turn.batch.stage) if turn.batch is not None and not name else ""
    if first and turn.batch is not None:
        end = stage_clocks.end_of(turn, turn.batch.stage)
        due = [each for each in due if end is None or each.key != end.key]
    paused = [timer for timer in turn.state.timers if timer.left_s is not None]
    if name:
        due = [each for each in due if name in (each.text + " " + each.key).lower()]
        paused = [timer for timer in paused if name in timer.name.lower()]
    lines = [first] if first else []
    late = [each for each in due if each.due < turn.now]
    due = [each for each in due if each.due >= turn.now and (name or each.kind != "nudge")]
    lines += [f"Overdue since {wording.clock(each.due.astimezone(turn.now.tzinfo), turn.now)}: {each.text}" for each in late[-1:]]
    lines += [f"{wording.duration((each.due - turn.now).total_seconds())}: {each.text}" for each in due[:3]]
    lines += [f"{wording.duration(timer.left_s or 0)} left, paused: {_name(timer)}" for timer in paused]
    turn.say(*lines[:3])
    if not lines:
        turn.say("Nothing is running." if not name else f"Nothing called {name} is running.")


HANDLERS: Handlers = {
    "timer.start": start,
    "timer.extend": change,
    "timer.shorten": change,
    "timer.cancel": cancel,
    "timer.cancel_all": cancel,
    "timer.pause": hold,
    "timer.resume": hold,
    "timer.status": status,
    "timer.change": change_to,
}
