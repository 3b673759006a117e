"""Ingredients taken out of the recipe by message, whole or in part: only what is surely meant, else it is asked which."""

from __future__ import annotations

from conversations.intents import Intent, Measured
from conversations.recipe.words import same_hop
from conversations.session import wording
from conversations.session.hop_additions import same_mass
from conversations.session.readings import measured
from conversations.session.recipe_edit import grains_named, has_none, hops_named, keep, name_in, planned
from conversations.session.state import Hop, Recipe
from conversations.session.turn import Handlers, Turn


def drop(turn: Turn, intent: Intent) -> None:
    """ "drop the crystal", "remove 50 g of the crystal": out of the recipe, nothing takes its place."""
    batch = planned(turn)
    if batch is None:
        return
    name, recipe = name_in(intent.slots["name"]), batch.recipe
    grains, hops = grains_named(recipe, name), hops_named(recipe, name)
    mass = measured(intent.slots["mass"]) if "mass" in intent.slots else None
    if len(grains) > 1 and mass is not None:
        # "remove the 100 g malt": its amount tells which.
        grains = [each for each in grains if same_mass(mass, _told(recipe, each))] or grains
    if not grains and not hops:
        has_none(turn, recipe, name)
        return
    whole = [*dict.fromkeys(grains), *(hop.name for hop in hops if not grains)]
    kinds = grains if grains else [hop.name for hop in hops if not same_hop(hop.name, hops[0].name)]
    if (grains and len(set(grains)) > 1) or (not grains and kinds):
        turn.say(f"{' or '.join(dict.fromkeys(whole))}: which is to go? Nothing is changed yet.")
        turn.offer(*((each, f"drop the {each}") for each in list(dict.fromkeys(whole))[:6]))
        return
    if mass is not None or intent.slots.get("part"):
        _part(turn, recipe, mass, grains[:1], hops)
    elif grains:
        left = tuple(row for row in recipe.grains if row[0] not in grains)
        keep(turn, recipe.model_copy(update={"grains": left}), f"no {name}", f"No {grains[0]}.")
    else:
        keys = {hop.key for hop in hops}
        kept = tuple(hop for hop in recipe.hops if hop.key not in keys)
        keep(turn, recipe.model_copy(update={"hops": kept}), f"no {name}", f"No {hops[0].name}.")


def _told(recipe: Recipe, grain: str) -> Measured:
    return next(mass for each, mass in recipe.grains if each == grain)


def _part(turn: Turn, recipe: Recipe, mass: Measured | None, grains: list[str], hops: list[Hop]) -> None:
    """So much less of one ingredient; how much, where that is not told."""
    units = turn.state.units
    there = [_told(recipe, grains[0])] if grains else [hop.mass for hop in hops]
    name = grains[0] if grains else hops[0].name
    shown = [wording.mass(each.quantity, units) for each in there]
    if mass is None or len(there) > 1:
        turn.say(f"The recipe has {' and '.join(shown)} {name}. How much is it to be? \"make the {name} {shown[0]}\" says so. Nothing is changed yet.")
        return
    if mass.in_unit("gram") <= 0 or (mass.in_unit("gram") > there[0].in_unit("gram") and not same_mass(mass, there[0])):
        turn.say(f"The recipe has only {shown[0]} {name}, so {wording.mass(mass.quantity, units)} cannot come out. \"drop the {name}\" takes it all out.")
        return
    if same_mass(mass, there[0]):
        grist = tuple(row for row in recipe.grains if row[0] not in grains)
        kept = recipe.hops if grains else tuple(hop for hop in recipe.hops if hop.key != hops[0].key)
        keep(turn, recipe.model_copy(update={"grains": grist, "hops": kept}), f"no {name}", f"No {name}.")
        return
    rest = Measured(value=there[0].value * (1 - mass.in_unit("gram") / there[0].in_unit("gram")), unit=there[0].unit)
    grist = tuple((each, rest if each in grains else told) for each, told in recipe.grains)
    less = recipe.hops if grains else tuple(hop.model_copy(update={"mass": rest}) if hop.key == hops[0].key else hop for hop in recipe.hops)
    line = f"{wording.mass(rest.quantity, units)} {name} instead of {shown[0]}."
    keep(turn, recipe.model_copy(update={"grains": grist, "hops": less}), f"less {name}", line)


HANDLERS: Handlers = {"recipe.drop": drop}
