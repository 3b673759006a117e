"""What was not understood is said, with the nearest known ways of saying it as buttons; nothing is recorded by asking."""

from __future__ import annotations

from collections.abc import Sequence

from conversations.intents import Understanding
from conversations.session.turn import Turn
from conversations.understanding.elsewhere import weighs_a_person
from conversations.understanding.nearest import nearest

TRY = 'Try "gravity 1.050 at 25 C", "what\'s next" or "help".'


def say(turn: Turn, text: str, reading: Understanding) -> None:
    """Say which pieces were not understood; where that is the whole message, ask whether something near was meant."""
    from conversations.session.step import context_of  # the step calls this module

    shown = ", ".join(f'"{piece[:60]}"' for piece in reading.unread[:3])
    if reading.intents:
        turn.say(f"I did not get {shown}.")
        return
    # As it will be read when the button is pressed or "yes" is said.
    if weighs_a_person(text):
        turn.say(f"I did not get {shown}. Nothing is recorded.")
        return
    near = nearest(text, context_of(turn.state, turn.now).model_copy(update={"expects": "heard"}))
    if not near:
        turn.say(f"I did not get {shown}. {TRY}")
        return
    turn.say(f"I did not get {shown}.")
    _ask(turn, near)


def ask_which(turn: Turn, near: Sequence[str]) -> None:
    """ "yes" to one of two: which one is asked again."""
    turn.say("Which one?")
    _ask(turn, near)


def _ask(turn: Turn, near: Sequence[str]) -> None:
    turn.say("Did you mean " + " or ".join(f'"{said}"' for said in near) + "? Nothing is recorded yet.")
    turn.expects = "heard"
    turn.question = {"heard": near[0]} if len(near) == 1 else {"either": list(near)}
    turn.offer(*((said, said) for said in near))
    if len(near) == 1:
        turn.offer(("no", "no"))
