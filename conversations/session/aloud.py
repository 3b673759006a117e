"""What is answered aloud, and how a gravity sounds: the person's choice."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session.turn import Handlers, Turn

_SAID = {
    "all": "In the messenger, everything comes as a voice note too.",
    "reminders": "In the messenger, reminders come as voice notes too.",
    "off": "Quiet: I only write.",
}


def choose(turn: Turn, intent: Intent) -> None:
    """ "speak reminders", "speak everything", "be quiet"."""
    wish = str(intent.slots["speech"])
    turn.record("settings_told", label=f"speaking {wish}", speech=wish)
    turn.say(_SAID[wish])


def choose_gravity(turn: Turn, intent: Intent) -> None:
    """ "say gravities digit by digit"."""
    way = str(intent.slots["said"])
    turn.record("settings_told", label="how gravities sound", gravity_said=way)
    example = "ten fifty seven" if way == "pairs" else "one point oh five seven"
    turn.say(f"1.057 sounds like: {example}.")


HANDLERS: Handlers = {"settings.speech": choose, "settings.gravity_said": choose_gravity}
