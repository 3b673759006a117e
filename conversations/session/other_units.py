""" "what's that in plato": the reading that was spoken of last, in another unit."""

from __future__ import annotations

from calc.units import quantity
from conversations.intents import Intent
from conversations.session import readings, sums
from conversations.session.turn import Handlers, Turn

_DEGREES = {"degree_plato": "gravity", "degC": "temperature", "degF": "temperature", "kelvin": "temperature"}
_BY_DIMENSION = (("[length] ** 3", ("volume", "depth")), ("[mass]", ("mass",)), ("[length]", ("depth",)))


def convert_last(turn: Turn, intent: Intent) -> None:
    """The newest reading that has such a unit, what was told last before all others; nothing is recorded."""
    to = str(intent.slots["to"])
    kinds = (_DEGREES[to],) if to in _DEGREES else next((found for dimension, found in _BY_DIMENSION if quantity(1, to).check(dimension)), ())
    last = turn.state.last
    if last is not None and readings.SLOT.get(last.name) in kinds:
        slot = readings.SLOT[last.name]
        value = readings.measured(last.slots[slot]).quantity
        if slot != "depth" or "volume" not in kinds:
            sums.convert(turn, value, to)
            turn.last = last
            return
    batch = turn.batch
    found = next((each for each in reversed(batch.readings) if each.kind in kinds), None) if batch is not None else None
    if found is None:
        turn.say('Of which figure? Send it along: "1.046 in plato", "20 C in F".')
        return
    sums.convert(turn, found.best if found.kind != "depth" or quantity(1, to).check("[length] ** 3") else found.value.quantity, to)


HANDLERS: Handlers = {"ask.convert_last": convert_last}
