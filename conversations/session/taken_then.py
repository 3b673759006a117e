""" "forgot to say I took the sample yesterday": the last reading gets another time; the diary keeps both."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.intents import Intent
from conversations.session import progress, readings
from conversations.session.turn import Handlers, Turn

_STILL_SPOKEN_OF = timedelta(days=1)


def taken_then(turn: Turn, intent: Intent) -> None:
    """The newest reading of the kind that was spoken of last, moved to the time that is told."""
    batch, last = turn.batch, turn.state.last
    kind = readings.SLOT.get(last.name) if last is not None else None
    found = max((each for each in batch.readings if each.kind == kind), key=lambda each: each.id, default=None) if batch is not None else None
    if batch is None or found is None:
        turn.say("Which reading? There is none that it could be.")
        return
    if turn.now - found.at > _STILL_SPOKEN_OF:
        turn.say("Which reading? The last one is from " + progress.date_words(found.at, turn.now) + ", and stays as it is.")
        return
    at = datetime.fromisoformat(str(intent.slots["at"]))
    shown = readings.show(turn, "volume" if found.kind == "depth" and found.corrected else found.kind, found.best)
    if at < batch.started:
        turn.say(f"{progress.date_words(at, turn.now)} is before {batch.name} was begun ({progress.date_words(batch.started, turn.now)}).", f"{shown} stays as it is. Say the day again.")
        return
    if at > turn.now:
        turn.say(f"{progress.date_words(at, turn.now)} is still to come. {shown} stays as it is.")
        return
    number = turn.number()
    moved = found.model_copy(update={"id": number, "at": at, "stage": readings.stage_at(batch, at)})
    turn.record("reading_dropped", label=f"when {shown} was taken", batch=batch.id, id=found.id, by=number)
    turn.record("reading", batch=batch.id, reading=moved.model_dump(mode="json"))
    turn.last = last
    turn.say(f"Corrected: {shown} was taken on {progress.date_words(at, turn.now)} at {at.astimezone(turn.now.tzinfo):%H:%M}.")
    if found.kind == "gravity" and turn.batch is not None and moved.stage in ("ferment", "bottle"):
        progress.after_gravity(turn, turn.batch)
    turn.offer(("undo", "undo"))


HANDLERS: Handlers = {"correct.when": taken_then}
