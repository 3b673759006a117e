""" "spilled half a litre", "took a 100 ml sample": the batch is that much less, and the sugar of the bottles goes by what is left."""

from __future__ import annotations

from conversations.intents import Intent, Measured
from conversations.session import plan, wording
from conversations.session.readings import measured
from conversations.session.state import Reading
from conversations.session.turn import Handlers, Turn

_LEAST_LEFT = 0.3
"""Litres: what would leave less is more likely a slip than a flood."""
_CLEAN = "What was spilled stays out. Tap and hands clean before it goes back on, and see that it is tight."


def spilled(turn: Turn, intent: Intent) -> None:
    """A volume in the place of the last one; where litres are missing they are asked for once."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        turn.say("No batch is running.")
        return
    before = plan.volume_now(batch)
    if "volume" not in intent.slots or before is None:
        turn.record("note", label="spilled", text=intent.text)
        turn.say('Noted. How much is left in the fermenter? "6 l" is enough: the sugar for the bottles goes by it.', _CLEAN)
        turn.expects = "reading.volume"
        turn.offer(("undo", "undo"))
        return
    gone = measured(intent.slots["volume"])
    left = float(before.to("litre").magnitude) - gone.in_unit("litre")
    shown, taken = wording.volume(gone.quantity, units), intent.slots.get("how") == "taken"
    if left < _LEAST_LEFT:
        turn.say(f'{shown} of {wording.volume(before, units)}? Nothing is recorded. How much is left? Send it like "6 l".')
        turn.expects = "reading.volume"
        return
    now = Measured(value=round(left, 3), unit="litre")
    reading = Reading(id=turn.number(), kind="volume", value=now, stage=batch.stage, at=turn.now, note=f"{shown} {'taken' if taken else 'spilled'}", who=turn.who)
    turn.record("reading", label=f"{shown} less", reading=reading.model_dump(mode="json"))
    turn.last = Intent(name="reading.volume", slots={"volume": now}, text=intent.text)
    turn.say(f"{shown} less: {wording.volume(now.quantity, units)} left of {wording.volume(before, units)}. Gravity and strength stay; the sugar for the bottles goes by it.")
    turn.say("" if taken else _CLEAN, f'Read it off if you can: "{now.value:.1f} l" puts it right.')
    turn.offer(("undo", "undo"))


HANDLERS: Handlers = {"done.spilled": spilled}
