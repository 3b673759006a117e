"""What a bottle was like when it was opened: what to do with the rest, and why."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session.fermentation import page
from conversations.session.turn import Handlers, Turn
from conversations.understanding.answers import answers


def found(turn: Turn, intent: Intent) -> None:
    """What a bottle opened early was like: flat, short of fizz, fine, too lively or gushing, and what to do with the rest."""
    how = str(intent.slots["how"])
    batch = turn.batch
    if batch is None or batch.stage != "condition":
        turn.say("No batch is in the bottle.")
        if batch is not None and batch.stage in ("ferment", "bottle"):
            turn.say(f'{batch.name} is not told as bottled yet: "bottled 9 of 500 ml" does that.')
        return
    rows = page("remedies")
    turn.record("note", label=f"bottle {how}", text=f"bottle check: {intent.text or how}")
    # What was bottled against advice may go on for weeks: fine today proves nothing.
    key = f"{how}_so_far" if how in ("fine", "flat", "short") and batch.risk_accepted else how
    turn.say(*rows["bottles_found"][key])
    turn.working = rows["bottles_found_why"][how]
    # "Normal?" asks about the bottle, and no more about the gravity before it.
    turn.about = (answers()["flat_beer"].normal if how in ("flat", "short") else "") or "\n".join(turn.lines)


HANDLERS: Handlers = {"bottle.found": found, "weeks.found": found}
