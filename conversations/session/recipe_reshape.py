"""Changes of a recipe by proportion: half or twice of all or of one thing, a part replaced, hops by their time, darker, paler."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from conversations.intents import Intent, Measured
from conversations.recipe.words import known_grain
from conversations.session import plan, wording
from conversations.session.predictions import colour_of, predict
from conversations.session.readings import measured
from conversations.session.recipe_edit import grains_named, hops_named, keep, name_in, planned, scale
from conversations.session.recipe_scaling import hops_times, to_gravity
from conversations.session.state import Hop, Recipe
from conversations.session.turn import Handlers, Turn

_ALL_HOPS = ("hop", "hops", "hopping", "all hops", "all the hops")
MORE_HOPS, FEWER_HOPS = 1.25, 0.8
"""What "more hops" and "less hops" mean: a fifth, as with "more bitter". Common practice, no source."""
DARK, DARK_SHARE = "chocolate malt", 0.02
"""What makes a beer darker where nothing dark is in it yet, and how much of the grist. Common practice, no source."""
DARKER, PALER = 1.5, 0.5
_DARK_EBC = 20.0
"""Above it a malt is there for colour. Common practice, no source."""


def batch_times(turn: Turn, intent: Intent) -> None:
    """ "half the batch", "double it": everything in proportion, the volume too."""
    batch = planned(turn)
    if batch is None:
        return
    litres = plan.litres(plan.batch_volume(batch.recipe)) * _factor(intent)
    scale(turn, Intent(name="recipe.scale", slots={"volume": Measured(value=round(litres, 3), unit="litre")}))


def _factor(intent: Intent) -> float:
    """What is left of it; "by a third" takes that away."""
    return 1 - float(intent.slots["less"]) if "less" in intent.slots else float(intent.slots["factor"])


def part_times(turn: Turn, intent: Intent) -> None:
    """ "double the hops", "half the crystal", "more hops": one ingredient in proportion, the batch stays."""
    batch = planned(turn)
    if batch is None:
        return
    recipe, name = batch.recipe, name_in(intent.slots["name"]) if "name" in intent.slots else "hops"
    if name.casefold() in ("batch", "recipe", "it", "amount", "everything", "beer"):
        batch_times(turn, intent)
        return
    if "yeast" in name.casefold():
        turn.say('Yeast goes by what the beer needs: "how much yeast" tells it. "the sachet holds 11 g" tells me what is there.')
        return
    factor, units = _factor(intent), turn.state.units
    hops = list(recipe.hops) if name.casefold() in _ALL_HOPS else hops_named(recipe, name)
    hops = [hop for hop in hops if not hop.added_at]
    if hops:
        keys = {hop.key for hop in hops}
        rows = tuple(hops_times((hop,), factor)[0] if hop.key in keys else hop for hop in recipe.hops)
        new = recipe.model_copy(update={"hops": rows})
        masses = ", ".join(f"{wording.mass(hop.mass.quantity, units)} {hop.name}" for hop in rows if hop.key in keys)
        keep(turn, new, f"hops times {factor:g}", f"{masses}{_bitterness(turn, recipe, new)}.")
        return
    grains = grains_named(recipe, name)
    if not grains:
        there = ", ".join(dict.fromkeys([*(grain for grain, _ in recipe.grains), *(hop.name for hop in recipe.hops)]))
        turn.say(f"The recipe has no {name}. It has {there}.")
        return
    malts = tuple(
        (grain, mass.model_copy(update={"value": mass.value * factor}) if grain in grains else mass) for grain, mass in recipe.grains
    )
    masses = ", ".join(f"{wording.mass(mass.quantity, units)} {grain}" for grain, mass in malts if grain in grains)
    keep(turn, recipe.model_copy(update={"grains": malts}), f"{name} times {factor:g}", f"{masses}.")


def _bitterness(turn: Turn, old: Recipe, new: Recipe) -> str:
    if not old.grains:
        return ""
    before, after = (predict(each, turn.state.kit).bitterness for each in (old, new))
    return f": {after:.0f} IBU instead of {before:.0f}"


def swap_part(turn: Turn, intent: Intent) -> None:
    """ "replace half of the pale malt with munich", "swap 300 g of the pale malt for wheat malt": the extract stays."""
    batch = planned(turn)
    if batch is None:
        return
    recipe, units = batch.recipe, turn.state.units
    old, new = name_in(intent.slots["old"]), name_in(intent.slots["new"])
    found = grains_named(recipe, old)
    if not found:
        turn.say(f"There is no {old} in the recipe to take a part of. \"swap the Fuggle for Goldings\" swaps hops as a whole.")
        return
    name, mass = next(row for row in recipe.grains if row[0] == found[0])
    part = measured(intent.slots["mass"]).in_unit("gram") if "mass" in intent.slots else float(intent.slots["share"]) * mass.in_unit("gram")
    if not 0 < part < mass.in_unit("gram"):
        turn.say(f"There is {wording.mass(mass.quantity, units)} {name}: only a part of that can be swapped.")
        return
    left = Measured(value=round(mass.in_unit("gram") - part, 1), unit="gram")
    factor = fermentable_or_default(name).extract_fraction / fermentable_or_default(new).extract_fraction
    there = next((each for grain, each in recipe.grains if grain.casefold() == new.casefold()), None)
    joined = Measured(value=round(part * factor + (there.in_unit("gram") if there else 0.0), 1), unit="gram")
    rows: list[tuple[str, Measured]] = []
    for grain, each in recipe.grains:
        if grain == name:
            rows += [(name, left)] if there else [(name, left), (new, joined)]
        else:
            rows.append((grain, joined if there and grain.casefold() == new.casefold() else each))
    known = "" if known_grain(new) else f' (not in my list: counted as pale malt, unless "{new} is like ..." says otherwise)'
    line = f"{wording.mass(left.quantity, units)} {name} and {wording.mass(joined.quantity, units)} {new}{known}, for the same extract."
    keep(turn, recipe.model_copy(update={"grains": tuple(rows)}), f"{new} for some {name}", line)


def drop_hops(turn: Turn, intent: Intent) -> None:
    """ "leave out the flame-out hops", "drop the 10 minute addition": hops by when they go in."""
    batch = planned(turn)
    if batch is None:
        return
    recipe, kind = batch.recipe, str(intent.slots.get("when", ""))
    minutes = float(intent.slots["duration_s"]) / 60 if "duration_s" in intent.slots else None

    def meant(hop: Hop) -> bool:
        boiled = not hop.dry_days and not hop.first_wort
        if minutes is not None:
            return boiled and abs(hop.boil_minutes - minutes) < 0.5
        if kind == "dry":
            return bool(hop.dry_days)
        return boiled and hop.boil_minutes <= (_LATE if kind == "late" else 0.0)

    gone = [hop for hop in recipe.hops if meant(hop)]
    if not gone:
        turn.say("There are no such hops in the recipe. " + "; ".join(_short(hop, turn) for hop in recipe.hops) + ".")
        return
    left = tuple(hop for hop in recipe.hops if hop not in gone)
    new = recipe.model_copy(update={"hops": left})
    keep(turn, new, "hops left out", f"Without {', '.join(_short(hop, turn) for hop in gone)}{_bitterness(turn, recipe, new)}.")


_LATE = 20.0
"""Minutes before the end from which an addition is called late. Common practice, no source."""


def _short(hop: Hop, turn: Turn) -> str:
    when = "dry" if hop.dry_days else "first wort" if hop.first_wort else f"{hop.boil_minutes:.0f} min" if hop.boil_minutes else "flame-out"
    return f"{wording.mass(hop.mass.quantity, turn.state.units)} {hop.name} {when}"


def colour(turn: Turn, intent: Intent) -> None:
    """ "make it darker", "paler": more or less of what is dark in it, the strength stays."""
    batch = planned(turn)
    if batch is None:
        return
    recipe, units = batch.recipe, turn.state.units
    if not recipe.grains:
        turn.say('Colour is the grain\'s: tell me it first, "1.3 kg pale malt".')
        return
    darker = intent.slots.get("direction") == "more"
    before = predict(recipe, turn.state.kit)
    dark = max(recipe.grains, key=lambda row: _ebc(row[0]))
    if _ebc(dark[0]) < _DARK_EBC:
        if not darker:
            turn.say(f"Nothing dark is in it: {dark[0]} is the darkest. It is about as pale as it gets.")
            return
        grams = DARK_SHARE * float(plan.grain_mass(recipe).to("gram").magnitude)
        name, was = DARK, "none"
        rows = (*recipe.grains, (DARK, Measured(value=round(grams), unit="gram")))
    else:
        name, was = dark[0], wording.mass(dark[1].quantity, units)
        factor = DARKER if darker else PALER
        rows = tuple(
            (grain, mass.model_copy(update={"value": mass.value * factor}) if grain == name else mass) for grain, mass in recipe.grains
        )
    try:
        new = to_gravity(recipe.model_copy(update={"grains": rows}), before.original, turn.state.kit)
    except OutOfRange:
        new = recipe.model_copy(update={"grains": rows})
    # Named after the rest has made up for the strength, which moves every malt a little.
    mass = next(mass for grain, mass in new.grains if grain == name)
    keep(turn, new, "colour", f"{wording.mass(mass.quantity, units)} {name} instead of {was}; the other malts make up for the strength.")


def _ebc(name: str) -> float:
    return float(colour_of(name).to("ebc").magnitude)


HANDLERS: Handlers = {
    "recipe.batch_times": batch_times,
    "recipe.part_times": part_times,
    "recipe.swap_part": swap_part,
    "recipe.drop_hops": drop_hops,
    "recipe.colour": colour,
}
