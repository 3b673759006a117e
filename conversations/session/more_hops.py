"""Hops that go in beside the recipe's while it boils: "add 2.8 g more Fuggle"."""

from __future__ import annotations

from calc.errors import OutOfRange
from conversations.intents import Intent, Measured
from conversations.session import corrections, course, wording
from conversations.session.hop_additions import went_in
from conversations.session.state import Batch, Hop
from conversations.session.stock_items import alpha_on_shelf, fits_hop
from conversations.session.turn import Handlers, Turn

_MOST_GRAMS = 500.0


def more(turn: Turn, intent: Intent) -> None:
    """Another addition at this moment, of the hop that is named or went in last; the prediction moves with it."""
    batch = turn.batch
    mass = Measured.model_validate(intent.slots["mass"])
    if batch is None or batch.stage not in ("boil", "steep") or not 0 < mass.in_unit("gram") <= _MOST_GRAMS:
        turn.say('More hops go into a boil: "add 3 g more Fuggle".')
        return
    name = str(intent.slots.get("name", ""))
    hops = [*went_in(batch), *(hop for hop in batch.recipe.hops if not hop.added_at)]
    alike = [hop for hop in hops if not name or fits_hop(hop.name, name)]
    inside = [hop for hop in alike if hop.added_at] or alike
    if not name and not inside:
        turn.say("More of which hop? Send it with its name.")
        return
    same = inside[-1] if inside else None
    minutes = course.boil_left(batch, turn.now)
    hop = Hop(
        key=str(turn.number()),
        name=same.name if same is not None else name,
        mass=mass,
        alpha_percent=same.alpha_percent if same is not None else alpha_on_shelf(turn.state.stock, name, turn.now.date()),
        boil_minutes=round(minutes, 1),
        added_at=turn.now,
    )
    recipe = batch.recipe.model_copy(update={"hops": (*batch.recipe.hops, hop)})
    turn.record("recipe_told", label=f"more {hop.name}", recipe=recipe.model_dump(mode="json"))
    how_long = f", {minutes:.0f} min of boil to go" if minutes else ""
    turn.say(f"{wording.mass(mass.quantity, turn.state.units)} more {hop.name} in at {wording.local_clock(turn.now, turn.now)}{how_long}.")
    _heading(turn, turn.batch or batch)
    turn.offer(("undo", "undo"))


def _heading(turn: Turn, batch: Batch) -> None:
    here = course.position(batch, turn.state.kit, turn.now) if batch.recipe.grains else None
    if here is None:
        return
    try:
        turn.say(f"Heading for {corrections.ends(turn, course.course(batch, turn.state.kit, here, turn.now))}.")
    except OutOfRange:
        return


HANDLERS: Handlers = {"hops.more": more}
