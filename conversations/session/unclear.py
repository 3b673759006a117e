"""What could mean several things: nothing is recorded, and the likely meanings are offered."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from conversations.intents import Intent, Measured, Understanding
from conversations.session import readings, wording
from conversations.session.turn import Handlers, Turn

_PLACES = re.compile(r"\b(mash|wort|pot|kettle|fermenter|water|room)\b", re.IGNORECASE)


def duration(turn: Turn, intent: Intent) -> None:
    """ "5 minutes" alone."""
    length = wording.duration(float(intent.slots["duration_s"]))
    turn.say(f"{length}: a new timer, or more time?")
    turn.offer(("new timer", f"timer {length}"), ("more time", f"add {length}"), ("put off", f"snooze {length}"))


def between(turn: Turn, intent: Intent) -> None:
    """ "65 to 67": either end, or the middle."""
    kind = str(intent.slots["kind"])
    low, high = (readings.measured(intent.slots[end]) for end in ("low", "high"))
    middle = Measured(value=(low.value + high.in_unit(low.unit)) / 2, unit=low.unit)
    shown = [readings.show(turn, kind, value.quantity) for value in (low, middle, high)]
    turn.say(f"{kind.capitalize()} {shown[0]} or {shown[2]}? Nothing is recorded yet.")
    turn.offer(*((each, f"{kind} {each}") for each in shown))


def gravity(turn: Turn, intent: Intent) -> None:
    """ "gravity 1.5": written with too few figures, 1.050 or 1.005."""
    value = float(intent.slots["value"])
    meant = [f"1.{figures:03d}" for figures in (round((value - 1) * 100), round((value - 1) * 10)) if 0 < figures <= 200]
    turn.say(f"{value:g}: {' or '.join(meant)}? Nothing is recorded yet.")
    turn.offer(*((each, f"gravity {each}") for each in meant))


def sample(turn: Turn, intent: Intent) -> None:
    """ "the sample is at 64 degrees", with no gravity that it could be of."""
    if "temperature" not in intent.slots:
        turn.say("A sample: what does its hydrometer say, and how warm is it? Nothing is recorded yet.", 'Send both together: "1.045 at 20 C".')
        return
    shown = readings.show(turn, "temperature", readings.measured(intent.slots["temperature"]).quantity)
    turn.say(f"A sample at {shown}: what does its hydrometer say? Nothing is recorded yet.", f'Send both together: "1.045 at {shown.replace(" °", " ")}".')


def hot_sample(turn: Turn, intent: Intent) -> None:
    """ "1.040 hot": a hydrometer shows too little in hot wort, so how hot is asked."""
    gravity = wording.gravity(readings.measured(intent.slots["gravity"]).quantity)
    turn.say(f"{gravity} in a hot sample: how warm is it? Nothing is recorded yet.", f'Send its temperature, or both: "{gravity} at 60 C".')
    turn.expects = "sample.temperature"
    turn.question = {"intent": intent.model_copy(update={"name": "reading.gravity"}).model_dump(mode="json")}


def its_temperature(turn: Turn, reading: Understanding, text: str) -> bool:
    """The answer to that; False for any other message."""
    pending, answers = (turn.state.question or {}).get("intent"), reading.intents
    if pending is None or reading.unread or len(answers) != 1 or answers[0].name not in ("sample.temperature", "reading.temperature", "unclear.sample", "correct"):
        return False
    temperature = answers[0].slots.get("temperature")
    if answers[0].name == "correct" and answers[0].slots.get("unit") in ("degC", "degF"):
        temperature = Measured(value=float(answers[0].slots["value"]), unit=str(answers[0].slots["unit"]))
    if temperature is None or _PLACES.search(text):
        return False
    gravity = Intent.model_validate(pending)
    readings.record(turn, gravity.model_copy(update={"slots": {**gravity.slots, "temperature": readings.measured(temperature)}}))
    return True


def at_what(turn: Turn, intent: Intent) -> None:
    """ "66 at 10": degrees at an hour, or grams at so many minutes."""
    value, at = float(intent.slots["value"]), float(intent.slots["at"])
    turn.say(f"{value:g} at {at:g}: degrees, or grams of hops? Nothing is recorded yet.", f'Say it with its unit: "{value:g} C", or "add {value:g} g Fuggle at {at:g} minutes".')
    if turn.batch is not None and turn.batch.stage == "mash":
        turn.offer((f"{value:g} °C now", f"temperature {value:g} C"))


def forgot(turn: Turn, intent: Intent) -> None:
    """ "I forgot the brown malt": whether it is still to go in is for the brewer to say."""
    name = str(intent.slots.get("name", "it"))
    stage = turn.batch.stage if turn.batch is not None else ""
    if stage == "mash":
        turn.say(f"Nothing is changed: {name} can still go in. Stir it in well and give it 20 minutes more.", 'If it stays out, say so with "I put in 0.9 kg pale malt" and the like for what is in.')
    elif stage == "boil":
        turn.say(f"Nothing is changed. Hops can go in now: say \"hops in\". Grain cannot join a boil: leave {name} out.")
    else:
        turn.say(f"Nothing is changed. Grain gives nothing without a mash: leave {name} out, or steep it in hot water and add that.")


def number(turn: Turn, intent: Intent) -> None:
    """A number alone, where the stage does not tell what it is."""
    value = float(intent.slots.get("value", 0))
    likely = _likely(turn, value)
    turn.offer(*likely)
    weeks = turn.batch is not None and turn.batch.stage in ("pitch", "ferment", "bottle", "condition")
    meant = " or ".join(f'"{says}"' for _, says in likely) if weeks and likely else '"gravity 1.050", "67 C", "6.2 l"'
    turn.say(f"{value:g} of what? Send it with a unit: {meant}.")


def _likely(turn: Turn, value: float) -> list[tuple[str, str]]:
    """What a bare number most likely is where a batch is running: a gravity, a temperature."""
    if turn.batch is None or not 0 < value <= 150:
        return []
    degrees = f"{value:g} {'C' if turn.state.units == 'metric' else 'F'}"
    likely = [(degrees, f"temperature {degrees}")]
    if value == int(value):
        likely.insert(0, (f"1.{int(value):03d}", f"gravity 1.{int(value):03d}"))
    return likely


def timer(turn: Turn, intent: Intent) -> None:
    """ "set a timer", without a time: how long is asked."""
    if intent.slots.get("many"):
        turn.say('How long each? "timers for 10 and 20 minutes", or one by one: "timer 10 minutes for the eggs". None is set yet.')
        return
    turn.say('How long? "10 minutes", or "timer 10 minutes for the eggs".')
    turn.expects, turn.question = "timer.start", {}
    turn.offer(("5 min", "timer 5 minutes"), ("10 min", "timer 10 minutes"), ("15 min", "timer 15 minutes"), ("60 min", "timer 60 minutes"))


FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {"sample.temperature": its_temperature}
HANDLERS: Handlers = {
    "unclear.timer": timer,
    "unclear": number,
    "unclear.duration": duration,
    "unclear.range": between,
    "unclear.gravity": gravity,
    "unclear.sample": sample,
    "unclear.hot_sample": hot_sample,
    "unclear.at": at_what,
    "unclear.forgot": forgot,
}
