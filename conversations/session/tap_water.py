"""Telling Potside the tap water: the numbers of a supplier's report, one or several in a message."""

from __future__ import annotations

from calc.units import quantity
from calc.water import IONS, Water, from_hardness_unit, ion_balance, residual_alkalinity
from conversations.intents import Intent
from conversations.session.kit import change
from conversations.session.state import Kit, TapWater
from conversations.session.turn import Handlers, Turn

MOST_MG_PER_L = 1000.0
"""No tap gives more of any of these: common practice."""
_BICARBONATE_MG_PER_EQUIVALENT = 61.017
CARBONATE_MG_PER_EQUIVALENT = 50.043
"""Calcium carbonate, in which alkalinity is counted."""
_COMPLETE, _MISSES = _SUMMED_UP = ("The report is complete.", "These figures miss")
_UNBALANCED = 0.15
"""Share of cations that anions may miss before a figure is doubted; a full report balances within 5 %."""


def water_of(kit: Kit) -> Water | None:
    """The tap water for calc, what was not told counted as none; None where nothing was told."""
    if not kit.water.known:
        return None
    told = {ion: value for ion in IONS if (value := getattr(kit.water, ion)) is not None}
    return Water(**{ion: quantity(value, "milligram/litre") for ion, value in told.items()})


def ion(turn: Turn, intent: Intent) -> None:
    """One figure of the report; alkalinity as calcium carbonate becomes bicarbonate."""
    name, value = str(intent.slots["ion"]), float(intent.slots["value"])
    if not 0 <= value <= MOST_MG_PER_L:
        turn.say(f"{value:g} mg/l of {name} cannot be tap water. That one is not taken; send it again.")
        return
    said = f"{name} {value:g} mg/l"
    if name == "alkalinity":
        charge = float(from_hardness_unit(value, "mg/l CaCO3").to("millimole/litre").magnitude)
        name, value = "bicarbonate", round(charge * _BICARBONATE_MG_PER_EQUIVALENT, 1)
        said = f"{said} as calcium carbonate: bicarbonate {value:g} mg/l"
    water = turn.state.kit.water.model_copy(update={name: value})
    change(turn, f"{name} of the water", water=water)
    # Of several figures in a message the last one sums up.
    turn.lines[:] = [line for line in turn.lines if not line.startswith(_SUMMED_UP)]
    if turn.lines and turn.lines[-1].startswith("Tap water: "):
        turn.lines[-1] = f"{turn.lines[-1].rstrip('.')}, {said}."
    else:
        turn.say(f"Tap water: {said}.")
    _summary(turn, water)


def _summary(turn: Turn, told: TapWater) -> None:
    water = water_of(turn.state.kit)
    missing = [ion for ion in IONS if getattr(told, ion) is None]
    if water is None or missing:
        turn.working = f"Still unknown: {', '.join(missing)}."
        return
    cations = told.calcium or 0.0, told.magnesium or 0.0, told.sodium or 0.0
    charge = cations[0] / 20.04 + cations[1] / 12.15 + cations[2] / 22.99
    off = float(ion_balance(water).to("millimole/litre").magnitude)
    if charge and abs(off) > _UNBALANCED * charge:
        turn.say(f"{_MISSES} {abs(off):.1f} mmol/l of charge: look at them again, or the report left one out.")
        return
    left = float(residual_alkalinity(water).to("millimole/litre").magnitude)
    turn.say(f"{_COMPLETE} Residual alkalinity {left:.1f} mmol/l.")


def forget(turn: Turn, intent: Intent) -> None:
    """Nothing is known of the water any more."""
    change(turn, "water unknown", water=TapWater())
    turn.say("Tap water unknown: no salts or acid are suggested.")


HANDLERS: Handlers = {"kit.ion": ion, "kit.water_unknown": forget}
