"""Guided checks: the thermometer in ice and in boiling water, and the marks of a stick, one pour at a time."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured, Understanding
from conversations.session import wording
from conversations.session.kit import change
from conversations.session.kit_values import boils_at, true_temperature
from conversations.session.readings import measured
from conversations.session.turn import Handlers, Turn

POUR = Measured(value=2.0, unit="litre")
DOUBTED_K = 3.0
"""A thermometer further out than this was more likely read or made wrongly than built so."""
MOST_RISE = 3.0
"""How many times as far as the pour before it a pour may rise: a pot does not narrow faster. Common practice, no source."""
_AGAIN = re.compile(
    r"(?:oops|no|sorry|i mean|i meant|actually|correction|that should be|should be|make that|rather|wait)\W+(?:it'?s |it is |that'?s )?"
    r"(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>cm|mm|inch(?:es)?|in)?[.! ]*",
    re.IGNORECASE,
)
_LIVES_HIGHER_K = 0.5
"""What 150 m of height do to boiling water: from there on an assumed sea level is worth a word."""
EXPECTS_ICE, EXPECTS_BOILING, EXPECTS_MARK = "kit.thermometer_ice", "kit.thermometer_boiling", "kit.mark_depth"


def check_thermometer(turn: Turn, intent: Intent) -> None:
    """Begin with ice water; boiling water follows."""
    turn.say(
        "Ice first: fill a glass with crushed ice, top up with cold water, stir, wait 2 minutes.",
        "Hold the probe in the middle, stir, and send what it shows.",
    )
    turn.expects = EXPECTS_ICE
    turn.offer(("skip to boiling", "check boiling water"))


def check_boiling(turn: Turn, intent: Intent) -> None:
    """The second fixed point, which hangs on altitude and weather."""
    kit = turn.state.kit
    turn.say(
        f"Here water boils at {wording.temperature(boils_at(kit), turn.state.units)}{_assumed(turn)}.",
        "Bring a small pot to a rolling boil, probe in the water, not on the metal. Mind the steam.",
        "Send what it shows.",
    )
    turn.expects = EXPECTS_BOILING


def _assumed(turn: Turn) -> str:
    return "" if turn.state.kit.altitude else ' (sea level assumed; say "altitude 300 m")'


def thermometer_ice(turn: Turn, intent: Intent) -> None:
    """What it showed in ice water."""
    shown = measured(intent.slots["temperature"])
    if not _believable(turn, shown, quantity(0.0, "degC"), EXPECTS_ICE):
        return
    change(turn, "thermometer in ice", thermometer_ice=shown)
    _say_offset(turn, shown, quantity(0.0, "degC"), "ice")
    if turn.state.kit.thermometer_boiling is None or turn.state.expects == EXPECTS_ICE:
        at = wording.temperature(boils_at(turn.state.kit), turn.state.units)
        turn.say(f"Now boiling water, {at} here{_assumed(turn)}: send what it shows in a rolling boil, or leave it at this.")
        turn.expects = EXPECTS_BOILING
        turn.offer(("how?", "check boiling water"))


def thermometer_boiling(turn: Turn, intent: Intent) -> None:
    """What it showed in boiling water."""
    shown = measured(intent.slots["temperature"])
    truth = boils_at(turn.state.kit)
    if not _believable(turn, shown, truth, EXPECTS_BOILING):
        return
    at = Measured(value=round(float(truth.to("degC").magnitude), 3), unit="degC")
    change(turn, "thermometer in boiling water", thermometer_boiling=shown, thermometer_boiled_at=at)
    _say_offset(turn, shown, truth, "boiling water")
    if abs(_off(shown, truth)) >= _LIVES_HIGHER_K and turn.state.kit.altitude is None:
        turn.say('Sea level is assumed. If you live higher, say so: "altitude 600 m".')
    turn.working = f"Water boils at {wording.temperature(truth, turn.state.units)} at this altitude and pressure."
    mash = true_temperature(quantity(67.0, "degC"), turn.state.kit)
    turn.say(
        f"From now on {wording.temperature(quantity(67.0, 'degC'), turn.state.units)} shown counts as "
        f"{wording.temperature(mash, turn.state.units)}."
    )


def thermometer_forget(turn: Turn, intent: Intent) -> None:
    """A new thermometer: readings count as shown again."""
    change(turn, "thermometer unchecked", thermometer_ice=None, thermometer_boiling=None)
    turn.say("Thermometer readings count as shown again.")


def _off(shown: Measured, truth: Quantity) -> float:
    return shown.in_unit("degC") - float(truth.to("degC").magnitude)


def _believable(turn: Turn, shown: Measured, truth: Quantity, expects: str) -> bool:
    off = _off(shown, truth)
    if abs(off) <= DOUBTED_K:
        return True
    turn.say(
        f"{wording.temperature(shown.quantity, turn.state.units)} is {abs(off):.1f} °C off: more than an instrument "
        "should be. Nothing changed.",
        "Stir, wait two minutes, probe clear of glass and metal, and send it again.",
    )
    turn.expects = expects
    return False


def _say_offset(turn: Turn, shown: Measured, truth: Quantity, where: str) -> None:
    off = _off(shown, truth)
    factor, sign = (1.0, "°C") if turn.state.units == "metric" else (1.8, "°F")
    if abs(off) < 0.05:
        turn.say(f"It reads true in {where}.")
    else:
        turn.say(f"It reads {abs(off) * factor:.1f} {sign} too {'high' if off > 0 else 'low'} in {where}; I correct for it.")


def mark_stick(turn: Turn, intent: Intent) -> None:
    """Begin marking: pour in a known volume, read the depth, repeat."""
    step = measured(intent.slots["volume"]) if "volume" in intent.slots else POUR
    if turn.state.units != "metric" and "volume" not in intent.slots:
        step = Measured(value=4.0, unit="imperial_pint" if turn.state.units == "imperial" else "pint")
    old = turn.state.kit
    if old.marks:
        turn.record(
            "kit_told", label="new stick marks", kit=old.model_copy(update={"marks": ()}).model_dump(mode="json")
        )
    turn.say(
        f"Pot level and empty. Pour in {_of(turn, step)} of water, stand the stick upright on the bottom.",
        "Send the depth it is wet to.",
    )
    _ask_mark(turn, step, 1)


def _of(turn: Turn, volume: Measured) -> str:
    return wording.volume(volume.quantity, turn.state.units)


def _ask_mark(turn: Turn, step: Measured, count: int) -> None:
    turn.expects = EXPECTS_MARK
    turn.question = {"step": step.model_dump(mode="json"), "count": count}


def mark_depth(turn: Turn, intent: Intent) -> None:
    """The depth of the pour that was asked for."""
    asked = turn.state.question
    if turn.state.expects != EXPECTS_MARK or asked is None:
        turn.say('Say the volume with it, like "2 litres is 6.3 cm", or "mark my stick" to be guided.')
        return
    step, count = Measured.model_validate(asked["step"]), int(asked["count"])
    depth, old = measured(intent.slots["depth"]), turn.state.kit
    volume = Measured(value=round(step.value * count, 6), unit=step.unit)
    highest = max((mark[0].in_unit("mm") for mark in old.marks), default=0.0)
    if not highest + 2 < depth.in_unit("mm") <= 1000:
        low = wording.depth(quantity(highest, "mm"), turn.state.units)
        turn.say(f"With {_of(turn, volume)} in the pot the depth must lie above {low}. Send it again.")
        _ask_mark(turn, step, count)
        return
    if _leaps(old.marks, depth):
        shown = wording.depth(depth.quantity, turn.state.units)
        turn.say(f"{shown}? That is far more than the pours before it rose. Nothing is changed: read it again and send it.")
        _ask_mark(turn, step, count)
        return
    change(turn, "stick mark", marks=(*old.marks, (depth, volume)))
    following = Measured(value=round(step.value * (count + 1), 6), unit=step.unit)
    turn.say(
        f"{_of(turn, volume)} is at {wording.depth(depth.quantity, turn.state.units)}.",
        f'Pour in the same again ({_of(turn, following)} in all) and send the depth, or say "stick is done".',
    )
    _ask_mark(turn, step, count + 1)
    turn.offer(("stick is done", "stick is done"))


def _leaps(marks: tuple[tuple[Measured, Measured], ...], depth: Measured) -> bool:
    """Whether a pour would rise several times as far as the one before it: "64" for 6.4."""
    if len(marks) < 2:
        return False
    low, high = marks[-2][0].in_unit("mm"), marks[-1][0].in_unit("mm")
    return depth.in_unit("mm") - high > MOST_RISE * (high - low)


def mark_again(turn: Turn, reading: Understanding, text: str) -> bool:
    """ "oops, 6.4": the last depth of a marking, sent again; False for any other message."""
    asked, found, old = turn.state.question or {}, _AGAIN.fullmatch(text.strip()), turn.state.kit
    if "step" not in asked or found is None or not old.marks:
        return False
    found_unit = (found["unit"] or "").lower()
    inches = found_unit.startswith("in") or (not found_unit and turn.state.units != "metric")
    unit = "inch" if inches else "millimetre" if found_unit == "mm" else "centimetre"
    depth = Measured(value=float(found["value"].replace(",", ".")), unit=unit)
    last, kept = old.marks[-1], old.marks[:-1]
    low = max((mark[0].in_unit("mm") for mark in kept), default=0.0)
    if not low + 2 < depth.in_unit("mm") <= 1000 or _leaps(kept, depth):
        return False
    change(turn, "stick mark", marks=(*kept, (depth, last[1])))
    turn.say(f"{_of(turn, last[1])} is at {wording.depth(depth.quantity, turn.state.units)}, put right. Go on with the next pour.")
    _ask_mark(turn, Measured.model_validate(asked["step"]), int(asked["count"]))
    turn.offer(("stick is done", "stick is done"))
    return True


def marks_done(turn: Turn, intent: Intent) -> None:
    """Enough marks: from here they count instead of the diameter."""
    marks = turn.state.kit.marks
    if not marks:
        turn.say('No marks yet. Say "mark my stick" and I guide you.')
        return
    top = marks[-1]
    turn.say(
        f"{len(marks)} marks, up to {_of(turn, top[1])} at {wording.depth(top[0].quantity, turn.state.units)}; "
        "between them I read a smooth curve.",
        '"print my stick" gives a paper scale for a spoon handle.',
    )
    turn.offer(("print my stick", "print my stick"))


FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {EXPECTS_MARK: mark_again}
HANDLERS: Handlers = {
    "kit.check_thermometer": check_thermometer,
    "ask.thermometer": check_thermometer,
    "kit.check_boiling": check_boiling,
    "kit.thermometer_ice": thermometer_ice,
    "kit.thermometer_boiling": thermometer_boiling,
    "kit.thermometer_forget": thermometer_forget,
    "kit.mark_stick": mark_stick,
    "kit.mark_depth": mark_depth,
    "kit.marks_done": marks_done,
}
