"""A mash of several rests told in one message."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.recipe.reader import read_recipe
from conversations.session import rests, telling, wording
from conversations.session.recipe_edit import planned
from conversations.session.turn import Handlers, Turn


def are_told(text: str, turn: Turn) -> bool:
    """Whether a message tells several rests of the mash and nothing else, while that can still be planned."""
    if turn.batch is None or turn.batch.stage not in ("plan", "prepare") or len(text) > 300 or "?" in text:
        return False
    low = text.lower()
    if "mash" not in low and "rest" not in low:
        return False
    read = read_recipe(text, turn.state.units)
    return len(read.rests) > 1 and not read.grains and not read.hops and read.yeast is None and read.volume is None


def tell(turn: Turn, intent: Intent) -> None:
    """ "Mash 52 C 15 min, 64 C 45 min, 72 C 20 min": a mash of several rests."""
    batch = turn.batch
    if batch is None or (batch.recipe.grains and planned(turn) is None):
        return
    read = read_recipe(str(intent.slots["text"]), turn.state.units)
    main = read.mash_temperature or read.rests[0][0]
    minutes = read.mash_minutes or batch.recipe.mash_minutes
    told = batch.recipe.model_copy(
        update={"mash_temperature": main, "mash_minutes": minutes, "rests": rests.read_rests(read, minutes)}
    )
    telling.change(turn, told, "mash")
    turn.say(f"Mash: {rests.words(told, turn.state.units)}.", *read.refused[:2])
    length = rests.mash_length(told, turn.state.kit)
    turn.say(f"About {wording.duration(60 * length)} with the heating between; I call each step.")
    turn.offer(("next", "next"), ("undo", "undo"))


HANDLERS: Handlers = {"recipe.rests": tell}
