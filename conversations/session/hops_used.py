"""Hops once the boil is over: which went in and when, the dry ones too, and an addition of the boil that is told later."""

from __future__ import annotations

from datetime import datetime, timedelta

from conversations.intents import Intent
from conversations.session import wording
from conversations.session.progress import date_words
from conversations.session.readings import measured
from conversations.session.state import Batch, Hop
from conversations.session.turn import Handlers, Turn

_SAME_MINUTES = 2.5
"""Additions that lie nearer to each other are one that is told again."""


def _shown(turn: Turn, hop: Hop) -> str:
    return f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}"


def _moment(hop: Hop) -> str:
    if hop.first_wort:
        return "in the first wort"
    return f"{hop.boil_minutes:.0f} min before the end of the boil" if hop.boil_minutes > 0 else "at flame-out"


def used(turn: Turn, intent: Intent) -> None:
    """ "what hops did I use and when": those of the boil and the dry ones, each with its time."""
    batch = turn.batch
    hops = batch.recipe.hops if batch is not None else ()
    if batch is None or not hops:
        turn.say("No hops are noted." if batch else "No batch is open.")
        return
    boiled = [f"{_shown(turn, hop)} {_moment(hop)}" for hop in sorted(hops, key=lambda each: -each.boil_minutes) if not hop.dry_days and not hop.skipped and hop.added_at]
    at = next((hop.added_at for hop in hops if hop.added_at and not hop.dry_days), None)
    dry = [f"{_shown(turn, hop)} {_days(turn, hop)}" for hop in hops if hop.dry_days and hop.added_at and not hop.skipped]
    untold = [_shown(turn, hop) for hop in hops if not hop.added_at and not hop.skipped and not hop.dry_days]
    if boiled and at is not None:
        turn.say(f"In the boil ({date_words(at, turn.now)}): {', '.join(boiled)}.")
    if dry:
        turn.say(f"Dry: {', '.join(dry)}.")
    if untold:
        turn.say(f"In the recipe, not told as in: {', '.join(untold)}.")
    to_come = [_shown(turn, hop) for hop in hops if hop.dry_days and not hop.added_at and not hop.skipped]
    if to_come and batch.stage in ("transfer", "pitch", "ferment", "bottle"):
        turn.say(f"Dry hops to come: {', '.join(to_come)}.")
    if not turn.lines:
        turn.say("None are in by my notes.")


def _days(turn: Turn, hop: Hop) -> str:
    start = date_words(hop.added_at or turn.now, turn.now)
    return f"from {start} to {date_words(hop.out_at, turn.now)}" if hop.out_at is not None else f"in since {start}"


def _went_in_at(batch: Batch, minutes: float) -> datetime:
    """When an addition of the boil went in, by the clock of the boil."""
    if batch.boil_started is not None:
        return batch.boil_started + timedelta(minutes=max(0.0, batch.recipe.boil_minutes - minutes))
    return batch.entered.get("steep") or batch.entered.get("chill") or batch.started


def after_boil(turn: Turn, intent: Intent) -> None:
    """ "I put 10 g of Fuggle in at flame-out" told in the weeks: it belongs to the hops of the boil, and starts nothing."""
    batch = turn.batch
    if batch is None:
        turn.say("No batch is running.")
        return
    mass, name = measured(intent.slots["mass"]), str(intent.slots["name"])
    moment = str(intent.slots["moment"])
    total = batch.recipe.boil_minutes
    minutes = {"end": 0.0, "start": total}.get(moment, 0.0)
    if moment in ("left", "gone"):
        minutes = float(intent.slots["minutes"])
        minutes = total - minutes if moment == "gone" else minutes
    if not 0 <= minutes <= total:
        turn.say(f"The boil took {total:.0f} min. Nothing is recorded; send it again.")
        return
    alike = [hop for hop in batch.recipe.hops if not hop.dry_days and hop.name.lower().rstrip("s") == name.lower().rstrip("s")]
    same = next((hop for hop in alike if abs(hop.boil_minutes - minutes) < _SAME_MINUTES and not hop.first_wort), None)
    at = _went_in_at(batch, minutes)
    if same is not None:
        hop = same.model_copy(update={"mass": mass, "added_at": same.added_at or at, "skipped": False})
        hops = tuple(hop if each.key == hop.key else each for each in batch.recipe.hops)
        instead = f", instead of {wording.mass(same.mass.quantity, turn.state.units)}" if same.mass != mass else ", as in the recipe"
    else:
        alpha = next((each.alpha_percent for each in alike if each.alpha_percent is not None), None)
        hop = Hop(key=str(turn.number()), name=alike[0].name if alike else name, mass=mass, alpha_percent=alpha, boil_minutes=minutes, added_at=at)
        hops, instead = (*batch.recipe.hops, hop), ""
    turn.record("recipe_told", label=f"{hop.name} in the boil", recipe=batch.recipe.model_copy(update={"hops": hops}).model_dump(mode="json"))
    turn.say(f"Noted among the hops: {_shown(turn, hop)} {_moment(hop)}{instead}.")
    turn.offer(("undo", "undo"))


HANDLERS: Handlers = {"ask.hops_used": used, "hops.after_boil": after_boil}
