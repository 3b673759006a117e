"""Where the kitchen lies: altitude and weather, where water boils there, and a thermometer that is told to be off."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from calc.boil import boiling_point
from calc.units import quantity
from conversations.intents import Intent, Measured, Understanding
from conversations.session import wording
from conversations.session.kit import change, tell
from conversations.session.kit_values import boils_at, true_temperature
from conversations.session.readings import measured
from conversations.session.turn import Handlers, Turn

MOST_OFF_K = 6.0
"""A thermometer told to be further out than this is better thrown away than corrected for."""
EXPECTS_DIRECTION = "kit.thermometer_direction"
_DIRECTION = re.compile(
    r"(?:it(?:'s| is| reads| shows)? )?(?:too )?(?P<way>high|hot|warm|over|much|low|cold|under|little)\W*", re.IGNORECASE
)
_PLACE = frozenset({"altitude", "air_pressure"})


def place(turn: Turn, intent: Intent) -> None:
    """Altitude or air pressure; a check in boiling water made before either was known is counted anew."""
    old = turn.state.kit
    tell(turn, intent)
    new = turn.state.kit
    if new == old or old.thermometer_boiling is None or _PLACE & set(old.told):
        return
    if "altitude" in new.told:
        change(turn, "boiling check counted anew", thermometer_boiled_at=None)
        turn.say(f"Your check in boiling water counts by that now: {counts_as(turn)}.")


def counts_as(turn: Turn) -> str:
    """What the thermometer's reading of a mash really is."""
    shown, units = quantity(67.0, "degC"), turn.state.units
    real = true_temperature(shown, turn.state.kit)
    return f"{wording.temperature(shown, units)} shown is {wording.temperature(real, units)}"


def boiling(turn: Turn, intent: Intent) -> None:
    """ "where does water boil here": by the altitude that was told, or one that is asked about."""
    kit, units = turn.state.kit, turn.state.units
    if "altitude" in intent.slots:
        high = measured(intent.slots["altitude"])
        at = boiling_point(high.quantity)
        turn.say(f"At {wording.altitude(high.quantity, units)} water boils at {wording.temperature(at, units)}.")
        return
    here = wording.temperature(boils_at(kit), units)
    if kit.altitude is None:
        turn.say(f'Water boils at {here}, sea level assumed. "altitude 300 m" tells me how high you live.')
    else:
        turn.say(f"Water boils at {here} here, {wording.altitude(kit.altitude.quantity, units)} above the sea (told).")
    turn.working = "By the standard atmosphere's pressure at that height" + (
        f", and {10 * kit.air_pressure.in_unit('kilopascal'):.0f} hPa at sea level." if kit.air_pressure else "."
    )


def off_by(turn: Turn, intent: Intent) -> None:
    """ "my thermometer reads 2 degrees too high": the same everywhere, until a check in ice and boiling water says better."""
    told = measured(intent.slots["temperature"])
    # Degrees of difference: the thermometer's zero does not come into it.
    kelvin = told.value / 1.8 if told.unit == "degF" else told.value
    shown = f"{told.value:g} {'°F' if told.unit == 'degF' else '°C'}"
    direction = str(intent.slots.get("direction", ""))
    if not 0 < kelvin <= MOST_OFF_K:
        turn.say(f'{shown} off? Nothing changed. "check my thermometer" finds it out with ice and boiling water.')
        return
    if not direction:
        turn.say(f"{shown} too high or too low? Nothing is changed yet.")
        turn.offer(*((f"too {way}", f"my thermometer reads {shown} too {way}") for way in ("high", "low")))
        turn.expects, turn.question = EXPECTS_DIRECTION, {"told": intent.model_dump(mode="json")}
        return
    in_ice = Measured(value=round(kelvin if direction == "high" else -kelvin, 2), unit="degC")
    change(turn, "thermometer", thermometer_ice=in_ice, thermometer_boiling=None, thermometer_boiled_at=None)
    turn.say(f"It reads {shown} too {direction}; I correct for it: {counts_as(turn)}.")
    turn.say('"check my thermometer" with ice and boiling water tells it better.')
    turn.offer(("check my thermometer", "check my thermometer"), ("undo", "undo"))


def direction_told(turn: Turn, reading: Understanding, text: str) -> bool:
    """ "too high", after it was asked; False for any other message."""
    asked, found = (turn.state.question or {}).get("told"), _DIRECTION.fullmatch(text.strip())
    if asked is None or found is None:
        return False
    pending = Intent.model_validate(asked)
    high = found["way"].lower() not in ("low", "cold", "under", "little")
    off_by(turn, pending.model_copy(update={"slots": {**pending.slots, "direction": "high" if high else "low"}}))
    return True


FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {EXPECTS_DIRECTION: direction_told}
HANDLERS: Handlers = {"kit.altitude": place, "kit.air_pressure": place, "ask.boiling_point": boiling, "kit.thermometer_off": off_by}
