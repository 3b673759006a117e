"""A gravity carried on past the water and the malt extract that joined the wort after it was read."""

from __future__ import annotations

from calc.density import cold_volume, extract_mass
from calc.errors import OutOfRange
from calc.fermentables import fermentable_or_default
from calc.sucrose import fraction_from_concentration, gravity_from_fraction
from calc.units import Quantity, quantity
from conversations.session.state import Batch, Reading

MALT_EXTRACT = "dried malt extract"
EXTRACT_L_PER_KG = 0.62
"""Room that a kilogram of dissolved extract takes: 1 / 1.6 kg/l, density of sugar in solution."""
READ_AT_C = {"drain": 65.0, "top_up": 65.0, "boil": 100.0, "steep": 95.0}
"""Temperature at which the pot is read at each stage, so that litres can be compared cold. Common practice."""
_AFTER_BOIL = ("steep", "chill", "transfer", "pitch")
_BEER = ("ferment", "bottle", "condition")


def cold_litres(reading: Reading) -> float | None:
    """A volume or depth reading as litres at 20 degC, by the stage at which it was read; None for other readings."""
    value = reading.value if reading.kind == "volume" else reading.corrected
    if reading.kind not in ("volume", "depth") or value is None:
        return None
    at_c = READ_AT_C.get(reading.stage, 20.0)
    return float(cold_volume(value.quantity, quantity(at_c, "degC")).to("litre").magnitude)


def gravity_of(extract_kg: float, volume_l: float) -> float:
    """Gravity of so much extract in so many litres of wort."""
    return float(gravity_from_fraction(fraction_from_concentration(1000 * extract_kg / volume_l)))


def extract_kg(volume_l: float, gravity: float) -> float:
    """Extract in so many litres of wort of a gravity."""
    return float(extract_mass(quantity(volume_l, "litre"), quantity(gravity, "dimensionless")).to("kilogram").magnitude)


def joined(reading: Reading) -> str:
    """Name of the fermentable that joined the wort."""
    return reading.of or MALT_EXTRACT


def share_of(name: str) -> float:
    """Extract in a kilogram of a sugar or of malt extract."""
    return fermentable_or_default(name).extract_fraction


def carried_on(batch: Batch, reading: Reading) -> Quantity:
    """A gravity as it is after what joined since; as it was read where nothing did, or nobody knows in how many litres."""
    if reading.stage in _BEER:
        return reading.best
    later: list[Reading] = []
    for each in reversed(batch.readings):
        if each.id == reading.id:
            break
        if each.stage not in _BEER:
            later.insert(0, each)
    if not any(each.kind in ("water", "extract") for each in later):
        return reading.best
    volume = _litres_read_in(batch, reading, later)
    if volume is None:
        return reading.best
    gravity = float(reading.best.magnitude)
    try:
        for each in later:
            if each.kind in ("water", "extract"):
                held = extract_kg(volume, gravity)
                if each.kind == "water":
                    volume += each.value.in_unit("litre")
                else:
                    held += each.value.in_unit("kilogram") * share_of(joined(each))
                    volume += each.value.in_unit("kilogram") * EXTRACT_L_PER_KG
                gravity = gravity_of(held, volume)
            elif (litres := cold_litres(each)) is not None:
                volume = litres
    except OutOfRange:
        return reading.best
    return quantity(gravity, "dimensionless")


def _litres_read_in(batch: Batch, reading: Reading, later: list[Reading]) -> float | None:
    """Litres of the wort that a gravity was read in: told before it, else after it, less what joined in between."""
    before = [each for each in batch.readings if each.at <= reading.at and each not in later and cold_litres(each) is not None]
    if reading.stage in _AFTER_BOIL:
        # Litres of before the boil are not there any more.
        before = [each for each in before if each.stage in _AFTER_BOIL]
    if before:
        return cold_litres(before[-1])
    added = 0.0
    for each in later:
        if each.kind == "water":
            added += each.value.in_unit("litre")
        elif (litres := cold_litres(each)) is not None and litres > added:
            return litres - added
    return batch.recipe.volume.in_unit("litre") if batch.recipe.volume is not None else None
