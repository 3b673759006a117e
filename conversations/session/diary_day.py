"""A day of the diary, hour by hour: what was measured, went in, was noted, photographed, bottled and tasted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from conversations.intents import Intent
from conversations.session import batch_names, wording
from conversations.session.bottling import lots_words
from conversations.session.diary import shown_with_stage, tasted
from conversations.session.stages import stages
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_MOST_LINES = 40
_Line = tuple[datetime, int, str]
"""When, its place among what happened in the same minute, and the words."""


def day(turn: Turn, intent: Intent) -> None:
    """What was noted today, or on the day that is named."""
    zone = ZoneInfo(turn.state.zone)
    said = intent.slots.get("at")
    wanted = (datetime.fromisoformat(str(said)) if said else turn.now).astimezone(zone).date()
    if intent.slots.get("which") == "yesterday":
        wanted -= timedelta(days=1)
    name = f"{wanted:%A} {wanted.day} {wanted:%B}" + (f" {wanted.year}" if wanted.year != turn.now.year else "")
    turn.say(f"{name}:")
    nothing = True
    for batch in turn.state.batches:
        mine = sorted((at.astimezone(zone), order, words) for at, order, words in _lines(turn, batch) if at.astimezone(zone).date() == wanted)
        if not mine:
            continue
        nothing = False
        turn.say(f"{batch_names.label(batch, turn.state)}:")
        turn.say(*(f"{at:%H:%M} {words}" for at, _, words in mine[:_MOST_LINES]))
        if len(mine) > _MOST_LINES:
            turn.say(f"(and {len(mine) - _MOST_LINES} more)")
    if nothing:
        turn.lines[-1] = f"Nothing on {name}."


def _lines(turn: Turn, batch: Batch) -> Iterator[_Line]:
    units, order = turn.state.units, list(stages())
    for stage, at in batch.entered.items():
        if stage == "condition":
            bottled = f"bottled: {lots_words(batch.bottles, units)}" if batch.bottles else "bottled"
            yield at, order.index(stage), bottled
        elif stage in order and stage != "plan":
            yield at, order.index(stage), f"{stages()[stage].title.lower()} began"
    yield batch.started, -1, "begun"
    for reading in batch.readings:
        place = order.index(reading.stage) if reading.stage in order else 0
        yield reading.at, place, shown_with_stage(turn, batch, reading)
    late = len(order)
    for hop in batch.recipe.hops:
        if hop.added_at is not None:
            yield hop.added_at, late, f"{wording.mass(hop.mass.quantity, units)} {hop.name} in"
    for note, at in zip(batch.notes, batch.notes_at, strict=False):
        yield at, late, f"note: {note}"
    for photo in batch.photos:
        yield photo.at, late, f"photo: {photo.caption}" if photo.caption else "photo"
    for tasting in batch.tastings:
        yield tasting.at, late, f"tasted: {tasted(tasting)}"


HANDLERS: Handlers = {"diary.day": day}
