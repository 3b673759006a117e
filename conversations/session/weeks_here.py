"""Where a batch stands in the weeks after brewing, what comes, and when: for "what's next", "when will you ask me", "the schedule"."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import progress, waiting_days, watch, wording
from conversations.session.fermentation import page
from conversations.session.judgement import judge
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_WEEKS = ("ferment", "bottle", "condition")
_MOST_SHOWN = 6


def stands(turn: Turn) -> bool:
    """Say where a fermentation or its bottles stand and what comes next; False on the brew day and while bottling."""
    batch = turn.batch
    if batch is None or batch.closed or batch.stage not in ("ferment", "condition"):
        return False
    if stuck(turn):
        return True
    lines = _fermenting(turn, batch) if batch.stage == "ferment" else _in_bottles(turn, batch)
    turn.say(*lines)
    following = watch.next_check(turn, batch)
    if following is not None:
        late = "Overdue since " if following.due < turn.now else ""
        turn.say(f"{late}{wording.local_clock(turn.now, following.due)}: {following.text}")
    return True


def stuck(turn: Turn) -> bool:
    """Whether the beer stands still too high: then what helps comes before anything else."""
    batch = turn.batch
    if batch is None or batch.stage != "ferment" or not judge(batch).stuck:
        return False
    progress.stuck(turn, Intent(name="ask.stuck"))
    return True


def _fermenting(turn: Turn, batch: Batch) -> list[str]:
    judged = judge(batch)
    day = watch.day_of(judged.pitched, turn.now, turn.state)
    if judged.ready:
        progress.offer_bottling(turn, batch)
        return [progress.verdict(judged), 'Say "next" when you begin to bottle.']
    if judged.last is not None:
        return [f"Ferment, day {day}. {progress.verdict(judged)}"]
    asks = turn.stage.asks if turn.stage is not None and day == 0 else "Leave it dark and steady."
    return [f"Ferment: {asks}" if day == 0 else f"Ferment, day {day}: {asks}"]


def _in_bottles(turn: Turn, batch: Batch) -> list[str]:
    ready = watch.ready_day(batch, turn.state)
    if ready is None:
        return []
    if ready > turn.now.date() and batch.risk_accepted:
        return [str(page("bottling")["risk_kept"])]
    if ready > turn.now.date():
        return [f"{turn.stage.title if turn.stage else 'Condition'}: keep the bottles at 18 to 22 °C (64 to 72 °F) in the dark, ready about {ready:%A} {ready.day} {ready:%B}."]
    turn.offer(("tasting", "tasting"))
    return [f"In the bottle, ready since {ready:%A} {ready.day} {ready:%B}.", 'Chill one, pour it and say "tasting".']


def checks(turn: Turn, intent: Intent) -> None:
    """ "when will you ask me next", "what's coming up": every check that is due, in its order, and the days that follow from them."""
    batch = turn.batch
    if batch is None or batch.closed or batch.stage not in _WEEKS:
        turn.say("Nothing is waiting in the weeks to come.")
        return
    coming = sorted((each for each in turn.state.reminders.values() if each.batch == batch.id and each.kind == "check" and not watch.is_past(turn, each)), key=lambda each: each.due)
    for each in coming[:_MOST_SHOWN]:
        turn.say(f"{wording.local_clock(turn.now, each.due)}: {each.text}")
    if not coming:
        turn.say("No check is waiting.")
    if batch.stage != "condition":
        turn.say(*waiting_days.ahead(turn, batch))
    turn.say(f'They come at {turn.state.check_at} ("check at 8pm" moves them) and move when a gravity moves the forecast.')


HANDLERS: Handlers = {"ask.checks": checks}
