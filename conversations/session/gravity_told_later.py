"""What is told later of a gravity: how warm its sample was, and that the first one was another; and both asked for together."""

from __future__ import annotations

import re
from datetime import timedelta

from conversations.intents import Intent
from conversations.session import edits, progress, readings, wording
from conversations.session.judgement import judge
from conversations.session.state import Batch, Reading
from conversations.session.turn import Handlers, Turn

_ORIGINAL = re.compile(r"\b(og|o\.g\.|original gravity|starting gravity|original sg|starting sg)\b", re.IGNORECASE)
AFTER_PITCHING = ("ferment", "bottle", "condition")
_BEFORE_PITCHING = (("transfer", "pitch"), ("chill", "steep", "boil"))


def of_the_original(batch: Batch | None, text: str) -> bool:
    """Whether a gravity that is told after pitching is the one from before it."""
    return batch is not None and batch.stage in AFTER_PITCHING and _ORIGINAL.search(text) is not None


def original(turn: Turn, intent: Intent) -> None:
    """ "original gravity should have been 1.044": in the place of the one that was measured, or as the one that was not told."""
    batch, value = turn.batch, intent.slots["gravity"]
    if batch is None or batch.stage not in AFTER_PITCHING:
        readings.record(turn, Intent(name="reading.gravity", slots={"gravity": value}, text=intent.text))
        return
    old = _measured_original(batch)
    slots = {key: each for key, each in intent.slots.items() if key in ("gravity", "temperature")}
    told = Intent(name="reading.gravity", slots=slots)
    if old is None:
        # It was read before the yeast went in, and is told only now.
        at = max(batch.started, batch.entered.get("ferment", turn.now) - timedelta(seconds=1))
        readings.record(turn, told.model_copy(update={"slots": {**slots, "at": at.isoformat()}}), sure=True)
    elif abs(old.value.value - readings.measured(value).value) < 5e-5 and "temperature" not in slots:
        turn.say(f"Original gravity {wording.gravity(old.best)}: so it is in the diary.")
        return
    else:
        edits.replace(turn, batch, old, told)
    if turn.batch is not None:
        turn.say(progress.so_far(judge(turn.batch)))


def _measured_original(batch: Batch) -> Reading | None:
    """The gravity that counts as the original one: the last of the stages before the yeast."""
    for stages in _BEFORE_PITCHING:
        found = [each for each in batch.readings if each.kind == "gravity" and each.stage in stages]
        if found:
            return found[-1]
    return None


def sample(turn: Turn, intent: Intent) -> None:
    """ "the beer was at 19 degrees when I took that": the newest gravity is corrected with it."""
    batch = turn.batch
    warmth = readings.measured(intent.slots["temperature"])
    pending = (turn.state.question or {}).get("intent")
    if pending and pending["name"] == "reading.gravity":
        asked = Intent.model_validate(pending)
        readings.record(turn, asked.model_copy(update={"slots": {**asked.slots, "temperature": warmth}}))
        return
    old = next((each for each in reversed(batch.readings) if each.kind == "gravity"), None) if batch is not None else None
    if batch is None or old is None:
        turn.say('No gravity is recorded that it could be of. Send both: "1.045 at 25 C".')
        return
    if strange := readings.doubt_sample(warmth):
        turn.say(strange, "Nothing is changed. Please send it again.")
        return
    edits.replace(turn, batch, old, Intent(name="reading.gravity", slots={"gravity": old.value, "temperature": warmth}))
    if turn.batch is not None and turn.batch.stage in ("ferment", "bottle"):
        progress.after_gravity(turn, turn.batch)


def both(turn: Turn, intent: Intent) -> None:
    """ "og and fg please": the first and the last gravity, and the strength between them."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is open.")
        return
    judged = judge(batch)
    first = f"Original {wording.gravity(judged.original)}" if judged.original is not None else "Original gravity unknown"
    source = "" if judged.original is None or judged.measured_original else " (by the recipe)"
    if judged.last is None:
        turn.say(f"{first}{source}; none from the fermenter yet.")
        return
    name = "final" if judged.ready or batch.stage == "condition" else f"{wording.gravity(judged.last.best)} on {progress.date_words(judged.last.at, turn.now)}, not final yet"
    turn.say(f"{first}{source}, {name}{f' {wording.gravity(judged.last.best)}' if name == 'final' else ''}.", progress.so_far(judged))


HANDLERS: Handlers = {"edit.original": original, "edit.sample": sample, "ask.both_gravities": both}
