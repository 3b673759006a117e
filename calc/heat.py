"""Heat in the mash and on the hob, by heat balance.

Water, grain, cloth bag and pot are lumps with one temperature each, and heat is counted from the
temperature at which they end up. Volumes of water are as measured cold in the jug (20 degC): hot water
takes up to 4 % more room. Specific heats are in ``data/heat_capacity.toml``.
"""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity

NO_MASS = quantity(0.0, "kilogram")
NO_LOSS = quantity(0.0, "delta_degC")
_WATER_KG_PER_L = 0.998207  # at 20 degC, Kell 1975: the jug is filled from the cold tap


def _specific_heat(material: str, argument: str) -> float:
    """Specific heat in kJ/(kg K) of a material of the data file."""
    materials = read_table("heat_capacity")["material"]
    if material not in materials:
        raise OutOfRange(argument, None, "", reason=f"must be one of {', '.join(sorted(materials))}")
    return float(materials[material]["kilojoule_per_kg_kelvin"])


def water_kj_per_k(volume_l: float) -> float:
    """Return the heat capacity of so many litres of water, measured cold."""
    return volume_l * _WATER_KG_PER_L * _specific_heat("water", "water")


def _grain_kj_per_k(grain_mass: Quantity, bag_mass: Quantity) -> float:
    grain_kg = magnitude(grain_mass, "kilogram", "grain_mass", 0.0, 1000.0)
    bag_kg = magnitude(bag_mass, "kilogram", "bag_mass", 0.0, 100.0)
    return grain_kg * _specific_heat("grain", "grain") + bag_kg * _specific_heat("bag", "bag")


def _pot_kj_per_k(pot_mass: Quantity, pot_material: str) -> float:
    pot_kg = magnitude(pot_mass, "kilogram", "pot_mass", 0.0, 500.0)
    return pot_kg * _specific_heat(pot_material, "pot_material")


def contents_kj_per_k(
    water_volume: Quantity,
    grain_mass: Quantity,
    pot_mass: Quantity,
    pot_material: str,
    argument: str = "water_volume",
) -> float:
    """Return the heat capacity of water, grain and pot together."""
    return (
        water_kj_per_k(magnitude(water_volume, "litre", argument, 1e-3, 2000.0))
        + _grain_kj_per_k(grain_mass, NO_MASS)
        + _pot_kj_per_k(pot_mass, pot_material)
    )


def strike_temperature(
    water_volume: Quantity,
    grain_mass: Quantity,
    grain_temperature: Quantity,
    mash_temperature: Quantity,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
    pot_temperature: Quantity | None = None,
    loss: Quantity = NO_LOSS,
    bag_mass: Quantity = NO_MASS,
) -> Quantity:
    """Return the temperature of the water, in degC, before the grain goes in.

    A full-volume mash passes all its water, a partial mash only the water that is in the pot.

    Args:
        water_volume: water in the pot, as measured cold; above 0 to 2000 litre.
        grain_mass: dry crushed grain, 0 to 1000 kg.
        grain_temperature: of the grain and the bag, -20 to 60 degC.
        mash_temperature: wanted after stirring in, 20 to 100 degC.
        pot_mass: mass of the pot, 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.
        pot_temperature: of a pot into which hot water is poured. None: the pot was heated together with
            the water, so it takes no heat and cools with the water instead.
        loss: fall of temperature to the room while stirring in, 0 to 20 kelvin.
        bag_mass: dry cloth bag, 0 to 100 kg.

    Raises:
        OutOfRange: an argument outside its range, or water that would have to be hotter than 100 degC
            (``mash_temperature``: use more water).

    Errors: about 1 kelvin, most of it from the grain's moisture and the heat lost to the room.
    Source: heat balance; specific heats in the data file. The handbook shortcut
    ``(0.41 / r) (T2 - T1) + T2`` is the same balance without pot, bag and loss.

    >>> strike = strike_temperature(quantity(7.5, "litre"), quantity(1.3, "kg"), quantity(20, "degC"),
    ...                             quantity(67, "degC"))
    >>> print(f"{strike:.1f}")
    70.3 degree_Celsius
    """
    hot_kj_per_k = water_kj_per_k(magnitude(water_volume, "litre", "water_volume", 1e-3, 2000.0))
    grain_kj_per_k = _grain_kj_per_k(grain_mass, bag_mass)
    pot_kj_per_k = _pot_kj_per_k(pot_mass, pot_material)
    grain_c = magnitude(grain_temperature, "degC", "grain_temperature", -20.0, 60.0)
    mash_c = magnitude(mash_temperature, "degC", "mash_temperature", 20.0, 100.0)
    mixed_c = mash_c + magnitude(loss, "delta_degC", "loss", 0.0, 20.0)
    heat_kj = grain_kj_per_k * (mixed_c - grain_c)
    if pot_temperature is None:
        hot_kj_per_k += pot_kj_per_k
    else:
        pot_c = magnitude(pot_temperature, "degC", "pot_temperature", -20.0, 110.0)
        heat_kj += pot_kj_per_k * (mixed_c - pot_c)
    strike_c = mixed_c + heat_kj / hot_kj_per_k
    if strike_c > 100.0:
        raise OutOfRange("mash_temperature", mash_c, "degC", reason="needs water hotter than 100 degC")
    return quantity(strike_c, "degC")


def mash_temperature_after(
    water_volume: Quantity,
    water_temperature: Quantity,
    grain_mass: Quantity,
    grain_temperature: Quantity,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
    pot_temperature: Quantity | None = None,
    loss: Quantity = NO_LOSS,
    bag_mass: Quantity = NO_MASS,
) -> Quantity:
    """Return where the mash settles, in degC, when grain is stirred into water: strike the other way round.

    Args:
        water_volume: water in the pot, as measured cold; above 0 to 2000 litre.
        water_temperature: before the grain goes in, 0 to 100 degC.
        grain_mass: 0 to 1000 kg.
        grain_temperature: of the grain and the bag, -20 to 60 degC.
        pot_mass: 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.
        pot_temperature: None where the pot is as hot as the water.
        loss: fall of temperature to the room while stirring in, 0 to 20 kelvin.
        bag_mass: 0 to 100 kg.

    Raises:
        OutOfRange: an argument outside its range.

    Errors and source: as :func:`strike_temperature`.

    >>> settled = mash_temperature_after(quantity(7.5, "litre"), quantity(70.3, "degC"), quantity(1.3, "kg"),
    ...                                  quantity(20, "degC"))
    >>> print(f"{settled:.1f}")
    67.0 degree_Celsius
    """
    hot_kj_per_k = water_kj_per_k(magnitude(water_volume, "litre", "water_volume", 1e-3, 2000.0))
    water_c = magnitude(water_temperature, "degC", "water_temperature", 0.0, 100.0)
    grain_kj_per_k = _grain_kj_per_k(grain_mass, bag_mass)
    grain_c = magnitude(grain_temperature, "degC", "grain_temperature", -20.0, 60.0)
    pot_kj_per_k = _pot_kj_per_k(pot_mass, pot_material)
    pot_c = (
        water_c
        if pot_temperature is None
        else magnitude(pot_temperature, "degC", "pot_temperature", -20.0, 110.0)
    )
    heat_kj = hot_kj_per_k * water_c + grain_kj_per_k * grain_c + pot_kj_per_k * pot_c
    mixed_c = heat_kj / (hot_kj_per_k + grain_kj_per_k + pot_kj_per_k)
    return quantity(mixed_c - magnitude(loss, "delta_degC", "loss", 0.0, 20.0), "degC")


def water_to_correct_mash(
    water_volume: Quantity,
    grain_mass: Quantity,
    mash_temperature: Quantity,
    target: Quantity,
    addition_temperature: Quantity,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
) -> Quantity:
    """Return how much boiling or cold water, in litre, to stir in so that the mash comes to a target.

    Args:
        water_volume: water already in the mash, as measured cold; above 0 to 2000 litre.
        grain_mass: 0 to 1000 kg.
        mash_temperature: now, 0 to 100 degC.
        target: wanted, 0 to 100 degC.
        addition_temperature: of the water to stir in, 0 to 100 degC.
        pot_mass: pot that follows the mash, 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.

    Returns:
        The addition as measured cold (what goes into the kettle); 0 where the target is met already.

    Raises:
        OutOfRange: an argument outside its range, or ``addition_temperature`` that cannot reach the target.

    Source: heat balance, as :func:`strike_temperature`.

    >>> addition = water_to_correct_mash(quantity(7.5, "litre"), quantity(1.3, "kg"), quantity(64, "degC"),
    ...                                  quantity(67, "degC"), quantity(100, "degC"))
    >>> print(f"{addition:.2f}")
    0.73 liter
    """
    mash_kj_per_k = contents_kj_per_k(water_volume, grain_mass, pot_mass, pot_material)
    mash_c = magnitude(mash_temperature, "degC", "mash_temperature", 0.0, 100.0)
    target_c = magnitude(target, "degC", "target", 0.0, 100.0)
    addition_c = magnitude(addition_temperature, "degC", "addition_temperature", 0.0, 100.0)
    missing_kj = mash_kj_per_k * (target_c - mash_c)
    if missing_kj == 0.0:
        return quantity(0.0, "litre")
    brought_kj_per_l = water_kj_per_k(1.0) * (addition_c - target_c)
    if brought_kj_per_l * missing_kj <= 0.0:
        low, high = (target_c, 100.0) if missing_kj > 0.0 else (0.0, target_c)
        raise OutOfRange("addition_temperature", addition_c, "degC", low, high, "cannot reach the target")
    return quantity(missing_kj / brought_kj_per_l, "litre")


def time_to_heat(
    volume: Quantity,
    from_temperature: Quantity,
    to_temperature: Quantity,
    power: Quantity,
    efficiency: float,
    grain_mass: Quantity = NO_MASS,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
) -> Quantity:
    """Return how long, in minute, a hob needs to heat water or mash; also the burner minutes of a correction.

    Args:
        volume: water, as measured cold; above 0 to 2000 litre.
        from_temperature: now, 0 to 100 degC.
        to_temperature: wanted, 0 to 105 degC; where it is not above ``from_temperature`` the time is 0.
        power: drawn by the hob, 10 W to 100 kW.
        efficiency: share of the power that reaches the pot's contents, 0.05 to 1. Gas about 0.4, hot plate
            about 0.6 to 0.7, induction about 0.85. Common practice, no source.
        grain_mass: grain in the pot, 0 to 1000 kg.
        pot_mass: 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: as good as ``efficiency``, which :func:`heating_efficiency` learns from one timed heating.
    Source: heat balance.

    >>> wait = time_to_heat(quantity(7.5, "litre"), quantity(15, "degC"), quantity(70.3, "degC"),
    ...                     quantity(2, "kilowatt"), 0.8)
    >>> print(f"{wait:.0f}")
    18 minute
    """
    heat_kj = _heat_kj(volume, from_temperature, to_temperature, grain_mass, pot_mass, pot_material)
    power_kw = magnitude(power, "kilowatt", "power", 0.01, 100.0)
    share = magnitude(quantity(efficiency, "dimensionless"), "dimensionless", "efficiency", 0.05, 1.0)
    return quantity(max(heat_kj, 0.0) / (power_kw * share) / 60.0, "minute")


def heating_efficiency(
    volume: Quantity,
    from_temperature: Quantity,
    to_temperature: Quantity,
    power: Quantity,
    elapsed: Quantity,
    grain_mass: Quantity = NO_MASS,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
) -> float:
    """Return the share of a hob's power that reached the contents, from one timed heating.

    Args:
        volume: water, as measured cold; above 0 to 2000 litre.
        from_temperature: at the start, 0 to 100 degC.
        to_temperature: at the end, 0 to 105 degC.
        power: drawn by the hob, 10 W to 100 kW.
        elapsed: time from start to end, 0.1 minute to 24 hour.
        grain_mass: 0 to 1000 kg.
        pot_mass: 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.

    Raises:
        OutOfRange: an argument outside its range, or ``elapsed`` too short for that power: more heat than
            the hob drew.

    Source: heat balance; the inverse of :func:`time_to_heat`.

    >>> share = heating_efficiency(quantity(7.5, "litre"), quantity(15, "degC"), quantity(70.3, "degC"),
    ...                            quantity(2, "kilowatt"), quantity(18, "minute"))
    >>> print(f"{share:.2f}")
    0.80
    """
    arrived = heat_flow(volume, from_temperature, to_temperature, elapsed, grain_mass, pot_mass, pot_material)
    share = magnitude(arrived, "kilowatt", "power") / magnitude(power, "kilowatt", "power", 0.01, 100.0)
    if share > 1.0 + 1e-9:
        raise OutOfRange("elapsed", magnitude(elapsed, "second", "elapsed"), "second", reason="is too short for that power")
    return min(share, 1.0)


def heat_flow(
    volume: Quantity,
    from_temperature: Quantity,
    to_temperature: Quantity,
    elapsed: Quantity,
    grain_mass: Quantity = NO_MASS,
    pot_mass: Quantity = NO_MASS,
    pot_material: str = "steel",
) -> Quantity:
    """Return the heat, in watt, that reached the pot's contents in one timed heating.

    Args:
        volume: water, as measured cold; above 0 to 2000 litre.
        from_temperature: at the start, 0 to 100 degC.
        to_temperature: at the end, above the start, to 105 degC.
        elapsed: 0.1 minute to 24 hour.
        grain_mass: 0 to 1000 kg.
        pot_mass: 0 to 500 kg.
        pot_material: a material of ``data/heat_capacity.toml``.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: what the pot loses on the way counts as not having arrived, so near the boil it is a little low.
    Source: heat balance.

    >>> flow = heat_flow(quantity(8, "litre"), quantity(15, "degC"), quantity(100, "degC"),
    ...                  quantity(25, "minute"))
    >>> print(f"{flow:.0f}")
    1896 watt
    """
    heat_kj = _heat_kj(volume, from_temperature, to_temperature, grain_mass, pot_mass, pot_material)
    if heat_kj <= 0.0:
        raise OutOfRange("to_temperature", None, "degC", reason="must be above from_temperature")
    return quantity(1000.0 * heat_kj / magnitude(elapsed, "second", "elapsed", 6.0, 86400.0), "watt")


def _heat_kj(
    volume: Quantity,
    from_temperature: Quantity,
    to_temperature: Quantity,
    grain_mass: Quantity,
    pot_mass: Quantity,
    pot_material: str,
) -> float:
    kj_per_k = contents_kj_per_k(volume, grain_mass, pot_mass, pot_material, "volume")
    from_c = magnitude(from_temperature, "degC", "from_temperature", 0.0, 100.0)
    return kj_per_k * (magnitude(to_temperature, "degC", "to_temperature", 0.0, 105.0) - from_c)
