"""What stays of a sachet when a part of it was pitched: how much went in, how much is over, how long it keeps, and that it was thrown away."""

from __future__ import annotations

import re

from calc.errors import OutOfRange
from calc.units import quantity
from calc.yeast import dry_yeast_mass
from conversations.intents import Intent, Measured
from conversations.session import plan, stock, stock_drawn, wording
from conversations.session.fermentation import yeast_type
from conversations.session.judgement import original_gravity
from conversations.session.readings import measured, record
from conversations.session.state import Batch, StockItem
from conversations.session.stock_items import SACHET, fits, strength
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_in_hand import SMALLEST_LEFT

PITCHED = ("ferment", "bottle", "condition")
_WENT_IN = re.compile(r"\b(pitched|sprinkled|used|went in|put in|threw in|tipped in)\b", re.IGNORECASE)
_MOST_GRAMS = 200.0
"""A mass above this is no yeast for a kitchen's batch."""
_KEEPS = "Folded shut, dry, in the fridge: use it within three months, and not as the only yeast of a strong beer."


def tells_of_pitching(turn: Turn, intent: Intent) -> bool:
    """Whether an amount of yeast is what went in: told with the pitching, or with its words."""
    now = any(event.kind == "stage_entered" and event.data.get("stage") == "ferment" for event in turn.events)
    return now or _WENT_IN.search(intent.text) is not None


def mass(turn: Turn, intent: Intent) -> None:
    """ "pitched 4 g": beside the pitching a mass is the yeast's, and else a reading like any other."""
    value = measured(intent.slots["mass"])
    if turn.batch is not None and turn.batch.stage == "ferment" and tells_of_pitching(turn, intent) and value.in_unit("gram") <= _MOST_GRAMS:
        went_in(turn, value)
    else:
        record(turn, intent)


def went_in(turn: Turn, mass: Measured) -> None:
    """ "pitched 4 g of the yeast": what of it went in, and what stays of what was in hand."""
    turn.record("yeast_pitched", label=f"{_grams(mass.in_unit('gram'))} of yeast pitched", mass=mass.model_dump(mode="json"))
    turn.say(f"{_grams(mass.in_unit('gram'))} of yeast pitched, noted.")
    batch = turn.batch
    if batch is not None:
        _on_the_shelf_again(turn, batch, mass.in_unit("gram"))
        _little(turn, batch, mass.in_unit("gram"))
        hand = batch.recipe.yeast_mass
        over = hand.in_unit("gram") - mass.in_unit("gram") if hand is not None else 0.0
        if over >= SMALLEST_LEFT:
            turn.say(f"{_grams(over)} of {_grams(hand.in_unit('gram') if hand else 0.0)} stay. {_KEEPS}")
    turn.offer(("undo", "undo"))


def _on_the_shelf_again(turn: Turn, batch: Batch, grams: float) -> None:
    """Make what was drawn from the stock what went in: "yeast is in" drew what the beer needs, or the whole sachet."""
    kinds = {item.key: item for item in turn.state.stock if item.kind == "yeast"}
    drawn = [used for used in batch.used if used.item in kinds]
    back = sum(used.amount.in_unit("gram") for used in drawn) - grams
    if not drawn or abs(back) < SMALLEST_LEFT:
        return
    name = batch.recipe.yeast or "yeast"
    if back > 0:
        stock_drawn.give_back(turn, batch, "yeast", name, Measured(value=round(back, 3), unit="gram"))
    else:
        stock.take(turn, "yeast", name, Measured(value=round(-back, 3), unit="gram"), batch.id, f"{name} in")
    item = next(each for each in turn.state.stock if each.key == drawn[-1].item)
    if item.left.value > 0:
        stock.put(turn, item.model_copy(update={"opened": item.opened or turn.now.date()}), f"{item.name} left")
    turn.say(f"Stock: {stock.amount(turn, item.left, 'yeast')} {item.name} left.")


def _little(turn: Turn, batch: Batch, grams: float) -> None:
    """Say where much less went in than is usual: more can still go in."""
    usual = _usual(batch)
    if usual and grams < 0.6 * usual:
        turn.say(f"That is little: {_grams(usual)} is usual. The rest of the sachet can still go in today.")


def _usual(batch: Batch) -> float:
    """Grams of dry yeast that are usual for a batch; 0 where they cannot be told."""
    volume = plan.volume_now(batch) or plan.batch_volume(batch.recipe)
    gravity, _ = original_gravity(batch)
    if gravity is None:
        return 0.0
    try:
        return float(dry_yeast_mass(volume, gravity, yeast_type(batch.recipe)).to("gram").magnitude)
    except OutOfRange:
        return 0.0


def over(turn: Turn, intent: Intent) -> None:
    """ "how much yeast did I have left over": by what is in stock, else by what was in hand and what went in."""
    batch = turn.batch
    item = _on_the_shelf(turn, batch)
    if item is not None:
        how = strength(item, turn.now.date()).words
        turn.say(f"{stock.amount(turn, item.left)} {item.name}{f', {how}' if how else ''}: by what was bought and used.", _KEEPS)
        return
    if batch is None:
        turn.say('I know of no yeast. "7 g yeast left" puts it into the stock.')
        return
    if "liquid" in batch.recipe.yeast.lower():
        turn.say("Liquid yeast goes in whole as a rule; what is left in the pack keeps a week or two in the fridge, closed.")
        return
    told, hand = batch.yeast_pitched, batch.recipe.yeast_mass
    used = told.in_unit("gram") if told is not None else _usual(batch)
    whole = hand.in_unit("gram") if hand is not None else SACHET.in_unit("gram")
    left = whole - used
    if not used:
        turn.say('How much went in? "pitched 4 g of the yeast" tells me.')
        return
    if left < SMALLEST_LEFT:
        turn.say(f"Nothing worth keeping: {_grams(used)} went in of {_grams(whole)}.")
        return
    what = "went in" if told is not None else "is what this beer needs"
    sachet = "" if hand is not None else ", if the sachet held what is usual"
    turn.say(f"{'' if told is not None and hand is not None else 'About '}{_grams(left)}: {_grams(used)} of {_grams(whole)} {what}{sachet}.", _KEEPS)
    turn.say(f'"{left:.0f} g yeast left" and I keep count of it.')
    turn.offer((f"{left:.0f} g left", f"{left:.0f} g {batch.recipe.yeast or 'yeast'} left"))


def thrown(turn: Turn, intent: Intent) -> None:
    """ "threw the rest of the sachet away": off the shelf where it was there, else a note."""
    item = _on_the_shelf(turn, turn.batch)
    if item is not None:
        gone = item.model_copy(update={"left": Measured(value=0.0, unit=item.left.unit)})
        turn.record("stock_set", label=f"{item.name} thrown away", item=gone.model_dump(mode="json"))
        turn.say(f"{stock.amount(turn, item.left)} {item.name} off the shelf: none left. A fresh sachet for the next brew.")
    else:
        turn.record("note", label="rest of the yeast", text=intent.text)
        turn.say("Noted: nothing of it is left. A fresh sachet for the next brew.")
    turn.offer(("undo", "undo"))


def _on_the_shelf(turn: Turn, batch: Batch | None) -> StockItem | None:
    """The yeast in stock that is meant: the batch's own first, the one that is open before others."""
    there = [item for item in turn.state.stock if item.kind == "yeast" and item.left.value > 0]
    name = batch.recipe.yeast if batch is not None else ""
    mine = [item for item in there if name and fits(item, "yeast", name)] or there
    return max(mine, key=lambda item: item.opened is not None or item.left != item.bought, default=None)


def _grams(value: float) -> str:
    return wording.mass(quantity(value, "gram"), "metric")


HANDLERS: Handlers = {"reading.mass": mass, "ask.yeast_over": over, "done.yeast_thrown": thrown}
