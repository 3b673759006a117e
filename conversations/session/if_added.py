""" "can I use 100 g of sugar": what it would do to the beer; nothing is changed by asking."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from conversations.intents import Intent
from conversations.session import corrections, course, plan, wording
from conversations.session.readings import measured
from conversations.session.recipe_edit import grains_named, hops_named, name_in
from conversations.session.turn import Handlers, Turn

_MUCH_SUGAR = 0.15
"""Share of all that ferments above which sugar makes a beer thin. Common practice, no source."""


def answer(turn: Turn, intent: Intent) -> None:
    """Gravity with it and without it, and how to say that it is wanted."""
    batch = turn.batch
    mass, name = measured(intent.slots["mass"]), name_in(intent.slots["name"])
    shown = f"{wording.mass(mass.quantity, turn.state.units)} {name}"
    if batch is None or not batch.recipe.grains:
        turn.say(f'Yes. Tell me the malt and the litres first, and I say what {shown} does: "1.6 kg pale malt".')
        return
    before = batch.recipe
    after = before.model_copy(update={"grains": (*before.grains, (name, mass)), "original_gravity": None})
    try:
        was, then = (wording.gravity(plan.original_gravity(each, turn.state.kit)) for each in (before, after))
    except OutOfRange:
        turn.say(f"{shown} is more than I can reckon with. Nothing is changed.")
        return
    sugar = not fermentable_or_default(name).mashed
    share = mass.in_unit("kilogram") / sum(each.in_unit("kilogram") for _, each in after.grains)
    thin = " That is a lot of sugar: the beer gets thin." if sugar and share > _MUCH_SUGAR else " It ferments out and makes the beer drier." if sugar and "sugar" in name else ""
    if not sugar and batch.stage in ("drain", "top_up", "boil"):
        turn.say(f"Not any more: {name} has to be mashed, and the mash is over.")
        return
    turn.say(f"Yes: {shown} takes the original gravity from {was} to {then}.{thin}", f'Nothing is changed. "add {shown}" puts it into the recipe.')
    turn.offer((f"add {shown}", f"add {mass.value:g} {({'kilogram': 'kg', 'gram': 'g', 'pound': 'lb', 'ounce': 'oz'}).get(mass.unit, mass.unit)} {name}"))


def judged(turn: Turn, intent: Intent) -> None:
    """ "1.6 kg pale malt is too much", "is 15 g of Fuggle enough": what the beer comes to with it; nothing is changed."""
    batch = turn.batch
    mass, name = measured(intent.slots["mass"]), name_in(intent.slots["name"])
    shown = f"{wording.mass(mass.quantity, turn.state.units)} {name}"
    if batch is None or not batch.recipe.grains:
        turn.say(f"Nothing is recorded. Tell me the malt and the litres, and I say what {shown} comes to.")
        return
    recipe = batch.recipe
    grains, hops = grains_named(recipe, name), hops_named(recipe, name)
    if "duration_s" in intent.slots:
        hops = [hop for hop in hops if abs(hop.boil_minutes - float(intent.slots["duration_s"]) / 60) < 0.5] or hops
    if not grains and not hops:
        turn.say(f'The recipe has no {name}; nothing is changed. "add {shown}" puts it in.')
        return
    if grains:
        rows = tuple((each, mass if each == grains[0] else amount) for each, amount in recipe.grains)
        then = recipe.model_copy(update={"grains": rows, "original_gravity": None})
    else:
        then = recipe.model_copy(update={"hops": tuple(hop.model_copy(update={"mass": mass}) if hop.key == hops[0].key else hop for hop in recipe.hops)})
    try:
        end = course.goal(batch.model_copy(update={"recipe": then}), turn.state.kit)
    except OutOfRange:
        turn.say(f"{shown} is more than I can reckon with. Nothing is changed.")
        return
    turn.say(f"With {shown} it comes to {corrections.ends(turn, end)}.")
    if batch.stage in ("plan", "prepare", "heat"):
        turn.say(f'Nothing is changed. "make the {name} ..." with another amount does.')


HANDLERS: Handlers = {"ask.if_added": answer, "ask.amount_ok": judged}
