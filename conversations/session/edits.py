"""A message that the person changed afterwards: what its earlier version recorded is replaced, through events."""

from __future__ import annotations

from calc.units import quantity
from conversations.intents import Context, Intent, Measured
from conversations.session import readings
from conversations.session.events import Heard
from conversations.session.state import Batch, Reading
from conversations.session.turn import Turn
from conversations.understanding.beyond_sentences import read

SAME = 0.001
"""Share by which a figure may differ from the recorded one and still be the same."""


def edited(turn: Turn, message: Heard, text: str, context: Context) -> bool:
    """Apply a changed message; False where nothing of it was recorded before, or where it is to be read anew.

    The newest recording message is taken back first and then read anew, whatever it was. Of an older one the
    readings are replaced where they stand, with their time and stage; the rest of the day stays as it was.
    """
    if not message.takes_back and not message.corrects:
        return False
    found = read(text, context)
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
        replace(turn, batch, old, new)
    return True


def by_its_figure(turn: Turn, intent: Intent) -> bool:
    """ "it was 9.2 litres not 9.5", said after other things: the reading of the batch that has the wrong figure.

    False where the last thing said is of that kind, or where no reading has it.
    """
    last = turn.state.last
    if turn.batch is None or "was" not in intent.slots or "value" not in intent.slots:
        return False
    was, value = float(intent.slots["was"]), float(intent.slots["value"])
    for old in reversed(turn.batch.readings):
        unit = str(intent.slots.get("unit") or old.value.unit)
        if not old.value.quantity.check(quantity(1, unit).dimensionality) or abs(old.value.in_unit(unit) - was) > SAME * was:
            continue
        if last is not None and readings.SLOT.get(last.name) == old.kind:
            return False
        if old.kind == "gravity" and old.corrected is not None:
            turn.say(f'Nothing changed: that gravity went with the sample\'s temperature. Send both again: "gravity {value:.3f} at 25 C".')
            return True
        replace(turn, turn.batch, old, Intent(name=f"reading.{old.kind}", slots={old.kind: Measured(value=value, unit=unit)}))
        return True
    return False


def of_an_amount(turn: Turn, intent: Intent, last: Intent | None) -> Intent | None:
    """ "12 grams not 10", said after readings: the amount of what went in, where the last thing told was no mass."""
    unit = str(intent.slots.get("unit") or "")
    of_a_mass = last is not None and "mass" in last.slots
    if turn.batch is None or "value" not in intent.slots or of_a_mass or not unit or not quantity(1, unit).check("[mass]"):
        return None
    slots: dict[str, object] = {"mass": Measured(value=float(intent.slots["value"]), unit=unit)}
    if "was" in intent.slots:
        slots["old"] = Measured(value=float(intent.slots["was"]), unit=unit)
    return Intent(name="done.put_in", slots=slots, text=intent.text)


def _find(turn: Turn, number: int) -> tuple[Batch, Reading] | None:
    """A reading that still holds, and its batch."""
    for batch in turn.state.batches:
        for reading in batch.readings:
            if reading.id == number:
                return batch, reading
    return None


def replace(turn: Turn, batch: Batch, old: Reading, intent: Intent) -> None:
    """Another figure, or another sample's temperature, in the place of a reading: its time and stage stay."""
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
    if temperature is not None and shown == before:
        turn.say(f"{old.kind.capitalize()} {shown} of {old.at.astimezone(turn.now.tzinfo):%H:%M}: its sample's temperature is noted and changes nothing.")
        turn.offer(("undo", "undo"))
        return
    turn.say(f"Corrected: {old.kind} {shown} instead of {before}, at {old.at.astimezone(turn.now.tzinfo):%H:%M}.")
    turn.offer(("undo", "undo"))
