"""How long a mash or a boil took, told when it is over: held against its clock, and never a change of the recipe."""

from __future__ import annotations

from datetime import datetime

from conversations.intents import Intent
from conversations.session import stage_clocks, wording
from conversations.session.stages import stages
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_NEAR = 3.0
"""Minutes within which a length that is told is the clock's own."""


def took(turn: Turn, intent: Intent) -> None:
    """ "the boil took 60 minutes", "mashed for 75 minutes in the end"."""
    batch, stage, minutes = turn.batch, str(intent.slots["stage"]), float(intent.slots["duration_s"]) / 60
    if batch is None:
        turn.say("No batch is open, so nothing is recorded.", f'"{stage} for {minutes:.0f} minutes" plans it once there is one.')
        return
    names = list(stages())
    if names.index(batch.stage) < names.index(stage):
        turn.say(f"The {stage} has not begun by my notes, so nothing is recorded.", f'"{stage} for {minutes:.0f} minutes" plans it.')
        return
    if batch.stage == stage:
        turn.say(f"{stage_clocks.left(turn, stage) or stage_clocks.why_none(turn, stage)} Nothing is changed.")
        return
    began, ended = _began(batch, stage), _ended(batch, stage)
    if began is None or ended is None:
        turn.say(f"Its clock did not run, so {wording.duration(60 * minutes)} is not held against anything; nothing is recorded.")
        return
    by_clock = (ended - began).total_seconds() / 60
    if abs(by_clock - minutes) <= _NEAR:
        turn.say(f"So it did by my clock too: {_from_to(turn, began, ended)}.")
        return
    turn.say(f"By my clock it went from {_from_to(turn, began, ended)}, {by_clock:.0f} min. Nothing is changed.", f'"note {stage} took {minutes:.0f} min" keeps it in the diary.')


def _began(batch: Batch, stage: str) -> datetime | None:
    return batch.boil_started if stage == "boil" else batch.entered.get(stage)


def _ended(batch: Batch, stage: str) -> datetime | None:
    """When the stage after it was entered first."""
    began = _began(batch, stage)
    return min((at for at in batch.entered.values() if began is not None and at > began), default=None)


def _from_to(turn: Turn, began: datetime, ended: datetime) -> str:
    first, last = (wording.clock(at.astimezone(turn.now.tzinfo), turn.now) for at in (began, ended))
    return f"{first} to {last}"


HANDLERS: Handlers = {"unclear.took": took}
