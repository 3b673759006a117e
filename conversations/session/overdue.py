"""Reminders that fall due: each said aloud, and those missed together as one message that says what matters now."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from conversations.session import batch_names, reminders, wording
from conversations.session.events import Reminder
from conversations.session.hop_additions import lateness
from conversations.session.quiet import ON_THE_HOB, waits_until
from conversations.session.stage_clocks import HELD
from conversations.session.state import Batch
from conversations.session.turn import Turn

_NAMED = 6


def fire_all(turn: Turn, due: list[Reminder]) -> None:
    """Say what is due: a single one in full, several that were missed as one list, what is hot first.

    What falls into quiet hours and can wait gets another time, and nothing is said.
    """
    for each in due:
        later = waits_until(turn.state, each, turn.now)
        if later is not None:
            data = {"wanted": each.due.isoformat(), **each.data}
            moved = each.model_copy(update={"due": later, "data": data})
            turn.note_event("reminder_set", batch=each.batch, reminder=moved.model_dump(mode="json"))
    due = [each for each in due if turn.state.reminders.get(each.key) is each]
    paused = [batch.id for batch in turn.state.batches if batch.paused_at is not None]
    silent = [each for each in due if each.batch in paused and each.kind in ("stage", "hop")]
    due = [each for each in due if each not in silent]
    for each in (*silent, *(due if len(due) == 1 else ())):
        fire(turn, each)
    if len(due) < 2:
        return
    late = (turn.now.astimezone(ZoneInfo("UTC")) - min(each.due for each in due)).total_seconds()
    due = sorted(due, key=lambda each: (each.kind not in ON_THE_HOB, each.due))
    for each in due:
        turn.note_event("fired", batch=each.batch, key=each.key)
        if each.kind == "timer":
            turn.note_event("timer_dropped", key=each.name)
        reminders.again(turn, each)
    turn.say(f"I was away: {len(due)} reminders were missed, the first {wording.duration(late)} ago.")
    for each in due[:_NAMED]:
        turn.say(f"{wording.clock(each.due.astimezone(turn.now.tzinfo), turn.now)} {_named(turn, each)}")
    if len(due) > _NAMED:
        turn.say(f"and {len(due) - _NAMED} more.")
    turn.say(_advice(turn, due))
    turn.offer(("what now", "what's next"))


def _named(turn: Turn, reminder: Reminder) -> str:
    batch = next((each for each in turn.state.batches if each.id == reminder.batch), None)
    text = reminder.text.partition("\n")[0]
    return f"{batch.name}: {text}" if batch is not None and len(turn.state.batches) > 1 else text


def _advice(turn: Turn, due: list[Reminder]) -> str:
    """What to do first, by what was missed."""
    kinds = {each.kind for each in due}
    batches: list[Batch] = [batch for batch in turn.state.batches if any(each.batch == batch.id for each in due)]
    if any(each.name in ("boil", "flame_out") for each in due) and any(batch.stage == "boil" for batch in batches):
        return 'If it still boils, turn the hob off first; then say "flame out" and send volume and gravity.'
    if "hop" in kinds:
        return 'Hops that are not in yet: "hops in" when they are, or "skip". I say what the delay changed.'
    if any(batch.stage in ("heat", "mash", "drain", "top_up", "steep", "chill") for batch in batches):
        return "Look at the pot first, then send a temperature so that I know where it is."
    if "timer" in kinds:
        return "Check what those timers were for; I have stopped them."
    return "Nothing of this was on the hob. Say what you have done, or put it off."


def fire(turn: Turn, reminder: Reminder) -> None:
    """A reminder is due: say it; if it is late, say by how much, and for hops what to do about it."""
    late = (turn.now.astimezone(ZoneInfo("UTC")) - reminder.due).total_seconds()
    turn.note_event("fired", batch=reminder.batch, key=reminder.key)
    batch = next((each for each in turn.state.batches if each.id == reminder.batch), None)
    if batch is not None and batch.paused_at is not None and reminder.kind in ("stage", "hop"):
        # "resume" sets it anew; a paused stage stays silent.
        data = {HELD: reminder.due.isoformat(), **reminder.data}
        later = reminder.model_copy(update={"due": turn.in_seconds(300), "data": data})
        turn.note_event("reminder_set", batch=reminder.batch, reminder=later.model_dump(mode="json"))
        return
    name = f"{batch_names.label(batch, turn.state)}: " if batch is not None and len(turn.state.batches) > 1 and reminder.kind != "nudge" else ""
    if late < 60:
        turn.say(name + reminder.text)
    else:
        turn.say(f"{wording.duration(late)} late: {name}{reminder.text}")
        if reminder.kind == "hop" and batch is not None:
            hop = next((each for each in batch.recipe.hops if each.key == reminder.name), None)
            if hop is not None and late >= 120:
                turn.say(lateness(turn, hop, late / 60)[0])
    if reminder.kind == "timer":
        turn.note_event("timer_dropped", key=reminder.name)
    reminders.again(turn, reminder)
    asks = reminder.data.get("asks")
    if reminder.kind in ("check", "nudge"):
        hops = "hops out" if reminder.name.startswith("dry_out") else "hops in"
        turn.offer(("done", hops if asks == "hops" else "done"), ("in 2 hours", "in 2 hours"), ("tomorrow", "in 24 hours"))
    else:
        turn.offer(("done", "hops in" if reminder.kind == "hop" else "done"), ("in 5 minutes", "in 5 minutes"))
        skip = (("skip", "skip"),) if reminder.kind == "hop" else ()
        turn.offer(*skip, ("what now", "what's next"))
