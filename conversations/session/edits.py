"""A message that the person changed afterwards: what its earlier version recorded is replaced, through events."""

from __future__ import annotations

from conversations.intents import Context, Intent
from conversations.session import readings
from conversations.session.events import Heard
from conversations.session.state import Batch, Reading
from conversations.session.turn import Turn
from conversations.understanding.understand import understand


def edited(turn: Turn, message: Heard, text: str, context: Context) -> bool:
    """Apply a changed message; False where nothing of it was recorded before, or where it is to be read anew.

    The newest recording message is taken back first and then read anew, whatever it was. Of an older one the
    readings are replaced where they stand, with their time and stage; the rest of the day stays as it was.
    """
    if not message.takes_back and not message.corrects:
        return False
    found = understand(text, context)
    if not found.intents:
        turn.say("I did not get the changed message, so the earlier one stays.")
        return True
    if message.takes_back and turn.state.undo:
        turn.note_event("undone", label=turn.state.undo[-1][0])
        turn.say("Corrected:")
        return False
    told = [intent for intent in found.intents if intent.name in readings.SLOT]
    for number in message.corrects:
        where = _find(turn, number)
        if where is None:
            continue
        batch, old = where
        new = next((each for each in told if readings.SLOT[each.name] == old.kind), None)
        if new is None:
            turn.say(f"The {old.kind} of {old.at.astimezone(turn.now.tzinfo):%H:%M} stays: no other one in there.")
            continue
        told.remove(new)
        _replace(turn, batch, old, new)
    return True


def _find(turn: Turn, number: int) -> tuple[Batch, Reading] | None:
    """A reading that still holds, and its batch."""
    for batch in turn.state.batches:
        for reading in batch.readings:
            if reading.id == number:
                return batch, reading
    return None


def _replace(turn: Turn, batch: Batch, old: Reading, intent: Intent) -> None:
    value = readings.measured(intent.slots[old.kind])
    low, high, unit = readings.POSSIBLE[old.kind]
    before, after = (readings.show(turn, old.kind, each.quantity) for each in (old.value, value))
    if not low <= value.in_unit(unit) <= high:
        turn.say(f"{after}? That cannot be, so {before} stays.")
        return
    temperature = intent.slots.get("temperature") if old.kind == "gravity" else None
    corrected, note = readings.corrected(
        turn, old.kind, value, readings.measured(temperature) if temperature else None
    )
    number = turn.number()
    new = old.model_copy(update={"id": number, "value": value, "corrected": corrected, "note": note})
    turn.record("reading_dropped", label=f"{old.kind} {after}", batch=batch.id, id=old.id, by=number)
    turn.record("reading", batch=batch.id, reading=new.model_dump(mode="json"))
    shown = readings.show(turn, "volume" if old.kind == "depth" and corrected else old.kind, new.best)
    turn.say(f"Corrected: {old.kind} {shown} instead of {before}, at {old.at.astimezone(turn.now.tzinfo):%H:%M}.")
    turn.offer(("undo", "undo"))
