"""Changes to the recipe by message: size, strength, bitterness, swapping and dropping, ways to fit the pot."""

from __future__ import annotations

from typing import Any

from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from calc.hops import find_hop, usual_alpha
from calc.units import quantity
from conversations.intents import Intent, Measured
from conversations.recipe.limits import alpha_refused, volume_refused
from conversations.recipe.words import known_grain, same_hop
from conversations.session import fit, plan, telling, wording, yeast_over
from conversations.session.predictions import alpha_of, predict
from conversations.session.readings import measured
from conversations.session.recipe_plan import numbers_line
from conversations.session.recipe_scaling import to_bitterness, to_strength, to_volume
from conversations.session.state import Batch, Hop, Recipe
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_in_hand import yeast_problem

PLANNING = ("plan", "prepare", "heat")
MORE, LESS = 1.25, 0.8
"""What "more bitter" and "less bitter" mean: a fifth, which most people taste. Common practice, no source."""
NO_NAME = ("malt", "malts", "grain", "grains")
"""What every grain is: it does not say which one is meant."""
STRONGER = 0.5
"""Percent by volume of one step of "stronger" and "weaker"."""


def planned(turn: Turn) -> Batch | None:
    """The batch whose recipe can still be changed; what stands in the way is said."""
    batch = turn.batch
    if batch is None or not (batch.recipe.grains or batch.recipe.hops):
        turn.say('There is no recipe yet. Paste one after "recipe:", or say "what recipes do you have".')
        return None
    if batch.stage not in PLANNING:
        turn.say(
            f'{batch.name} is past that: it is at {batch.stage.replace("_", " ")}. "what\'s next" says what can be done.'
        )
        return None
    return batch


def keep(turn: Turn, recipe: Recipe, label: str, *lines: str) -> None:
    """Store the changed recipe, say what changed and what the beer becomes."""
    telling.change(turn, recipe, label)
    turn.say(*lines)
    if recipe.grains:
        turn.say(numbers_line(turn, predict(recipe, turn.state.kit)))
    turn.offer(("plan", "plan"), ("undo", "undo"))


def scale(turn: Turn, intent: Intent) -> None:
    """ "make it 10 litres": everything in proportion."""
    volume = measured(intent.slots["volume"])
    if turn.batch is None or not (turn.batch.recipe.grains or turn.batch.recipe.hops):
        telling.recipe(turn, Intent(name="recipe.volume", slots={"volume": volume}))
        return
    batch = planned(turn)
    if batch is None:
        return
    units = turn.state.units
    if refused := volume_refused(volume, wording.volume(volume.quantity, units)):
        turn.say(refused)
        return
    old = batch.recipe
    try:
        recipe = to_volume(old, volume, turn.state.kit)
    except OutOfRange:
        grain = wording.mass(plan.grain_mass(old), units)
        aim = wording.gravity(quantity(old.original_gravity or 1.0, "dimensionless"))
        turn.say(f"{grain} of grain cannot make {aim}, which this recipe is to have, so it is not scaled. Add the missing grain first. Nothing is changed.")
        return
    was = wording.volume(plan.batch_volume(old), units)
    grain = wording.mass(plan.grain_mass(recipe), units)
    lines = [f"{wording.volume_told(volume, units)} instead of {was}: {grain} of grain in all."]
    if not fit.mash_fits(recipe, turn.state.kit) or not fit.boil_fits(recipe, turn.state.kit):
        lines.append('That does not fit your pot: "plan" shows the ways out.')
    keep(turn, recipe, "size", *lines)


def strength(turn: Turn, intent: Intent) -> None:
    """ "make it 4.5 percent", "weaker", "stronger"."""
    batch = planned(turn)
    if batch is None:
        return
    now = float(predict(batch.recipe, turn.state.kit).alcohol.to("percent").magnitude)
    step = {"more": STRONGER, "less": -STRONGER}.get(str(intent.slots.get("direction", "")), 0.0)
    wanted = measured(intent.slots["percent"]).in_unit("percent") if "percent" in intent.slots else now + step
    try:
        recipe = to_strength(batch.recipe, wanted, turn.state.kit)
    except OutOfRange:
        turn.say(f"{wanted:g} % is out of reach for this grain in this pot. Between 1 and 12 %, please.")
        return
    grain = wording.mass(plan.grain_mass(recipe), turn.state.units)
    before = wording.mass(plan.grain_mass(batch.recipe), turn.state.units)
    keep(turn, recipe, "strength", f"{grain} of grain instead of {before}, for {wanted:.1f} %.")


def bitter(turn: Turn, intent: Intent) -> None:
    """ "less bitter", "more bitter", "make it 30 IBU"."""
    batch = planned(turn)
    if batch is None:
        return
    if not batch.recipe.grains:
        turn.say('Bitterness hangs on the gravity: tell me the grain first, "1.3 kg pale malt".')
        return
    now = predict(batch.recipe, turn.state.kit).bitterness
    if "ibu" in intent.slots:
        wanted = float(intent.slots["ibu"])
    else:
        wanted = now * (MORE if intent.slots.get("direction") == "more" else LESS)
    try:
        recipe = to_bitterness(batch.recipe, wanted, turn.state.kit)
    except OutOfRange:
        turn.say(f"{wanted:g} IBU cannot be had from these hops. Between 1 and 150, with some hops in the recipe.")
        return
    hops = ", ".join(f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name}" for hop in recipe.hops)
    keep(turn, recipe, "bitterness", f"{wanted:.0f} IBU instead of {now:.0f}: {hops}.")


def name_in(value: Any) -> str:
    """A name slot, which the sentences give as a string or as a table with a name."""
    words = str(value["name"] if isinstance(value, dict) else value).strip(" .,\"“”")
    for article in ("the ", "some ", "a "):
        words = words.removeprefix(article)
    return words


def hops_named(recipe: Recipe, name: str) -> list[Hop]:
    """The additions that a name means, by its words or its variety."""
    wanted = find_hop(name)
    return [
        hop
        for hop in recipe.hops
        if name.casefold() in hop.name.casefold() or (wanted is not None and find_hop(hop.name) == wanted)
    ]


def grains_named(recipe: Recipe, name: str) -> list[str]:
    """The names in the grist that a word means: the one that is just that, else those that hold it."""
    if same := [grain for grain, _ in recipe.grains if grain.casefold() == name.casefold()]:
        return same
    exact = [grain for grain, _ in recipe.grains if name.casefold() in grain.casefold()]
    return exact or [grain for grain, _ in recipe.grains if grain.casefold() in name.casefold() and grain.casefold() not in NO_NAME]


def has_none(turn: Turn, recipe: Recipe, name: str) -> None:
    """Say that the recipe lacks it, and what it has."""
    names = ", ".join(dict.fromkeys([*(grain for grain, _ in recipe.grains), *(hop.name for hop in recipe.hops)]))
    turn.say(f"The recipe has no {name}. It has {names}.")


def swap(turn: Turn, intent: Intent) -> None:
    """ "swap the Fuggle for 6 % Goldings": hops keep the bitterness, grain keeps the extract."""
    batch = planned(turn)
    if batch is None:
        return
    old, new = name_in(intent.slots["old"]), name_in(intent.slots["new"])
    recipe, units = batch.recipe, turn.state.units
    hops = hops_named(recipe, old)
    if hops:
        told = measured(intent.slots["percent"]).in_unit("percent") if "percent" in intent.slots else None
        if refused := alpha_refused(told, new):
            turn.say(refused)
            return
        alpha = told if told is not None else float(usual_alpha(new).magnitude)
        changed = {
            hop.key: hop.model_copy(
                update={
                    "name": new,
                    "alpha_percent": told,
                    "mass": Measured(value=hop.mass.value * alpha_of(hop) / alpha, unit=hop.mass.unit),
                }
            )
            for hop in hops
            if not hop.added_at
        }
        swapped = recipe.model_copy(update={"hops": tuple(changed.get(hop.key, hop) for hop in recipe.hops)})
        assumed = "" if told is not None else f" ({alpha:.2g} % assumed)"
        masses = ", ".join(wording.mass(hop.mass.quantity, units) for hop in changed.values())
        keep(turn, swapped, f"{new} for {old}", f"{masses} {new}{assumed} instead of {old}, just as bitter.")
        return
    grains = grains_named(recipe, old)
    if not grains:
        has_none(turn, recipe, old)
        return
    if len(set(grains)) > 1:
        turn.say(f"{' or '.join(dict.fromkeys(grains))}: which is to be {new}? Nothing is changed yet.")
        turn.offer(*((each, f"swap the {each} for {new}") for each in list(dict.fromkeys(grains))[:6]))
        return
    known = "" if known_grain(new) else f' (not in my list: counted as pale malt, unless "{new} is like ..." says otherwise)'
    factor = fermentable_or_default(grains[0]).extract_fraction / fermentable_or_default(new).extract_fraction
    rows = tuple(
        (new, Measured(value=mass.value * factor, unit=mass.unit)) if grain == grains[0] else (grain, mass)
        for grain, mass in recipe.grains
    )
    mass = next(mass for grain, mass in rows if grain == new)
    line = f"{wording.mass(mass.quantity, units)} {new}{known} instead of {grains[0]}, for the same extract."
    keep(turn, recipe.model_copy(update={"grains": rows}), f"{new} for {old}", line)


def alpha(turn: Turn, intent: Intent) -> None:
    """ "Fuggle is 5 %", "hops are actually 4.5 percent": what the packet says, for every addition of that hop, in or to come."""
    batch = turn.batch
    name = name_in(intent.slots["name"])
    hops = [hop for hop in batch.recipe.hops if not hop.dry_days] if batch and name.casefold() in ("hop", "hops") else hops_named(batch.recipe, name) if batch else []
    if batch is None or not hops:
        turn.say(f'No addition of {name} is planned. A new one is like "12 g {name} 5% at 60".')
        return
    percent = measured(intent.slots["percent"]).in_unit("percent")
    if refused := alpha_refused(percent, name):
        turn.say(refused)
        return
    if not all(same_hop(hop.name, hops[0].name) for hop in hops):
        names = list(dict.fromkeys(hop.name for hop in hops))
        turn.say(f"{percent:g} % alpha for which, {' or '.join(names)}? Nothing is changed yet.")
        turn.offer(*((each, f"{each} is {percent:g} %") for each in names[:4]))
        return
    keys = {hop.key for hop in hops}
    rows = tuple(hop.model_copy(update={"alpha_percent": percent}) if hop.key in keys else hop for hop in batch.recipe.hops)
    recipe = batch.recipe.model_copy(update={"hops": rows})
    change = ""
    if recipe.grains:
        before, after = (predict(each, turn.state.kit).bitterness for each in (batch.recipe, recipe))
        change = f" {after:.0f} IBU instead of {before:.0f}." if abs(after - before) >= 0.5 else ""
    keep(turn, recipe, f"{hops[0].name} {percent:g} %", f"{hops[0].name}: {percent:g} % alpha.{change}")


def rinse(turn: Turn, intent: Intent) -> None:
    """ "rinse with 2 litres": held back from the mash, poured through the bag."""
    batch = planned(turn)
    if batch is None:
        return
    water = measured(intent.slots["volume"]) if "volume" in intent.slots else None
    recipe = batch.recipe.model_copy(update={"rinse_water": water})
    if water is None:
        keep(turn, recipe, "no rinse", "All the water goes into the mash.")
        return
    whole = fit.volumes(batch.recipe, turn.state.kit)
    grain_kg = float(plan.grain_mass(recipe).to("kilogram").magnitude)
    most = whole.mash_water + whole.rinse - fit.THINNEST * grain_kg
    if not 0 < water.in_unit("litre") <= most:
        turn.say(
            f"At most {wording.volume(quantity(max(0.0, most), 'litre'), turn.state.units)} can be held back, or the mash gets too thick to stir."
        )
        return
    shown = wording.volume(water.quantity, turn.state.units)
    strike = wording.temperature(plan.strike(recipe, turn.state.kit), turn.state.units)
    left = wording.volume(plan.mash_water(recipe, turn.state.kit), turn.state.units)
    keep(
        turn,
        recipe,
        f"rinse with {shown}",
        f"{left} to {strike} for the mash; {shown} at about 75 °C (167 °F) rinses the bag.",
    )


def late_water(turn: Turn, intent: Intent) -> None:
    """ "top up with 2 litres after the boil": boiled stronger, diluted in the fermenter."""
    batch = planned(turn)
    if batch is None:
        return
    water = measured(intent.slots["volume"])
    if not 0 < water.in_unit("litre") <= plan.litres(plan.batch_volume(batch.recipe)) / 2:
        turn.say("At most half of the batch can join after the boil.")
        return
    recipe = batch.recipe.model_copy(update={"late_water": water, "rinse_water": None})
    shown = wording.volume(water.quantity, turn.state.units)
    pot = wording.gravity(plan.gravity_at(plan.after_boil_volume(recipe, turn.state.kit), recipe, turn.state.kit))
    line = f"{pot} in the pot at the end of the boil; {shown} boiled and cooled water joins in the fermenter."
    keep(turn, recipe, f"top up with {shown}", line)


def sachet(turn: Turn, intent: Intent) -> None:
    """ "the sachet holds 7 g": whether that is enough, in the plan and at pitching."""
    batch = turn.batch
    mass = measured(intent.slots["mass"])
    if batch is None:
        turn.say('No batch is planned. "how much yeast for 8 litres at 1.045" works without one.')
        return
    if not 0 < mass.in_unit("gram") <= 1000:
        turn.say(f'{mass.value:g} {mass.unit} of yeast? Send it again, like "the sachet holds 7 g".')
        return
    if batch.stage in yeast_over.PITCHED and yeast_over.tells_of_pitching(turn, intent):
        yeast_over.went_in(turn, mass)
        return
    telling.change(turn, batch.recipe.model_copy(update={"yeast_mass": mass}), "yeast in hand")
    turn.say(f"{wording.mass(mass.quantity, 'metric')} of yeast in hand.")
    batch = turn.batch or batch
    if batch.recipe.grains:
        turn.say(*(yeast_problem(turn, batch.recipe) or ["Enough for this batch."]))
    turn.offer(("undo", "undo"))


def only_asked(turn: Turn, intent: Intent) -> None:
    """ "can I make it stronger", "would that let me make 7": asked, so nothing is changed."""
    order = str(intent.slots.get("order", ""))
    way = f'"{order}" does it' if order else "Send it without the question to have it done"
    turn.say(f'You asked, so nothing is changed. {way}, and you hear what the beer becomes; "undo" takes it back.')
    if order:
        turn.offer((order, order))


HANDLERS: Handlers = {
    "ask.recipe_change": only_asked,
    "recipe.scale": scale,
    "recipe.strength": strength,
    "recipe.bitter": bitter,
    "recipe.swap": swap,
    "recipe.alpha": alpha,
    "recipe.rinse": rinse,
    "recipe.late_water": late_water,
    "recipe.sachet": sachet,
}
