"""One amount of the recipe changed by message, what an unknown malt is like, and lines that come when the beer is made."""

from __future__ import annotations

from calc.fermentables import find_fermentable
from conversations.intents import Intent, Measured
from conversations.recipe.limits import grain_refused, hop_refused, time_refused
from conversations.session import plan, telling, wording
from conversations.session.hop_additions import same_mass
from conversations.session.predictions import counted_as_pale
from conversations.session.readings import measured
from conversations.session.recipe_edit import grains_named, hops_named, keep, name_in, planned
from conversations.session.state import Hop, Recipe
from conversations.session.turn import Handlers, Turn

ON_THE_DAY = ("mash", "drain", "top_up", "boil", "steep", "chill", "transfer", "pitch")
"""Stages in which no recipe is planned any more, and an amount that went in may still have been told wrong."""


def change(turn: Turn, intent: Intent) -> None:
    """ "12 g instead of 15 g", "make the Fuggle 12 g", "1.2 kg pale malt instead of 1 kg": the rest of it stays."""
    batch = planned(turn) if turn.batch is None or turn.batch.stage not in ON_THE_DAY else turn.batch
    if batch is None:
        return
    recipe, mass = batch.recipe, measured(intent.slots["mass"])
    name = name_in(intent.slots["name"]) if "name" in intent.slots else ""
    old = measured(intent.slots["old"]) if "old" in intent.slots else None
    if old is None and "was" in intent.slots:
        # "7 grams instead of 8": the same unit.
        old = Measured(value=float(intent.slots["was"]), unit=mass.unit)
    minutes = float(intent.slots["duration_s"]) / 60 if "duration_s" in intent.slots else None
    waiting = [hop for hop in (hops_named(recipe, name) if name else recipe.hops) if not hop.added_at]
    grains = [row for row in recipe.grains if not name or row[0] in grains_named(recipe, name)]
    if name and not waiting and not grains:
        telling_of(turn, intent)
        return
    if old is not None:
        waiting = [hop for hop in waiting if same_mass(hop.mass, old)]
        grains = [row for row in grains if same_mass(row[1], old)]
    if minutes is not None:
        timed = [hop for hop in waiting if abs(hop.boil_minutes - minutes) < 0.5]
        waiting, grains = timed or waiting, []
    if len(waiting) + len(grains) != 1:
        _which(turn, recipe, mass, waiting, grains, old)
        return
    units = turn.state.units
    shown = wording.mass(mass.quantity, units)
    if waiting:
        hop = waiting[0]
        refused = hop_refused(mass, shown, hop.name) or (time_refused(minutes, hop.name) if minutes is not None else "")
        if refused:
            turn.say(refused)
            return
        fields: dict[str, object] = {"mass": mass} | ({"boil_minutes": minutes} if minutes is not None else {})
        new = hop.model_copy(update=fields)
        hops = tuple(new if each.key == hop.key else each for each in recipe.hops)
        line = f"{shown} {hop.name} {_when(new)} instead of {wording.mass(hop.mass.quantity, units)}."
        longest = max(recipe.boil_minutes, new.boil_minutes)
        keep(turn, recipe.model_copy(update={"hops": hops, "boil_minutes": longest}), f"{shown} {hop.name}", line)
        return
    written, was = grains[0]
    if refused := grain_refused(mass, shown, written):
        turn.say(refused)
        return
    rows = tuple((grain, mass if (grain, each) == grains[0] else each) for grain, each in recipe.grains)
    line = f"{shown} {written} instead of {wording.mass(was.quantity, units)}."
    new_recipe = recipe.model_copy(update={"grains": rows})
    if recipe.efficiency is not None and batch.stage in ON_THE_DAY:
        # The same wort from other grain: what the mash gave is another share of it.
        before, after = (plan.grain_mass(each).to("kilogram").magnitude for each in (recipe, new_recipe))
        new_recipe = new_recipe.model_copy(update={"efficiency": min(1.0, recipe.efficiency * float(before) / max(0.01, float(after)))})
    keep(turn, new_recipe, f"{shown} {written}", line)


def _when(hop: Hop) -> str:
    if hop.first_wort:
        return "first wort"
    if hop.dry_days:
        return "dry"
    return f"at {hop.boil_minutes:.0f} min" if hop.boil_minutes else "at flame-out"


def telling_of(turn: Turn, intent: Intent) -> None:
    """An ingredient that the recipe does not have: nothing is guessed."""
    name = name_in(intent.slots["name"])
    shown = wording.mass(measured(intent.slots["mass"]).quantity, turn.state.units)
    turn.say(f'The recipe has no {name} yet. "add {shown} {name}" puts it in.')
    turn.offer((f"add {shown} {name}", f"add {shown} {name}"))


def _which(
    turn: Turn,
    recipe: Recipe,
    mass: Measured,
    hops: list[Hop],
    grains: list[tuple[str, Measured]],
    old: Measured | None,
) -> None:
    """Several could be meant, or none has the old amount: asked with what there is."""
    units = turn.state.units
    shown = wording.mass(mass.quantity, units)
    if not hops and not grains:
        was = wording.mass(old.quantity, units) if old is not None else "that amount"
        there = [f"{wording.mass(each.quantity, units)} {grain}" for grain, each in recipe.grains]
        there += [f"{wording.mass(hop.mass.quantity, units)} {hop.name}" for hop in recipe.hops]
        turn.say(f"Nothing in the recipe is {was}. It has {', '.join(there)}.")
        return
    ways = [(f"{hop.name} {_when(hop)}", _said(shown, hop)) for hop in hops]
    ways += [(grain, f"make the {grain} {shown}") for grain, _ in grains]
    turn.say(f"{shown} of which? {', '.join(label for label, _ in ways[:6])}.")
    turn.offer(*ways[:6])


def _said(shown: str, hop: Hop) -> str:
    at = "" if hop.dry_days or hop.first_wort else f" at {hop.boil_minutes:.0f} min"
    return f"make the {hop.name}{at} {shown}"


def alike(turn: Turn, intent: Intent) -> None:
    """ "banana malt is like crystal malt": an unknown malt gets the numbers of a known one and keeps its name."""
    batch = planned(turn)
    if batch is None:
        return
    unknown, model = name_in(intent.slots["old"]), name_in(intent.slots["new"])
    rows = grains_named(batch.recipe, unknown)
    known = find_fermentable(model)
    if not rows:
        turn.say(f"The recipe has no {unknown}.")
        return
    if known is None:
        turn.say(f'{model} is not in my list either. Pale, crystal, wheat, chocolate malt or table sugar are, among others.')
        return
    written = rows[0].partition(" (as ")[0]
    new = written if find_fermentable(written) == known else f"{written} (as {known.name})"
    grains = tuple((new if name == rows[0] else name, mass) for name, mass in batch.recipe.grains)
    keep(turn, batch.recipe.model_copy(update={"grains": grains}), f"{written} as {known.name}", f"{written}: counted as {known.name}.")


def ask_alike(turn: Turn, names: list[str]) -> None:
    """Say that an unknown malt is counted as pale malt, and ask what it is like."""
    if not names:
        return
    first = names[0]
    turn.say(f'{", ".join(names)}: not in my list, counted as pale malt for now. What is it like? "{first} is like crystal malt".')
    turn.offer(*((f"like {model}", f"{first} is like {model}") for model in ("pale malt", "crystal malt", "chocolate malt", "table sugar")))


MADE = ("ferment", "bottle", "condition")


def made_already(turn: Turn, intent: Intent) -> bool:
    """Whether a recipe line came when the beer was made: the recipe stays as it was brewed, the line is kept as a note."""
    batch = turn.batch
    if batch is None or batch.stage not in MADE:
        return False
    said = intent.text or intent.name.removeprefix("recipe.")
    turn.record("note", label="note", text=said)
    turn.say(f"{batch.name} is made, so its recipe stays. Kept as a note: {said}.")
    if "mass" in intent.slots and "name" in intent.slots:
        name = name_in(intent.slots["name"])
        known = find_fermentable(name)
        if intent.name == "recipe.grain" and known is not None and not known.mashed:
            turn.say("If it went into the fermenter it ferments too: take a gravity in two days before you think of bottling.")
        elif intent.name == "recipe.hop":
            shown = wording.mass(measured(intent.slots["mass"]).quantity, turn.state.units)
            turn.offer(("dry hops", f"{shown} {name} dry hop for 4 days"))
    turn.offer(("new batch", "new batch"), ("undo", "undo"))
    return True


def line(turn: Turn, intent: Intent) -> None:
    """One line of a recipe, where there is still one to change."""
    if made_already(turn, intent):
        return
    before = counted_as_pale(turn.batch.recipe) if turn.batch else []
    telling.recipe(turn, intent)
    if turn.batch is not None:
        ask_alike(turn, [name for name in counted_as_pale(turn.batch.recipe) if name not in before])


HANDLERS: Handlers = {"recipe.amount": change, "recipe.alike": alike, "recipe": line}
