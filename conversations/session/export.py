"""Pages, labels and data by message, and the batch that a short code stands for."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import wording
from conversations.session.pictures import wanted
from conversations.session.stages import stage_now
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn
from conversations.short_code import read_code, short_code

USUAL_LABELS = 12
MOST_LABELS = 240


def batch_pages(turn: Turn, intent: Intent) -> None:
    """One batch as a page for the browser and as PDF."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    count = len(batch.readings)
    turn.say(f"{count} reading{'s' if count != 1 else ''} of {batch.name}, as a page and as PDF.")
    turn.attach("batch_html", f"{batch.name} as a page for the browser; it needs no network.", batch=batch.id)
    turn.attach("batch_pdf", f"{batch.name} as PDF to print.", batch=batch.id)


def labels(turn: Turn, intent: Intent) -> None:
    """Bottle labels: as many as were asked for, else one a bottle."""
    batch = wanted(turn, intent)
    if batch is None:
        return
    bottles = sum(each.count for each in batch.bottles)
    count = int(float(intent.slots.get("count", min(bottles, MOST_LABELS) or USUAL_LABELS)))
    if not 1 <= count <= MOST_LABELS:
        turn.say(f'From 1 to {MOST_LABELS} labels at a time. Send "print 12 labels".')
        return
    turn.say(f"{count} label{'s' if count != 1 else ''} on A4, batch {short_code(batch.id)}.", "Print at 100 %, not fitted to the page.")
    turn.attach("labels", f"{count} labels for {batch.name}.", batch=batch.id, count=count)


def everything(turn: Turn, intent: Intent) -> None:
    """All data of the chat."""
    count = len(turn.state.batches)
    readings = sum(len(batch.readings) for batch in turn.state.batches)
    turn.say(
        f"{count} batch{'es' if count != 1 else ''}, {readings} reading{'s' if readings != 1 else ''}.",
        "The JSON file restores all of it: potside import FILE.",
    )
    turn.attach("data_json", "Everything, to restore it from or to read with a program.")
    turn.attach("data_csv", "Tables of everything, for a spreadsheet.")
    if turn.state.reminders:
        turn.attach("reminders_ics", "Reminders for a calendar.")


def reminders(turn: Turn, intent: Intent) -> None:
    """Pending reminders as a calendar file."""
    count = len(turn.state.reminders)
    if not count:
        turn.say("No reminder is set, so there is nothing for a calendar.")
        return
    turn.say(f"{count} reminder{'s' if count != 1 else ''}, for your calendar.")
    turn.attach("reminders_ics", "Reminders for a calendar.")


def code(turn: Turn, intent: Intent) -> None:
    """The batch that a short code stands for becomes the one that is talked about."""
    number = read_code(str(intent.slots.get("code", "")))
    batch = next((each for each in turn.state.batches if each.id == number), None)
    if batch is None:
        said = str(intent.slots.get("code", "")).strip().upper()
        turn.say(f"No batch of yours has the code {said}. It is on the label, like {short_code(27)}.")
        return
    if turn.state.current != batch.id:
        turn.record("switched", label=f"switch to {batch.name}", batch=batch.id, chosen=True)
    turn.say(*_about(turn, batch))
    turn.offer(("card", "batch card"), ("diary", "diary"))


def _about(turn: Turn, batch: Batch) -> list[str]:
    started = batch.started.astimezone(turn.now.tzinfo)
    gravities = [each for each in batch.readings if each.kind == "gravity"]
    last = f" {wording.gravity(gravities[-1].best)} last." if gravities else ""
    return [
        f"{batch.name}: {stage_now(batch.stage)}.{last}",
        f"Begun {started.day} {started:%B %Y}, {len(batch.readings)} readings.",
    ]


HANDLERS: Handlers = {
    "export.batch": batch_pages,
    "export.labels": labels,
    "export.all": everything,
    "export.reminders": reminders,
    "batch.code": code,
}
