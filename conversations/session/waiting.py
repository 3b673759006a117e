"""The weeks of waiting: how long it takes, when it can be drunk, what is due today."""

from __future__ import annotations

from datetime import timedelta

from conversations.intents import Intent
from conversations.session import orientation, progress, timers, waiting_days, watch, wording
from conversations.session.fermentation import table
from conversations.session.judgement import judge
from conversations.session.turn import Handlers, Turn

_COLD_SIDE = ("ferment", "bottle", "condition")
_MOST_SHOWN = 6


def drink(turn: Turn, intent: Intent) -> None:
    """ "when can I drink it": the day, and what lies before it."""
    batch = turn.batch
    if batch is None or batch.closed:
        turn.say("No batch is running." if batch is None else f"{batch.name} is put away.")
        return
    if batch.stage == "condition":
        progress.finished(turn, intent)
        return
    if batch.stage not in ("ferment", "bottle"):
        days = watch.conditioning_days(batch)
        turn.say(f"About four weeks after brewing: two in the fermenter, {days} days in the bottle. Common practice, no source.")
        return
    turn.say(*waiting_days.ahead(turn, batch))
    turn.working = "The finish by the gravities, or the usual days where there is none; two days for the proof; the days in the bottle are common practice, more for strong beer."


def takes(turn: Turn, intent: Intent) -> None:
    """ "how long does this take": of a fermentation the days, of anything else what is on the clock."""
    batch = turn.batch
    if batch is None or batch.stage not in _COLD_SIDE:
        timers.status(turn, intent)
        return
    if batch.stage == "ferment":
        judged = judge(batch)
        turn.say(progress.forecast_line(judged, turn.now) if not judged.ready else progress.verdict(judged))
    drink(turn, intent)


def today(turn: Turn, intent: Intent) -> None:
    """ "what have I got to do today": what is due on that day, what is overdue, and the stage that is on the hob."""
    day = turn.now.date() + timedelta(days=int(intent.slots.get("days", 0)))
    name = "Today" if day == turn.now.date() else "Tomorrow"
    batch = turn.batch
    if batch is not None and not batch.closed and batch.stage not in _COLD_SIDE and name == "Today":
        orientation.next_action(turn, intent)
        return
    coming = [each for each in orientation.coming(turn) if each.kind != "nudge"]
    due = [each for each in coming if each.due.astimezone(turn.now.tzinfo).date() == day or (name == "Today" and each.due < turn.now)]
    for each in due[:_MOST_SHOWN]:
        at = each.due.astimezone(turn.now.tzinfo)
        turn.say(f"{at:%H:%M}: {each.text}" if at >= turn.now else f"Overdue since {wording.clock(at, turn.now)}: {each.text}")
    if not due:
        turn.say(f"{name}: nothing is due.")
        if coming:
            turn.say(f"Next, {wording.clock(coming[0].due.astimezone(turn.now.tzinfo), turn.now)}: {coming[0].text}")
    if batch is not None and batch.stage == "ferment" and judge(batch).ready:
        turn.say('It may be bottled: "next" when you begin.')


def leave_on(turn: Turn, intent: Intent) -> None:
    """ "is it ok to leave it another week": by the days on the yeast, or in the bottle."""
    batch, rows = turn.batch, table("leave_on")
    if batch is None:
        turn.say("No batch is open.")
        return
    if batch.stage != "ferment":
        ready = watch.ready_day(batch, turn.state)
        young = ready is not None and ready > turn.now.date()
        turn.say(rows["young"].format(day=f"{ready:%A} {ready.day} {ready:%B}") if ready is not None and young else rows["condition"])
        return
    judged = judge(batch)
    gone = (turn.now - judged.pitched).total_seconds() / 86400 + float(intent.slots.get("duration_s", 0)) / 86400
    turn.say(rows["too_long" if gone > rows["well_days"] else "ferment"].format(days=f"{gone:.0f} days"))
    turn.say(rows["ready" if judged.ready else "unproved"])
    turn.working = "Weeks on the yeast: common practice, no source."


HANDLERS: Handlers = {"ask.drink": drink, "ask.duration": takes, "ask.today": today, "ask.leave_on": leave_on}
