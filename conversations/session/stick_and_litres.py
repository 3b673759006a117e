"""The stick and the litres told in two messages: where they tell different volumes of the same wort, that is said."""

from __future__ import annotations

import math

from conversations.session import plan, wording
from conversations.session.state import Batch, Reading
from conversations.session.turn import Turn

_FAR = 0.2
"""Share by which the two may differ before one of them must be off."""
_STANDS = (("drain", "top_up"), ("steep", "chill"))
"""Stages within which the litres in the pot stay what they are, but for water that is told."""


def _phase(stage: str) -> tuple[str, ...]:
    return next((each for each in _STANDS if stage in each), ())


def _other(batch: Batch, last: Reading) -> Reading | None:
    """The newest reading of the other kind, of the same wort, with no water told since."""
    for each in reversed(batch.readings[: batch.readings.index(last)]):
        if each.stage not in _phase(last.stage) or each.kind == "water":
            return None
        if each.kind in ("volume", "depth") and each.kind != last.kind:
            return each
    return None


def differ(turn: Turn) -> bool:
    """Say so where the reading that was just recorded and the one before it cannot both be right; what to add is not told then."""
    batch = turn.batch
    last = batch.readings[-1] if batch is not None and batch.readings else None
    before = _other(batch, last) if batch is not None and last is not None and _phase(last.stage) else None
    if last is None or before is None:
        return False
    new, old = (plan.litres(each.best) for each in (last, before))
    if (before.kind == "depth" and before.corrected is None) or (last.kind == "depth" and last.corrected is None) or abs(new - old) <= _FAR * max(new, old):
        return False
    kit, units = turn.state.kit, turn.state.units
    told, stick = (last, before) if last.kind == "volume" else (before, last)
    litres, depth = wording.volume(told.value.quantity, units), wording.depth(stick.value.quantity, units)
    at = wording.clock(before.at.astimezone(turn.now.tzinfo), turn.now)
    earlier = f"{litres} sent" if last.kind == "depth" else f"the {depth} on the stick"
    turn.say(f"That does not go with {earlier} at {at}: one of them is off.")
    if {"pot_diameter", "marks"} & set(kit.told):
        turn.say('Measure again; "undo" takes this one back.')
        return True
    wide = kit.pot_diameter.quantity * math.sqrt(plan.litres(told.value.quantity) / plan.litres(stick.best))
    shown = wording.depth(wide, units)
    turn.say(f'They agree if the pot is {shown} wide inside. Measure it: "pot is {shown} wide", then the stick again. "undo" takes this one back.')
    return True
