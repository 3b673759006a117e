""" "off on holiday for a week": what waits, what does not, and what was to fall due meanwhile; nothing is recorded."""

from __future__ import annotations

from datetime import timedelta

from conversations.intents import Intent
from conversations.session.fermentation import table
from conversations.session.judgement import judge
from conversations.session.turn import Handlers, Turn

_USUAL = timedelta(days=7)
"""Where nobody says how long."""
_MOST_LISTED = 3


def away(turn: Turn, intent: Intent) -> None:
    """What a batch makes of being left alone."""
    batch, rows = turn.batch, table("away")
    length = timedelta(seconds=float(intent.slots["duration_s"])) if "duration_s" in intent.slots else _USUAL
    if batch is None:
        turn.say("Nothing is brewing, so nothing waits for you.")
        return
    key = batch.stage if batch.stage in rows else "day"
    if batch.stage == "ferment" and turn.now - judge(batch).pitched < timedelta(days=float(rows["young_days"])):
        key = "young"
    elif batch.stage == "ferment" and turn.now + length - judge(batch).pitched > timedelta(days=float(rows["well_days"])):
        key = "long"
    turn.say(rows[key])
    inside = [hop.name for hop in batch.recipe.hops if hop.dry_days and hop.added_at and not hop.out_at]
    if inside:
        turn.say(rows["dry_hops"].format(names=", ".join(inside)))
    due = sorted((each for each in turn.state.reminders.values() if turn.now < each.due <= turn.now + length), key=lambda each: each.due)
    if due:
        listed = "; ".join(f"{each.due.astimezone(turn.now.tzinfo):%a %H:%M} {each.text.partition('.')[0].rstrip(':')}" for each in due[:_MOST_LISTED])
        turn.say(f"I would call meanwhile: {listed}. It can wait till you are back.")


HANDLERS: Handlers = {"ask.away": away}
