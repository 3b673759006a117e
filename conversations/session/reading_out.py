"""A reading that is taken out again: "delete 1.015", "scrap the last gravity", "the last reading was wrong"; the diary keeps that it was there."""

from __future__ import annotations

from conversations.intents import Intent, Measured
from conversations.session import progress, readings
from conversations.session.state import Reading
from conversations.session.turn import Handlers, Turn

_KINDS = {"gravity": "gravity", "temperature": "temperature", "volume": "volume"}
_SAME_GRAVITY = 0.0006
_SAME = 0.051


def _found(turn: Turn, intent: Intent) -> Reading | None:
    batch = turn.batch
    if batch is None:
        return None
    kind = str(intent.slots.get("of", ""))
    for name in _KINDS:
        if name in intent.slots:
            wanted = Measured.model_validate(intent.slots[name])
            near = _SAME_GRAVITY if name == "gravity" else _SAME
            return next((each for each in reversed(batch.readings) if each.kind == name and any(
                abs(value.in_unit(wanted.unit) - wanted.value) < near for value in (each.value, *([each.corrected] if each.corrected else [])))), None)
    of_kind = [each for each in batch.readings if not kind or each.kind == kind]
    return max(of_kind, key=lambda each: each.id, default=None)


def take_out(turn: Turn, intent: Intent) -> None:
    """Take a reading out by its figure, or the last one; an undo brings it back."""
    pending = (turn.state.question or {}).get("intent")
    if pending and turn.state.expects == "yes_no":
        turn.say("Dropped, nothing recorded. Send it again.")
        return
    reading, batch = _found(turn, intent), turn.batch
    if batch is None or reading is None:
        turn.say('No such reading is there. "diary" lists them.')
        return
    shown = readings.show(turn, reading.kind, reading.best)
    turn.record("reading_dropped", label=f"{reading.kind} {shown} out", batch=batch.id, id=reading.id, by=None)
    turn.say(f"Taken out: {reading.kind} {shown} of {progress.date_words(reading.at, turn.now)}.")
    if reading.kind == "gravity" and turn.batch is not None and turn.batch.stage in ("ferment", "bottle"):
        progress.after_gravity(turn, turn.batch)
    turn.offer(("undo", "undo"))


def wrong(turn: Turn, intent: Intent) -> None:
    """ "the last reading was wrong": nothing is changed before the right one is told."""
    reading = _found(turn, intent)
    if reading is None:
        turn.say("No reading is there that it could be.")
        return
    shown = readings.show(turn, reading.kind, reading.best)
    turn.say(f'The last is {reading.kind} {shown} of {progress.date_words(reading.at, turn.now)}. What should it be? "no, 1.014" and the like puts it right.')
    turn.offer(("take it out", "take out the last reading"), ("leave it", "no"))


HANDLERS: Handlers = {"weeks.take_out": take_out, "weeks.wrong": wrong}
