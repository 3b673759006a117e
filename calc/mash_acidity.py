"""An estimate of the acidity of the mash from the grain and the water, with how far off it may be.

Grain holds its own pH stiffly; the water's residual alkalinity (or added acid) pushes against it. The mash
comes to rest where what all grains give and take, and what the water brings, add up to nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calc.errors import OutOfRange
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity
from calc.water import Water, residual_alkalinity

UNCOLOURED = quantity(0.0, "ebc")


@dataclass(frozen=True)
class Grain:
    """One grain of the bill.

    Attributes:
        mass: 0 to 1000 kg.
        kind: a name in ``data/mash_acidity.toml``: base, wheat, kilned, caramel, roasted, flaked, acidulated.
        colour: malt colour, 0 to 2200 EBC; counts for kilned and caramel malts.
    """

    mass: Quantity
    kind: str
    colour: Quantity = UNCOLOURED


@dataclass(frozen=True)
class MashAcidity:
    """``ph`` of the mash, read cooled to 20 degC, and its standard ``uncertainty``."""

    ph: float
    uncertainty: float


def mash_acidity(grain: Sequence[Grain], water: Water, water_volume: Quantity) -> MashAcidity:
    """Return an estimate of the pH of the mash, as read in a sample cooled to 20 degC.

    Args:
        grain: the bill, one or more, with some mass.
        water: with its salts and acids in.
        water_volume: in the mash, 0 to 2000 litre.

    Raises:
        OutOfRange: an argument outside its range; a kind of grain that the data file lacks; a result outside
            pH 3.5 to 8 (``grain``), where the buffers of the data file no longer hold.

    Errors: the standard uncertainty comes with the result: 0.15 from the grain, and 30 % of the shift by
    the water. Strips cannot do better; a meter can.
    Source: linear buffers, residual alkalinity after Kolbach (1953); numbers of the grains from memory.

    >>> tap = Water(calcium=quantity(70, "mg/l"), bicarbonate=quantity(122, "mg/l"))
    >>> mash = mash_acidity([Grain(quantity(1.3, "kg"), "base")], tap, quantity(7.5, "litre"))
    >>> print(f"{mash.ph:.2f} give or take {mash.uncertainty:.2f}")
    5.87 give or take 0.15
    """
    data = read_table("mash_acidity")
    buffer_sum = acid_sum = 0.0
    for part in grain:
        if part.kind not in data["grain"]:
            raise OutOfRange("grain", None, "", reason=f"must be one of {', '.join(data['grain'])}")
        entry = data["grain"][part.kind]
        mass_kg = magnitude(part.mass, "kilogram", "grain", 0.0, 1000.0)
        lovibond = (magnitude(part.colour, "srm", "grain", 0.0, 1200.0) + 0.76) / 1.3546
        lovibond = min(lovibond, float(entry.get("lovibond_limit", lovibond)))
        buffer = mass_kg * float(entry["buffer"])
        buffer_sum += buffer
        acid_sum += buffer * (float(entry["ph"]) + float(entry["per_lovibond"]) * lovibond)
    if buffer_sum <= 0.0:
        raise OutOfRange("grain", 0.0, "kilogram", reason="has no mass")
    volume_l = magnitude(water_volume, "litre", "water_volume", 0.0, 2000.0)
    pushed = magnitude(residual_alkalinity(water), "millimole/litre", "water") * volume_l / buffer_sum
    ph = acid_sum / buffer_sum + pushed
    if not 3.5 <= ph <= 8.0:
        raise OutOfRange("grain", ph, "", 3.5, 8.0, "gives a mash acidity that no mash has")
    return MashAcidity(ph, float((float(data["uncertainty_ph"]) ** 2 + (0.3 * pushed) ** 2) ** 0.5))
