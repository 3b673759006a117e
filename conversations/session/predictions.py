"""What a recipe should give in this kit: gravities, strength, bitterness, colour, balance, bottles."""

from __future__ import annotations

import re
from typing import NamedTuple

from calc import bitterness as table
from calc import isomerisation
from calc.alcohol import alcohol_by_volume, gravity_at_attenuation
from calc.colour import malt_colour, predicted_colour
from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from calc.history import History
from calc.hops import usual_alpha
from calc.units import Quantity, quantity
from calc.yeast import attenuation_range
from conversations.intents import Measured, UnitSystem
from conversations.recipe.words import known_grain
from conversations.session import plan
from conversations.session.fermentation import yeast_type
from conversations.session.state import Hop, Kit, Recipe

Grains = tuple[tuple[str, Measured], ...]
STEEP_MINUTES = 20.0
"""Length of the steep in stages.toml: hops at flame-out still give some bitterness while the pot cools."""
BOTTLES = {
    "metric": (quantity(500, "millilitre"), "half a litre"),
    "imperial": (quantity(500, "millilitre"), "half a litre"),
    "us": (quantity(12, "fluid_ounce"), "12 US fluid ounces"),
}
LEFT_IN_FERMENTER = 0.04
"""Share of the batch that stays under the tap with the yeast. Common practice, no source."""
HOT_POT = (quantity(20, "degC"), quantity(150, "minute"))
"""Room, and how slowly a covered pot cools by itself. From memory; this kitchen's own curve replaces it."""
_COLOUR = re.compile(r"(?P<value>\d{1,4}(?:[.,]\d)?)\s*(?P<unit>ebc|srm|°?l(?:ovibond)?)\b", re.IGNORECASE)
_COLOUR_WORDS = ((8, "straw"), (13, "gold"), (20, "amber"), (31, "copper"), (50, "brown"), (75, "dark brown"))
_BALANCE = ((0.25, "sweet"), (0.4, "malty"), (0.6, "balanced"), (0.9, "bitter"))


class Prediction(NamedTuple):
    """Numbers of a finished beer; gravities 20/20, strength percent by volume, bitterness IBU, colour EBC."""

    pre_boil: Quantity
    original: Quantity
    final_low: Quantity
    final: Quantity
    final_high: Quantity
    alcohol: Quantity
    alcohol_low: Quantity
    alcohol_high: Quantity
    bitterness: float
    colour: Quantity

    @property
    def balance(self) -> float:
        """Bitterness over gravity points: about 0.5 is what most ales have. Common practice, no source."""
        points = 1000 * (float(self.original.magnitude) - 1)
        return self.bitterness / points if points > 0 else 0.0


def alpha_of(hop: Hop) -> float:
    """Alpha acids of an addition in percent: told, else what the variety usually has."""
    if hop.alpha_percent is not None:
        return hop.alpha_percent
    return float(usual_alpha(hop.name).magnitude)


def counted_as_pale(recipe: Recipe) -> list[str]:
    """Names in the grist that the data do not know."""
    return [name for name, _ in recipe.grains if not known_grain(name)]


def sugar_share(recipe: Recipe) -> tuple[float, float]:
    """Share of the extract that comes from sugars, and the share of that which yeast can use."""
    total = sugar = usable = 0.0
    for name, mass in recipe.grains:
        entry = fermentable_or_default(name)
        kg = mass.in_unit("kilogram") * entry.extract_fraction * (plan.EFFICIENCY if entry.mashed else 1.0)
        total += kg
        if entry.fermentable is not None:
            sugar += kg
            usable += kg * entry.fermentable
    return (sugar / total, usable / sugar) if sugar > 0 and total > 0 else (0.0, 1.0)


def colour_of(name: str) -> Quantity:
    """Colour of a malt: as its name tells ("crystal malt 60L", "munich 20 EBC"), else the middle of its kind."""
    told = _COLOUR.search(name)
    if told:
        value, unit = float(told["value"].replace(",", ".")), told["unit"].lower()
        try:
            return malt_colour(value) if unit.lstrip("°").startswith("l") else quantity(value, unit)
        except OutOfRange:
            pass
    low, high = fermentable_or_default(name).colour_ebc
    return quantity((low + high) / 2, "ebc")


def colour_word(colour: Quantity) -> str:
    """A word for a beer's colour. From memory, in the order of any colour chart.

    >>> colour_word(quantity(25, "ebc"))
    'copper'
    """
    ebc = float(colour.to("ebc").magnitude)
    return next((word for limit, word in _COLOUR_WORDS if ebc < limit), "black")


def balance_word(ratio: float) -> str:
    """A word for bitterness over gravity points. Common practice, no source.

    >>> balance_word(0.5)
    'balanced'
    """
    return next((word for limit, word in _BALANCE if ratio < limit), "very bitter")


def hop_bitterness(hop: Hop, recipe: Recipe, kit: Kit, boil_minutes: float | None = None) -> float:
    """IBU in the finished beer from one addition, by the table for boiled hops and by kinetics for steeped ones.

    A dry hop counts nothing; first-wort hops count as boiled for the whole boil.
    """
    if hop.dry_days or hop.skipped:
        return 0.0
    pot = plan.after_boil_volume(recipe, kit)
    before = (
        plan.gravity_at(plan.pre_boil_volume(recipe, kit), recipe, kit) if recipe.grains else quantity(1.0, "dimensionless")
    )
    after = plan.gravity_at(pot, recipe, kit) if recipe.grains else before
    mean = quantity((float(before.magnitude) + float(after.magnitude)) / 2, "dimensionless")
    alpha = quantity(alpha_of(hop), "percent")
    minutes = boil_minutes if boil_minutes is not None else hop.boil_minutes
    minutes = recipe.boil_minutes if hop.first_wort else minutes
    if minutes > 0:
        found = table.bitterness(hop.mass.quantity, alpha, quantity(minutes, "minute"), mean, pot)
    else:
        steep = History.starting_at(quantity(98, "degC")).cooling(*HOT_POT, quantity(STEEP_MINUTES, "minute"))
        found = isomerisation.bitterness(hop.mass.quantity, alpha, steep, mean, pot)
    # Water that joins after the boil dilutes it.
    late_l = recipe.late_water.in_unit("litre") if recipe.late_water else 0.0
    return float(found.to("IBU").magnitude) * max(0.0, 1 - late_l / plan.litres(plan.batch_volume(recipe)))


def attenuation(recipe: Recipe) -> tuple[float, float, float]:
    """Apparent attenuation, low, usual and high: the yeast's on the malt, and sugars as far as they ferment."""
    share, usable = sugar_share(recipe)
    low, usual, high = (float(each.to("dimensionless").magnitude) for each in attenuation_range(yeast_type(recipe)))
    # Real extract that is all used up shows as about 1.23 of apparent attenuation (Balling's balance).
    return tuple(min(1.05, malt * (1 - share) + 1.23 * usable * share) for malt in (low, usual, high))  # type: ignore[return-value]


def predict(recipe: Recipe, kit: Kit, original: Quantity | None = None) -> Prediction:
    """Everything at once; ``original`` is a measured or wanted gravity instead of the predicted one.

    Raises:
        OutOfRange: a recipe without grain, or one that no wort can hold.

    Errors: bitterness about 20 %, colour about 15 %, final gravity as the range says.
    """
    pre_boil = plan.gravity_at(plan.pre_boil_volume(recipe, kit), recipe, kit)
    gravity = original if original is not None else plan.original_gravity(recipe, kit)
    low, usual, high = attenuation(recipe)
    driest, final, sweetest = (
        gravity_at_attenuation(gravity, quantity(100 * share, "percent")) for share in (high, usual, low)
    )
    strengths = [alcohol_by_volume(gravity, each) for each in (sweetest, final, driest)]
    hops = [hop for hop in recipe.hops if not hop.dry_days and not hop.skipped]
    ibu = sum(hop_bitterness(hop, recipe, kit) for hop in hops)
    late_l = recipe.late_water.in_unit("litre") if recipe.late_water else 0.0
    finished = quantity(plan.litres(plan.after_boil_volume(recipe, kit)) + late_l, "litre")
    colour = predicted_colour([(mass.quantity, colour_of(name)) for name, mass in recipe.grains], finished)
    return Prediction(
        pre_boil, gravity, driest, final, sweetest, strengths[1], strengths[0], strengths[2], ibu, colour
    )


def bottles(recipe: Recipe, units: UnitSystem = "metric") -> str:
    """How many full bottles the batch gives, of the size that is usual where such units are: "15 bottles of half a litre"."""
    size, words = BOTTLES[units]
    count = int(float((plan.batch_volume(recipe) / size).to("dimensionless").magnitude) * (1 - LEFT_IN_FERMENTER))
    return f"{count} bottle{'s' if count != 1 else ''} of {words}"


def times(grains: Grains, factor: float) -> Grains:
    """The same grist, more or less of it."""
    return tuple((name, mass.model_copy(update={"value": mass.value * factor})) for name, mass in grains)


def grain_for_gravity(recipe: Recipe, kit: Kit, wanted: Quantity) -> float:
    """Factor on everything fermentable that brings the original gravity to a wanted one, 0.2 to 5.

    Raises:
        OutOfRange: no factor in that range does.
    """
    low, high = 0.2, 5.0

    def gravity(factor: float) -> float:
        try:
            grown = recipe.model_copy(update={"grains": times(recipe.grains, factor)})
            return float(plan.original_gravity(grown, kit).magnitude)
        except OutOfRange:
            return 9.0

    target = float(wanted.magnitude)
    if not gravity(low) <= target <= gravity(high):
        raise OutOfRange("original_gravity", target, "dimensionless", gravity(low), min(1.3, gravity(high)))
    for _ in range(50):
        middle = (low + high) / 2
        if gravity(middle) < target:
            low = middle
        else:
            high = middle
    return (low + high) / 2
