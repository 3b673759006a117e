"""Fermenter and bottles too warm or too cold: what to do about it in a flat without gear."""

from __future__ import annotations

from datetime import timedelta

from calc.carbonation import from_volumes, in_volumes
from calc.errors import OutOfRange
from calc.pressure import bottle_pressure
from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured, UnitSystem
from conversations.session import remedies, wording
from conversations.session.fermentation import page, table
from conversations.session.judgement import judge
from conversations.session.priming import co2_in_all, still_to_come, warmest
from conversations.session.state import Batch, Reading
from conversations.session.turn import Handlers, Turn
from conversations.session.watch import ready_day
from conversations.session.yeast_warmth import yeast_warmth

FRESH = timedelta(days=2)
"""A temperature of the fermenter older than this says nothing of now."""


def degrees_apart(value: Quantity, limit: Quantity, units: UnitSystem) -> str:
    """A difference of temperatures in the person's degrees."""
    apart = abs(float(value.to("degC").magnitude) - float(limit.to("degC").magnitude))
    return f"{apart:.1f} °C" if units == "metric" else f"{apart * 1.8:.1f} °F"


def fermenter(turn: Turn, batch: Batch, value: Quantity) -> None:
    """Answer a temperature of the fermenter: in the yeast's range, or what helps."""
    right = yeast_warmth(batch.recipe, turn.state.units)
    yeast = right.yeast + (" (ale assumed)" if right.assumed else "")
    turn.working = f"{right.yeast.capitalize()} works best at {right.words}{' (ale assumed)' if right.assumed else ''}. {page('remedies')['first_days']}"
    if right.low <= value <= right.high:
        turn.say(f"Good for {yeast}: {right.words}.")
        return
    warm = value > right.high
    if not warm and judge(batch).ready:
        turn.say(str(table("rests")["cold_fine"]))
        return
    limit = right.high if warm else right.low
    turn.say(f"{degrees_apart(value, limit, turn.state.units)} too {'warm' if warm else 'cold'} for {yeast}: {right.words}.")
    earlier = [each.best for each in batch.readings if each.kind == "temperature" and each.stage == "ferment" and turn.now - each.at <= FRESH][:-1]
    if earlier and ((warm and earlier[-1] > value) or (not warm and earlier[-1] < value)):
        turn.say(f"It was {wording.temperature(earlier[-1], turn.state.units)} before: what you did helps, keep on with it.")
        return
    remedies.say_some(turn, "too_warm" if warm else "too_cold")


def was(turn: Turn, batch: Batch, reading: Reading) -> None:
    """Answer a temperature that the fermenter had a while ago: what it did, and what it reads now is asked."""
    if any(each.kind == "temperature" and each.at > reading.at for each in batch.readings):
        return
    right, value, rows = yeast_warmth(batch.recipe, turn.state.units), reading.best, table("room")
    if right.low <= value <= right.high:
        turn.say(f"Good for {right.yeast}: {right.words}.")
        return
    warm = value > right.high
    limit = right.high if warm else right.low
    turn.say(f"{degrees_apart(value, limit, turn.state.units)} too {'warm' if warm else 'cold'} for {right.yeast}: {right.words}. {rows['was_warm' if warm else 'was_cold']}")
    turn.say("What does it read now?")
    turn.expects = "reading.temperature"
    turn.working = page("remedies")["first_days"]


def bottles(turn: Turn, batch: Batch, value: Quantity) -> None:
    """Answer a temperature of the bottles while they carbonate."""
    cool = quantity(table("conditioning")["cool_c"], "degC")
    found = ready_day(batch, turn.state)
    if value < cool:
        turn.say(f"Cool for bottles: they need a week longer. {wording.temperature(quantity(20, 'degC'), turn.state.units)} is better.")
    too_warm(turn, batch, value, "")
    if found is not None:
        turn.say(f"Ready about {found:%A} {found.day} {found:%B}.")


def too_warm(turn: Turn, batch: Batch, value: Quantity, where: str) -> bool:
    """Whether bottles are too warm where they stand: said with the pressure that it makes, and what to do; ``where`` begins it."""
    rows, celsius, units = table("room"), float(value.to("degC").magnitude), turn.state.units
    if celsius <= rows["bottles_warm_c"]:
        return False
    low, high = (wording.temperature(quantity(rows[key], "degC"), units) for key in ("bottles_low_c", "bottles_high_c"))
    turn.say(f"{where}: too warm for bottles." if where else "Too warm for bottles.", rows["hot"].format(low=low, high=high))
    co2 = from_volumes(batch.priming.volumes)
    if batch.risk_accepted:
        co2 = co2_in_all(batch, warmest(batch)[0], co2, still_to_come(batch))
    try:
        bars = [float(bottle_pressure(co2, quantity(degrees, "degC")).to("bar").magnitude) for degrees in (20.0, celsius)]
    except OutOfRange:
        turn.say(rows["guard"])
        return True
    volumes = float(in_volumes(co2).magnitude)
    turn.say(f"{volumes:.1f} volumes press {bars[1]:.1f} bar then, {bars[0]:.1f} at {wording.temperature(quantity(20, 'degC'), units)}. {rows['guard']}")
    return True


def helps(turn: Turn, intent: Intent) -> None:
    """ "fermenter too warm" without a number."""
    name = "too_warm" if intent.slots.get("side") == "warm" else "too_cold"
    remedies.say_some(turn, name)


def for_yeast(turn: Turn, intent: Intent) -> None:
    """ "is it too warm for this yeast": by the figure that is told, or the last one that was read; nothing is recorded by asking."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is open.")
        return
    read = [each for each in batch.readings if each.kind == "temperature" and each.stage == batch.stage and turn.now - each.at <= FRESH]
    if "temperature" in intent.slots:
        value = Measured.model_validate(intent.slots["temperature"]).quantity
    elif read:
        value = read[-1].best
        turn.say(f"{wording.temperature(value, turn.state.units)} by the last reading:")
    else:
        right = yeast_warmth(batch.recipe, turn.state.units)
        turn.say(f"{right.words} suits {right.yeast}{' (ale assumed)' if right.assumed else ''}. Send the fermenter's temperature, and I say.")
        turn.expects = "reading.temperature"
        return
    fermenter(turn, batch, value)


def where(turn: Turn, intent: Intent) -> None:
    """ "where do I keep them and how warm": the fermenter, bottles that carbonate, and bottles that are ready."""
    batch, rows, units = turn.batch, table("kept"), turn.state.units
    if batch is None:
        turn.say("No batch is open.")
        return
    if batch.stage not in ("bottle", "condition"):
        right = yeast_warmth(batch.recipe, units)
        turn.say(f"{right.words} for {right.yeast}.", rows["fermenter"])
        return
    low, high = (wording.temperature(quantity(rows[key], "degC"), units) for key in ("low_c", "high_c"))
    turn.say(rows["bottles"].format(low=low, high=high))
    found = ready_day(batch, turn.state) if batch.stage == "condition" else None
    after = rows["ready"].format(cool=wording.temperature(quantity(rows["cool_c"], "degC"), units))
    turn.say(f"{'Ready about ' + f'{found:%A} {found.day} {found:%B}. ' if found is not None and found > turn.now.date() else ''}{after}")


HANDLERS: Handlers = {
    "ask.temperature_help": helps,
    "ask.for_yeast": for_yeast,
    "ask.where": where,
}
