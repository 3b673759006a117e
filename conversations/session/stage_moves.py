"""Moving through the stages by message: next, back, skip, pause and resume."""

from __future__ import annotations

from datetime import datetime

from conversations.intents import Intent
from conversations.session import hop_additions, pot_questions, stage_clocks
from conversations.session.day import enter
from conversations.session.recipe_plan import does_not_fit
from conversations.session.stages import before
from conversations.session.turn import Handlers, Turn


def move(turn: Turn, intent: Intent) -> None:
    """ "next", "back", "skip", "done", "pause" and "resume" of the current stage."""
    batch = turn.batch
    if batch is None or turn.stage is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    match intent.name:
        case "stage.skip" if hop_additions.skip_called(turn, batch):
            return
        case "stage.back":
            enter(turn, before(batch.stage))
        case "stage.pause":
            stage_clocks.pause(turn, intent)
        case "stage.resume":
            stage_clocks.resume(turn, intent)
        case _:
            too_small = _too_small(turn)
            enter(turn, turn.stage.next)
            _say_too_small(turn, too_small)
            if turn.batch and turn.batch.stage == "boil" and not turn.batch.boil_started:
                turn.say('Say "it\'s boiling" and the clock starts.')


def _too_small(turn: Turn) -> str:
    """Why the plan does not fit, where this is the step out of it."""
    return does_not_fit(turn) if turn.batch is not None and turn.batch.stage == "plan" else ""


def _say_too_small(turn: Turn, why: str) -> None:
    """Said once, before what comes next; the brewer is obeyed all the same."""
    if why:
        turn.lines.insert(0, f'Mind: {why[0].lower()}{why[1:]} "plan" tells the ways out; they are open until the grain is in.')
        turn.offer(("plan", "plan"))


def water_on(turn: Turn, intent: Intent) -> None:
    """ "Putting the water on now": the strike water heats, and how long that takes."""
    batch = turn.batch
    if batch is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    if batch.stage in ("plan", "prepare"):
        too_small = _too_small(turn)
        enter(turn, "heat", min(datetime.fromisoformat(str(intent.slots["at"])), turn.now) if "at" in intent.slots else None)
        _say_too_small(turn, too_small)
    if batch.recipe.grains:
        pot_questions.heat_time(turn, intent)
    else:
        turn.say("Send the water temperature now and then.")


HANDLERS: Handlers = {"stage": move, "done.water_on": water_on}
