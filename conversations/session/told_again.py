"""An ingredient that the recipe has already: put right, asked about, or added where more of it is meant."""

from __future__ import annotations

from calc.fermentables import find_fermentable
from conversations.intents import Intent, Measured
from conversations.recipe.words import same_hop
from conversations.session import corrections, course, hop_additions, plan, recipe_amounts, wording
from conversations.session.hop_additions import same_mass
from conversations.session.readings import measured
from conversations.session.recipe_edit import grains_named, hops_named, name_in
from conversations.session.state import Batch
from conversations.session.turn import Handlers, Turn

_BOILING = ("boil", "steep")
FAR_OFF = 1.6
"""Times by which an amount that was told wrong may be off, where its name is not told."""
_NO_NAME = ("malt", "grain", "grains", "malts", "hop", "hops")


def grain(turn: Turn, intent: Intent) -> None:
    """ "1.6 kg pale malt" is a new line; "it's only 1.5 kg of pale malt" puts one right; the same malt again is asked about."""
    batch = turn.batch
    if batch is not None and _joins_the_wort(batch, intent):
        corrections.extract(turn, intent.model_copy(update={"slots": {**intent.slots, "name": name_in(intent.slots["name"])}}))
        return
    if batch is None or batch.stage in recipe_amounts.MADE or intent.slots.get("told") == ["more"]:
        recipe_amounts.line(turn, intent)
        return
    name, mass = name_in(intent.slots["name"]), measured(intent.slots["mass"])
    there = grains_named(batch.recipe, name)
    if intent.slots.get("told") == ["corrects"] and (there or name in _NO_NAME):
        put_right(turn, batch, intent)
        return
    rows = [row for row in batch.recipe.grains if _bare_name(row[0]) == _bare_name(name)]
    if not rows:
        recipe_amounts.line(turn, intent)
        return
    _ask(turn, rows[0][0], rows[0][1], mass, f"make the {rows[0][0]} {_exact(mass)}", f"add another {_exact(mass)} {rows[0][0]}")


def _joins_the_wort(batch: Batch, intent: Intent) -> bool:
    """ "ok, add 100 g of sugar" once the grain is out: what the recipe did not have joins what was measured."""
    name = name_in(intent.slots["name"])
    known = find_fermentable(name)
    return batch.stage in course.ON_COURSE and known is not None and not known.mashed and not grains_named(batch.recipe, name)


def hop(turn: Turn, intent: Intent) -> None:
    """The same of an addition: its time makes it another one, "in" is not said of it by naming it while it waits."""
    batch = turn.batch
    name = name_in(intent.slots["name"]) if "name" in intent.slots else ""
    if batch is None or not name or batch.stage in recipe_amounts.MADE or intent.slots.get("told") == ["more"]:
        recipe_amounts.line(turn, intent)
        return
    mass = measured(intent.slots["mass"])
    minutes = float(intent.slots["duration_s"]) / 60 if "duration_s" in intent.slots else None
    there = [each for each in hops_named(batch.recipe, name) if not each.dry_days]
    if intent.slots.get("told") == ["corrects"] and (there or (name in _NO_NAME and batch.recipe.hops)):
        put_right(turn, batch, intent)
        return
    left = [each for each in there if not each.added_at and not each.skipped]
    if minutes is None and batch.stage in _BOILING and left:
        weighed = next((each for each in left if same_mass(each.mass, mass)), left[0])
        shown, now = wording.mass(mass.quantity, turn.state.units), hop_additions.shown(turn, weighed)
        turn.say(f"Did {shown} {weighed.name} go in? Nothing is recorded yet.")
        turn.say(f'A further addition is told like "add {shown} {weighed.name} at 10 minutes".')
        turn.offer(("it went in", f"{shown if not same_mass(weighed.mass, mass) else now.partition(' ' + weighed.name)[0]} {weighed.name} is in"), ("no", "no"))
        return
    at = 60.0 if minutes is None else minutes
    same = next((each for each in left if abs(each.boil_minutes - at) < 0.5 and same_hop(each.name, name)), None)
    if same is None:
        recipe_amounts.line(turn, intent)
        return
    when = f"at {at:.0f} minutes"
    _ask(turn, f"{same.name} {when}", same.mass, mass, f"make the {same.name} {when} {_exact(mass)}", f"add another {_exact(mass)} {same.name} {when}")


def _bare_name(name: str) -> str:
    """A malt's name without the word that many leave out: "pale" is pale malt, "crystal malt 60L" another than crystal malt."""
    return " ".join(word for word in name.casefold().split() if word not in ("malt", "malted"))


def _exact(mass: Measured) -> str:
    """A mass as it was said, so that no figure is rounded away on the way round."""
    return f"{mass.value:g} {({'kilogram': 'kg', 'gram': 'g', 'pound': 'lb', 'ounce': 'oz'}).get(mass.unit, mass.unit)}"


def _ask(turn: Turn, name: str, there: Measured, mass: Measured, instead: str, more: str) -> None:
    was, new = (wording.mass(each.quantity, turn.state.units) for each in (there, mass))
    if same_mass(there, mass):
        turn.say(f'The recipe has {was} {name} already, so nothing is changed. "{more}" adds it once more.')
        turn.offer(("once more", more))
        return
    turn.say(f"The recipe has {was} {name}. {new} instead of it, or as well? Nothing is changed yet.")
    turn.offer(("instead", instead), ("as well", more))


def put_right(turn: Turn, batch: Batch, intent: Intent) -> None:
    """ "it's only 1.5 kg of pale malt, I misread the bag", "I only put in 10 grams": the amount that went in, or goes in."""
    mass = measured(intent.slots["mass"])
    name = name_in(intent.slots["name"]) if "name" in intent.slots else ""
    hops = hops_named(batch.recipe, name) if name and name not in _NO_NAME else []
    boiled = name in ("hop", "hops") or bool(hops) or (not grains_named(batch.recipe, name) if name else batch.stage in _BOILING)
    if boiled and batch.stage in _BOILING:
        hop_additions.put_in(turn, batch, mass, intent)
        return
    slots = {key: value for key, value in intent.slots.items() if key not in ("told", "name")}
    alike = _alike(batch, mass, hops_too=name in ("", "hop", "hops"), grain_too=name not in ("hop", "hops"))
    if name and name not in _NO_NAME:
        slots["name"] = name
    elif len(alike) == 1:
        slots["name"] = alike[0]
    recipe_amounts.change(turn, intent.model_copy(update={"name": "recipe.amount", "slots": slots}))
    after = turn.batch
    if after is not None and after.recipe != batch.recipe and batch.stage == "heat":
        strike = wording.temperature(plan.strike(after.recipe, turn.state.kit), turn.state.units)
        turn.say(f"Strike: {wording.volume(plan.mash_water(after.recipe, turn.state.kit), turn.state.units)} at {strike}.")


def _alike(batch: Batch, mass: Measured, hops_too: bool, grain_too: bool) -> list[str]:
    """Names of what a mass without a name may be of: nobody misreads the scales by half."""
    low, high = mass.in_unit("gram") / FAR_OFF, mass.in_unit("gram") * FAR_OFF
    found = [name for name, amount in batch.recipe.grains if grain_too and low <= amount.in_unit("gram") <= high]
    return found + [hop.name for hop in batch.recipe.hops if hops_too and not hop.added_at and low <= hop.mass.in_unit("gram") <= high]


def _of_hops(turn: Turn, batch: Batch) -> bool:
    """Whether hops are what was told or called last."""
    label, fired = turn.state.undo[-1][0] if turn.state.undo else "", turn.state.last_fired
    if any(hop.added_at is not None and turn.now - hop.added_at <= hop_additions.SOON for hop in hop_additions.went_in(batch)):
        return True
    return any(label.startswith(f"{hop.name} in") for hop in batch.recipe.hops) or (fired is not None and fired.kind == "hop")


def put_in(turn: Turn, intent: Intent) -> None:
    """ "I only put in 10 grams": of the malt until it boils, of the hops after that."""
    if "mass" not in intent.slots:
        # "I put in twelve not ten"
        if turn.batch is not None and turn.batch.stage in _BOILING and "was" not in intent.slots and not _of_hops(turn, turn.batch):
            shown = f"{float(intent.slots['grams']):g}"
            turn.say(f"{shown} of what? Nothing is changed.", f'"only put in {shown} g of hops", or "top up with {shown} litres".')
            turn.offer((f"{shown} g of hops", f"I only put in {shown} g"), ("leave it", "leave it"))
            return
        intent = intent.model_copy(update={"slots": {**intent.slots, "mass": Measured(value=float(intent.slots["grams"]), unit="gram")}})
    if turn.batch is None or not (turn.batch.recipe.grains or turn.batch.recipe.hops):
        turn.say("There is no recipe yet, so there is no amount to put right. Nothing is recorded.")
        return
    if not recipe_amounts.made_already(turn, intent):
        put_right(turn, turn.batch, intent)


def amount(turn: Turn, intent: Intent) -> None:
    """ "make it 15 g of Fuggle at 60": in the boil of an addition that is in already, else of one that is to come."""
    batch = turn.batch
    minutes = float(intent.slots["duration_s"]) / 60 if "duration_s" in intent.slots else None
    if batch is not None and batch.stage in _BOILING and minutes is not None:
        inside = [each for each in hop_additions.went_in(batch) if abs(each.boil_minutes - minutes) < 0.5]
        left = [each for each in hop_additions.waiting(batch) if abs(each.boil_minutes - minutes) < 0.5]
        if inside and not left:
            hop_additions.put_in(turn, batch, measured(intent.slots["mass"]), intent)
            return
        if not left:
            turn.say(f"No addition at {minutes:.0f} min is planned or in. Nothing is changed.")
            return
    recipe_amounts.change(turn, intent)


HANDLERS: Handlers = {
    "recipe.amount": amount,
    "recipe.grain": grain,
    "recipe.hop": hop,
    "done.put_in": put_in,
}
