"""How warm a room or a cupboard is: not the beer's temperature, so it is judged for what stands there and not recorded."""

from __future__ import annotations

import re
from functools import cache

from calc.units import Quantity, quantity
from conversations.intents import Intent
from conversations.session import remedies, warmth, wording
from conversations.session.fermentation import table
from conversations.session.judgement import days_since, judge
from conversations.session.readings import measured
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth
from conversations.understanding.words import word_set


@cache
def _rooms() -> re.Pattern[str]:
    return re.compile(r"\b(" + "|".join(sorted(word_set("rooms"), key=len, reverse=True)) + r")\b", re.IGNORECASE)


def room(turn: Turn, intent: Intent) -> None:
    """ "cupboard was 23": what that means for the fermenter or the bottles in it; the beer's own warmth is asked for."""
    value = measured(intent.slots["temperature"])
    shown = wording.temperature(value.quantity, turn.state.units)
    named = _rooms().search(intent.text)
    place = f"{'under the stairs' if named[0].lower().startswith('under') else 'in the ' + named[0].lower()}" if named else "there"
    batch = turn.batch
    if batch is None or batch.stage not in ("pitch", "ferment", "bottle", "condition"):
        turn.say(f"{shown} {place}: taken as the room's, and not kept.")
        return
    said = f"{value.value:g} {'F' if value.unit == 'degF' else 'C'}"
    if batch.stage in ("bottle", "condition"):
        _bottles(turn, batch, value.quantity, f"{shown} {place}")
        turn.offer((f"bottles at {shown}", f"temperature {said}"))
        return
    _fermenter(turn, batch, value.quantity, f"{shown} {place}")
    turn.offer((f"fermenter at {shown}", f"fermenter at {said}"))


def _fermenter(turn: Turn, batch: Batch, value: Quantity, where: str) -> None:
    right, rows, units = yeast_warmth(batch.recipe, turn.state.units), table("room"), turn.state.units
    turn.say(f"{where}: the room's, not the beer's, so not kept. What does the fermenter say?")
    young = batch.stage == "pitch" or days_since(judge(batch).pitched, turn.now) < rows["warm_days"]
    celsius = float(value.to("degC").magnitude)
    most = celsius + (rows["warmer_c"] if young else 0.0)
    if most > float(right.high.to("degC").magnitude):
        turn.say(rows["young" if young else "warm"].format(range=right.words, yeast=right.yeast, more=_degrees(turn, rows["warmer_c"])))
        remedies.say_some(turn, "too_warm")
    elif celsius < float(right.low.to("degC").magnitude) - rows["warmer_c"]:
        turn.say(rows["cold"].format(range=right.words, yeast=right.yeast))
        remedies.say_some(turn, "too_cold")
    else:
        turn.say(rows["fine"].format(range=right.words, yeast=right.yeast, more=_degrees(turn, rows["warmer_c"])))
    turn.working = f"{rows['why']} {right.yeast.capitalize()} works best at {right.words}; {wording.temperature(value, units)} was told."


def _degrees(turn: Turn, apart: float) -> str:
    return f"{apart:g} °C" if turn.state.units == "metric" else f"{apart * 1.8:.0f} °F"


def _bottles(turn: Turn, batch: Batch, value: Quantity, where: str) -> None:
    rows, celsius, units = table("room"), float(value.to("degC").magnitude), turn.state.units
    low, high, cool = (wording.temperature(quantity(rows[key], "degC"), units) for key in ("bottles_low_c", "bottles_high_c", "cool_c"))
    if not warmth.too_warm(turn, batch, value, where):
        if celsius > rows["bottles_high_c"]:
            turn.say(f"{where}: a little warm. {rows['mild'].format(low=low, high=high)}")
        elif celsius < rows["bottles_low_c"]:
            turn.say(f"{where}: cool. {rows['slow'].format(low=low, high=high, cool=cool)}")
        else:
            turn.say(f"{where} is right for bottles: {low} to {high} for two weeks, in the dark.")
    turn.say(rows["asked"])


HANDLERS: Handlers = {"ask.room": room}
