"""Water that is heated beside the mash: never recorded as the mash; what it is good for is said instead."""

from __future__ import annotations

import re

from calc.units import quantity
from conversations.intents import Intent
from conversations.session import plan, readings, wording
from conversations.session.noted import table
from conversations.session.rests import rest_at
from conversations.session.turn import Handlers, Turn

_KETTLE = re.compile(r"\bkettle\b", re.IGNORECASE)
_MASH = re.compile(r"\bmash\b", re.IGNORECASE)
_SHARE = 0.6
"""Litres below this share of the mash's are hardly all of it."""
_DEGREES = 4.0
"""Degrees above the mash's own at which a kettle is hardly the pot that holds it."""


def set_apart(turn: Turn, text: str, intents: tuple[Intent, ...]) -> tuple[Intent, ...]:
    """The intents that are to be done: in the mash "2 litres in the kettle" is water beside it, where its figures fit no mash.

    Some call the pot their kettle, so that the figures decide.
    """
    batch = turn.batch
    if batch is None or batch.stage != "mash" or not batch.recipe.grains or not _KETTLE.search(text) or _MASH.search(text):
        return intents
    told = [each for each in intents if each.name in ("reading.volume", "reading.temperature")]
    if not any(_fits_no_mash(turn, each) for each in told):
        return intents
    slots = {key: value for each in told for key, value in each.slots.items() if key in ("volume", "temperature")}
    return (*(each for each in intents if each not in told), Intent(name="unclear.water", slots=slots, text=text))


def _fits_no_mash(turn: Turn, intent: Intent) -> bool:
    batch = turn.batch
    if batch is None:
        return False
    if intent.name == "reading.volume":
        water = batch.mash_water.quantity if batch.mash_water is not None else plan.mash_water(batch.recipe, turn.state.kit)
        return readings.measured(intent.slots["volume"]).in_unit("litre") < _SHARE * plan.litres(water)
    since = (turn.now - batch.entered.get("mash", turn.now)).total_seconds() / 60
    wanted = rest_at(batch.recipe, turn.state.kit, since).temperature.in_unit("degC")
    return readings.measured(intent.slots["temperature"]).in_unit("degC") > wanted + _DEGREES


def water(turn: Turn, intent: Intent) -> None:
    """ "I have 2 litres of boiling water ready", "heated two litres in the kettle to 75": no reading of the pot."""
    rows, units = table()["water_beside"], turn.state.units
    stage = turn.batch.stage if turn.batch is not None else ""
    named = [readings.show(turn, key, readings.measured(intent.slots[key]).quantity) for key in ("volume", "temperature") if key in intent.slots]
    if "temperature" not in intent.slots and not intent.slots.get("rinse"):
        turn.say(*(line for line in rows.get(stage, rows["other"])))
        return
    what = " at ".join(named) or "That water"
    turn.say(f"{what}: water beside the pot, so nothing is recorded of the {'mash' if stage == 'mash' else 'pot'}.")
    hottest = float(rows["hottest"])
    most = wording.temperature(quantity(hottest, "degC"), units)
    if "temperature" not in intent.slots:
        turn.say(str(rows["rinse"]).format(most=most))
        return
    told = readings.measured(intent.slots["temperature"])
    key = "hot" if told.in_unit("degC") > hottest else "cool" if told.in_unit("degC") < float(rows["coolest"]) else "right"
    turn.say(str(rows[key]).format(most=most))
    if stage == "mash" and not intent.slots.get("rinse"):
        shown = f"mash is at {told.value:g} {'F' if told.unit == 'degF' else 'C'}"
        turn.say(f'If it is the mash: "{shown}".')
        turn.offer((shown, shown))


HANDLERS: Handlers = {"unclear.water": water}
