"""What is to come: what to have ready and clean for it, how long hops stay in, and what it is called by now."""

from __future__ import annotations

import tomllib
from datetime import UTC
from functools import cache
from importlib.resources import files

from conversations.intents import Intent
from conversations.session import hop_additions, stage_clocks, wording
from conversations.session.state import Batch, Hop
from conversations.session.turn import Handlers, Turn

_BEFORE_COOLING = ("plan", "prepare", "heat", "mash", "drain", "top_up", "boil", "steep")
_BEER = ("ferment", "bottle", "condition")
_MOST_HOPS = 3
_LATE = 2.0
"""Minutes from which an addition is called late."""


@cache
def table() -> dict[str, dict[str, str]]:
    """The texts of to_come.toml."""
    return tomllib.loads(files("conversations.session").joinpath("to_come.toml").read_text(encoding="utf-8"))


def ready(turn: Turn, intent: Intent) -> None:
    """ "what's the next thing I'll need ready": hops that are called soon, then what the next step wants."""
    batch = turn.batch
    if batch is None:
        return
    if batch.stage == "boil":
        for hop in sorted(hop_additions.waiting(batch), key=lambda each: -each.boil_minutes)[:1]:
            turn.say(f"Next: {_when(turn, batch, hop)}. Weigh it out now.")
    turn.say(table()["ready"].get(batch.stage, ""))
    if batch.stage in stage_clocks.ENDS:
        turn.say(stage_clocks.left(turn, batch.stage))


def _when(turn: Turn, batch: Batch, hop: Hop) -> str:
    due = hop_additions.due(batch, hop, turn.now)
    if due is None:
        return f"{hop_additions.shown(turn, hop)} at flame-out" if hop.boil_minutes <= 0 else hop_additions.shown(turn, hop)
    at = wording.clock(due.astimezone(turn.now.tzinfo), turn.now)
    return f"{hop_additions.shown(turn, hop)}, due since {at}" if due <= turn.now else f"{hop_additions.shown(turn, hop)} at {at}, in {wording.duration((due - turn.now).total_seconds())}"


def clean(turn: Turn, intent: Intent) -> None:
    """ "what do I need to have clean before I turn it off": what the boil makes clean, and what it does not."""
    rows = table()["clean"]
    hot = turn.batch is None or turn.batch.stage in _BEFORE_COOLING
    turn.say(*((rows["after"], rows["before"], rows["how"]) if hot else (rows["cold"],)))
    turn.caution("cleaning")


def hop_time(turn: Turn, intent: Intent) -> None:
    """ "how long do they get": the minutes of the hops that are in or called, or of those that were named."""
    batch = turn.batch
    hops = [hop for hop in batch.recipe.hops if not hop.dry_days and not hop.skipped] if batch is not None else []
    if batch is None or not hops:
        turn.say("No hops are planned." if batch else "No batch is open.", 'A hop is told like "12 g Fuggle 5% at 60".')
        return
    name = str(intent.slots.get("name", "")).lower().removesuffix("s")
    named = [hop for hop in hops if name and name != "hop" and name in hop.name.lower()]
    for hop in sorted(named or hops, key=lambda each: -each.boil_minutes)[:_MOST_HOPS]:
        turn.say(_minutes(turn, batch, hop))


def _minutes(turn: Turn, batch: Batch, hop: Hop) -> str:
    shown = hop_additions.shown(turn, hop)
    if hop.first_wort:
        return f"{shown}: the whole boil, from the first wort on."
    if hop.boil_minutes <= 0:
        return f"{shown}: in at flame-out, and it steeps till you cool it."
    whole = hop.boil_minutes >= batch.recipe.boil_minutes - 0.5
    length = f"the whole {hop.boil_minutes:.0f} min" if whole else f"the last {hop.boil_minutes:.0f} min"
    end = stage_clocks.end_of(turn, "boil") if batch.stage == "boil" else None
    until = f", until {wording.clock(end.due.astimezone(turn.now.tzinfo), turn.now)}" if end is not None and batch.paused_at is None and end.due > turn.now.astimezone(UTC) else ""
    if hop.added_at is not None and end is not None and batch.paused_at is None and (gets := (end.due - hop.added_at.astimezone(UTC)).total_seconds() / 60) < hop.boil_minutes - _LATE:
        return f"{shown}: in since {wording.clock(hop.added_at.astimezone(turn.now.tzinfo), turn.now)}{until}, so {max(0.0, gets):.0f} min instead of {hop.boil_minutes:.0f}."
    if hop.added_at is not None:
        return f"{shown}: {length}, in since {wording.clock(hop.added_at.astimezone(turn.now.tzinfo), turn.now)}{until}."
    due = hop_additions.due(batch, hop, turn.now) if batch.paused_at is None else None
    if due is None or batch.stage != "boil":
        return f"{shown}: {length} of the boil."
    at = wording.clock(due.astimezone(turn.now.tzinfo), turn.now)
    return f"{shown}: {length}{until}, due since {at}." if due <= turn.now else f"{shown}: {length}, from {at}."


def called(turn: Turn, intent: Intent) -> None:
    """ "is it wort or mash at this point": by the stage."""
    rows = table()["called"]
    stage = turn.batch.stage if turn.batch is not None else "plan"
    turn.say(rows.get(stage, rows["beer" if stage in _BEER else "wort"]))


HANDLERS: Handlers = {"ask.ready": ready, "ask.clean_first": clean, "ask.hop_time": hop_time, "ask.called_what": called}
