"""Two figures of one message: litres and stick that agree or do not, and the temperature of a gravity's sample."""

from __future__ import annotations

from calc.errors import OutOfRange
from conversations.intents import Intent
from conversations.session import plan, readings, wording
from conversations.session.turn import Turn

_AGREE = 0.05
"""Share by which litres and stick may differ: a scratched spoon and a line on a jug tell no better."""
_HOT = ("drain", "top_up", "boil", "steep")
_COLDEST_SAMPLE_C, _WARMEST_SAMPLE_C = 5.0, 45.0
_BOTH = ("reading.volume", "reading.depth")


def _of_the_sample(turn: Turn, intents: tuple[Intent, ...]) -> tuple[Intent, ...]:
    """ "20 degrees, og 1.052" while the pot is hot: nobody reads a pot so cold, it is what the sample had."""
    gravities = [each for each in intents if each.name == "reading.gravity"]
    warmths = [each for each in intents if each.name == "reading.temperature"]
    if len(gravities) != 1 or len(warmths) != 1 or turn.batch is None or turn.batch.stage not in _HOT:
        return intents
    gravity, warmth = gravities[0], warmths[0]
    if "temperature" in gravity.slots or set(warmth.slots) != {"temperature"}:
        return intents
    told = readings.measured(warmth.slots["temperature"])
    if not _COLDEST_SAMPLE_C <= told.in_unit("degC") <= _WARMEST_SAMPLE_C or not readings.looks_wrong(turn, "temperature", told):
        return intents
    read = gravity.model_copy(update={"slots": {**gravity.slots, "temperature": warmth.slots["temperature"]}})
    return tuple(read if each is gravity else each for each in intents if each is not warmth)


def agreed(turn: Turn, intents: tuple[Intent, ...]) -> tuple[Intent, ...]:
    """The intents that are to be done; litres and stick that say different things are asked about instead.

    With a stick that is not known yet the litres count: its depth only stands on an assumed width of the pot.
    """
    intents = _of_the_sample(turn, intents)
    both = [each for each in intents if each.name in _BOTH and "at" not in each.slots]
    if sorted(each.name for each in both) != sorted(_BOTH):
        return intents
    kit, units = turn.state.kit, turn.state.units
    litres, depth = (readings.measured(next(each for each in both if each.name == name).slots[name.partition(".")[2]]) for name in _BOTH)
    try:
        by_stick = plan.litres(plan.volume_of_depth(depth.quantity, kit))
    except OutOfRange:
        return intents
    told = litres.in_unit("litre")
    if abs(by_stick - told) <= _AGREE * told:
        return intents
    shown, stick = wording.volume(litres.quantity, units), wording.depth(depth.quantity, units)
    if not {"pot_diameter", "marks"} & set(kit.told):
        turn.say(f'I go by the litres: the width of your pot is not known. "pot is 24 cm wide" makes {stick} tell them too.')
        return tuple(each for each in intents if each.name != "reading.depth")
    turn.say(f"{shown}, but {stick} on your stick are {wording.volume(plan.volume_of_depth(depth.quantity, kit), units)}. Which is right? Neither is recorded yet.")
    turn.offer((shown, f"{litres.value:g} {litres.unit}s"), (f"stick {stick}", f"stick {depth.value:g} {'cm' if depth.unit == 'centimetre' else depth.unit}"))
    return tuple(each for each in intents if each not in both)
