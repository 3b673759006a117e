"""Settings beside units and zone: quiet hours and the currency."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session.turn import Handlers, Turn


def _night(said: str) -> str:
    """ "from 10" with the half of the day left open is ten in the evening; the evening is when quiet begins."""
    hour, minute = said.removeprefix("~").split(":")
    late = said.startswith("~") and 6 <= int(hour) < 12
    return f"{int(hour) + 12 if late else int(hour):02d}:{minute}"


def quiet(turn: Turn, intent: Intent) -> None:
    """ "quiet from 10pm to 7am": between these local times only what cannot wait is said."""
    begin, end = _night(str(intent.slots["from"])), str(intent.slots["to"]).removeprefix("~")
    if begin == end:
        turn.record("settings_told", label="no quiet hours", quiet_from=begin, quiet_to=end)
        turn.say("No quiet hours.")
        return
    turn.record("settings_told", label="quiet hours", quiet_from=begin, quiet_to=end)
    turn.say(f"Quiet from {begin} to {end}.", "Boil and mash alarms ring all the same: they cannot wait.")


def currency(turn: Turn, intent: Intent) -> None:
    """What money is counted in; prices told before keep their numbers, nothing is converted."""
    code = str(intent.slots["currency"])
    turn.record("settings_told", label=f"money in {code}", currency=code)
    turn.say(f"Money in {code}.")
    if any(item.price for item in turn.state.stock):
        turn.say("Prices told before keep their numbers: I do not convert.")


def show_quiet(turn: Turn, intent: Intent) -> None:
    """When it is quiet."""
    turn.say(f"Quiet from {turn.state.quiet_from} to {turn.state.quiet_to}.")


HANDLERS: Handlers = {"settings.quiet": quiet, "settings.currency": currency, "ask.quiet": show_quiet}
