"""How old a sachet is, told while nothing of it is in stock: one sachet is taken to be there, of that age."""

from __future__ import annotations

from datetime import date, timedelta

from conversations.intents import Intent
from conversations.session import stock, stock_told
from conversations.session.state import StockItem
from conversations.session.stock_items import SACHET
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_in_hand import yeast_problem

_OLDEST_YEARS = 10.0


def age(turn: Turn, intent: Intent) -> None:
    """ "my sachet is two years old": since it was packed."""
    days = float(intent.slots["duration_s"]) / 86400
    if not 0 < days <= _OLDEST_YEARS * 365:
        turn.say("No sachet is that old. Nothing is changed.")
        return
    _with(turn, packed=turn.now.date() - timedelta(days=round(days)))


def best_before(turn: Turn, intent: Intent) -> None:
    """ "the yeast is best before March 2025", of the stock, else of the sachet that the plan needs."""
    if _of_the_plan(turn, intent):
        dated(turn, intent)
    else:
        stock_told.best_before(turn, intent)


def packed(turn: Turn, intent: Intent) -> None:
    """ "my yeast is three years old", likewise."""
    day = stock_told.day_told(intent, "packed")
    if day is not None and _of_the_plan(turn, intent):
        _with(turn, packed=day)
    else:
        stock_told.packed(turn, intent)


def _of_the_plan(turn: Turn, intent: Intent) -> bool:
    """Whether the yeast of the brew that is planned is meant, of which nothing is in stock."""
    there = any(item.kind == "yeast" and item.left.value > 0 for item in turn.state.stock)
    named = str(intent.slots.get("name", "")).casefold().endswith("yeast")
    return named and not there and turn.batch is not None and turn.batch.stage in ("plan", "prepare")


def dated(turn: Turn, intent: Intent) -> None:
    """ "the sachet is best before March 2025"."""
    _with(turn, best_before=date.fromisoformat(str(intent.slots["best_before"])))


def _with(turn: Turn, **fields: date) -> None:
    rows = [item for item in turn.state.stock if item.kind == "yeast" and item.left.value > 0]
    batch = turn.batch
    mass = batch.recipe.yeast_mass if batch is not None and batch.recipe.yeast_mass is not None else SACHET
    if rows:
        item, taken = rows[-1], ""
    else:
        name = batch.recipe.yeast if batch is not None and batch.recipe.yeast else "dry yeast"
        item = StockItem(key=str(turn.number()), kind="yeast", name=name, bought=mass, left=mass, bought_on=turn.now.date())
        told = batch is not None and batch.recipe.yeast_mass is not None
        taken = f", one sachet of {mass.value:g} g{'' if told else ' (assumed)'}"
    stock.put(turn, item.model_copy(update=fields), f"age of {item.name}")
    what = "best before" if "best_before" in fields else "packed about"
    day = next(iter(fields.values()))
    turn.say(f"{item.name}{taken}: {what} {day:%B %Y}.")
    if batch is not None and batch.recipe.grains:
        turn.say(*(yeast_problem(turn, batch.recipe) or ["Enough for this batch."]))
    turn.offer(("undo", "undo"))


HANDLERS: Handlers = {"stock.yeast_age": age, "stock.yeast_dated": dated, "stock.best_before": best_before, "stock.packed": packed}
