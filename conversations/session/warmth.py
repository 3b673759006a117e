"""Fermenter and bottles too warm or too cold: what to do about it in a flat without gear; the hour of the checks."""

from __future__ import annotations

from calc.units import Quantity, quantity
from calc.yeast import temperature_range
from conversations.intents import Intent, UnitSystem
from conversations.session import wording
from conversations.session.fermentation import page, table, type_words, yeast_type
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.session.watch import ready_day

AT_A_TIME = 2


def degrees_apart(value: Quantity, limit: Quantity, units: UnitSystem) -> str:
    """A difference of temperatures in the person's degrees."""
    apart = abs(float(value.to("degC").magnitude) - float(limit.to("degC").magnitude))
    return f"{apart:.1f} °C" if units == "metric" else f"{apart * 1.8:.1f} °F"


def fermenter(turn: Turn, batch: Batch, value: Quantity) -> None:
    """Answer a temperature of the fermenter: in the yeast's range, or what helps."""
    style, units = yeast_type(batch.recipe), turn.state.units
    usual = temperature_range(style)
    shown = f"{wording.temperature(usual.low, units)} to {wording.temperature(usual.high, units)}"
    assumed = "" if batch.recipe.yeast else " (ale assumed)"
    turn.working = f"{type_words(style).capitalize()} yeast works best at {shown}{assumed}. {page('remedies')['first_days']}"
    if usual.low <= value <= usual.high:
        turn.say(f"Good for {type_words(style)} yeast{assumed}: {shown}.")
        return
    warm = value > usual.high
    limit = usual.high if warm else usual.low
    turn.say(f"{degrees_apart(value, limit, units)} too {'warm' if warm else 'cold'} for {type_words(style)} yeast{assumed}: {shown}.")
    say_some(turn, "too_warm" if warm else "too_cold", page("remedies")["too_warm" if warm else "too_cold"])


def bottles(turn: Turn, batch: Batch, value: Quantity) -> None:
    """Answer a temperature of the bottles while they carbonate."""
    cool = quantity(table("conditioning")["cool_c"], "degC")
    found = ready_day(batch, turn.state)
    if value < cool:
        turn.say(f"Cool for bottles: they need a week longer. {wording.temperature(quantity(20, 'degC'), turn.state.units)} is better.")
    if found is not None:
        turn.say(f"Ready about {found:%A} {found.day} {found:%B}.")


def say_some(turn: Turn, name: str, lines: list[str], start: int = 0) -> None:
    """The first remedies of a list; "what else" gives the next ones."""
    turn.say(*lines[start : start + AT_A_TIME])
    if start + AT_A_TIME < len(lines):
        turn.question = {"more": name, "start": start + AT_A_TIME}
        turn.expects = "more"
        turn.offer(("what else?", "what else"))


def more(turn: Turn, intent: Intent) -> None:
    """ "what else": the next remedies of the list that was begun."""
    question = turn.state.question or {}
    name = question.get("more")
    if name is None:
        turn.say("There is no list to go on with. Send the temperature or a gravity.")
        return
    say_some(turn, str(name), page("remedies")[name], int(question["start"]))


def helps(turn: Turn, intent: Intent) -> None:
    """ "fermenter too warm" without a number."""
    name = "too_warm" if intent.slots.get("side") == "warm" else "too_cold"
    say_some(turn, name, page("remedies")[name])


def check_hour(turn: Turn, intent: Intent) -> None:
    """ "check at 8pm": the hour of the checks over the weeks."""
    at = str(intent.slots["at"])[11:16]
    turn.record("settings_told", label="hour of checks", check_at=at)
    turn.say(f"Checks at {at}.")
    if turn.state.quiet_from != turn.state.quiet_to:
        turn.say(f"Quiet from {turn.state.quiet_from} to {turn.state.quiet_to}: what falls in there waits.")


HANDLERS: Handlers = {
    "ask.more": more,
    "ask.temperature_help": helps,
    "settings.check_hour": check_hour,
}
