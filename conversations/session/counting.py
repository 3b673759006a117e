"""Bottles counted while they are filled: a size that is told again stands instead of itself, another size comes to it."""

from __future__ import annotations

import re

from conversations.intents import Intent, Measured
from conversations.session import plan
from conversations.session.fermentation import page
from conversations.session.priming import litres_in
from conversations.session.state import Batch, Bottles
from conversations.session.turn import Turn

_PUT_RIGHT = re.compile(r"^\W*(no|nope|nah|sorry|wait|oops|actually|correction|i mean|i meant|rather)\b|\bi (mean|meant)\b|\bnot \d|\bonly\b|\b(in all|altogether|in total)\b", re.IGNORECASE)
_FILLED = re.compile(r"\b(bottled|filled|capped)\b", re.IGNORECASE)
_DONE = re.compile(r"\b(bottled|capped)\b", re.IGNORECASE)
_SO_FAR = re.compile(r"\b(so far|to go|still|yet|until now|till now|up to now|more|left|first)\b", re.IGNORECASE)
_SAME_ML = 5.0
_ABOUT_ALL = 0.85
"""The share of the beer that fills bottles, less what stays with the yeast."""


def _said(turn: Turn) -> str:
    return next((str(event.data["text"]) for event in turn.events if event.kind == "heard"), "")


def _same(one: Bottles, other: Bottles) -> bool:
    return abs(one.size.in_unit("millilitre") - other.size.in_unit("millilitre")) < _SAME_ML


def kind_said(turn: Turn, batch: Batch, size: Measured) -> str:
    """The kind of the bottles by the words beside their number, else what bottles of that size were before; of two kinds that are named none is sure."""
    alike = Bottles(count=1, size=size)
    usual = next((each.type for each in batch.bottles if _same(each, alike)), batch.bottle_type or "standard")
    said = _said(turn).lower()
    rows: dict[str, list[str]] = page("bottling")["bottle_words"]
    found = [kind for kind, words in rows.items() if any(word in said for word in words)]
    return found[0] if len(found) == 1 else usual


def filled_from_fermenter(turn: Turn, intent: Intent) -> bool:
    """Whether bottles are told as filled while the beer is in the fermenter: the guard is asked first."""
    batch = turn.batch
    return batch is not None and batch.stage == "ferment" and _FILLED.search(intent.text) is not None


def with_lot(turn: Turn, batch: Batch, lot: Bottles, more: bool) -> tuple[Bottles, ...]:
    """The bottles with those that were told now: "more" adds to its size, and what is put right stands instead of what was told last."""
    kept = batch.bottles
    if more:
        there = next((each for each in kept if _same(each, lot) and each.type == lot.type), None)
        if there is None:
            return (*kept, lot)
        return tuple(each.model_copy(update={"count": each.count + lot.count}) if each == there else each for each in kept)
    told = [Bottles.model_validate(event.data["told"]) for event in turn.events if event.kind == "bottles_told" and "told" in event.data]
    if told:
        # "10 500 ml and 6 330 ml" are all that there are.
        return (*told, lot)
    if kept and not any(_same(each, lot) for each in kept) and _PUT_RIGHT.search(_said(turn)):
        kept = kept[:-1]
    if any(_same(each, lot) for each in kept):
        first = next(place for place, each in enumerate(kept) if _same(each, lot))
        return tuple(lot if place == first else each for place, each in enumerate(kept) if place == first or not _same(each, lot))
    return (*kept, lot)


def all_filled(intent: Intent) -> bool:
    """Whether it is said that the bottling is done, and not only that some are full."""
    return _DONE.search(intent.text) is not None


def last_filled(turn: Turn, batch: Batch, intent: Intent, lots: tuple[Bottles, ...]) -> bool:
    """Whether at bottling these are all: told with their sugar, or as bottled where they hold about all the beer."""
    if batch.stage != "bottle":
        return False
    if "done" in intent.slots:
        return True
    said = _said(turn)
    if _DONE.search(said) is None or _SO_FAR.search(said) is not None:
        return False
    beer = plan.volume_now(batch) or plan.batch_volume(batch.recipe)
    return litres_in(lots) >= _ABOUT_ALL * float(beer.to("litre").magnitude)
