"""Does a recipe fit this pot, this hob, this sachet; and what to do where it does not. Pure numbers, no words."""

from __future__ import annotations

from typing import NamedTuple

from calc.boil import highest_boil_off
from calc.density import cold_volume
from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from conversations.intents import Measured
from conversations.session import plan
from conversations.session.kit_values import capacity
from conversations.session.recipe_scaling import to_volume
from conversations.session.state import Kit, Recipe

GRAIN_L_PER_KG = 0.67
"""Room that a kilogram of grain takes in the mash. Common practice, no source: 0.65 to 0.7 l/kg."""
MASH_ROOM = 0.95
BOIL_ROOM = 0.85
"""Share of the pot that may be full: a mash wants stirring room, a boil room for the foam. Common practice."""
THINNEST = 2.5
"""Litres of water to a kilogram below which a mash in a bag cannot be stirred well. Common practice, no source."""
MASH_C, BOIL_C = 66.0, 100.0
WEAK_BOIL = 0.05
"""Share of the wort that a hob should be able to steam off in an hour. Common practice: 5 to 10 %."""
SMALLEST_L = 1.0


class Volumes(NamedTuple):
    """Litres of a brew as if all were cold (20 degC), in the order of the day."""

    mash_water: float
    rinse: float
    absorbed: float
    pre_boil: float
    boiled_off: float
    after_boil: float
    trub: float
    late: float
    fermenter: float


class Proposal(NamedTuple):
    """A way out of a pot that is too small: what to say to choose it, and the numbers it leads to."""

    kind: str
    """smaller, rinse or late."""
    litres: float


def hot(volume_l: float, temperature_c: float) -> float:
    """Litres that the stick shows at a temperature, of wort that is so many litres cold.

    >>> round(hot(10.0, 100.0), 2)
    10.42
    """
    return plan.litres(cold_volume(quantity(volume_l, "litre"), quantity(20, "degC"), quantity(temperature_c, "degC")))


def volumes(recipe: Recipe, kit: Kit) -> Volumes:
    """Every volume of the day, cold litres."""
    mash, pre = plan.litres(plan.mash_water(recipe, kit)), plan.litres(plan.pre_boil_volume(recipe, kit))
    after = plan.litres(plan.after_boil_volume(recipe, kit))
    rinse = recipe.rinse_water.in_unit("litre") if recipe.rinse_water else 0.0
    late = recipe.late_water.in_unit("litre") if recipe.late_water else 0.0
    return Volumes(
        mash_water=mash,
        rinse=rinse,
        absorbed=mash + rinse - pre,
        pre_boil=pre,
        boiled_off=pre - after,
        after_boil=after,
        trub=kit.dead_space.in_unit("litre"),
        late=late,
        fermenter=plan.litres(plan.batch_volume(recipe)),
    )


def mash_room(recipe: Recipe, kit: Kit) -> float:
    """Litres that grain and water take in the pot at mash temperature."""
    return hot(volumes(recipe, kit).mash_water, MASH_C) + GRAIN_L_PER_KG * _grain_kg(recipe)


def _grain_kg(recipe: Recipe) -> float:
    return float(plan.grain_mass(recipe).to("kilogram").magnitude)


def mash_fits(recipe: Recipe, kit: Kit) -> bool:
    """Whether grain and water go into the pot; True where its size is unknown."""
    pot = capacity(kit)
    return pot is None or mash_room(recipe, kit) <= MASH_ROOM * plan.litres(pot)


def boil_fits(recipe: Recipe, kit: Kit) -> bool:
    """Whether the wort boils without climbing out; True where the pot's size is unknown."""
    pot = capacity(kit)
    return pot is None or hot(volumes(recipe, kit).pre_boil, BOIL_C) <= BOIL_ROOM * plan.litres(pot)


def proposals(recipe: Recipe, kit: Kit) -> tuple[Proposal, ...]:
    """What makes it fit: less beer, a rinse with part of the water, water that joins after the boil."""
    if mash_fits(recipe, kit) and boil_fits(recipe, kit):
        return ()
    found: list[Proposal] = []
    if boil_fits(recipe, kit) and (litres := _least(recipe, kit, "rinse_water")) is not None:
        found.append(Proposal("rinse", litres))
    if (litres := _least(recipe, kit, "late_water")) is not None:
        found.append(Proposal("late", litres))
    smaller = _smaller(recipe, kit)
    if smaller is not None:
        found.append(Proposal("smaller", smaller))
    return tuple(found)


def _fits_with(recipe: Recipe, kit: Kit, field: str, litres: float) -> bool:
    changed = recipe.model_copy(update={field: Measured(value=litres, unit="litre")})
    return mash_fits(changed, kit) and boil_fits(changed, kit)


def _least(recipe: Recipe, kit: Kit, field: str) -> float | None:
    """The fewest litres, in tenths, held back in this way that let it fit; None where none do."""
    now = volumes(recipe, kit)
    # More than half of the beer as plain water is no longer the same brew.
    rinse = now.mash_water + now.rinse - THINNEST * _grain_kg(recipe)
    most = rinse if field == "rinse_water" else now.fermenter / 2
    tenths = 1
    while tenths / 10 <= most:
        if _fits_with(recipe, kit, field, tenths / 10):
            return tenths / 10
        tenths += 1
    return None


def _smaller(recipe: Recipe, kit: Kit) -> float | None:
    """The largest batch, in tenths of a litre, that fits as it is."""
    tenths = int(10 * plan.litres(plan.batch_volume(recipe)))
    while tenths / 10 >= SMALLEST_L:
        tenths -= 1
        try:
            fitted = to_volume(recipe, Measured(value=tenths / 10, unit="litre"), kit)
        except OutOfRange:
            continue
        if mash_fits(fitted, kit) and boil_fits(fitted, kit):
            return tenths / 10
    return None


def weak_boil(recipe: Recipe, kit: Kit) -> Quantity | None:
    """What the hob can steam off at most, litres an hour, where that is too little for this volume; None where it will do."""
    if kit.hob_power is None:
        return None
    most = highest_boil_off(kit.hob_power.quantity)
    return most if float(most.magnitude) < WEAK_BOIL * volumes(recipe, kit).pre_boil else None
