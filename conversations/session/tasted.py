"""What a beer was like, asked afterwards: its score told alone, the note, and what to change next time by what the batch shows."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import tasting
from conversations.session.fermentation import page, table
from conversations.session.judgement import days_since, judge
from conversations.session.state import Batch, Tasting
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_warmth import yeast_warmth


def score(turn: Turn, intent: Intent) -> None:
    """ "I'd give it an 8": of the newest note, or a note of its own."""
    batch, number = turn.batch, float(intent.slots["score"])
    if batch is None:
        return
    if not 0 <= number <= 10 or number * 2 % 1:
        turn.say("A number from 0 to 10, whole or a half, please.")
        return
    note = batch.tastings[-1] if batch.tastings else Tasting(id=turn.number(), at=turn.now)
    before = f", instead of {note.score:g}" if note.score is not None and note.score != number else ""
    note = note.model_copy(update={"score": number})
    turn.record("tasted", label="score", batch=batch.id, tasting=note.model_dump(mode="json"))
    turn.say(f"{batch.name}: {number:g}/10{before}.")
    if not note.change:
        turn.say('"tasting" takes a whole note; "next time: ..." behind it is kept.')
    turn.offer(("undo", "undo"))


def told(turn: Turn, intent: Intent) -> None:
    """ "how did it taste": the newest note."""
    batch = turn.batch
    if batch is None or not batch.tastings:
        turn.say('No tasting note yet. Pour one and say "tasting".')
        return
    note = batch.tastings[-1]
    parts = [part for part in (note.appearance, note.aroma, note.taste, note.mouthfeel) if part]
    at = note.at.astimezone(turn.now.tzinfo)
    turn.say(f"{at.day} {at:%B}: {'; '.join(parts) or 'no words'}.", *tasting.summary(turn, batch, note))


def improve(turn: Turn, intent: Intent) -> None:
    """ "what would you change": what was said at tasting, what the faults ask for, and what the readings show."""
    batch = turn.batch
    if batch is None:
        return
    notes = [note for note in batch.tastings if note.change and note.change.lower() not in ("nothing", "no")]
    if notes:
        turn.say(f"You said: {notes[-1].change}.")
    names = {name for note in batch.tastings for name in note.faults}
    turn.say(*[f"{str(row['name']).capitalize()}: {row['next']}" for row in page("faults")["fault"] if row["name"] in names][:2])
    turn.say(*_by_readings(turn, batch))
    if not turn.lines:
        turn.say("Nothing by the notes: brew it again as it was." if batch.tastings else 'Taste it first: "tasting". By the readings nothing went wrong.')
    turn.working = "From the tasting notes, the temperatures of the first days and the attenuation that the yeast usually reaches."


def _by_readings(turn: Turn, batch: Batch) -> list[str]:
    rows, judged = table("improve"), judge(batch)
    right = yeast_warmth(batch.recipe, turn.state.units)
    young = [each for each in batch.readings if each.kind == "temperature" and each.stage == "ferment" and days_since(judged.pitched, each.at) <= rows["young_days"]]
    found = []
    if any(each.best > right.high for each in young):
        found.append(str(rows["warm"]).format(range=right.words))
    if any(each.best < right.low for each in young):
        found.append(str(rows["cold"]).format(range=right.words))
    if judged.ended_high or judged.stuck:
        found.append(str(rows["high_end"]))
    if batch.risk_accepted:
        found.append(str(rows["early"]))
    return found[:2]


HANDLERS: Handlers = {"weeks.score": score, "ask.tasted": told, "ask.improve": improve}
