"""Another hop than the planned one: "that was Goldings not Fuggle", and one that went in in the place of another."""

from __future__ import annotations

from conversations.intents import Intent, Measured
from conversations.recipe.words import known_hop, same_hop
from conversations.session import boil_clock, hop_additions
from conversations.session.readings import measured
from conversations.session.recipe_edit import name_in
from conversations.session.turn import Handlers, Turn

_BOILING = ("boil", "steep")


def other_name(turn: Turn, intent: Intent) -> None:
    """The other addition is the one that is in, and the first one is still to come; without such a one the name is changed."""
    batch = turn.batch
    if batch is None:
        return
    right, wrong = (name_in(intent.slots[key]) for key in ("name", "was"))
    ticked = [hop for hop in hop_additions.went_in(batch) if same_hop(hop.name, wrong)]
    if not ticked:
        turn.say(f"No {wrong} is in by my notes. Nothing is changed.")
        return
    old = ticked[-1]
    waits = next((hop for hop in hop_additions.waiting(batch) if same_hop(hop.name, right)), None)
    if waits is None:
        renamed = old.model_copy(update={"name": right.capitalize(), "alpha_percent": None})
        hop_additions.keep(turn, batch, renamed, f"{renamed.name} in")
        turn.say(f"Put right: {hop_additions.shown(turn, renamed)} went in, not {old.name}. Tell me its alpha, for the bitterness.")
    else:
        inside, back = waits.model_copy(update={"added_at": old.added_at}), old.model_copy(update={"added_at": None})
        hop_additions.keep(turn, batch, back, f"{inside.name} in")
        now = turn.batch
        if now is not None:
            hop_additions.keep(turn, now, inside, f"{inside.name} in")
        boil_clock.retime(turn, back.key)
        turn.say(f"Put right: {hop_additions.shown(turn, inside)} is in. {hop_additions.shown(turn, back)} is still to come: put it in when you can, and say so.")
    turn.offer(("undo", "undo"))


def instead(turn: Turn, intent: Intent) -> None:
    """ "I ran out of Fuggle so I put 8 g of Goldings in": in the place of the addition that waits, or that was ticked."""
    batch = turn.batch
    if batch is None:
        return
    right, wrong = name_in(intent.slots["name"]), name_in(intent.slots["was"])
    left = [hop for hop in hop_additions.waiting(batch) if same_hop(hop.name, wrong)]
    ticked = [hop for hop in hop_additions.went_in(batch) if same_hop(hop.name, wrong)]
    if not left and not ticked:
        turn.say(f"The recipe has no {wrong} that could have gone in. Nothing is recorded.", f'"{right} in" ticks the next addition.')
        return
    planned = hop_additions.next_of(turn, left) if left else ticked[-1]
    mass = measured(intent.slots["mass"]) if "mass" in intent.slots else planned.mass
    same = next((hop for hop in batch.recipe.hops if same_hop(hop.name, right)), None)
    alpha = same.alpha_percent if same is not None else None
    name = same.name if same is not None else right.title()
    at = planned.added_at or turn.now
    inside = planned.model_copy(update={"name": name, "mass": mass, "alpha_percent": alpha, "added_at": at})
    hop_additions.keep(turn, batch, inside, f"{name} in")
    turn.say(f"{hop_additions.shown(turn, inside)} in at {at.astimezone(turn.now.tzinfo):%H:%M}, instead of {hop_additions.shown(turn, planned)}.")
    turn.offer(("undo", "undo"))
    if planned.added_at is None:
        hop_additions.say_lateness(turn, inside, at)
    if alpha is None:
        turn.say(f'Tell me its alpha, for the bitterness: "{name} is 6 percent".')
    now = turn.batch
    waits = next((hop for hop in hop_additions.waiting(now) if same_hop(hop.name, right)), None) if now is not None else None
    if waits is not None:
        turn.say(f"The {hop_additions.shown(turn, waits)} at {waits.boil_minutes:.0f} min is still to come by my notes.")


def asks_of_a_stranger(turn: Turn, intent: Intent) -> bool:
    """Ask where a hop is told that the recipe does not have: it went in in the place of the next addition, or is told wrong."""
    batch, name = turn.batch, name_in(intent.slots.get("name", ""))
    if batch is None or batch.stage not in _BOILING or not known_hop(name) or any(same_hop(each.name, name) for each in batch.recipe.hops):
        return False
    left = hop_additions.waiting(batch)
    if not left:
        return False
    planned = hop_additions.next_of(turn, left)
    mass = Measured.model_validate(intent.slots["mass"]) if "mass" in intent.slots else planned.mass
    shown = hop_additions.shown(turn, planned.model_copy(update={"name": name, "mass": mass}))
    turn.say(f"The recipe has no {name}. Did {shown} go in instead of {hop_additions.shown(turn, planned)}? Nothing is recorded yet.")
    unit = {"gram": "g", "ounce": "oz"}.get(mass.unit, mass.unit)
    turn.offer((f"instead of {planned.name}", f"{mass.value:g} {unit} {name} went in instead of {planned.name}"), ("leave it", "leave it"))
    return True


HANDLERS: Handlers = {"edit.hop_name": other_name, "hops.instead": instead}
