"""A price without an amount: "bought wheat malt, £3 a kilo": how much of it is asked, and nothing is put into the stock before."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

from conversations.intents import Intent, Measured, Understanding
from conversations.session import stock, wording
from conversations.session.prices import money
from conversations.session.readings import measured
from conversations.session.turn import Handlers, Turn

_EXPECTED = "stock.amount"


def how_much(turn: Turn, intent: Intent) -> None:
    """Keep the name and the price for the answer, and ask for the amount."""
    slots = intent.slots
    name, code = str(slots["name"]), str(slots.get("currency") or turn.state.currency)
    per = measured(slots["per"]) if "per" in slots else None
    each = f" {wording.per_amount(per.quantity, turn.state.units)}" if per is not None else ""
    turn.say(f"How much {name}, at {money(Decimal(str(slots['money'])), code)}{each}? Nothing is in stock yet.")
    turn.expects, turn.question = _EXPECTED, {"bought": intent.model_dump(mode="json")}
    choices = ("100 g", "250 g") if per is not None and per.in_unit("gram") < 500 else ("1 kg", "5 kg")
    turn.offer(*((said, said) for said in choices))


def amount_told(turn: Turn, reading: Understanding, text: str) -> bool:
    """Take "2 kg" as the answer; False where the message is something else."""
    pending = (turn.state.question or {}).get("bought")
    if pending is None or len(reading.quantities) != 1 or reading.unread or len(text) > 30:
        return False
    span = reading.quantities[0]
    mass = Measured(value=span.value, unit=span.unit)
    others = [each.name for each in reading.intents if each.name not in ("reading.mass", "unclear.number")]
    if others or span.unit == "dimensionless" or not mass.quantity.check("[mass]"):
        return False
    bought = Intent.model_validate(pending)
    stock.buy(turn, bought.model_copy(update={"name": "stock.bought", "slots": {**bought.slots, "mass": mass}}))
    return True


HANDLERS: Handlers = {"unclear.bought": how_much}
FREE_TEXT: Mapping[str, Callable[[Turn, Understanding, str], bool]] = {_EXPECTED: amount_told}
"""What takes a whole message while its question is open, by what the chat expects."""
