"""The clock of the boil: its start, the calls for hops and flame-out, off the boil and back on it, foam."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime, timedelta

from conversations.intents import Intent
from conversations.session import noted, reminders, stage_clocks, wording
from conversations.session.day import HEADS_UP, enter, meaning, set_stage_reminder, stage_key
from conversations.session.stages import cautions, opened_by, stages
from conversations.session.state import Batch, Hop
from conversations.session.turn import Handlers, Turn

_BEFORE_BOIL = ("drain", "top_up")
_NEAR = timedelta(minutes=2)
"""Minutes of boiling are told roughly."""
_ON_AGAIN = ("back on the boil", "resume")
"""How what lets a held boil go on is labelled."""
_NAMED = re.compile(r"flame.?out", re.IGNORECASE)
_HOB_OFF = {
    "heat": 'Hob off. Stir the grain in, then say "grain is in".',
    "mash": "Hob off; the mash goes on by itself, lid on.",
    "drain": 'Hob off. It has not boiled yet: say "it\'s boiling" when it does, or "flame out" if it has.',
    "top_up": 'Hob off. It has not boiled yet: say "it\'s boiling" when it does, or "flame out" if it has.',
}
"""What a hob that is turned off means before the boil: no flame-out."""


def opens(turn: Turn, intent: Intent) -> None:
    """The brewer says that something happened which opens a stage: "it's boiling", "bag out"."""
    name = opened_by()[intent.name]
    if name == "steep" and turn.batch is not None and turn.batch.stage in _HOB_OFF and not _NAMED.search(intent.text):
        turn.say(_HOB_OFF[turn.batch.stage], stage_clocks.left(turn, turn.batch.stage))
        return
    if name != "boil" or turn.batch is None:
        begun = turn.batch.entered.get(name) if turn.batch is not None and turn.batch.stage == name else None
        if begun is not None and name in stage_clocks.ENDS:
            # Said a second time it does not wind the clock back.
            at = wording.clock(begun.astimezone(turn.now.tzinfo), turn.now)
            turn.say(f"{stages()[name].title} since {at}. {stage_clocks.left(turn, name) or stage_clocks.why_none(turn, name)}")
            return
        earlier = _since(turn, intent) if name == "ferment" and turn.batch is not None else None
        enter(turn, name, earlier)
        if earlier is not None:
            turn.say(f"Yeast in at {wording.clock(earlier.astimezone(turn.now.tzinfo), turn.now)}.")
            turn.offer(("undo", "undo"))
        return
    since = _since(turn, intent)
    if turn.batch.stage == "boil" and turn.batch.boil_started:
        if since is not None and turn.batch.paused_at is None and abs(since - turn.batch.boil_started) > _NEAR:
            _began(turn, turn.batch, since)
        else:
            on_again(turn, turn.batch)
        return
    if turn.batch.stage != "boil":
        enter(turn, "boil")
    start_boil(turn)
    if since is not None:
        turn.lines.pop()
        _began(turn, turn.batch, since)


def _since(turn: Turn, intent: Intent) -> datetime | None:
    """When it began to boil, where that is told: "it's been boiling for ten minutes"."""
    if "at" in intent.slots:
        return min(datetime.fromisoformat(str(intent.slots["at"])), turn.now)
    return turn.in_seconds(-float(intent.slots["duration_s"])) if "duration_s" in intent.slots else None


def _began(turn: Turn, batch: Batch, since: datetime) -> None:
    """The start of the boil put right: its calls count from then."""
    if turn.in_seconds(0) - since >= timedelta(minutes=batch.recipe.boil_minutes):
        turn.say(f"That is longer than the whole boil of {batch.recipe.boil_minutes:.0f} min: the clock stays. {stage_clocks.left(turn, 'boil')}")
        return
    turn.record("boil_started", label="boil start", since=since.astimezone(turn.now.tzinfo).isoformat())
    retime(turn)
    turn.say(f"Boiling since {wording.clock(since.astimezone(turn.now.tzinfo), turn.now)}. {stage_clocks.left(turn, 'boil')}")
    turn.offer(("undo", "undo"))


def start_boil(turn: Turn) -> None:
    """The boil clock starts now: alarms for each addition with a heads-up, and for flame-out."""
    batch = turn.batch
    if batch is None:
        return
    turn.record("boil_started", label="boil start")
    reminders.happened(turn, "boil")
    for row in stages()["boil"].reminders:
        if row.from_boil:
            set_stage_reminder(turn, batch, row)
    for hop in batch.recipe.hops:
        _call_hop(turn, batch, hop, turn.in_seconds(60 * max(0.0, batch.recipe.boil_minutes - hop.boil_minutes)))
    end = turn.in_seconds(60 * batch.recipe.boil_minutes)
    _call_end(turn, batch, end)
    turn.say(
        f"{batch.recipe.boil_minutes:.0f} min boil started, flame-out at {wording.clock(end.astimezone(turn.now.tzinfo), turn.now)}."
    )


def _call_hop(turn: Turn, batch: Batch, hop: Hop, due: datetime) -> None:
    if hop.added_at or hop.skipped or hop.boil_minutes <= 0:
        return
    words = f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}"
    key = stage_key(batch.id, f"hop:{hop.key}")
    turn.remind(key, due, f"Hops now: {words}. Mind the foam.", batch=batch.id, kind="hop", name=hop.key)
    if due - HEADS_UP > turn.now:
        turn.remind(key + ":soon", due - HEADS_UP, f"In 1 min: {words}.", batch=batch.id, kind="stage", name=hop.key)
    else:
        turn.drop(key + ":soon")


def _call_end(turn: Turn, batch: Batch, end: datetime) -> None:
    key = stage_key(batch.id, "flame_out")
    turn.remind(key, end, 'Flame-out: hob off, then say "flame out".', batch=batch.id, kind="stage", name="boil", data=meaning("done.flame_out"))
    if end - HEADS_UP > turn.now:
        turn.remind(key + ":soon", end - HEADS_UP, "In 1 min: flame-out.", batch=batch.id, kind="stage", name="flame_out")
    else:
        turn.drop(key + ":soon")


def running(batch: Batch | None) -> bool:
    """Whether the boil has begun and is not over; a paused one runs too."""
    return batch is not None and batch.stage == "boil" and batch.boil_started is not None


def retime(turn: Turn, new: str = "") -> None:
    """The recipe was changed while it boils: calls follow it, also of an addition that is new (its key).

    What was called already is not called again.
    """
    batch = turn.batch
    if batch is None or batch.boil_started is None or batch.stage != "boil":
        return
    began = batch.boil_started.astimezone(turn.in_seconds(0).tzinfo)
    minutes = batch.recipe.boil_minutes
    for hop in batch.recipe.hops:
        key = stage_key(batch.id, f"hop:{hop.key}")
        due = began + timedelta(minutes=max(0.0, minutes - hop.boil_minutes))
        if hop.added_at or hop.skipped:
            turn.drop(key)
            turn.drop(key + ":soon")
        elif hop.key == new or key in turn.state.reminders or due > turn.now:
            _call_hop(turn, batch, hop, max(due, turn.in_seconds(1)))
    if stage_clocks.end_of(turn, "boil") is not None or began + timedelta(minutes=minutes) > turn.now:
        _call_end(turn, batch, max(began + timedelta(minutes=minutes), turn.in_seconds(1)))


def settle(turn: Turn, before: Iterable[Batch]) -> None:
    """After a message: where it changed the additions or the length of a boil that runs, the calls follow."""
    batch = turn.batch
    old = next((each for each in before if batch is not None and each.id == batch.id), None)
    if batch is None or old is None or not running(batch) or old.boil_started is None or _calls(old) == _calls(batch):
        return
    known = {hop.key for hop in old.recipe.hops}
    retime(turn, next((hop.key for hop in batch.recipe.hops if hop.key not in known), ""))


def _calls(batch: Batch) -> tuple[object, ...]:
    """What the calls of a boil hang on."""
    return batch.recipe.boil_minutes, *((hop.key, hop.name, hop.mass, hop.boil_minutes) for hop in batch.recipe.hops)


def off(turn: Turn, intent: Intent) -> None:
    """ "it's gone off the boil", "the gas ran out": its clock stands still until it boils again."""
    batch = turn.batch
    if batch is None or not running(batch):
        turn.say(stage_clocks.why_none(turn, "boil"), "There is no boil to hold.")
        return
    if batch.paused_at is not None:
        turn.say(f"It is held already: {stage_clocks.left(turn, 'boil')}", 'Say "back on the boil" when it is.')
        return
    over = bool(intent.slots.get("over"))
    if over and "duration_s" not in intent.slots:
        turn.say('How long was it off? "off the boil for 3 minutes, back on now". The clock runs on, nothing is recorded yet.', stage_clocks.left(turn, "boil"))
        turn.offer(*((f"{n} min", f"off the boil for {n} minutes, back on now") for n in (2, 5, 10)))
        return
    began = batch.boil_started or turn.now
    gone = min(timedelta(seconds=float(intent.slots.get("duration_s", 0.0))), turn.in_seconds(0) - began)
    stage_clocks.hold(turn, batch, "off the boil", gone)
    if over and turn.batch is not None:
        on_again(turn, turn.batch)
        return
    since = f", off the boil for {wording.duration(gone.total_seconds())} so far" if gone else ""
    turn.say(f"Boil clock held{since}. {stage_clocks.left(turn, 'boil')}", 'Say "back on the boil" and it goes on; hop calls move with it.')
    turn.offer(("back on the boil", "back on the boil"), ("undo", "undo"))


def on_again(turn: Turn, batch: Batch) -> None:
    """It boils, and the clock of the boil has begun before."""
    if batch.paused_at is None:
        turn.say(stage_clocks.left(turn, "boil") or stage_clocks.why_none(turn, "boil"))
        return
    gone = stage_clocks.go_on(turn, batch, "back on the boil")
    turn.say(f"The boil goes on: {stage_clocks.left(turn, 'boil')}", f"Calls moved by {wording.duration(gone.total_seconds())}.")
    turn.offer(("undo", "undo"))


def back_on(turn: Turn, intent: Intent) -> None:
    """ "back on the boil": the clock that was held goes on; where it never began it begins."""
    batch = turn.batch
    if batch is not None and running(batch):
        on_again(turn, batch)
        if batch.paused_at is None:
            turn.say('My clock never stopped. Was it off? Say for how long: "off the boil for 3 minutes".')
        return
    if batch is not None and batch.stage in (*_BEFORE_BOIL, "boil"):
        opens(turn, Intent(name="done.boiling", text=intent.text))
        return
    turn.say(stage_clocks.why_none(turn, "boil"), "Nothing is recorded.")


def foamed(turn: Turn, intent: Intent) -> None:
    """ "it nearly boiled over", "it boiled over": what to do, and what went over is missing."""
    if intent.name == "done.boiled_over":
        turn.record("note", label="boiled over", text=intent.text or "boiled over")
        turn.say("Noted. Hob off, wipe the hob, then heat again gently; send the stick or the volume: some wort is gone.")
    else:
        turn.say("Well caught. Turn the hob down, stir or lift the lid; a splash of cold water sinks the foam.")
    turn.say(cautions()["boil_over"])


def turned_down(turn: Turn, intent: Intent) -> None:
    """ "turned it down a bit", "had to turn the gas down": the hob is lower, and nothing else has changed."""
    if turn.batch is not None and turn.batch.paused_at is not None:
        turn.say("All right.")
        return
    if turn.batch is not None and turn.batch.stage == "boil":
        turn.say("All right. As long as it still rolls the clock runs on.", stage_clocks.left(turn, "boil"))
        turn.say('If it stops boiling, say "off the boil".')
        return
    turn.say("All right, nothing is recorded. Stir, wait a minute, then send the temperature.")


def foam_down(turn: Turn, intent: Intent) -> None:
    """ "turned it down and blew on it, gone back": the foam is down, and the clock has run on."""
    batch, rows = turn.batch, noted.table()["foam_down"]
    held = batch is not None and batch.paused_at is not None
    key = "held" if held else "boil" if running(batch) else "top_up"
    turn.say(str(rows[key]).format(left=stage_clocks.left(turn, "boil")))


def off_time(turn: Turn, intent: Intent) -> None:
    """ "how do I count the time it was off": the clock does it, where it was told."""
    batch, rows = turn.batch, noted.table()["off_time"]
    if batch is None or not running(batch):
        turn.say(str(rows["over"]) if batch is not None and batch.stage == "steep" else stage_clocks.why_none(turn, "boil"))
        return
    if batch.paused_at is not None:
        seconds = (turn.in_seconds(0) - batch.paused_at).total_seconds()
        so_far = f", {wording.duration(seconds)} so far" if seconds >= 1 else ""
        turn.say(str(rows["held"]).format(since=wording.clock(batch.paused_at.astimezone(turn.now.tzinfo), turn.now) + so_far))
        return
    counted = any(label.startswith(_ON_AGAIN) for label, _ in turn.state.undo)
    turn.say(str(rows["counted" if counted else "untold"]).format(left=stage_clocks.left(turn, "boil")))
    if not counted:
        turn.offer(*((f"{n} min", f"off the boil for {n} minutes, back on now") for n in (2, 5, 10)))


HANDLERS: Handlers = {
    "ask.off_time": off_time,
    "look.foam_down": foam_down,
    "done.off_boil": off,
    "done.back_on_boil": back_on,
    "look.foam": foamed,
    "done.boiled_over": foamed,
    "done.turned_down": turned_down,
}
