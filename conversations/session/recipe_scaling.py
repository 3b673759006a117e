"""A recipe made larger or smaller, stronger or weaker, more or less bitter: pure, on state's own models."""

from __future__ import annotations

from calc.alcohol import alcohol_by_volume, gravity_at_attenuation
from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from conversations.intents import Measured
from conversations.session import plan
from conversations.session.predictions import attenuation, grain_for_gravity, predict, times
from conversations.session.state import Hop, Kit, Recipe

EFFICIENCY_FACTOR = (0.7, 1.45)
"""How far grain is moved to meet the gravity that a recipe names; beyond it the recipe contradicts itself."""

EACH_BOTTLE = "in each bottle"
"""Part of the name of what is told for one bottle and does not grow with the batch."""


def hops_times(hops: tuple[Hop, ...], factor: float) -> tuple[Hop, ...]:
    """The same additions, more or less of each."""
    return tuple(
        hop.model_copy(update={"mass": hop.mass.model_copy(update={"value": hop.mass.value * factor})}) for hop in hops
    )


def to_volume(recipe: Recipe, volume: Measured, kit: Kit) -> Recipe:
    """The recipe for another volume: everything in proportion, then the grain once more for the wanted gravity.

    Where no gravity is wanted, the one that the recipe gave is kept by proportion alone.
    """
    factor = volume.in_unit("litre") / plan.litres(plan.batch_volume(recipe))
    scaled = recipe.model_copy(
        update={
            "volume": volume,
            "grains": times(recipe.grains, factor),
            "hops": hops_times(recipe.hops, factor),
            "also": tuple(
                (name, mass if mass is None or EACH_BOTTLE in name else mass.model_copy(update={"value": mass.value * factor}))
                for name, mass in recipe.also
            ),
            "rinse_water": None,
            "late_water": None,
        }
    )
    return (
        to_gravity(scaled, quantity(recipe.original_gravity, "dimensionless"), kit)
        if recipe.original_gravity
        else scaled
    )


def to_gravity(recipe: Recipe, wanted: Quantity, kit: Kit) -> Recipe:
    """The same grist, as much of it as the wanted original gravity needs in this kit.

    Raises:
        OutOfRange: no sensible amount does.
    """
    if not recipe.grains:
        return recipe
    return recipe.model_copy(update={"grains": times(recipe.grains, grain_for_gravity(recipe, kit, wanted))})


def for_efficiency(recipe: Recipe, kit: Kit) -> tuple[Recipe, float]:
    """Grain for the gravity that the recipe names at this kitchen's efficiency, and the factor that it took.

    The factor is 1 where the recipe names none, and where its own numbers are too far apart to be trusted.
    """
    if recipe.original_gravity is None or not recipe.grains:
        return recipe, 1.0
    try:
        factor = grain_for_gravity(recipe, kit, quantity(recipe.original_gravity, "dimensionless"))
    except OutOfRange:
        return recipe, 1.0
    low, high = EFFICIENCY_FACTOR
    if not low <= factor <= high or abs(factor - 1) < 0.02:
        return recipe, 1.0
    return recipe.model_copy(update={"grains": times(recipe.grains, factor)}), factor


def to_strength(recipe: Recipe, percent: float, kit: Kit) -> Recipe:
    """Grain for a wanted alcohol by volume with this yeast's usual attenuation.

    Raises:
        OutOfRange: a strength outside 0.5 to 14 percent, or one that the grain cannot give.
    """
    if not 0.5 <= percent <= 14:
        raise OutOfRange("alcohol", percent, "percent", 0.5, 14)
    share = quantity(100 * attenuation(recipe)[1], "percent")
    low, high = 1.004, 1.150
    for _ in range(40):
        middle = (low + high) / 2
        original = quantity(middle, "dimensionless")
        strength = alcohol_by_volume(original, gravity_at_attenuation(original, share))
        if float(strength.to("percent").magnitude) < percent:
            low = middle
        else:
            high = middle
    wanted = quantity((low + high) / 2, "dimensionless")
    return to_gravity(recipe, wanted, kit).model_copy(update={"original_gravity": float(wanted.magnitude)})


def to_bitterness(recipe: Recipe, ibu: float, kit: Kit) -> Recipe:
    """All boiled and steeped hops in proportion, for a wanted bitterness.

    Raises:
        OutOfRange: nothing bitter in the recipe, or a bitterness outside 1 to 150 IBU.
    """
    if not 1 <= ibu <= 150:
        raise OutOfRange("bitterness", ibu, "IBU", 1, 150)
    now = predict(recipe, kit).bitterness
    if now <= 0:
        raise OutOfRange("bitterness", now, "IBU", reason="no hops that could be changed")
    changed = hops_times(recipe.hops, ibu / now)
    kept = tuple(old if old.dry_days else new for old, new in zip(recipe.hops, changed, strict=True))
    return recipe.model_copy(update={"hops": kept})
