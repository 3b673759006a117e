"""Moving through the stages by message: next, back, skip, pause and resume."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import hop_additions, stage_clocks
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
            too_small = does_not_fit(turn) if batch.stage == "plan" else ""
            enter(turn, turn.stage.next)
            if too_small:
                turn.lines.insert(0, f'Mind: {too_small[0].lower()}{too_small[1:]} "plan" tells the ways out; they are open until the grain is in.')
                turn.offer(("plan", "plan"))
            if turn.batch and turn.batch.stage == "boil" and not turn.batch.boil_started:
                turn.say('Say "it\'s boiling" and the clock starts.')


HANDLERS: Handlers = {"stage": move}
