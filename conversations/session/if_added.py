""" "can I use 100 g of sugar": what it would do to the beer; nothing is changed by asking."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from conversations.intents import Intent
from conversations.session import plan, wording
from conversations.session.readings import measured
from conversations.session.recipe_edit import name_in
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


HANDLERS: Handlers = {"ask.if_added": answer}
