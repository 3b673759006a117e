"""A gravity read by refractometer: alcohol bends light too, so in fermenting beer it is worked out from the original gravity."""

from __future__ import annotations

import re

from calc.density import plato_from_gravity
from calc.errors import OutOfRange
from calc.refractometer import fermenting_gravity
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.session import gravity_told_later, readings, wording
from conversations.session.judgement import original_gravity
from conversations.session.turn import Handlers, Turn

_SAID = re.compile(r"\b(brix|bx|refracto\w*|refract?)\b|\dbx\b|\dbrix\b", re.IGNORECASE)
_BARE = re.compile(r"(?<![\d.,])(\d{1,2}(?:[.,]\d)?)(?![\d.,]*\d)")
_MOST_BRIX = 32.0
_WITH_ALCOHOL = ("ferment", "bottle", "condition")


def take(turn: Turn, intent: Intent) -> None:
    """Record a gravity; one in Brix from a fermenter is turned into what a hydrometer would show, or its original gravity is asked for."""
    batch = turn.batch
    if gravity_told_later.of_the_original(batch, intent.text) and "at" not in intent.slots:
        gravity_told_later.original(turn, intent)
        return
    if not _SAID.search(intent.text) or batch is None or batch.stage not in _WITH_ALCOHOL:
        readings.record(turn, intent)
        return
    original, _ = original_gravity(batch)
    brix = _brix(intent)
    shown = f"{brix:.1f} Brix"
    if original is None:
        turn.say(f'{shown} in fermenting beer says nothing without the original gravity: alcohol bends light too. Nothing is recorded. Use the hydrometer, or tell the recipe.')
        return
    try:
        gravity = fermenting_gravity(quantity(brix, "degree_plato"), original)
    except OutOfRange:
        turn.say(f"{shown} is more than the wort of {wording.gravity(original)} had. Nothing is recorded. Rinse and dry the prism, and send it again.")
        return
    estimate = Measured(value=round(float(gravity.magnitude), 4), unit="dimensionless")
    slots = {key: value for key, value in intent.slots.items() if key != "temperature"}
    readings.record(turn, intent.model_copy(update={"text": "", "slots": {**slots, "gravity": estimate, "by": f"refractometer, {shown}"}}))
    turn.working = (
        f"{shown} with alcohol in it, from {wording.gravity(original)}: Balling's balance for extract and alcohol, the usual factor of 1.04 for wort. "
        "Give or take 0.003; a hydrometer is surer." + (f" {turn.working}" if turn.working else "")
    )


def _brix(intent: Intent) -> float:
    """The reading in Brix; a scale of specific gravity on a refractometer is read back into it."""
    gravity = readings.measured(intent.slots["gravity"])
    if gravity.unit == "degree_plato":
        return gravity.value
    bare = _BARE.search(_SAID.sub(" ", intent.text))
    if bare is not None and float(bare[1].replace(",", ".")) <= _MOST_BRIX:
        return float(bare[1].replace(",", "."))
    return float(plato_from_gravity(quantity(max(1.0, gravity.value), "dimensionless")).magnitude)


HANDLERS: Handlers = {"reading.gravity": take}
