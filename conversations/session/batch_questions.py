"""Questions about the batch at hand: the last readings of a kind, since when a stage runs, what a figure should be."""

from __future__ import annotations

from datetime import datetime, timedelta

from calc.units import quantity
from conversations.intents import Intent
from conversations.session import fit, plan, rests, warmth, wording
from conversations.session.judgement import FERMENTER, judge
from conversations.session.predictions import predict
from conversations.session.progress import so_far
from conversations.session.readings import show
from conversations.session.stages import stage_now, stages
from conversations.session.state import Reading
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth

_BEFORE_MASH = ("plan", "prepare", "heat")
_COLD_SIDE = ("chill", "transfer", "pitch", "ferment")
_IN_BOTTLES = ("bottle", "condition")
MOST_SHOWN = 3
"""Readings of one kind in an answer; the diary has all of them."""
MOST_LISTED = 14
"""Readings that are listed where all are asked for."""
_BEGINS = {"ferment": "the yeast went in", "condition": "bottled"}
"""What a stage begins with, where its own name would not tell."""
JUST_TOLD = timedelta(hours=2)


def readings(turn: Turn, intent: Intent) -> None:
    """ "what was the gravity", "what did I measure last": the newest first, with the time and who took it."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is open.", '"batches" lists them.')
        return
    kind = str(intent.slots.get("kind", ""))
    again = kind == "last"
    if again:
        kind = _spoken_of(turn)
    found = [each for each in reversed(batch.readings) if not kind or each.kind == kind]
    if not found:
        turn.say(f"No {kind or 'reading'} of {batch.name} is recorded yet.")
        return
    if "at" in intent.slots:
        _of_a_day(turn, found, datetime.fromisoformat(str(intent.slots["at"])))
        return
    newest, *earlier = found[: MOST_SHOWN if kind else 1]
    if again and earlier and turn.now - newest.at < JUST_TOLD:
        # "what was it last time", asked beside a new one.
        turn.say(f"{_figure(turn, earlier[0])}.", f"Now {_figure(turn, newest)}.")
        return
    turn.say(f"{_figure(turn, newest)}.")
    if earlier:
        turn.say(f"Before that {'; '.join(_figure(turn, each) for each in earlier)}.")


def _spoken_of(turn: Turn) -> str:
    """The kind of reading that was spoken of last: of a beer at work the gravity, where nothing says otherwise."""
    last = turn.state.last
    if last is None or not last.name.startswith("reading."):
        return "gravity"
    return last.name.removeprefix("reading.")


def _of_a_day(turn: Turn, found: list[Reading], at: datetime) -> None:
    """What was read on a day that is named; the nearest one before and after it where none was."""
    day = at.astimezone(turn.now.tzinfo).date()
    then = [each for each in found if each.at.astimezone(turn.now.tzinfo).date() == day]
    if then:
        turn.say("; ".join(_figure(turn, each) for each in then[:MOST_SHOWN]) + ".")
        return
    before, after = ([each for each in found if (each.at < at) is earlier] for earlier in (True, False))
    near = [*before[:1], *after[-1:]]
    turn.say(f"None of {at:%A} {at.day} {at:%B}. The nearest: {'; '.join(_figure(turn, each) for each in near)}.")


def every_reading(turn: Turn, intent: Intent) -> None:
    """ "what did the gravity do over the week, list them": one by one from the yeast on, and how far it fell."""
    batch, kind = turn.batch, str(intent.slots["kind"])
    if batch is None:
        turn.say("No batch is open.", '"batches" lists them.')
        return
    found = [each for each in batch.readings if each.kind == kind and each.stage in FERMENTER]
    judged = judge(batch)
    if kind == "gravity" and judged.measured_original:
        first = next((each for each in reversed(batch.readings) if each.kind == kind and each.stage not in FERMENTER), None)
        found = [*([first] if first is not None else []), *found]
    if not found:
        turn.say(f"No {kind} of {batch.name} is recorded in the fermenter yet.")
        return
    days = [(f"{at:%a} {at.day} {at:%b}", show(turn, kind, each.best)) for each in found[-MOST_LISTED:] if (at := each.at.astimezone(turn.now.tzinfo))]
    turn.say(*(f"{day}: {', '.join(figure for other, figure in days if other == day)}" for day in dict.fromkeys(day for day, _ in days)))
    if kind == "gravity":
        turn.say(so_far(judged))
        turn.offer(("as a picture", "show me the gravity"))


def _figure(turn: Turn, reading: Reading) -> str:
    figure = show(turn, reading.kind, reading.best)
    raw = f", read as {show(turn, reading.kind, reading.value.quantity)}" if reading.corrected is not None else ""
    by = f", {reading.who}" if reading.who and reading.who != "me" else ""
    kind = "stick" if reading.kind == "depth" else reading.kind
    when = wording.local_clock(turn.now, reading.at)
    return f"{figure}: {kind} {'at' if when[0].isdigit() else 'on'} {when}{raw}{by}"


def since(turn: Turn, intent: Intent) -> None:
    """ "how long has the mash been going", "when did I pitch the yeast"."""
    batch, stage = turn.batch, str(intent.slots["stage"])
    words = _BEGINS.get(stage) or f"{stages()[stage].title.lower()} began"
    begun = batch.entered.get(stage) if batch else None
    if batch is None or begun is None:
        wanting = "not bottled yet" if stage == "condition" else f"{stages()[stage].title.lower()} has not begun"
        turn.say(f"{batch.name}: {wanting}; it is {stage_now(batch.stage)}." if batch else "No batch is open.")
        return
    at = wording.local_clock(turn.now, begun)
    gone = (turn.now - begun).total_seconds() // 60 * 60
    turn.say(f"{wording.duration(gone) if gone else 'Just now'}: {words} at {at}." if gone < 172800 else f"{at}, {gone // 86400:.0f} days ago: {words}.")


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


HANDLERS: Handlers = {"ask.readings": readings, "ask.readings_all": every_reading, "ask.since": since}
