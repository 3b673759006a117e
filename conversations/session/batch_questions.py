"""Questions about the batch at hand: the last readings of a kind, since when a stage runs, what a figure should be."""

from __future__ import annotations

from datetime import datetime

from calc.units import quantity
from conversations.intents import Intent
from conversations.session import fit, plan, rests, warmth, wording
from conversations.session.predictions import predict
from conversations.session.readings import show
from conversations.session.stages import stages
from conversations.session.state import Reading
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth

_BEFORE_MASH = ("plan", "prepare", "heat")
_COLD_SIDE = ("chill", "transfer", "pitch", "ferment")
_IN_BOTTLES = ("bottle", "condition")
MOST_SHOWN = 3
"""Readings of one kind in an answer; the diary has all of them."""


def readings(turn: Turn, intent: Intent) -> None:
    """ "what was the gravity", "what did I measure last": the newest first, with the time and who took it."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is open.", '"batches" lists them.')
        return
    kind = str(intent.slots.get("kind", ""))
    found = [each for each in reversed(batch.readings) if not kind or each.kind == kind]
    if not found:
        turn.say(f"No {kind or 'reading'} of {batch.name} is recorded yet.")
        return
    newest, *earlier = found[: MOST_SHOWN if kind else 1]
    turn.say(f"{_figure(turn, newest)}.")
    if earlier:
        turn.say(f"Before that {'; '.join(_figure(turn, each) for each in earlier)}.")


def _figure(turn: Turn, reading: Reading) -> str:
    figure = show(turn, reading.kind, reading.best)
    raw = f", read as {show(turn, reading.kind, reading.value.quantity)}" if reading.corrected is not None else ""
    by = f", {reading.who}" if reading.who and reading.who != "me" else ""
    kind = "stick" if reading.kind == "depth" else reading.kind
    return f"{figure}: {kind} at {_clock(turn, reading.at)}{raw}{by}"


def _clock(turn: Turn, at: datetime) -> str:
    return wording.clock(at.astimezone(turn.now.tzinfo), turn.now)


def since(turn: Turn, intent: Intent) -> None:
    """ "how long has the mash been going", "when did I pitch the yeast"."""
    batch, stage = turn.batch, str(intent.slots["stage"])
    words = stages()[stage].title.lower()
    begun = batch.entered.get(stage) if batch else None
    if batch is None or begun is None:
        turn.say(f"{batch.name}: {words} has not begun." if batch else "No batch is open.")
        return
    at = _clock(turn, begun)
    gone = (turn.now - begun).total_seconds() // 60 * 60
    turn.say(f"{wording.duration(gone) if gone else 'Just now'}: {words} began at {at}." if gone < 172800 else f"{at}, {gone // 86400:.0f} days ago: {words} began.")


def target(turn: Turn, intent: Intent) -> None:
    """ "what gravity should I expect", "what should the temperature be": the plan's figures of one kind."""
    batch, kit, units = turn.batch, turn.state.kit, turn.state.units
    if batch is not None and intent.slots["kind"] == "temperature":
        # The yeast's and the bottles' degrees need no plan.
        right = yeast_warmth(batch.recipe, units)
        if intent.slots.get("of") == "pitch":
            turn.say(f"Pitch at {right.words} for {right.yeast}; rather at the cool end, it warms by itself.")
            return
        if batch.stage in _COLD_SIDE:
            turn.say(f"{right.words} for {right.yeast}.")
            return
        if batch.stage in _IN_BOTTLES:
            warmth.where(turn, intent)
            return
    if batch is None or not batch.recipe.grains:
        turn.say(f"{batch.name} has no grain yet: there is no plan to hold to." if batch else "No batch is open.")
        return
    recipe = batch.recipe
    match intent.slots["kind"]:
        case "temperature" if batch.stage in _BEFORE_MASH:
            heat, hold = plan.strike(recipe, kit), rests.rest_at(recipe, kit, 0.0).temperature.quantity
            turn.say(f"Heat the water to {wording.temperature(heat, units)}; with the grain in it that gives {wording.temperature(hold, units)} in the mash.")
        case "temperature":
            gone = (turn.now - batch.entered["mash"]).total_seconds() / 60 if "mash" in batch.entered else 0.0
            turn.say(f"{wording.temperature(rests.rest_at(recipe, kit, gone).temperature.quantity, units)} in the mash.")
        case "gravity":
            found = predict(recipe, kit)
            turn.say(
                f"{wording.gravity(found.pre_boil)} before the boil, {wording.gravity(found.original)} into the fermenter, "
                f"{wording.gravity(found.final_low)} to {wording.gravity(found.final_high)} when it is done: as planned."
            )
        case _ if intent.slots.get("of") == "boil":
            pot, end = (wording.volume(each, units) for each in (plan.after_boil_volume(recipe, kit), plan.batch_volume(recipe)))
            turn.say(f"{pot} in the pot when the boil is over, counted cold, for {end} in the fermenter.")
        case _:
            litres = fit.volumes(recipe, kit)
            pot, end = (wording.volume(quantity(each, "litre"), units) for each in (litres.pre_boil, litres.fermenter))
            turn.say(f"{pot} before the boil, {end} into the fermenter: as planned.")


HANDLERS: Handlers = {"ask.readings": readings, "ask.since": since, "ask.target": target}
