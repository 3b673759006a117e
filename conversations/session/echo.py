"""What came by voice is said back: in one line with the number first, or as a question with its answers as buttons."""

from __future__ import annotations

from collections.abc import Sequence

from conversations.intents import Intent, Measured
from conversations.session import wording
from conversations.session.turn import Turn
from conversations.understanding.understand import understand

_SIGNS = {"degC": "°C", "degF": "°F", "litre": "l", "millilitre": "ml", "gram": "g", "kilogram": "kg", "centimetre": "cm",
          "millimetre": "mm", "inch": "in", "percent": "%", "ounce": "oz", "pound": "lb", "degree_plato": "°P",
          "litre / hour": "l an hour", "imperial_gallon": "gallons", "gallon": "gallons", "imperial_pint": "pints",
          "pint": "pints"}  # fmt: skip
_NOT_MADE_OUT = "I could not make that out. Nothing is recorded."
_AGAIN = "Say it again close to the phone, or type it."


def say_back(turn: Turn, intents: Sequence[Intent]) -> None:
    """Put what was heard before the answer, and offer to take it back where something was recorded."""
    line = shown(intents)
    # A reading is answered with its number first already.
    if intents and not (turn.lines and turn.lines[0].startswith(line.rpartition(" ")[0])):
        turn.lines.insert(0, f"{line}: heard.")
    if turn.records:
        turn.offer(("undo", "undo"))


def ask(turn: Turn, perhaps: Sequence[str], complaint: str = "") -> None:
    """Ask which of these was said, with a button for each; with none, say that it was not made out, or why."""
    from conversations.session.step import context_of  # the step calls this module

    if not perhaps:
        turn.say(*([complaint, "Nothing is recorded."] if complaint else [_NOT_MADE_OUT, _AGAIN]))
        return
    labels = [shown(understand(text, context_of(turn.state, turn.now)).intents) or text for text in perhaps]
    turn.say(f"{' or '.join(labels)}? Nothing is recorded yet.")
    turn.expects = "heard"
    turn.question = {"heard": perhaps[0]}
    turn.offer(*zip(labels, perhaps, strict=True))
    if len(labels) == 1:
        turn.offer(("no", "no"))


def shown(intents: Sequence[Intent]) -> str:
    """What was understood in one line, the numbers first.

    >>> gravity = Measured(value=1.057, unit="dimensionless")
    >>> shown([Intent(name="reading.gravity", slots={"gravity": gravity}, text="ten fifty seven")])
    '1.057 gravity'
    >>> shown([Intent(name="done.hops", text="hops are in")])
    '"hops are in"'
    """
    return "; ".join(_shown(intent) for intent in intents)


def _shown(intent: Intent) -> str:
    numbers = list(filter(None, (_number(key, value) for key, value in intent.slots.items())))
    if not numbers:
        return f'"{intent.text}"' if intent.text else intent.name.rpartition(".")[2].replace("_", " ")
    family, _, rest = intent.name.partition(".")
    if family == "reading":
        return f"{numbers[0]} {rest}" + "".join(f" at {number}" for number in numbers[1:])
    names = [str(intent.slots[key]) for key in ("name", "what") if intent.slots.get(key)]
    about = names or [f'("{intent.text}")' if intent.text else intent.name.replace(".", ", ")]
    return " ".join([", ".join(numbers), *about])


def _number(key: str, value: object) -> str:
    if key == "duration_s" and isinstance(value, float | int):
        return wording.duration(float(value))
    if isinstance(value, dict) and {"value", "unit"} <= value.keys():
        value = Measured.model_validate(value)
    if isinstance(value, Measured):
        if value.unit == "dimensionless":
            return f"{value.value:.3f}"
        return f"{value.value:g} {_SIGNS.get(value.unit, value.unit)}"
    return f"{value:g}" if isinstance(value, float) else ""
