"""What is answered aloud, how a gravity sounds, whether the sound of voice notes is kept: the person's choice."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session.turn import Handlers, Turn

_SAID = {
    "all": "In the messenger, everything comes as a voice note too.",
    "reminders": "In the messenger, reminders come as voice notes too.",
    "off": "Quiet: I only write.",
}

_KEPT = 'Your voice notes stay with the batch now, on this computer. "stop keeping voice notes" ends it.'
_DROPPED = "The sound of a voice note is dropped once its words are there."


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


def choose_recordings(turn: Turn, intent: Intent) -> None:
    """ "keep my voice notes", "stop keeping voice notes", "keep that recording" once it is gone."""
    wish = str(intent.slots["recordings"])
    if wish == "last" and not turn.state.keeps_recordings:
        turn.say("That sound is gone: it is dropped once its words are there.")
        turn.say('"keep my voice notes" keeps those to come.')
        return
    keeps = wish != "off"
    if keeps != turn.state.keeps_recordings:
        turn.record("settings_told", label="keeping voice notes", keeps_recordings=keeps)
    turn.say(_KEPT if keeps else f"{_DROPPED} What was kept before stays.")


def recordings_asked(turn: Turn, intent: Intent) -> None:
    """ "do you keep my voice notes?"."""
    turn.say(_KEPT if turn.state.keeps_recordings else f'{_DROPPED} "keep my voice notes" keeps them with the batch.')


HANDLERS: Handlers = {
    "ask.recordings": recordings_asked,
    "settings.speech": choose,
    "settings.gravity_said": choose_gravity,
    "settings.recordings": choose_recordings,
}
