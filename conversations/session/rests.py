"""The rests of a mash in their order: when each begins, how long the pot takes to climb to it, which one it is now."""

from __future__ import annotations

from typing import NamedTuple

from calc.errors import OutOfRange
from calc.heat import time_to_heat
from conversations.intents import Measured, UnitSystem
from conversations.recipe.recipe_text import RecipeText
from conversations.session import plan, wording
from conversations.session.kit_values import hob
from conversations.session.state import Kit, Recipe, Rest

GENTLY = 0.5
"""Share of the hob that a bag on the bottom bears while it is stirred. Common practice, no source."""
SHORT = 10.0
"""Minutes of a rest, other than the main one, whose length was not told."""
CLIMB = 1.0
"""Minutes for a degree where the hob's heat cannot be worked out. Common practice, no source."""


class Step(NamedTuple):
    """A rest in minutes since the grain went in; the climb to it ends where it begins."""

    rest: Rest
    climb: float
    begins: float
    ends: float


def steps(recipe: Recipe, kit: Kit) -> tuple[Step, ...]:
    """All rests of the mash with their times; one where the recipe has no others."""
    found: list[Step] = []
    now = 0.0
    for rest in recipe.rests or (Rest(temperature=recipe.mash_temperature, minutes=recipe.mash_minutes),):
        climb = _climb(recipe, kit, found[-1].rest.temperature, rest.temperature) if found else 0.0
        found.append(Step(rest, climb, now + climb, now + climb + rest.minutes))
        now = found[-1].ends
    return tuple(found)


def _climb(recipe: Recipe, kit: Kit, low: Measured, high: Measured) -> float:
    degrees = high.in_unit("degC") - low.in_unit("degC")
    if degrees <= 0:
        return 0.0
    try:
        water, grain = plan.mash_water(recipe, kit), plan.grain_mass(recipe)
        pot = kit.pot_mass.quantity
        taken = time_to_heat(water, low.quantity, high.quantity, hob(kit), GENTLY, grain, pot, kit.pot_material)
        return max(1.0, float(round(taken.to("minute").magnitude)))
    except OutOfRange:
        return CLIMB * degrees


def mash_length(recipe: Recipe, kit: Kit) -> float:
    """Minutes from grain in to bag out."""
    return steps(recipe, kit)[-1].ends


def rest_at(recipe: Recipe, kit: Kit, minutes: float) -> Rest:
    """The rest that the pot is at, or climbs to, so many minutes after the grain went in."""
    row = steps(recipe, kit)
    return next((step.rest for step in row if minutes <= step.ends), row[-1].rest)


def words(recipe: Recipe, units: UnitSystem) -> str:
    """ "15 min at 52 °C, 45 min at 64 °C (main)": every rest."""
    shown = []
    for rest in recipe.rests:
        main = " (main)" if rest.temperature == recipe.mash_temperature and rest.minutes == recipe.mash_minutes else ""
        shown.append(f"{rest.minutes:.0f} min at {wording.temperature(rest.temperature.quantity, units)}{main}")
    return ", ".join(shown)


def read_rests(read: RecipeText, main_minutes: float) -> tuple[Rest, ...]:
    """The rests of a text; one without a length gets the main one's where it is that, else a short one."""
    found = []
    for temperature, minutes in read.rests:
        is_main = temperature == read.mash_temperature
        found.append(Rest(temperature=temperature, minutes=minutes or (main_minutes if is_main else SHORT)))
    return tuple(found)
