""" "what does that do to the strength", "how strong will it be": with the sugar that was spoken of, or as the beer stands."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import if_added, sugar_in, sums, wording
from conversations.session.predictions import predict
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_OF_SUGAR = ("ask.sugar_in", "ask.if_added")


def then(turn: Turn, intent: Intent) -> None:
    """What was spoken of last, and what it makes of the strength; nothing is recorded by asking."""
    batch, last = turn.batch, turn.state.last
    if batch is None:
        turn.say('What of? "1.050 to 1.010 how strong" tells the strength of any two gravities.')
    elif last is not None and last.name in _OF_SUGAR and "mass" in last.slots:
        (sugar_in.sugar_in if last.name == "ask.sugar_in" else if_added.answer)(turn, last)
        turn.last = last
    elif batch.stage in ("ferment", "bottle", "condition"):
        sums.answer(turn, Intent(name="ask.alcohol", text=intent.text))
    else:
        _planned(turn, batch)


def _planned(turn: Turn, batch: Batch) -> None:
    if not batch.recipe.grains:
        turn.say(f"{batch.name} has no grain yet, so there is no strength to tell.")
        return
    found = predict(batch.recipe, turn.state.kit)
    low, middle, high = (float(each.to("percent").magnitude) for each in (found.alcohol_low, found.alcohol, found.alcohol_high))
    turn.say(f"{middle:.1f} % alcohol ({low:.1f} to {high:.1f}) as it is planned now, from {wording.gravity(found.original)}.")


HANDLERS: Handlers = {"ask.strength_then": then}
