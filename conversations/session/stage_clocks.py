"""The clock of a stage, found by its name: when it ends, how long is left of it, held while something is in the way."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.intents import Intent
from conversations.session import wording
from conversations.session.events import Reminder
from conversations.session.stages import stages
from conversations.session.state import Batch
from conversations.session.turn import Turn

ENDS = {"mash": "mash_end", "boil": "flame_out", "steep": "steep_end", "chill": "chill_check"}
"""Stage to the reminder of its end."""
_CALLED = {"whirlpool": "steep", "cooling": "chill", "flame out": "boil", "flameout": "boil", "flame-out": "boil"}
_ENDING = (" timer", " clock", " countdown", " time")
_TIMED = ("mash", "boil")
_EARLY_S = 600.0
"""Seconds before the end of a stage from which leaving it may be a slip."""
HELD = "held"
"""In a reminder's data: when it would have been called, had its stage not been paused."""


def stage_of(name: str) -> str:
    """The stage that a clock is called by, as "the boil timer" or "mash"; empty where it is none.

    >>> stage_of("the boil timer"), stage_of("whirlpool"), stage_of("eggs")
    ('boil', 'steep', '')
    """
    word = name.lower().strip().removeprefix("the ")
    for ending in _ENDING:
        word = word.removesuffix(ending)
    word = _CALLED.get(word, word)
    return word if word in ENDS else ""


def end_of(turn: Turn, stage: str) -> Reminder | None:
    """The reminder of the end of the running batch's stage, where it is set."""
    return turn.state.reminders.get(f"{turn.batch.id}:{ENDS.get(stage, stage)}") if turn.batch else None


def left_s(batch: Batch, reminder: Reminder, now: datetime) -> float:
    """Seconds until a stage's call; while the stage is paused they do not run."""
    due = datetime.fromisoformat(reminder.data[HELD]) if HELD in reminder.data else reminder.due
    return max(0.0, (due - (batch.paused_at or now)).total_seconds())


def left(turn: Turn, stage: str) -> str:
    """How long is left of a stage in a line: "25 min left of the mash, until 10:08."; empty where no clock runs."""
    batch, reminder = turn.batch, end_of(turn, stage)
    if batch is None or reminder is None:
        return ""
    seconds = left_s(batch, reminder, turn.now)
    if batch.paused_at is not None:
        return f"{wording.duration(seconds)} left of the {stage}, paused."
    until = wording.clock(turn.in_seconds(seconds).astimezone(turn.now.tzinfo), turn.now)
    what = "before I look at the chilling again" if stage == "chill" else f"left of the {stage}"
    return f"{wording.duration(seconds)} {what}, until {until}." if seconds else f"The {stage} is over by the clock."


def is_over(turn: Turn, stage: str) -> bool:
    """Whether the clock of the running stage has run out, and the stage goes on."""
    batch, reminder = turn.batch, end_of(turn, stage)
    if batch is None or batch.stage != stage or batch.paused_at is not None or (stage == "boil" and batch.boil_started is None):
        return False
    return reminder is None or left_s(batch, reminder, turn.now) <= 0


def why_none(turn: Turn, stage: str) -> str:
    """Why a stage has no clock that runs: not begun, over, or no batch."""
    batch = turn.batch
    if batch is None:
        return "No batch is running."
    names = list(stages())
    if names.index(batch.stage) > names.index(stage):
        return f"The {stage} is over: {batch.name} is at {stages()[batch.stage].title.lower()}."
    if stage == "boil" and batch.stage == "boil" and batch.boil_started is not None:
        ended = batch.boil_started + timedelta(minutes=batch.recipe.boil_minutes)
        gone = (turn.now - ended).total_seconds()
        if gone >= 0:
            return f'Flame-out was due at {wording.local_clock(turn.now, ended)}, {wording.duration(gone)} ago: hob off, then say "flame out".'
        return "The boil is over by the clock."
    if stage == "boil" and batch.stage in ("top_up", "boil"):
        return 'The boil clock has not begun: say "it\'s boiling".'
    if batch.stage == stage:
        return f"The {stage} is over by the clock."
    return f"The {stage} has not begun: {batch.name} is at {stages()[batch.stage].title.lower()}."


def hold(turn: Turn, batch: Batch, label: str = "pause", gone: timedelta = timedelta()) -> None:
    """Stop the stage's clocks, now or so long ago."""
    turn.record("paused", label=label, since=turn.in_seconds(-gone.total_seconds()).astimezone(turn.now.tzinfo).isoformat())


def go_on(turn: Turn, batch: Batch, label: str = "resume") -> timedelta:
    """Let the stage's clocks run again; each call moves by the time that they stood still."""
    # Across a clock change an hour is an hour.
    gone = turn.in_seconds(0) - batch.paused_at if batch.paused_at else timedelta()
    turn.record("resumed", label=label)
    for reminder in tuple(turn.state.reminders.values()):
        if reminder.batch == batch.id and reminder.kind in ("stage", "hop"):
            data = {key: value for key, value in reminder.data.items() if key != HELD}
            was = datetime.fromisoformat(reminder.data[HELD]) if HELD in reminder.data else reminder.due
            moved = reminder.model_copy(update={"due": was + gone, "data": data})
            turn.record("reminder_set", reminder=moved.model_dump(mode="json"))
    return gone


def pause(turn: Turn, intent: Intent) -> None:
    """ "pause", "pause the boil timer"."""
    batch = turn.batch
    if batch is None or turn.stage is None:
        return
    if batch.paused_at is not None:
        turn.say(f'{turn.stage.title} is paused already. Say "resume".')
        return
    hold(turn, batch)
    turn.say(f'Paused at {turn.stage.title.lower()}. Say "resume".', left(turn, batch.stage))
    if batch.stage in ("boil", "mash"):
        turn.offer(("resume", "resume"))


def resume(turn: Turn, intent: Intent) -> None:
    """ "resume", "start the boil timer again"."""
    batch = turn.batch
    if batch is None:
        return
    if batch.paused_at is None:
        turn.say("Nothing is paused.", left(turn, batch.stage))
        return
    gone = go_on(turn, batch)
    turn.say(f"Going on; this stage's reminders moved by {wording.duration(gone.total_seconds())}.", left(turn, batch.stage))


def cut_short(turn: Turn, batch: Batch, following: str) -> str:
    """What is said where a mash or boil is left long before its end; empty where it is not."""
    names = list(stages())
    end = end_of(turn, batch.stage) if batch.stage in _TIMED else None
    if end is None or names.index(following) < names.index(batch.stage):
        return ""
    left = (end.due - turn.now).total_seconds()
    return f'That is {wording.duration(left)} before the end of the {batch.stage}. A slip? "undo" goes back to it.' if left > _EARLY_S else ""
