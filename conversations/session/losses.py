""" "How much did I lose": what was measured on the way from the pot to the bottles, and where the difference went."""

from __future__ import annotations

from itertools import pairwise

from calc.units import quantity
from conversations.intents import Intent
from conversations.session import course, joined_since, priming, wording
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_ON_THE_WAY = (
    ("before the boil", ("drain", "top_up")),
    ("in the pot after it", ("steep", "chill")),
    ("in the fermenter", ("transfer", "pitch", "ferment")),
)
_INTO = {"in the pot after it": "steam", "in the pot now, as I reckon": "steam", "in the fermenter": "steam, hops and trub", "in bottles": "yeast, samples and what stays in the fermenter"}


def _measured(batch: Batch) -> list[tuple[str, float]]:
    """Where it was measured, in order, and the litres counted cold."""
    found: list[tuple[str, float]] = []
    for where, stages in _ON_THE_WAY:
        litres = [cold for each in batch.readings if each.stage in stages and (cold := joined_since.cold_litres(each)) is not None]
        # What was read while the boil began belongs to before it.
        if where == "before the boil" and not litres and batch.boil_started is not None:
            litres = [cold for each in batch.readings if each.at == batch.boil_started and (cold := joined_since.cold_litres(each)) is not None]
        if litres:
            found.append((where, litres[-1]))
    if batch.bottles and batch.stage == "condition":
        found.append(("in bottles", priming.litres_in(batch.bottles)))
    return found


def lost(turn: Turn, intent: Intent) -> None:
    """The litres at each place that was measured, and what went between them."""
    batch, units = turn.batch, turn.state.units
    if batch is None:
        turn.say("No batch is open.")
        return
    found = _measured(batch)
    here = course.position(batch, turn.state.kit, turn.now) if batch.stage in ("boil", "steep") and batch.recipe.grains else None
    if here is not None and found:
        found = [found[0], ("in the pot now, as I reckon", here.volume_l)]

    def litres(value: float) -> str:
        return wording.volume(quantity(value, "litre"), units)

    if len(found) == 1 and batch.stage == "boil" and batch.boil_started is not None:
        minutes = batch.recipe.boil_minutes - course.boil_left(batch, turn.now)
        rate = turn.state.kit.boil_off.in_unit("litre / hour")
        turn.say(f"About {litres(rate * minutes / 60)} in {minutes:.0f} min, at {litres(rate)} an hour, of the {litres(found[0][1])} that were measured. Send the stick to know.")
        return
    if len(found) < 2:
        first = f"Measured so far: {litres(found[0][1])} {found[0][0]}. " if found else ""
        turn.say(f"{first}I need the litres before and after: send them, like \"5.2 litres in the fermenter\", or count your bottles.")
        return
    lines = []
    for (before, one), (after, other) in pairwise(found):
        causes = "hops and trub" if before == "in the pot after it" else _INTO[after]
        gone = one - other
        lines.append(f"{litres(gone)} to {causes}: {litres(one)} {before}, {litres(other)} {after}." if gone > 0.02 else f"Nothing: {litres(one)} {before}, {litres(other)} {after}.")
    turn.say(*lines)
    if len(found) > 2:
        turn.say(f"{litres(found[0][1] - found[-1][1])} in all, counted cold.")


def stays_behind(turn: Turn, intent: Intent) -> None:
    """ "does half a litre always stay behind in the pot": what is reckoned with, and how to tell what really stays."""
    kit = turn.state.kit
    source = "as you told me" if "dead_space" in kit.told else "learned from your batches" if "dead_space" in kit.learned else "assumed"
    shown = wording.volume(kit.dead_space.quantity, turn.state.units)
    turn.say(f"I reckon with {shown} ({source}) that stays in the pot with hops and trub; much hop makes it more.")
    turn.say('Nothing is changed. "half a litre stays behind in the pot" sets it.')


HANDLERS: Handlers = {"ask.lost": lost, "ask.dead_space": stays_behind}
