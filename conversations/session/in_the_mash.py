"""What is done in the mash while its clock runs: stirred, water added; and how far it cools by itself."""

from __future__ import annotations

import re
from datetime import timedelta

from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import corrections, noted, plan, stage_clocks, wording
from conversations.session.day import stage_key
from conversations.session.readings import measured
from conversations.session.state import Batch, Reading
from conversations.session.turn import Handlers, Turn

_SOON = timedelta(minutes=15)
"""A stir that is called within this time is the one that was just given."""
_COLD = re.compile(r"\b(cold|cool|tap)\b", re.IGNORECASE)
_HOT = re.compile(r"\b(hot|boiling|boiled|kettle|warm)\b", re.IGNORECASE)
_WENT_IN = re.compile(r"\b(added|poured|tipped|put|stirred|topped|chucked|threw|splashed|went|diluted)\b", re.IGNORECASE)
_LEAST_READINGS = 2
_APART = timedelta(minutes=10)
"""Two temperatures nearer than this say nothing of how fast it cools."""


def stirred(turn: Turn, intent: Intent) -> None:
    """ "gave it a stir": a note, and the call for it that is due, or nearly, has been answered."""
    batch = turn.batch
    turn.record("note", label=intent.text or "stirred", text=intent.text or "stirred")
    turn.say("Noted.")
    if batch is None or batch.stage != "mash":
        return
    key = stage_key(batch.id, "mash_stir")
    call = turn.state.reminders.get(key)
    if call is not None and call.due <= turn.in_seconds(_SOON.total_seconds()):
        turn.drop(key)
    turn.say("Lid on again, and send the temperature.")


def water_added(turn: Turn, intent: Intent) -> None:
    """ "chucked in half a litre of boiling water": the mash has so much more, and wants to be measured again."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        return
    kind = "cold " if _COLD.search(intent.text) else "hot " if _HOT.search(intent.text) else ""
    if "volume" not in intent.slots:
        turn.record("note", label=intent.text, text=intent.text)
        turn.say("Noted. Stir right through, wait a minute, and send the temperature.", f'If you know how much it was: "added half a litre of {kind or "hot "}water".')
        return
    water = measured(intent.slots["volume"])
    litres, shown = water.in_unit("litre"), wording.volume(water.quantity, units)
    if litres > noted.table()["water_added"]["most"]:
        turn.say(f'{shown} of {kind}water into the mash? Nothing is recorded. Send it again, like "added half a litre of {kind or "hot "}water".')
        return
    if batch.mash_water is None and not batch.recipe.grains:
        turn.record("note", label=intent.text, text=intent.text)
        turn.say(f"{shown} {kind}water, noted. Stir, wait a minute, and send the temperature.")
        return
    there = batch.mash_water.in_unit("litre") if batch.mash_water is not None else plan.litres(plan.mash_water(batch.recipe, turn.state.kit))
    total = Measured(value=round(there + litres, 3), unit="litre")
    turn.record("mash_water", label=f"{shown} more in the mash", water=total.model_dump(mode="json"))
    turn.say(f"{shown} {kind}water, noted: {wording.volume(total.quantity, units)} in the mash.", "Stir right through, wait a minute, and send the temperature. It is less of top-up later.")
    turn.offer(("undo", "undo"))


def _sent(batch: Batch | None) -> list[Reading]:
    """The temperatures of this mash."""
    return [each for each in batch.readings if each.kind == "temperature" and each.stage == "mash"] if batch is not None else []


def _cooling(sent: list[Reading]) -> float | None:
    """Degrees Celsius an hour that a mash has cooled by; None where no two readings are far enough apart."""
    if len(sent) < _LEAST_READINGS or sent[-1].at - sent[0].at < _APART:
        return None
    hours = (sent[-1].at - sent[0].at).total_seconds() / 3600
    return (float(sent[0].best.to("degC").magnitude) - float(sent[-1].best.to("degC").magnitude)) / hours


def _degrees(turn: Turn, kelvin: float) -> str:
    metric = turn.state.units == "metric"
    return f"{kelvin if metric else 1.8 * kelvin:.1f} {'°C' if metric else '°F'}"


def usual_drop(turn: Turn) -> None:
    """ "how much does it drop normally": by this mash's own temperatures where two are far enough apart."""
    batch, rows = turn.batch, noted.table()["mash_drop"]
    turn.say(str(rows["rate"]))
    if (kelvin := _cooling(_sent(batch))) is not None:
        turn.say(f"This one: {_degrees(turn, kelvin)} an hour so far, by your readings." if kelvin > 0 else "This one has not cooled so far, by your readings.")
    if batch is not None and batch.stage == "mash":
        turn.say(stage_clocks.left(turn, "mash"))


def at_the_end(turn: Turn, intent: Intent) -> None:
    """ "what's the temperature likely to be at the end": carried on from the last one, by this mash's own cooling or the usual."""
    batch, rows, units = turn.batch, noted.table()["mash_drop"], turn.state.units
    sent = _sent(batch)
    end = stage_clocks.end_of(turn, "mash")
    if batch is None or not sent or end is None:
        usual_drop(turn)
        return
    own = _cooling(sent)
    # "in half an hour"
    seconds = float(intent.slots.get("duration_s", stage_clocks.left_s(batch, end, turn.now)))
    rate = max(0.0, own) if own is not None else float(rows["per_hour"])
    hours = seconds / 3600 + (turn.now - sent[-1].at).total_seconds() / 3600
    then = quantity(float(sent[-1].best.to("degC").magnitude) - rate * hours, "degC")
    each = _degrees(turn, rate)
    source = f"{each} an hour by your readings" if own is not None else f"{each} an hour is usual, wrapped up with the lid on"
    turn.say(str(rows["end"]).format(then=wording.temperature(then, units), left=wording.duration(seconds), source=source, when="then" if "duration_s" in intent.slots else "at the end"))
    noted.mash_drop(turn, Intent(name="ask.mash_drop", slots={"temperature": Measured(value=float(then.magnitude), unit="degC")}))


def asked_drop(turn: Turn, intent: Intent) -> None:
    """How much it cools, or whether a colder one is all right."""
    if intent.slots.get("rate"):
        usual_drop(turn)
    else:
        noted.mash_drop(turn, intent)


def joins(turn: Turn, intent: Intent) -> None:
    """ "added 1 litre of water": into the mash, and after it into the wort."""
    if turn.batch is None or turn.batch.stage != "mash":
        corrections.water(turn, intent)
    elif _WENT_IN.search(intent.text):
        water_added(turn, intent)
    else:
        turn.say('The mash is still on: water is topped up when the bag is out. Nothing is recorded. "added 1 litre of water" if it went into the mash.')


HANDLERS: Handlers = {"steer.water": joins, "done.stirred": stirred, "done.water_added": water_added, "ask.mash_drop": asked_drop, "ask.mash_end": at_the_end}
