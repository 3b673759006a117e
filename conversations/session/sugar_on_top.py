"""More sugar for bottles that are filled: why not, what to do instead, and what to do where it is in already."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import priming, wording
from conversations.session.fermentation import page
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn


def _dose(turn: Turn, batch: Batch, row: str) -> str:
    """A line with all the sugar that the bottles should have."""
    litres, _ = priming.volume(batch)
    return row.format(
        grams=wording.mass(priming.sugar_grams(batch), turn.state.units),
        name=page("bottling")["sugars"][batch.priming.sugar],
        litres=wording.volume(litres, turn.state.units),
        volumes=f"{batch.priming.volumes:g}",
    )


def asked(turn: Turn, intent: Intent) -> None:
    """ "can I add more sugar to the bottles": never into capped ones, and by no guess into open ones."""
    rows, batch = page("bottling")["on_top"], turn.batch
    stage = batch.stage if batch is not None else ""
    turn.say(str(rows["never"]))
    turn.working = str(rows["why"])
    if batch is not None and stage == "condition":
        turn.say(str(rows["unfinished" if batch.risk_accepted else "instead"]))
    elif batch is not None and stage == "bottle":
        turn.say(_dose(turn, batch, str(rows["open"])))
    else:
        turn.say(str(rows["fermenter" if stage == "ferment" else "once"]))


def told(turn: Turn, intent: Intent) -> None:
    """ "I opened them and added sugar": kept as a note beside the sugar that was weighed, and how to keep the bottles now."""
    rows, batch = page("bottling")["on_top"], turn.batch
    turn.record("note", label="sugar on top", text=f"sugar on top: {intent.text}")
    turn.say(f"Noted: {intent.text.strip()}")
    if batch is not None and batch.stage == "bottle":
        turn.say(_dose(turn, batch, str(rows["in_all"])))
    else:
        turn.say(str(rows["too_much"]))
    turn.say(str(rows["every_second_day"]))
    turn.working = str(rows["why"])
    turn.caution("burst")
    turn.offer(("undo", "undo"))


HANDLERS: Handlers = {"ask.sugar_on_top": asked, "done.sugar_on_top": told}
