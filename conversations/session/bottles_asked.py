"""Bottles of several sizes that are asked about: whether they are enough, and the sugar of each size."""

from __future__ import annotations

import math

from calc.carbonation import sugar_per_bottle
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import bottling, plan, priming, wording
from conversations.session.fermentation import page
from conversations.session.judgement import judge
from conversations.session.state import Batch, Bottles
from conversations.session.turn import Handlers, Turn
from conversations.understanding.bottles_asked import ENDS

_STAYS = 0.97
"""What is bottled of what is in the fermenter; the rest stays with the yeast."""


def say_whether(turn: Turn, lots: tuple[Bottles, ...]) -> None:
    """Whether these bottles hold the beer of the batch; how many more where they do not."""
    batch, units = turn.batch, turn.state.units
    shown = bottling.lots_words(lots, units)
    if batch is None:
        turn.say(f"{shown}. Of how much beer? \"how many bottles for 8 litres\".")
        return
    now = plan.volume_now(batch)
    beer, source = (now, "as measured") if now is not None else (plan.batch_volume(batch.recipe), "as planned")
    missing = float(beer.to("litre").magnitude) - priming.litres_in(lots)
    there = f"{wording.volume(beer, units)} ({source})"
    if missing <= (1 - _STAYS) * float(beer.to("litre").magnitude):
        turn.say(f"Enough: {shown}, for {there}. Have one or two more ready.")
        return
    largest = max(lots, key=lambda lot: lot.size.in_unit("litre"))
    more = math.ceil(missing / largest.size.in_unit("litre") - 1e-6)
    turn.say(f"Not enough: {shown}, for {there}. {more} more of {bottling.size_words(largest, units)}.")


def enough(turn: Turn, intent: Intent) -> None:
    """ "are 8 500s and 3 330s enough"."""
    say_whether(turn, priming.bottles_asked(intent))


def just_told(turn: Turn) -> tuple[Bottles, ...]:
    """The bottles that the message before told of, in the cupboard or filled."""
    before = turn.state.understood.strip()
    if before.endswith("as kit, bottles."):
        return tuple(Bottles(count=number, size=size) for number, size in turn.state.kit.bottles)
    if before.endswith("as bottle, count.") and turn.batch is not None:
        # Before bottling two sizes in one breath are those in the cupboard.
        return turn.batch.bottles or tuple(Bottles(count=number, size=size) for number, size in turn.state.kit.bottles)
    return ()


def by_size(turn: Turn, intent: Intent) -> None:
    """ "how much sugar for the 500s and the 330s": each size's share, and what it is for all."""
    batch = turn.batch or Batch(id=0, name="", stage_since=turn.now, started=turn.now)
    units = turn.state.units
    litres, _ = priming.volume(batch)
    grams = priming.sugar_grams(batch)
    sizes = [Measured.model_validate(intent.slots["volume" + end]) for end in ENDS if "volume" + end in intent.slots]
    shares = [(size, sugar_per_bottle(grams, litres, quantity(size.in_unit("millilitre"), "millilitre"))) for size in sizes]
    each = ", ".join(f"{float(share.magnitude):.1f} g in {priming.bottle_size(size.in_unit('millilitre'), units)}" for size, share in shares)
    name = page("bottling")["sugars"][batch.priming.sugar]
    turn.say(f"{each}: {name}, {batch.priming.volumes:g} volumes.")
    if turn.batch is not None:
        turn.say(f"Better dissolved and shared out: {wording.mass(grams, units)} for all {wording.volume(litres, units)}.")
        if batch.stage == "ferment" and not judge(batch).ready:
            turn.say(priming.NOT_YET)
    turn.caution("pressure")


HANDLERS: Handlers = {"ask.bottles_enough": enough, "ask.sugar_by_size": by_size}
