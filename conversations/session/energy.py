"""Calories of a bottle, by the gravities and the factors of food labels."""

from __future__ import annotations

import re

from calc.errors import OutOfRange
from calc.nutrition import energy
from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured
from conversations.session import wording
from conversations.session.judgement import judge
from conversations.session.priming import DEFAULT_SIZES, bottle_size
from conversations.session.readings import measured
from conversations.session.turn import Handlers, Turn

_SOURCE = "29 kJ for each gram of alcohol and 17 for each of what is left of the malt: Regulation (EU) No 1169/2011, Annex XIV, in the form of ASBC Beer-33. Good to about 5 %."


def calories(turn: Turn, intent: Intent) -> None:
    """ "how many calories in a bottle": for each size that is filled, or for what was asked."""
    batch, units = turn.batch, turn.state.units
    judged = judge(batch) if batch is not None else None
    if batch is None or judged is None or judged.original is None or judged.last is None or judged.now is None:
        turn.say("That takes an original gravity and one of the beer; they are not there yet.")
        return
    sizes: list[tuple[str, Quantity]]
    if "volume" in intent.slots:
        asked = measured(intent.slots["volume"])
        sizes = [(wording.volume(asked.quantity, units), asked.quantity)]
    elif re.search(r"\bpint\b", intent.text, re.IGNORECASE):
        sizes = [("a pint", quantity(1.0, "pint" if units == "us" else "imperial_pint"))]
    else:
        held = sorted({lot.size.in_unit("millilitre") for lot in batch.bottles}, reverse=True) or DEFAULT_SIZES[units]
        sizes = [(bottle_size(each, units), Measured(value=each, unit="millilitre").quantity) for each in held[:3]]
    try:
        found = [(name, energy(judged.original, judged.now, size)) for name, size in sizes]
    except OutOfRange:
        turn.say("These gravities are too odd to reckon energy with.")
        return
    each = ", ".join(f"{name} about {round(float(value.to('kilocalorie').magnitude), -1):.0f} kcal ({round(float(value.to('kilojoule').magnitude), -1):.0f} kJ)" for name, value in found)
    by = "" if judged.measured_original else " (the recipe's)"
    turn.say(f"{each[0].upper()}{each[1:]}.")
    turn.say(f"From {wording.gravity(judged.original)}{by} to {wording.gravity(judged.now)}, by the factors of food labels (EU 1169/2011); good to about 5 %.")
    if not judged.ready and batch.stage != "condition":
        turn.say("It has not finished: less is left of the malt then, and more alcohol.")
    turn.working = _SOURCE


HANDLERS: Handlers = {"ask.energy": calories}
