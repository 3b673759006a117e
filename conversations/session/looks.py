"""What the eye says of a fermentation: foam, a quiet airlock, so many bubbles; weighed by what the gravities say."""

from __future__ import annotations

from datetime import timedelta

from conversations.intents import Intent
from conversations.session.fermentation import table
from conversations.session.judgement import judge
from conversations.session.progress import fermenting, forecast_line, offer_bottling, say_next, verdict, working
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.session.wording import duration

_BEGUN_PERCENT = 15.0
"""Attenuation from which it has begun beyond doubt, and a quiet airlock is no lag."""


def looked(turn: Turn, intent: Intent) -> None:
    """ "foam is up", "nothing yet", "airlock every 8 seconds": kept as a note, and what it means at this point."""
    batch = fermenting(turn)
    if batch is None:
        return
    texts = table("look")
    before = batch
    alive = intent.name != "look.quiet"
    turn.record("note", label="look", text=intent.text or ("foam" if alive else "no sign yet"))
    if intent.name == "look.bubbles":
        _bubbles(turn, batch, intent)
    elif alive:
        turn.say(texts["alive"])
        turn.about = texts["alive_normal"]
    else:
        _quiet(turn, before)
    turn.about = turn.about or "\n".join(turn.lines)


def _quiet(turn: Turn, batch: Batch) -> None:
    """No bubbles: a lag before it has begun, the usual end of it after, and a leak only where nothing else explains it."""
    texts, judged = table("look"), judge(batch)
    hours = (turn.now - judged.pitched).total_seconds() / 3600
    begun = judged.attenuation_percent is not None and judged.attenuation_percent >= _BEGUN_PERCENT
    if judged.ready or judged.stuck or judged.ended_high:
        turn.say(verdict(judged))
        if judged.ready:
            offer_bottling(turn, batch)
    elif begun and judged.last is not None:
        turn.say(texts["quiet_late"].format(percent=f"{judged.attenuation_percent:.0f}"), forecast_line(judged, turn.now))
        say_next(turn, batch)
    elif _seen_alive(batch, turn):
        turn.say(texts["quiet_seen"].format(days=f"{hours / 24:.0f}"))
    else:
        turn.say(texts["late" if hours > texts["worry_hours"] else "early"].format(hours=round(hours)))
    turn.working = working(judged, batch, turn.now)


def _seen_alive(batch: Batch, turn: Turn) -> bool:
    """Whether the first days are over: by then foam falls and the airlock slows down."""
    return turn.now - judge(batch).pitched >= timedelta(days=table("look")["foam_days"])


def _bubbles(turn: Turn, batch: Batch, intent: Intent) -> None:
    texts, judged = table("look"), judge(batch)
    often = float(intent.slots.get("bubbles", 0.0))
    apart = float(intent.slots.get("per_s", 60.0)) / often if often else float(intent.slots.get("every_s", 0.0))
    if apart <= 0:
        _quiet(turn, batch)
        return
    kind = "busy" if apart < texts["busy_s"] else "slowing" if apart < texts["quiet_s"] else "almost_quiet"
    turn.say(f"A bubble every {duration(apart)}: {texts[kind]}")
    if judged.last is not None:
        turn.say(forecast_line(judged, turn.now) if not judged.ready else verdict(judged))


def when_bubbles(turn: Turn, intent: Intent) -> None:
    """ "when should I see bubbles" of bottles, which show none."""
    batch = turn.batch
    if batch is None:
        return
    check = turn.state.reminders.get(f"{batch.id}:watch:check_bottle")
    day = f"on {check.due.astimezone(turn.now.tzinfo):%A} {check.due.astimezone(turn.now.tzinfo).day} {check.due.astimezone(turn.now.tzinfo):%B}" if check is not None else "now"
    turn.say(str(table("bubbles")["condition"]).format(day=day))


HANDLERS: Handlers = {"ask.when_bubbles": when_bubbles, "look": looked}
