"""Turning to another batch, and the list of them."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import batch_names, readings
from conversations.session.stages import stage_now
from conversations.session.turn import Handlers, Turn

_SHOWN = 8


def switch(turn: Turn, intent: Intent) -> None:
    """Turn to another batch; several of one name are offered with their dates."""
    state = turn.state
    if "number" in intent.slots:
        found = [each for each in state.batches if each.id == int(float(intent.slots["number"]))]
    else:
        found = batch_names.find(state, str(intent.slots.get("name", "")))
    if not found:
        turn.say(f"No batch is called {intent.slots.get('name', 'that')}. \"batches\" lists them.")
        return
    running = [each for each in found if each.stage != "condition" and not each.closed]
    choices = running if len(running) > 1 else []
    if len({each.name for each in choices}) == 1:
        turn.say(f"{len(choices)} batches are called {choices[0].name}. Which one?")
        turn.offer(*((batch_names.label(each, state), f"switch to number {each.id}") for each in choices[:4]))
        turn.expects, turn.question = state.expects, state.question
        return
    chosen = running[0] if running else found[0]
    turn.record("switched", label=f"switch to {chosen.name}", batch=chosen.id, chosen=True)
    turn.say(f"{batch_names.label(chosen, turn.state)}, {stage_now(chosen.stage)}.")
    if state.expects == "batch.switch" and state.question is not None:
        readings.record(turn, Intent.model_validate(state.question["intent"]))


def listed(turn: Turn, intent: Intent) -> None:
    """Every batch with its stage, the newest last."""
    state = turn.state
    turn.say(*(f"{batch_names.label(each, state)}: {stage_now(each.stage)}" for each in state.batches[-_SHOWN:]))
    if len(state.batches) > _SHOWN:
        turn.say(f'{len(state.batches) - _SHOWN} older: "what did I brew in 2025" lists a year.')
    if not state.batches:
        turn.say('No batch yet. "brew 5 litres of ..." starts one.')


def close(turn: Turn, intent: Intent) -> None:
    """ "all drunk", "poured it away": the batch stays in the diary, and nothing is asked about it any more."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is open.")
        return
    turn.record("batch_closed", label=f"{batch.name} closed", batch=batch.id, closed=True)
    turn.record("note", text=intent.text or "closed")
    turn.say(f"{batch_names.label(batch, turn.state)} is closed; it stays in the diary.")
    turn.offer(("undo", "undo"))


NOT_ERASED = (
    "Nothing is erased by a message: somebody may share this diary, and one batch is not taken out alone.",
    '"close this batch" puts a batch away. In the messenger /erase takes out the whole diary for good; here it is one file.',
)


def erase(turn: Turn, intent: Intent) -> None:
    """ "delete this batch", "erase my data": said plainly, and nothing is lost by a word."""
    turn.say(*NOT_ERASED)


HANDLERS: Handlers = {
    "batch.erase": erase,
    "batch.close": close,
    "batch.switch": switch,
    "batch.number": switch,
    "batch.list": listed,
}
