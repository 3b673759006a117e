"""Questions about the pot as it stands: warm enough, how long to heat or cool, what is in it, whether it can be left alone."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.heat import time_to_heat
from calc.units import Quantity, quantity
from conversations.intents import Intent
from conversations.session import (
    corrections,
    course,
    joined_since,
    noted,
    plan,
    readings,
    stage_clocks,
    timers,
    wording,
)
from conversations.session.kit_values import TAP_WATER, boils_at, hob
from conversations.session.readings import measured
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth
from conversations.understanding.answers import find_answer

_COOL = ("cool", "cold", "cooled", "chilled", "cool enough", "cold enough")
_AFTER_MASH = quantity(65.0, "degC")
"""Wort as the bag leaves it. Common practice, no source."""


def leave_house(turn: Turn, intent: Intent) -> None:
    """ "is it ok if I leave the house": by what is hot."""
    rows, stage = noted.table()["leave_house"], turn.batch.stage if turn.batch is not None else ""
    turn.say(str(rows.get(stage, rows["other"])).format(left=stage_clocks.left(turn, "mash")).rstrip())


def how_to_chill(turn: Turn, intent: Intent) -> None:
    """ "how do I cool it", said of hot wort."""
    _short_answer(turn, "how do I cool the wort fast")


def overnight(turn: Turn, intent: Intent) -> None:
    """ "can I leave it overnight to cool"."""
    if turn.batch is not None:
        turn.say(str(noted.table()["overnight"]["text"]).format(right=yeast_warmth(turn.batch.recipe, turn.state.units).words))


def why_mash(turn: Turn, intent: Intent) -> None:
    """ "why 66", said of the mash."""
    _short_answer(turn, "why do we mash at that temperature")


def _short_answer(turn: Turn, question: str) -> None:
    answer = find_answer(question)
    if answer is not None:
        turn.say(*answer.text.splitlines(), answer.caution)
        turn.working = answer.source


def ok_at(turn: Turn, intent: Intent) -> None:
    """ "is 72 ok", "can I pitch at 25": that temperature against what the stage wants; it is no reading."""
    batch = turn.batch
    if batch is None:
        return
    value = measured(intent.slots["temperature"]).quantity
    if batch.stage == "heat" and batch.recipe.grains:
        readings.against_strike(turn, batch, value)
    elif batch.stage == "mash":
        corrections.mash(turn, value)
    else:
        right = yeast_warmth(batch.recipe, turn.state.units)
        celsius = float(value.to("degC").magnitude)
        warm, cold = celsius > float(right.high.to("degC").magnitude) + 0.5, celsius < float(right.low.to("degC").magnitude) - 0.5
        verdict = "Too warm, cool it further" if warm else "A little cold: it will start slowly" if cold else "Yes"
        turn.say(f"{verdict}: pitch at {right.words} for {right.yeast}.")


def early(turn: Turn, intent: Intent) -> None:
    """ "can I take the bag out early"."""
    batch, rows = turn.batch, noted.table()["early"]
    if batch is None or "mash" not in batch.entered:
        return
    gone = (turn.in_seconds(0) - batch.entered["mash"]).total_seconds() / 60
    key = "enough" if gone >= float(rows["full_minutes"]) else "soon"
    turn.say(str(rows[key]).format(gone=f"{gone:.0f}", full=f"{rows['full_minutes']:g} min", left=stage_clocks.left(turn, "mash")).rstrip())


def heat_time(turn: Turn, intent: Intent) -> None:
    """ "how long will it take to heat up", "how long till it boils": by the hob, from the last temperature that was sent."""
    batch, kit, units = turn.batch, turn.state.kit, turn.state.units
    if batch is None or not batch.recipe.grains:
        turn.say("I need the recipe and the volume first.")
        return
    strike = batch.stage in ("plan", "prepare", "heat")
    try:
        water = plan.mash_water(batch.recipe, kit) if strike else (plan.volume_now(batch) or plan.pre_boil_volume(batch.recipe, kit))
        goal = plan.strike(batch.recipe, kit) if strike else boils_at(kit)
        start = _now(turn, batch, TAP_WATER if strike else _AFTER_MASH)
        taken = time_to_heat(water, start, goal, hob(kit), corrections.HEATING_SHARE, pot_mass=kit.pot_mass.quantity, pot_material=kit.pot_material)
    except OutOfRange:
        turn.say("It is as hot as that already, by the last temperature that was sent.")
        return
    seconds = float(taken.to("second").magnitude)
    source = "" if kit.hob_power else " (hob assumed)"
    turn.say(
        f"About {wording.duration(seconds)}: {wording.volume(water, units)} from {wording.temperature(start, units)} to {wording.temperature(goal, units)}{source}.",
        'It is a guess until I know your hob: "it takes 20 min to boil 5 litres".' if batch.stage == "plan" and not kit.hob_power
        else "" if batch.stage == "plan" else "Send a temperature now and then, and I know better.",
    )


def _now(turn: Turn, batch: Batch, assumed: Quantity) -> Quantity:
    sent = [each.best for each in batch.readings if each.kind == "temperature" and each.stage == batch.stage]
    return sent[-1] if sent else assumed


def in_pot(turn: Turn, intent: Intent) -> None:
    """ "how much is left in the pot": the last volume, less what has boiled off since."""
    batch, kit = turn.batch, turn.state.kit
    found = next((each for each in reversed(batch.readings) if joined_since.cold_litres(each) is not None), None) if batch is not None else None
    if batch is None or found is None:
        turn.say('I do not know yet. Send the stick or the volume: "stick 14.5 cm", "6.2 l".')
        return
    shown = wording.volume(quantity(joined_since.cold_litres(found) or 0.0, "litre"), turn.state.units)
    at = wording.clock(found.at.astimezone(turn.now.tzinfo), turn.now)
    here = course.position(batch, kit, turn.now) if batch.recipe.grains else None
    if here is not None:
        turn.say(f"About {wording.volume(quantity(here.volume_l, 'litre'), turn.state.units)} now, counted cold; {shown} were measured at {at}.")
        return
    turn.say(f"{shown} counted cold, measured at {at}.")
    if batch.stage == "boil":
        rate = course.measured_boil_off(batch, kit) or kit.boil_off.in_unit("litre / hour")
        turn.say(f"About {wording.volume(quantity(rate, 'litre'), turn.state.units)} an hour boils off. Send the stick to know.")


def time_left(turn: Turn, intent: Intent) -> None:
    """ "how much longer": while it cools, by its own temperatures; else by the clocks."""
    batch = turn.batch
    cooling = [each for each in batch.readings if each.kind == "temperature" and each.stage == "chill"] if batch is not None else []
    if batch is not None and batch.stage == "chill" and len(cooling) > 1 and str(intent.slots.get("name", "cool")) in _COOL and not turn.state.timers:
        readings.chill(turn, batch)
        return
    name = str(intent.slots.get("name", ""))
    if batch is not None and batch.stage in ("steep", "chill") and name in _COOL:
        how_to_chill(turn, intent)
        turn.say("Send its temperature now and then, and I say how long.")
        return
    answer = find_answer(intent.text, batch.stage if batch is not None else "none") if name and not timers.runs(turn, name) else None
    if answer is not None:
        # "how long to sanitise the bottles" asks for no clock.
        turn.say(*answer.text.splitlines(), answer.caution)
        turn.working = answer.source
        return
    timers.status(turn, intent)


def rest_longer(turn: Turn, intent: Intent) -> None:
    """ "I'll leave it another 15 minutes": the clock of the mash or the steep."""
    stage = turn.batch.stage if turn.batch is not None else ""
    timers.change(turn, Intent(name="timer.extend", slots={"duration_s": intent.slots["duration_s"], "name": stage}, text=intent.text))


def heating(turn: Turn, intent: Intent) -> None:
    """ "it's coming to the boil", "turned the heat on": nothing has begun by that."""
    stage = turn.batch.stage if turn.batch is not None else ""
    if stage == "boil":
        turn.say("All right.", stage_clocks.left(turn, "boil") or stage_clocks.why_none(turn, "boil"))
    elif stage in ("heat", "mash"):
        turn.say("All right. Send the temperature now and then." if stage == "heat" else "All right. Stir, bag off the bottom, and send the temperature.")
    else:
        turn.say('All right. Watch for foam; say "it\'s boiling" when it rolls, and the clock starts then.')


HANDLERS: Handlers = {
    "ask.leave_house": leave_house,
    "ask.how_to_chill": how_to_chill,
    "ask.why_mash": why_mash,
    "ask.overnight": overnight,
    "ask.ok_at": ok_at,
    "ask.early": early,
    "ask.heat_time": heat_time,
    "ask.in_pot": in_pot,
    "timer.status": time_left,
    "unclear.heating": heating,
    "steer.rest_longer": rest_longer,
}
