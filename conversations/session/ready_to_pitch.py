""" "22 now, can I pitch": whether the wort is cool enough for its yeast, by a figure that is told or the last one that was read."""

from __future__ import annotations

from datetime import timedelta

from calc.units import Quantity
from conversations.intents import Intent
from conversations.session import wording
from conversations.session.readings import measured
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth

_FRESH = timedelta(hours=2)
"""A temperature of the wort older than this says nothing of now."""
_ALLOWED_K = 2.0
"""Warmer than the yeast's range by no more than this is let pass with a word: common practice, no source."""


def ask(turn: Turn, intent: Intent) -> None:
    """Yes or no with the yeast's range; nothing is recorded by asking."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    if "ferment" in batch.entered:
        turn.say(f"The yeast of {batch.name} is in already.")
        return
    right = yeast_warmth(batch.recipe, units)
    low, high = right.low_words, right.high_words
    now = measured(intent.slots["temperature"]).quantity if "temperature" in intent.slots else _last(turn)
    if now is None:
        turn.say(f"At {right.words} for {right.yeast}, everything sanitised. Send the wort's temperature.")
        return
    shown = wording.temperature(now, units)
    over = float(now.to("degC").magnitude) - float(right.high.to("degC").magnitude)
    under = float(right.low.to("degC").magnitude) - float(now.to("degC").magnitude)
    if over > _ALLOWED_K:
        turn.say(f"No, {shown} is too warm: {high} at most for {right.yeast}. Cool on; hotter makes harsh tastes, and above 40 °C (104 °F) it dies.")
    elif over > 0:
        turn.say(f"Nearly: {shown} is a little above {right.words}. Cool on to {high}, or pitch and keep cooling.")
    elif under > 0:
        turn.say(f"You can: {shown} is below {right.words}, so it starts slowly. Let it warm up to {low}.")
    else:
        turn.say(f"Yes: {shown} is within {right.words} for {right.yeast}. Shake or stir air into it, then the yeast; say \"pitched\".")
        turn.offer(("pitched", "pitched"))
    turn.working = "Ranges of yeast types: common practice, no source; the packet knows better."


def _last(turn: Turn) -> Quantity | None:
    """The wort's last temperature, where it is fresh."""
    batch = turn.batch
    found = [each for each in batch.readings if each.kind == "temperature" and each.stage in ("steep", "chill", "transfer", "pitch")] if batch else []
    return found[-1].best if found and turn.now - found[-1].at <= _FRESH else None


HANDLERS: Handlers = {"ask.pitch": ask}
