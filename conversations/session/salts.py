""" "salts": what food-grade salts and acid could do for the mash, once the tap water is known. Always optional."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from calc.mash_acidity import Grain, mash_acidity
from calc.units import quantity
from calc.water import Water, acid_mass, salt_for, with_acid, with_salt
from conversations.intents import Intent
from conversations.session import fit, plan, wording
from conversations.session.predictions import colour_of, predict
from conversations.session.state import Recipe
from conversations.session.tap_water import water_of
from conversations.session.turn import Handlers, Turn

WANTED_PH = (5.3, 5.6)
"""Of the mash, sample cooled to 20 degC. Source: brewing handbooks, 5.2 to 5.6; the low end is rarely worth acid."""
AIM_PH = 5.45
LEAST_CALCIUM = 50.0
"""mg/l that yeast and clearing like. Common practice, no source."""
ACID = "lactic acid 80 %"
MOST_ACID_ML_PER_L = 0.42
"""Above it lactic acid can be tasted: 400 mg/l is about its threshold in beer. From memory."""
BITTER_BALANCE = 0.5
_KINDS = (
    ("acid", "acidulated"),
    ("roast", "roasted"),
    ("chocolate", "roasted"),
    ("black", "roasted"),
    ("crystal", "caramel"),
    ("caramel", "caramel"),
    ("dextrin", "caramel"),
    ("flaked", "flaked"),
    ("oats", "flaked"),
    ("wheat", "wheat"),
    ("munich", "kilned"),
    ("vienna", "kilned"),
    ("amber", "kilned"),
    ("brown", "kilned"),
    ("melanoidin", "kilned"),
    ("mild", "kilned"),
)


def mash_grains(recipe: Recipe) -> list[Grain]:
    """The grist as the estimate of acidity wants it: mass, kind and colour of what is mashed."""
    found = []
    for name, mass in recipe.grains:
        entry = fermentable_or_default(name)
        if entry.mashed:
            kind = next((kind for word, kind in _KINDS if word in entry.name), "base")
            found.append(Grain(mass.quantity, kind, colour_of(name)))
    return found


def show(turn: Turn, intent: Intent) -> None:
    """Mash acidity as the water is, and the salt and acid that would mend it."""
    batch = turn.batch
    water = water_of(turn.state.kit)
    if water is None:
        turn.say(
            'I do not know your tap water, so I suggest nothing. From the supplier\'s report: "calcium 60, bicarbonate 180".'
        )
        return
    if batch is None or not mash_grains(batch.recipe):
        turn.say('I need the grain first: "1.3 kg pale malt", or paste a recipe after "recipe:".')
        return
    recipe = batch.recipe
    litres = quantity(fit.volumes(recipe, turn.state.kit).mash_water, "litre")
    grains = mash_grains(recipe)
    now = mash_acidity(grains, water, litres)
    turn.say(
        f"The mash would come to about pH {now.ph:.1f}, give or take {now.uncertainty:.1f}; {WANTED_PH[0]} to {WANTED_PH[1]} is usual."
    )
    better, advice = _salt(turn, recipe, water)
    then = mash_acidity(grains, better, litres)
    if then.ph > WANTED_PH[1]:
        advice += _acid(grains, better, plan.litres(litres), turn)
    elif then.ph < 5.2 and not advice:
        advice.append("It is on the acid side: leave the salts out, or use a little less dark malt.")
    if advice:
        turn.say("If you like, all food grade: " + "; ".join(advice) + ".")
    else:
        turn.say("Nothing needs to go in.")
    turn.working = (
        f"Residual alkalinity after Kolbach pushes against the grain's own acidity, in {wording.volume(litres, turn.state.units)} "
        "of mash water; strips or a meter in a cooled sample know better. Good beer was made without any of it."
    )


def _salt(turn: Turn, recipe: Recipe, water: Water) -> tuple[Water, list[str]]:
    """Calcium up to what yeast likes: gypsum for bitter beers, calcium chloride for soft ones."""
    there = float(water.calcium.to("milligram / litre").magnitude)
    if there >= LEAST_CALCIUM or turn.state.kit.water.calcium is None:
        return water, []
    bitter = predict(recipe, turn.state.kit).balance >= BITTER_BALANCE
    salt = "gypsum" if bitter else "calcium chloride dihydrate"
    litres = quantity(fit.volumes(recipe, turn.state.kit).mash_water, "litre")
    grams = salt_for(water, salt, "calcium", quantity(LEAST_CALCIUM, "milligram / litre"), litres)
    taste = "drier, firmer hops" if bitter else "rounder"
    name = salt.removesuffix(" dihydrate")
    return with_salt(water, salt, grams, litres), [
        f"{float(grams.to('gram').magnitude):.1f} g {name} for {LEAST_CALCIUM:.0f} mg/l of calcium ({taste})"
    ]


def _acid(grains: list[Grain], water: Water, litres: float, turn: Turn) -> list[str]:
    """Millilitres of lactic acid that bring the mash to the middle of the usual range, found by halving."""
    volume = quantity(litres, "litre")
    most = MOST_ACID_ML_PER_L * litres

    def ph(ml: float) -> float:
        grams = acid_mass(ACID, quantity(ml, "millilitre"))
        try:
            return mash_acidity(grains, with_acid(water, ACID, grams, volume), volume).ph
        except OutOfRange:
            return 0.0

    if ph(most) > AIM_PH:
        return [f"half the water bottled or boiled and decanted: acid alone ({most:.1f} ml) would be tasted"]
    low, high = 0.0, most
    for _ in range(40):
        middle = (low + high) / 2
        if ph(middle) > AIM_PH:
            low = middle
        else:
            high = middle
    turn.caution("acid")
    return [f"{high:.1f} ml {ACID} in the mash water for about pH {AIM_PH:.1f}"]


def without(turn: Turn, intent: Intent) -> None:
    """ "I don't want salts": they were only ever a suggestion."""
    turn.say("Then leave them out: nothing in the plan counts on salts or acid. Good beer was made without any.")


HANDLERS: Handlers = {"ask.salts": show, "ask.without_salts": without}
