""" "anything I need to buy before bottling day": sugar, bottles and caps for what is in the fermenter, held against the stock."""

from __future__ import annotations

import math

from conversations.intents import Intent
from conversations.session import bottle_talk, wording
from conversations.session.fermentation import page
from conversations.session.priming import sugar_grams, volume
from conversations.session.state import Batch
from conversations.session.stock_bottling import CAPS
from conversations.session.stock_items import fitting, kind_of
from conversations.session.turn import Handlers, Turn

_USUAL_ML = 500.0


def for_bottling(turn: Turn, intent: Intent) -> None:
    """What is wanted and what is there; nothing is recorded by asking."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        return
    grams = sugar_grams(batch)
    name = str(page("bottling")["sugars"][batch.priming.sugar]).partition(" (")[0]
    there = sum(item.left.in_unit("gram") for item in fitting(turn.state.stock, kind_of(name), name) if item.left.quantity.check("[mass]"))
    kept = "" if not turn.state.stock else ", in stock" if there >= float(grams.to("gram").magnitude) else f", {wording.mass(grams - there * grams.units, units)} of it to buy" if there else ", none in stock"
    turn.say(f"{wording.mass(grams, units)} {name}{kept}; sanitiser, and a clean tube or tap to fill with.")
    bottle_talk.needed(turn, intent)
    _caps(turn, batch)


def _caps(turn: Turn, batch: Batch) -> None:
    kinds = page("bottling")["capped"]
    if (batch.bottle_type or "standard") not in kinds and not any(lot.type in kinds for lot in batch.bottles):
        return
    sizes = [size.in_unit("litre") for _, size in turn.state.kit.bottles] or [_USUAL_ML / 1000]
    wanted = math.ceil(float(volume(batch)[0].to("litre").magnitude) / max(sizes)) + 2
    there = sum(item.left.value for item in turn.state.stock if item.name == CAPS)
    kept = f"{there:g} in stock" + ("" if there >= wanted else f", {wanted - there:g} to buy") if there else "none that I know of"
    turn.say(f"Crown caps: {wanted} with two spare ({kept}); none for swing tops and screw caps.")


HANDLERS: Handlers = {"ask.for_bottling": for_bottling}
