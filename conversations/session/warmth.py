"""Fermenter and bottles too warm or too cold: what to do about it in a flat without gear; the hour of the checks."""

from __future__ import annotations

from datetime import timedelta

from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured, UnitSystem
from conversations.session import wording
from conversations.session.fermentation import page, table
from conversations.session.state import Batch, Reading
from conversations.session.turn import Handlers, Turn
from conversations.session.watch import ready_day
from conversations.session.yeast_warmth import yeast_warmth

AT_A_TIME = 2
FRESH = timedelta(days=2)
"""A temperature of the fermenter older than this says nothing of now."""


def degrees_apart(value: Quantity, limit: Quantity, units: UnitSystem) -> str:
    """A difference of temperatures in the person's degrees."""
    apart = abs(float(value.to("degC").magnitude) - float(limit.to("degC").magnitude))
    return f"{apart:.1f} °C" if units == "metric" else f"{apart * 1.8:.1f} °F"


def fermenter(turn: Turn, batch: Batch, value: Quantity) -> None:
    """Answer a temperature of the fermenter: in the yeast's range, or what helps."""
    right = yeast_warmth(batch.recipe, turn.state.units)
    yeast = right.yeast + (" (ale assumed)" if right.assumed else "")
    turn.working = f"{right.yeast.capitalize()} works best at {right.words}{' (ale assumed)' if right.assumed else ''}. {page('remedies')['first_days']}"
    if right.low <= value <= right.high:
        turn.say(f"Good for {yeast}: {right.words}.")
        return
    warm = value > right.high
    limit = right.high if warm else right.low
    turn.say(f"{degrees_apart(value, limit, turn.state.units)} too {'warm' if warm else 'cold'} for {yeast}: {right.words}.")
    say_some(turn, "too_warm" if warm else "too_cold", page("remedies")["too_warm" if warm else "too_cold"])


def was(turn: Turn, batch: Batch, reading: Reading) -> None:
    """Answer a temperature that the fermenter had a while ago: what it did, and what it reads now is asked."""
    if any(each.kind == "temperature" and each.at > reading.at for each in batch.readings):
        return
    right, value, rows = yeast_warmth(batch.recipe, turn.state.units), reading.best, table("room")
    if right.low <= value <= right.high:
        turn.say(f"Good for {right.yeast}: {right.words}.")
        return
    warm = value > right.high
    limit = right.high if warm else right.low
    turn.say(f"{degrees_apart(value, limit, turn.state.units)} too {'warm' if warm else 'cold'} for {right.yeast}: {right.words}. {rows['was_warm' if warm else 'was_cold']}")
    turn.say("What does it read now?")
    turn.expects = "reading.temperature"
    turn.working = page("remedies")["first_days"]


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


def for_yeast(turn: Turn, intent: Intent) -> None:
    """ "is it too warm for this yeast": by the figure that is told, or the last one that was read; nothing is recorded by asking."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is open.")
        return
    read = [each for each in batch.readings if each.kind == "temperature" and each.stage == batch.stage and turn.now - each.at <= FRESH]
    if "temperature" in intent.slots:
        value = Measured.model_validate(intent.slots["temperature"]).quantity
    elif read:
        value = read[-1].best
        turn.say(f"{wording.temperature(value, turn.state.units)} by the last reading:")
    else:
        right = yeast_warmth(batch.recipe, turn.state.units)
        turn.say(f"{right.words} suits {right.yeast}{' (ale assumed)' if right.assumed else ''}. Send the fermenter's temperature, and I say.")
        turn.expects = "reading.temperature"
        return
    fermenter(turn, batch, value)


def where(turn: Turn, intent: Intent) -> None:
    """ "where do I keep them and how warm": the fermenter, bottles that carbonate, and bottles that are ready."""
    batch, rows, units = turn.batch, table("kept"), turn.state.units
    if batch is None:
        turn.say("No batch is open.")
        return
    if batch.stage not in ("bottle", "condition"):
        right = yeast_warmth(batch.recipe, units)
        turn.say(f"{right.words} for {right.yeast}.", rows["fermenter"])
        return
    low, high = (wording.temperature(quantity(rows[key], "degC"), units) for key in ("low_c", "high_c"))
    turn.say(rows["bottles"].format(low=low, high=high))
    found = ready_day(batch, turn.state) if batch.stage == "condition" else None
    after = rows["ready"].format(cool=wording.temperature(quantity(rows["cool_c"], "degC"), units))
    turn.say(f"{'Ready about ' + f'{found:%A} {found.day} {found:%B}. ' if found is not None and found > turn.now.date() else ''}{after}")


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
    "ask.for_yeast": for_yeast,
    "ask.where": where,
    "settings.check_hour": check_hour,
}
