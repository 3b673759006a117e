"""Dry hops: told with the recipe, put into the fermenter, taken out again."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.session import day, wording
from conversations.session.readings import measured
from conversations.session.state import Hop
from conversations.session.turn import Handlers, Turn

USUAL_DAYS = 4.0
"""How long dry hops stay in where nothing was said: common practice, 3 to 5 days."""
MOST_DAYS = 21.0


def told(turn: Turn, intent: Intent) -> None:
    """ "20 g Cascade dry hop for 4 days", with "on day 5" where the person has a day in mind."""
    batch, slots = turn.batch, intent.slots
    if batch is None:
        turn.say('No batch is running. Say "brew 5 litres of ..." to start one.')
        return
    days = float(slots.get("duration_s", USUAL_DAYS * 86400)) / 86400
    on_day = float(slots["day"]) if "day" in slots else None
    if not 0.25 <= days <= MOST_DAYS:
        turn.say(f"{days:g} days of dry hops? 2 to 7 is usual. Send it again: \"20 g Cascade dry hop for 4 days\".")
        return
    hop = Hop(
        key=str(turn.number()),
        name=str(slots["name"]),
        mass=measured(slots["mass"]),
        boil_minutes=0.0,
        dry_days=days,
        dry_on_day=on_day,
    )
    recipe = batch.recipe.model_copy(update={"hops": (*batch.recipe.hops, hop)})
    turn.record("recipe_told", label=f"dry hop {hop.name}", recipe=recipe.model_dump(mode="json"))
    when = f"from day {on_day:g}" if on_day is not None else "when fermentation has died down"
    assumed = "" if "duration_s" in slots else " (assumed)"
    turn.say(
        f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name} dry, for {days:g} days{assumed}, {when}. I call it."
    )
    turn.offer(("undo", "undo"))


def out(turn: Turn, intent: Intent) -> None:
    """The dry hops came out."""
    batch = turn.batch
    inside = [hop for hop in batch.recipe.hops if hop.dry_days and hop.added_at and not hop.out_at] if batch else []
    if batch is None or not inside:
        turn.say("No dry hops are in.")
        return
    hops = tuple(
        hop.model_copy(update={"out_at": turn.now}) if hop in inside else hop for hop in batch.recipe.hops
    )
    recipe = batch.recipe.model_copy(update={"hops": hops})
    turn.record("recipe_told", label="dry hops out", recipe=recipe.model_dump(mode="json"))
    turn.say(f"{', '.join(hop.name for hop in inside)} out at {turn.now.strftime('%H:%M')}.")
    turn.say("Take a gravity in two days: hops can wake the yeast again.")


def into(turn: Turn, intent: Intent) -> None:
    """ "hops in": the same words on the hob and at the fermenter; a dry hop needs its caution."""
    before = turn.batch
    day.hops_in(turn, intent)
    if before is not None and before.stage == "ferment" and turn.events and turn.batch != before:
        turn.say("Sanitise what touches the beer, no splashing. It may foam up when hops go in.")


HANDLERS: Handlers = {"recipe.dry_hop": told, "hops.out": out, "done.hops": into}
