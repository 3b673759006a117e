"""A gentle word when something waits too long: at most one a week, and off by one word."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from conversations.intents import Intent
from conversations.session.batch_names import label
from conversations.session.events import Reminder
from conversations.session.hours import at_hour
from conversations.session.state import State
from conversations.session.turn import Handlers, Turn

KEY = "nudge"
FULL_FOR = timedelta(weeks=6)
UNTASTED_FOR = timedelta(weeks=4)
YEAST_AHEAD = timedelta(weeks=4)
OPENED_KEEPS_DAYS = 90
"""An opened sachet in the fridge, as calc.yeast counts it: common practice."""
APART = timedelta(weeks=1)
HOW_OFTEN = 4
"""A thing is mentioned this often, then left alone."""


def waiting(state: State) -> Iterator[tuple[datetime, str, int | None]]:
    """What waits, since when it has waited too long, and for which batch."""
    for batch in state.batches:
        if batch.closed:
            continue
        pitched, bottled = batch.entered.get("ferment"), batch.entered.get("condition")
        if batch.stage == "ferment" and pitched is not None:
            yield (
                pitched + FULL_FOR,
                f"{label(batch, state)} has been in the fermenter for six weeks. Take a gravity and bottle it, or tell me it is gone.",
                batch.id,
            )
        if batch.stage == "condition" and bottled is not None and not batch.tastings:
            yield (
                bottled + UNTASTED_FOR,
                f"{label(batch, state)}: bottled four weeks ago and not tasted yet. Chill one and say \"tasting\".",
                batch.id,
            )


    zone = ZoneInfo(state.zone)
    for item in state.stock:
        if item.kind != "yeast" or item.left.value <= 0:
            continue
        ends = [item.best_before] if item.best_before else []
        if item.opened:
            ends.append(item.opened + timedelta(days=OPENED_KEEPS_DAYS))
        if ends:
            last = min(ends)
            at = datetime.combine(last - YEAST_AHEAD, time(0), zone)
            yield at, f"{item.name.capitalize()} is good until about {last.day} {last:%B}: brew with it soon.", None


def next_nudge(state: State, now: datetime) -> Reminder | None:
    """The next word, a week or more after the last one, at the hour that the person likes; None where nothing waits."""
    if not state.nudges:
        return None
    least = now if state.nudged_at is None else max(now, state.nudged_at + APART)
    found = []
    for since, text, batch in waiting(state):
        if least - since > APART * HOW_OFTEN:
            continue
        here = max(since, least).astimezone(ZoneInfo(state.zone))
        due = at_hour(here.date(), state)
        if due < here:
            due = at_hour(here.date() + timedelta(days=1), state)
        found.append((due, since, text, batch))
    if not found:
        return None
    due, _, text, number = min(found, key=lambda row: row[:3])
    text += ' ("quiet" ends these.)'
    return Reminder(key=KEY, due=due.astimezone(ZoneInfo("UTC")), text=text, batch=number, kind="nudge", name=KEY)


def switch(turn: Turn, intent: Intent) -> None:
    """ "quiet" and "nudge me": off and on by one word."""
    on = intent.name == "nudges.on"
    if intent.text.strip().lower().endswith("quiet") and turn.state.speech != "off":
        # "be quiet" to a voice is about the voice; the next one is about the nudges.
        turn.record("settings_told", label="speaking off", speech="off")
        turn.say("Quiet: I only write.")
        return
    turn.record("settings_told", label="nudges", nudges=on)
    turn.say(
        "I speak up again when something waits too long, at most once a week."
        if on
        else 'No more nudges; checks and alarms stay. "nudges on" brings them back.'
    )


HANDLERS: Handlers = {"nudges": switch}
