"""So much per bottle: of the sugar where sugar was spoken of, of the money elsewhere."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import costs, priming
from conversations.session.readings import measured
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn


def per_bottle(turn: Turn, intent: Intent) -> None:
    """ "how much per bottle then": behind an answer on sugar, or on bottling day, the sugar; else what a bottle costs."""
    batch, last = turn.batch, turn.state.last
    behind = last is not None and last.name in priming.HANDLERS
    if not behind and (batch is None or batch.stage != "bottle"):
        costs.ask(turn, intent)
        return
    if batch is None:
        batch = Batch(id=0, name="", stage_since=turn.now, started=turn.now)
    slots = last.slots if last is not None and behind else {}
    of = measured(slots["volume"]).quantity if "volume" in slots else None
    at = measured(slots["temperature"]).quantity if "temperature" in slots else None
    first, *more = priming.sugar_line(turn, batch, of, at)
    turn.say(*(more[:1] or [first]))
    turn.last = last if behind else None


HANDLERS: Handlers = {"ask.per_bottle": per_bottle}
