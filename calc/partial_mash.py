"""A mash in part of the water: what it needs, and where it comes to when the rest of the water joins it.

The same heat balance as in :mod:`calc.heat`, taken twice.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.errors import OutOfRange
from calc.heat import NO_MASS, contents_kj_per_k, strike_temperature, water_kj_per_k
from calc.units import Quantity, magnitude, quantity


@dataclass(frozen=True)
class PartialMash:
    """Water and temperatures of a mash that holds some of its water back.

    Attributes:
        mash_water: to heat for the mash, in litre as measured cold.
        strike_temperature: of that water before the grain goes in, in degC.
        held_back_water: to add afterwards, in litre as measured cold.
        joined_temperature: of the whole once the held-back water is in, in degC.
    """

    mash_water: Quantity
    strike_temperature: Quantity
    held_back_water: Quantity
    joined_temperature: Quantity


def partial_mash(
    total_water: Quantity,
    grain_mass: Quantity,
    thickness: Quantity,
    grain_temperature: Quantity,
    mash_temperature: Quantity,
    held_back_temperature: Quantity,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
) -> PartialMash:
    """Share the water out between the mash and a later addition, and give both temperatures.

    Args:
        total_water: as measured cold; above 0 to 2000 litre.
        grain_mass: above 0 to 1000 kg.
        thickness: water to grain in the mash, 1 to 20 litre/kg.
        grain_temperature: -20 to 60 degC.
        mash_temperature: wanted, 20 to 100 degC.
        held_back_temperature: of the water that joins after the mash, 0 to 100 degC.
        pot_mass: heated together with the water, 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.

    Raises:
        OutOfRange: an argument outside its range, or a ``thickness`` that needs more than the total water.

    Source: heat balance, as :func:`calc.heat.strike_temperature`. No heat is lost during the mash.

    >>> p = partial_mash(quantity(8, "litre"), quantity(1.3, "kg"), quantity(3, "litre/kg"),
    ...                  quantity(20, "degC"), quantity(67, "degC"), quantity(80, "degC"))
    >>> print(f"{p.mash_water:.1f} at {p.strike_temperature:.1f}, then {p.joined_temperature:.1f}")
    3.9 liter at 73.4 degree_Celsius, then 73.2 degree_Celsius
    """
    total_l = magnitude(total_water, "litre", "total_water", 1e-3, 2000.0)
    grain_kg = magnitude(grain_mass, "kilogram", "grain_mass", 1e-3, 1000.0)
    thickness_l_per_kg = magnitude(thickness, "litre/kilogram", "thickness", 1.0, 20.0)
    mash_l = grain_kg * thickness_l_per_kg
    if mash_l > total_l:
        most = total_l / grain_kg
        reason = "needs more than the total water"
        raise OutOfRange("thickness", thickness_l_per_kg, "litre/kilogram", 1.0, most, reason)
    mash_water = quantity(mash_l, "litre")
    held_l = total_l - mash_l
    return PartialMash(
        mash_water=mash_water,
        strike_temperature=strike_temperature(
            mash_water, grain_mass, grain_temperature, mash_temperature, pot_mass, pot_material
        ),
        held_back_water=quantity(held_l, "litre"),
        joined_temperature=joined_temperature(
            mash_water,
            grain_mass,
            mash_temperature,
            quantity(held_l, "litre"),
            held_back_temperature,
            pot_mass,
            pot_material,
        ),
    )


def joined_temperature(
    water_volume: Quantity,
    grain_mass: Quantity,
    mash_temperature: Quantity,
    addition_volume: Quantity,
    addition_temperature: Quantity,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
) -> Quantity:
    """Return the temperature, in degC, of a mash after more water has been stirred in.

    Args:
        water_volume: in the mash, as measured cold; above 0 to 2000 litre.
        grain_mass: 0 to 1000 kg.
        mash_temperature: of water, grain and pot, 0 to 100 degC.
        addition_volume: as measured cold, 0 to 2000 litre.
        addition_temperature: 0 to 100 degC.
        pot_mass: 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.

    Raises:
        OutOfRange: an argument outside its range.

    Source: heat balance; the inverse of :func:`calc.heat.water_to_correct_mash`.

    >>> joined = joined_temperature(quantity(7.5, "litre"), quantity(1.3, "kg"), quantity(64, "degC"),
    ...                             quantity(0.73, "litre"), quantity(100, "degC"))
    >>> print(f"{joined:.1f}")
    67.0 degree_Celsius
    """
    mash_kj_per_k = contents_kj_per_k(water_volume, grain_mass, pot_mass, pot_material)
    mash_c = magnitude(mash_temperature, "degC", "mash_temperature", 0.0, 100.0)
    addition_kj_per_k = water_kj_per_k(magnitude(addition_volume, "litre", "addition_volume", 0.0, 2000.0))
    addition_c = magnitude(addition_temperature, "degC", "addition_temperature", 0.0, 100.0)
    heat_kj = mash_kj_per_k * mash_c + addition_kj_per_k * addition_c
    return quantity(heat_kj / (mash_kj_per_k + addition_kj_per_k), "degC")
