""" "that was Goldings not Fuggle": an addition that was ticked under the wrong name."""

from __future__ import annotations

from conversations.intents import Intent
from conversations.recipe.words import same_hop
from conversations.session import boil_clock, hop_additions
from conversations.session.recipe_edit import name_in
from conversations.session.turn import Handlers, Turn


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


HANDLERS: Handlers = {"edit.hop_name": other_name}
