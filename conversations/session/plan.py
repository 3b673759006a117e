"""Volumes, temperatures and gravity of the day, worked out from recipe and kit."""

from __future__ import annotations

from calc.dipstick import depth_from_marks, depth_from_volume, volume_from_depth, volume_from_marks
from calc.extract import absorbed_water, expected_gravity
from calc.fermentables import fermentable_or_default
from calc.heat import strike_temperature
from calc.units import Quantity, quantity
from conversations.intents import Measured
from conversations.session.joined_since import carried_on
from conversations.session.state import Batch, Kit, Reading, Recipe

EFFICIENCY = 0.72
"""Extract in the kettle of what the malt holds, until this kitchen's batches say otherwise: common practice."""
_BEFORE_BOIL = ("heat", "mash", "drain", "top_up")
_AFTER_BOIL = ("transfer", "pitch", "ferment", "bottle", "condition")
DEFAULT_VOLUME = quantity(5.0, "litre")


def volume_of_depth(depth: Quantity, kit: Kit) -> Quantity:
    """Litres in the pot at a stick depth, by the person's marks where there are any."""
    if len(kit.marks) >= 2:
        return volume_from_marks(depth, [(mark[0].quantity, mark[1].quantity) for mark in kit.marks])
    return volume_from_depth(depth, kit.pot_diameter.quantity)


def depth_of_volume(volume: Quantity, kit: Kit) -> Quantity:
    """Stick depth of a volume in the pot."""
    if len(kit.marks) >= 2:
        return depth_from_marks(volume, [(mark[0].quantity, mark[1].quantity) for mark in kit.marks])
    return depth_from_volume(volume, kit.pot_diameter.quantity)


def grain_mass(recipe: Recipe) -> Quantity:
    """All grain that is mashed; sugars and malt extracts dissolve in the boil and hold no water back."""
    mashed = (mass for name, mass in recipe.grains if fermentable_or_default(name).mashed)
    return quantity(sum(mass.in_unit("kilogram") for mass in mashed), "kilogram")


def batch_volume(recipe: Recipe) -> Quantity:
    """Cold volume wanted in the fermenter."""
    return recipe.volume.quantity if recipe.volume else DEFAULT_VOLUME


def litres(value: Quantity) -> float:
    """A volume as a bare number of litres."""
    return float(value.to("litre").magnitude)


def _litres(value: Measured | None) -> float:
    return value.in_unit("litre") if value is not None else 0.0


def after_boil_volume(recipe: Recipe, kit: Kit) -> Quantity:
    """Cold wort in the pot at the end of the boil: the batch and what stays behind with the trub."""
    batch_l = float(batch_volume(recipe).to("litre").magnitude)
    return quantity(batch_l + _litres(kit.dead_space) - _litres(recipe.late_water), "litre")


def pre_boil_volume(recipe: Recipe, kit: Kit) -> Quantity:
    """Wort in the pot before the boil, as if cold: what is left after it plus what the boil takes away."""
    boiled = kit.boil_off.in_unit("litre / hour") * recipe.boil_minutes / 60
    return quantity(float(after_boil_volume(recipe, kit).magnitude) + boiled, "litre")


def efficiency(kit: Kit | None) -> float:
    """Share of the malt's extract that reaches the pot: this kitchen's own where it is known."""
    return EFFICIENCY if kit is None or kit.efficiency is None else kit.efficiency


def absorption_per_kg(kit: Kit) -> float:
    """Water that stays in a kilogram of grain, litres: this kitchen's own where it is known."""
    if kit.absorption is not None:
        return kit.absorption.in_unit("litre")
    return float(absorbed_water(quantity(1.0, "kilogram"), squeezed=kit.squeezes).to("litre").magnitude)


def mash_water(recipe: Recipe, kit: Kit) -> Quantity:
    """Water in the mash: pre-boil volume plus what the bag keeps, less what rinses it."""
    kept = absorption_per_kg(kit) * float(grain_mass(recipe).to("kilogram").magnitude)
    return quantity(litres(pre_boil_volume(recipe, kit)) + kept - _litres(recipe.rinse_water), "litre")


def drained_volume(batch: Batch, kit: Kit) -> Quantity | None:
    """What the bag gives of the water that really is in the mash, cold; None where nobody knows how much that is."""
    if batch.mash_water is None:
        return None
    kept = absorption_per_kg(kit) * float(grain_mass(batch.recipe).to("kilogram").magnitude)
    drained = batch.mash_water.in_unit("litre") + _litres(batch.recipe.rinse_water) - kept
    return quantity(drained, "litre") if drained > 0 else None


def first_rest(recipe: Recipe) -> Measured:
    """The temperature that the strike water has to give."""
    return recipe.rests[0].temperature if recipe.rests else recipe.mash_temperature


def strike(recipe: Recipe, kit: Kit, target: Quantity | None = None) -> Quantity:
    """Temperature to heat the water to; OutOfRange where the mash would need boiling water."""
    return strike_temperature(
        mash_water(recipe, kit),
        grain_mass(recipe),
        kit.grain_temperature.quantity,
        target if target is not None else first_rest(recipe).quantity,
        pot_mass=kit.pot_mass.quantity,
        pot_material=kit.pot_material,
    )


def gravity_at(volume: Quantity, recipe: Recipe, kit: Kit | None = None) -> Quantity:
    """Expected gravity when the extract of the mash fills this volume, at this kit's efficiency."""
    share = efficiency(kit) if recipe.efficiency is None else recipe.efficiency
    return expected_gravity([(name, mass.quantity) for name, mass in recipe.grains], volume, share)


def original_gravity(recipe: Recipe, kit: Kit) -> Quantity:
    """Expected gravity in the fermenter: the pot's wort less what stays with the trub, and water that joins late."""
    pot_l = float(after_boil_volume(recipe, kit).magnitude)
    batch_l = float(batch_volume(recipe).to("litre").magnitude)
    # The extract that goes over is spread over the whole batch, late water included.
    over_l = pot_l - _litres(kit.dead_space)
    return gravity_at(quantity(pot_l * batch_l / over_l, "litre"), recipe, kit) if over_l > 0 else quantity(1.0, "dimensionless")


def _of_before_the_boil(batch: Batch, reading: Reading) -> bool:
    """Whether a reading is of the wort before its boil, and that is over: neither its litres nor its gravity are there any more."""
    return batch.stage in _AFTER_BOIL and reading.stage in _BEFORE_BOIL


def volume_now(batch: Batch) -> Quantity | None:
    """The last measured volume, and the water that was said to join it since; None where it was boiled since."""
    added = 0.0
    for reading in reversed(batch.readings):
        if reading.kind == "water":
            added += reading.value.in_unit("litre")
        measured = reading.value if reading.kind == "volume" else reading.corrected
        if reading.kind in ("volume", "depth") and measured is not None:
            if _of_before_the_boil(batch, reading):
                return None
            return quantity(measured.in_unit("litre") + added, "litre")
    return None


def gravities(batch: Batch, *stages: str) -> list[Quantity]:
    """Gravities of the batch in order, temperature corrected; of these stages only, where any are named.

    The newest counts with the water and the malt extract that joined since.
    """
    found = [each for each in batch.readings if each.kind == "gravity" and (not stages or each.stage in stages)]
    return [*(each.best for each in found[:-1]), *(carried_on(batch, each) for each in found[-1:])]


def gravity_now(batch: Batch) -> Quantity | None:
    """The last gravity, temperature corrected, with what joined since; None where it was boiled since."""
    last = next((each for each in reversed(batch.readings) if each.kind == "gravity"), None)
    return None if last is None or _of_before_the_boil(batch, last) else carried_on(batch, last)
