"""Bottles that are drunk or given away, and how many are left of those that were filled."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.session import bottling
from conversations.session.state import Batch, Bottles
from conversations.session.turn import Handlers, Turn

_SMALL = ("small", "little")
_BIG = ("big", "large")
_HALF_LITRE = 500.0


def _gone_of(batch: Batch, lot: Bottles) -> int:
    return sum(each.count for each in batch.gone if each.size == lot.size)


def left_of(batch: Batch) -> tuple[Bottles, ...]:
    """The full bottles that are left by what was told."""
    lots = (lot.model_copy(update={"count": lot.count - _gone_of(batch, lot)}) for lot in batch.bottles)
    return tuple(lot for lot in lots if lot.count > 0)


def _meant(batch: Batch, size: str) -> tuple[Bottles, ...]:
    """The lots that a size names; all of them where none is named."""
    lots = tuple(sorted(batch.bottles, key=lambda lot: lot.size.in_unit("millilitre")))
    if not size or not lots:
        return lots
    if size in (*_SMALL, *_BIG):
        return lots[:1] if size in _SMALL else lots[-1:]
    figure = re.search(r"\d+", size)
    wanted = float(figure.group()) if figure is not None else _HALF_LITRE
    return tuple(lot for lot in lots if abs(lot.size.in_unit("millilitre") - wanted) < 5)


def gone(turn: Turn, intent: Intent) -> None:
    """ "drank two", "gave three of the small ones to my brother": taken off what is left; of which size is asked where there are several."""
    batch, number = turn.batch, int(intent.slots["count"])
    if batch is None or batch.stage != "condition" or not batch.bottles:
        turn.say('No bottles are counted. "10 500 ml and 6 330 ml" counts them.')
        return
    lots = _meant(batch, str(intent.slots.get("size", "")))
    if len(lots) != 1:
        if not lots:
            turn.say(f"No bottles of that size are counted, only {bottling.lots_words(batch.bottles, turn.state.units)}. Nothing is changed.")
            return
        shown = [bottling.size_words(lot, turn.state.units) for lot in batch.bottles]
        turn.say(f"{number} of which size? Nothing is changed yet: \"drank {number} of the {shown[0]}\".")
        turn.offer(*((size, f"drank {number} of the {size}") for size in shown))
        return
    there = next((lot.count for lot in left_of(batch) if lot.size == lots[0].size), 0)
    size = bottling.size_words(lots[0], turn.state.units)
    if number > there:
        turn.say(f"By the count {there or 'none'} of {size} {'is' if there == 1 else 'are'} left. Nothing is changed.")
        return
    turn.record("bottles_gone", label="bottles gone", lot=lots[0].model_copy(update={"count": number}).model_dump(mode="json"))
    turn.record("note", text=f"{number} of {size} gone: {intent.text.strip()}")
    batch = turn.batch
    rest = left_of(batch) if batch is not None else ()
    turn.say(f"Noted. Left: {bottling.lots_words(rest, turn.state.units)}." if rest else 'Noted. By the count none is left. "all drunk" closes the batch.')
    turn.offer(("undo", "undo"))


def left(turn: Turn, intent: Intent) -> None:
    """ "how many bottles have I got left"."""
    batch = turn.batch
    if batch is None or not batch.bottles:
        turn.say('None is counted. "10 500 ml and 6 330 ml" counts them.')
        return
    rest = left_of(batch)
    number = sum(lot.count for lot in batch.gone)
    turn.say(f"Left: {bottling.lots_words(rest, turn.state.units)}." if rest else "By the count none is left.")
    if number:
        turn.say(f"{sum(lot.count for lot in batch.bottles)} were filled, {number} told as gone.")
    else:
        turn.say('That is all that were filled: none is told as gone. "drank two" takes them off.')


def opened(turn: Turn, intent: Intent) -> None:
    """ "opened a big one" says nothing of how it was; it is asked."""
    turn.say('How is it? "flat", "fine" or "gushed"; "tasting" for a note of its taste. Nothing is noted yet.')
    turn.offer(("flat", "flat"), ("fine", "fine"), ("gushed", "gushed"), ("tasting", "tasting"))


HANDLERS: Handlers = {"bottle.gone": gone, "bottle.opened": opened, "ask.bottles_left": left}
