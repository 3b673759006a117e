""" "plan" and "water": what the recipe gives in this kit, where it does not fit, every volume with its stick depth."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from conversations.intents import Intent, Measured
from conversations.session import course, fit, plan, rests, wording
from conversations.session.kit_values import capacity
from conversations.session.predictions import (
    Prediction,
    alpha_of,
    balance_word,
    bottles,
    colour_word,
    counted_as_pale,
    hop_bitterness,
    predict,
)
from conversations.session.rim import on_the_stick
from conversations.session.state import Batch, Recipe
from conversations.session.turn import Handlers, Turn
from conversations.session.yeast_in_hand import yeast_problem

WAYS_EXPECTED = "recipe.way"
"""What the chat expects while the ways out of a pot are on the table."""
NO_GRAIN = 'I need the grain first: "1.3 kg pale malt", or paste a recipe after "recipe:".'


def _batch(turn: Turn) -> Batch | None:
    """The batch with grain in it; without one the brewer is asked for it."""
    if turn.batch is None:
        turn.say('No batch is planned. Paste a recipe after "recipe:", or say "brew 8 litres of ...".')
        return None
    if not turn.batch.recipe.grains:
        turn.say(NO_GRAIN)
        return None
    return turn.batch


def numbers_line(turn: Turn, found: Prediction) -> str:
    """Gravities, strength, bitterness and colour in one line."""
    colour = (
        f"{float(found.colour.to('srm').magnitude):.0f} SRM"
        if turn.state.units == "us"
        else f"{float(found.colour.to('ebc').magnitude):.0f} EBC"
    )
    return (
        f"{wording.gravity(found.original)} to {wording.gravity(found.final)}: {_percent(found.alcohol)} % alcohol, "
        f"{found.bitterness:.0f} IBU, {colour} ({colour_word(found.colour)}), {balance_word(found.balance)}."
    )


def _with_assumed(line: str, recipe: Recipe) -> str:
    """The numbers with the alpha acids that nobody read off a packet: a fifth more or less of the bitterness hangs on them."""
    assumed = {hop.name: alpha_of(hop) for hop in recipe.hops if hop.alpha_percent is None and hop.boil_minutes > 0 and not hop.skipped}
    words = ", ".join(f"{name} {alpha:g} %" for name, alpha in list(assumed.items())[:2])
    more = " and others" if len(assumed) > 2 else ""
    return line.replace(" IBU,", f" IBU (alpha assumed: {words}{more}),", 1) if assumed else line


def _percent(value: Quantity) -> str:
    return f"{float(value.to('percent').magnitude):.1f}"


def show(turn: Turn, intent: Intent) -> None:
    """The plan in three lines: the beer, the water, and the most pressing thing that does not fit."""
    batch = _batch(turn)
    if batch is None:
        return
    recipe, kit, units = batch.recipe, turn.state.kit, turn.state.units
    try:
        if _as_it_stands(turn, batch):
            return
        found = predict(recipe, kit)
    except OutOfRange:
        grain, size = wording.mass(plan.grain_mass(recipe), units), wording.volume(plan.batch_volume(recipe), units)
        turn.say(f"{grain} of grain for {size} makes no beer: one of the two is a slip.", '"what\'s the recipe" shows it; send the line again as it should be.')
        return
    turn.say(_with_assumed(numbers_line(turn, found), recipe), _water_line(turn, recipe))
    if recipe.rests:
        turn.say(f"Mash: {rests.words(recipe, units)}, about {rests.mash_length(recipe, kit):.0f} min in all.")
    problems = [*_pot(turn, recipe), *_hob(turn, recipe), *yeast_problem(turn, recipe)]
    turn.say(*problems)
    if unknown := counted_as_pale(recipe):
        turn.say(f'Counted as pale malt: {", ".join(unknown)}. "{unknown[0]} is like crystal malt" tells better.')
    if not problems:
        turn.say(f"About {bottles(recipe, units)}." + _unknown_pot(turn))
    turn.working = _chain(turn, recipe, found)
    turn.offer(("water", "water"), ("in a glass", "show me the colour"), ("next", "next"))
    if units == "us":
        turn.working += f" {float(found.colour.to('ebc').magnitude):.0f} EBC."


def _as_it_stands(turn: Turn, batch: Batch) -> bool:
    """Once volume and gravity were read, the plan is what they lead to; False before."""
    recipe, kit = batch.recipe, turn.state.kit
    here = course.position(batch, kit, turn.now) if batch.stage in course.ON_COURSE else None
    if here is None:
        return False
    planned = course.planned_water(batch, kit, here)
    then = course.course(batch, kit, here, turn.now, water_l=planned)
    found = predict(recipe, kit, quantity(then.original, "dimensionless"))._replace(bitterness=then.bitterness)
    top = f", {_vol(turn, planned)} of top-up" if planned > 0.15 else ""
    left = f", {here.minutes_left:.0f} min of boil" if here.minutes_left else ""
    turn.say(
        _with_assumed(numbers_line(turn, found), recipe),
        f"By what was measured: {_vol(turn, here.volume_l)} at {wording.gravity(quantity(here.gravity, 'dimensionless'))} now, counted cold"
        f"{top}{left}; {_vol(turn, then.volume_l)} into the fermenter.",
        f"About {bottles(recipe, turn.state.units)}.",
    )
    turn.working = _chain(turn, recipe, found)
    turn.offer(("next", "next"))
    return True


def _unknown_pot(turn: Turn) -> str:
    return "" if capacity(turn.state.kit) is not None else ' How much does the pot hold? "pot holds 10 litres".'


def _water_line(turn: Turn, recipe: Recipe) -> str:
    kit, units = turn.state.kit, turn.state.units
    litres = fit.volumes(recipe, kit)
    strike = f" to {wording.temperature(plan.strike(recipe, kit), units)}" if _mashes(turn, recipe) else ""
    late = f"{_vol(turn, litres.late)} joins after it; " if litres.late else ""
    pre = wording.gravity(plan.gravity_at(plan.pre_boil_volume(recipe, kit), recipe, kit))
    return (
        f"{_vol(turn, litres.mash_water)} water{strike}; {_vol(turn, litres.pre_boil)} at {pre} before the boil; {late}"
        f"{_vol(turn, litres.fermenter)} into the fermenter."
    )


def _mashes(turn: Turn, recipe: Recipe) -> bool:
    return float(plan.grain_mass(recipe).magnitude) > 0


def _vol(turn: Turn, litres: float) -> str:
    return wording.volume(quantity(litres, "litre"), turn.state.units)


def _stick(turn: Turn, litres: float) -> str:
    try:
        return on_the_stick(litres, turn.state.kit, turn.state.units)
    except OutOfRange:
        return "above your marks"


def _depth(turn: Turn, litres: float) -> str:
    return _stick(turn, litres).removesuffix(" on the stick").partition(" of your pot")[0]


def _pot(turn: Turn, recipe: Recipe) -> list[str]:
    """Whether it goes into the pot, and the ways out with what each does."""
    kit = turn.state.kit
    pot = capacity(kit)
    if pot is None or (fit.mash_fits(recipe, kit) and fit.boil_fits(recipe, kit)):
        return []
    first = _too_small(turn, recipe)
    ways: list[str] = []
    offered = fit.proposals(recipe, kit)
    turn.expects, turn.question = WAYS_EXPECTED, {"ways": [[way.kind, way.litres] for way in offered]}
    for way in offered:
        litres = _vol(turn, way.litres)
        if way.kind == "smaller":
            ways.append(f"make {litres} instead")
            turn.offer((f"make {litres}", f"make it {litres}"))
        elif way.kind == "rinse":
            ways.append(f"hold {litres} back and rinse the bag with it")
            turn.offer((f"rinse with {litres}", f"rinse with {litres}"))
        else:
            ways.append(f"boil stronger and top up with {litres} after it ({_late_effect(turn, recipe, way.litres)})")
            turn.offer((f"top up later with {litres}", f"top up with {litres} after the boil"))
    return [first, "Ways out: " + "; or ".join(ways) + "." if ways else "It needs a larger pot."]


def _too_small(turn: Turn, recipe: Recipe) -> str:
    kit = turn.state.kit
    pot = _vol(turn, plan.litres(capacity(kit) or plan.batch_volume(recipe)))
    if not fit.mash_fits(recipe, kit):
        room = fit.mash_room(recipe, kit)
        stirred = ": too full to stir" if room <= plan.litres(capacity(kit) or plan.batch_volume(recipe)) else ""
        return f"Grain and water take {_vol(turn, room)}, the pot holds {pot}{stirred}."
    hot = fit.hot(fit.volumes(recipe, kit).pre_boil, fit.BOIL_C)
    return f"{_vol(turn, hot)} boiling in a pot of {pot} would climb out."


def _late_effect(turn: Turn, recipe: Recipe, litres: float) -> str:
    """What holding water back until after the boil does."""
    late = recipe.model_copy(update={"late_water": Measured(value=litres, unit="litre")})
    before, after = predict(recipe, turn.state.kit), predict(late, turn.state.kit)
    pot = plan.gravity_at(plan.after_boil_volume(late, turn.state.kit), late, turn.state.kit)
    return (
        f"{wording.gravity(pot)} in the pot, {wording.gravity(after.original)} in the end, "
        f"{after.bitterness:.0f} instead of {before.bitterness:.0f} IBU"
    )


def _hob(turn: Turn, recipe: Recipe) -> list[str]:
    most = fit.weak_boil(recipe, turn.state.kit)
    if most is None:
        return []
    return [
        f"Your hob can steam off {_vol(turn, float(most.magnitude))} an hour at most: "
        f"{_vol(turn, fit.volumes(recipe, turn.state.kit).pre_boil)} will hardly boil. Half the lid on, two pots, or less beer."
    ]


def _chain(turn: Turn, recipe: Recipe, found: Prediction) -> str:
    """Where each number comes from, for "why?"."""
    kit = turn.state.kit
    hops = "; ".join(
        f"{hop.name} {alpha_of(hop):g} %{'' if hop.alpha_percent is not None else ' (assumed)'} {hop_bitterness(hop, recipe, kit):.0f} IBU"
        for hop in recipe.hops
        if not hop.dry_days
    )
    litres = fit.volumes(recipe, kit)
    low, high = wording.gravity(found.final_low), wording.gravity(found.final_high)
    return (
        f"{plan.efficiency(turn.state.kit):.0%} of the malt's extract reaches the pot; {litres.trub:.1f} l stays with the trub. "
        f"The yeast leaves {low} to {high}, so {_percent(found.alcohol_low)} to {_percent(found.alcohol_high)} %. "
        f"Hops by the table of boiling time and gravity: {hops or 'none'}. "
        f"Bitterness over gravity points: {found.balance:.2f}."
    )


def does_not_fit(turn: Turn) -> str:
    """Why the plan does not go into this pot, in one line; empty where it does or where nothing is known of one of the two."""
    kit, recipe = turn.state.kit, turn.batch.recipe if turn.batch is not None else None
    if recipe is None or not recipe.grains:
        return ""
    try:
        return _too_small(turn, recipe) if capacity(kit) is not None and not (fit.mash_fits(recipe, kit) and fit.boil_fits(recipe, kit)) else ""
    except OutOfRange:
        return ""


def water(turn: Turn, intent: Intent) -> None:
    """Every volume of the day as litres and as stick depth, as the stick shows it at that moment."""
    batch = _batch(turn)
    if batch is None:
        return
    recipe, kit = batch.recipe, turn.state.kit
    litres = fit.volumes(recipe, kit)
    if _mashes(turn, recipe):
        turn.say(f"Mash water {_vol(turn, litres.mash_water)}, cold {_stick(turn, litres.mash_water)}.")
    if litres.rinse:
        turn.say(f"Rinse the bag with {_vol(turn, litres.rinse)}.")
    hot = fit.hot(litres.pre_boil, fit.MASH_C)
    turn.say(
        f"Before the boil {_vol(turn, litres.pre_boil)}; hot from the mash {_vol(turn, hot)}, {_depth(turn, hot)}."
    )
    hot = fit.hot(litres.after_boil, fit.BOIL_C)
    turn.say(f"At flame-out {_vol(turn, hot)} boiling, {_depth(turn, hot)}; {_vol(turn, litres.after_boil)} when cold.")
    late = f", then {_vol(turn, litres.late)} boiled and cooled water on top" if litres.late else ""
    turn.say(f"Into the fermenter {_vol(turn, litres.fermenter - litres.late)}{late}.")
    turn.working = (
        f"The grain keeps {_vol(turn, litres.absorbed)}, the boil takes {_vol(turn, litres.boiled_off)} in "
        f"{recipe.boil_minutes:.0f} min, cooling shrinks it by 4 %, {_vol(turn, litres.trub)} stays with the trub."
    )
    if kit.water.known:
        turn.offer(("salts", "salts"))


HANDLERS: Handlers = {"ask.plan": show, "ask.water": water}
