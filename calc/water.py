"""Brewing water: what is dissolved in it, what salts, acids and mixing change, hardness and alkalinity.

Ions are in milligram per litre. Hardness and alkalinity are in millimole of charge per litre ("equivalents"),
the one scale on which they can be subtracted; :func:`in_hardness_unit` gives the traditional ones.
Salts, acids and their molar masses are in ``data/water_salts.toml``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from calc.errors import OutOfRange
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity

IONS = ("calcium", "magnesium", "sodium", "sulphate", "chloride", "bicarbonate")
NONE = quantity(0.0, "milligram/litre")
NO_ACID = quantity(0.0, "millimole/litre")
MASH_PH = 5.4

_CACO3_MG_PER_EQUIVALENT = 50.043
# Equivalents (mmol of charge per litre) in one traditional unit.
# Source: DIN 38409-6 and the definitions: 10 mg CaO, 10 mg CaCO3 per litre, 1 grain CaCO3 per gallon.
_HARDNESS_UNITS = {
    "mmol/l": 1.0,
    "mg/l CaCO3": 1.0 / _CACO3_MG_PER_EQUIVALENT,
    "German degree": 10.0 / 28.039,
    "French degree": 10.0 / _CACO3_MG_PER_EQUIVALENT,
    "English degree": 64.79891 / 4.54609 / _CACO3_MG_PER_EQUIVALENT,
    "grain per US gallon": 64.79891 / 3.785411784 / _CACO3_MG_PER_EQUIVALENT,
}


@dataclass(frozen=True)
class Water:
    """Ions in mg/l, and acid added beyond what is counted in them, in millimole of charge per litre.

    >>> print(Water(calcium=quantity(60, "mg/l")).calcium)
    60 milligram / liter
    """

    calcium: Quantity = NONE
    magnesium: Quantity = NONE
    sodium: Quantity = NONE
    sulphate: Quantity = NONE
    chloride: Quantity = NONE
    bicarbonate: Quantity = NONE
    acid: Quantity = NO_ACID


LOW_MINERAL = Water()
"""Distilled, demineralised or reverse-osmosis water, taken as free of ions."""


def _mg_per_l(water: Water, ion: str) -> float:
    return magnitude(getattr(water, ion), "milligram/litre", ion, 0.0, 50000.0)


def _acid_mmol_per_l(water: Water) -> float:
    return magnitude(water.acid, "millimole/litre", "acid", 0.0, 1000.0)


def _entry(kind: str, name: str, argument: str) -> dict[str, Any]:
    entries: dict[str, dict[str, Any]] = read_table("water_salts")[kind]
    if name not in entries:
        raise OutOfRange(argument, None, "", reason=f"must be one of {', '.join(entries)}")
    return entries[name]


def _equivalents(water: Water, ion: str) -> float:
    """Millimole of charge per litre, without sign."""
    data = _entry("ion", ion, "ion")
    return _mg_per_l(water, ion) / float(data["molar_mass"]) * abs(int(data["charge"]))


def ions_of_salt(salt: str, mass: Quantity, volume: Quantity) -> Water:
    """Return what a salt alone gives to a volume of ion-free water.

    Args:
        salt: a name in ``data/water_salts.toml``, such as ``gypsum`` or ``calcium chloride dihydrate``.
        mass: 0 to 10 kg.
        volume: 0.01 to 10000 litre.

    Raises:
        OutOfRange: an argument outside its range, or a salt that the data file does not have.

    Errors: stoichiometry is exact; calcium chloride draws water from the air, up to 20 % of its mass.
    Source: molar masses by IUPAC atomic weights.

    >>> water = ions_of_salt("gypsum", quantity(1, "gram"), quantity(10, "litre"))
    >>> print(f"{water.calcium.magnitude:.1f} {water.sulphate.magnitude:.1f}")
    23.3 55.8
    """
    data = _entry("salt", salt, "salt")
    mass_mg = magnitude(mass, "milligram", "mass", 0.0, 1e7)
    mmol_per_l = mass_mg / float(data["molar_mass"]) / magnitude(volume, "litre", "volume", 0.01, 10000.0)
    return Water(
        **{
            ion: quantity(
                count * mmol_per_l * float(_entry("ion", ion, "ion")["molar_mass"]), "milligram/litre"
            )
            for ion, count in data["ions"].items()
        }
    )


def with_salt(water: Water, salt: str, mass: Quantity, volume: Quantity) -> Water:
    """Return the water with a salt dissolved in it; arguments and errors as :func:`ions_of_salt`.

    >>> soft = with_salt(LOW_MINERAL, "table salt", quantity(1, "gram"), quantity(10, "litre"))
    >>> print(f"{soft.sodium.magnitude:.1f} {soft.chloride.magnitude:.1f}")
    39.3 60.7
    """
    added = ions_of_salt(salt, mass, volume)
    return replace(
        water,
        **{ion: quantity(_mg_per_l(water, ion) + _mg_per_l(added, ion), "milligram/litre") for ion in IONS},
    )


def salt_for(water: Water, salt: str, ion: str, target: Quantity, volume: Quantity) -> Quantity:
    """Return how much of a salt, in gram, brings one ion up to a target.

    Args:
        water: to start from.
        salt: a name in the data file that holds the ion.
        ion: ``calcium``, ``magnesium``, ``sodium``, ``sulphate``, ``chloride`` or ``bicarbonate``.
        target: wanted concentration, 0 to 5000 mg/l, not below what is there.
        volume: 0.01 to 10000 litre.

    Raises:
        OutOfRange: an argument outside its range; a salt without that ion; a ``target`` below what is there.

    Source: as :func:`ions_of_salt`.

    >>> print(f"{salt_for(LOW_MINERAL, 'gypsum', 'calcium', quantity(50, 'mg/l'), quantity(8, 'litre')):.2f}")
    1.72 gram
    """
    if ion not in IONS:
        raise OutOfRange("ion", None, "", reason=f"must be one of {', '.join(IONS)}")
    if ion not in _entry("salt", salt, "salt")["ions"]:
        raise OutOfRange("salt", None, "", reason=f"{salt} gives no {ion}")
    there = _mg_per_l(water, ion)
    wanted = magnitude(target, "milligram/litre", "target", there, 5000.0)
    per_gram = _mg_per_l(ions_of_salt(salt, quantity(1.0, "gram"), volume), ion)
    return quantity((wanted - there) / per_gram, "gram")


def acid_strength(acid: str, ph: float = MASH_PH) -> Quantity:
    """Return the millimoles of charge that a gram of acid, as sold, gives off by the time of a mash pH.

    Args:
        acid: a name in ``data/water_salts.toml``, such as ``lactic acid 80 %``.
        ph: 3 to 9, usually that of the mash.

    Raises:
        OutOfRange: an argument outside its range, or an acid that the data file does not have.

    Errors: 2 % by the constants at 25 degC.
    Source: dissociation equilibria; constants in the data file.

    >>> print(f"{acid_strength('lactic acid 80 %'):.2f}")
    8.63 millimole / gram
    """
    data = _entry("acid", acid, "acid")
    at_ph = magnitude(quantity(ph, "dimensionless"), "dimensionless", "ph", 3.0, 9.0)
    # Population of each state of dissociation, relative to the undissociated acid.
    weight, total, given = 1.0, 1.0, 0.0
    for step, pk in enumerate(data["pk"], start=1):
        weight *= 10.0 ** (at_ph - float(pk))
        total += weight
        given += step * weight
    per_mole = given / total
    return quantity(
        1000.0 * float(data["mass_fraction"]) / float(data["molar_mass"]) * per_mole, "millimole/gram"
    )


def acid_mass(acid: str, volume_of_acid: Quantity) -> Quantity:
    """Return the mass, in gram, of a measured volume of acid as sold, 0 to 10 litre.

    Raises:
        OutOfRange: ``volume_of_acid`` outside its range, or an acid that the data file does not have.

    >>> print(acid_mass("lactic acid 80 %", quantity(2, "millilitre")))
    2.38 gram
    """
    data = _entry("acid", acid, "acid")
    volume_ml = magnitude(volume_of_acid, "millilitre", "volume_of_acid", 0.0, 10000.0)
    return quantity(volume_ml * float(data["density"]), "gram")


def with_acid(water: Water, acid: str, mass: Quantity, volume: Quantity, ph: float = MASH_PH) -> Water:
    """Return the water with an acid in it; the alkalinity falls by the acid and may go below zero.

    Args:
        water: to start from.
        acid: a name in the data file.
        mass: of the acid as sold, 0 to 10 kg.
        volume: of the water, 0.01 to 10000 litre.
        ph: at which the acid ends up, 3 to 9.

    Raises:
        OutOfRange: an argument outside its range, or an acid that the data file does not have.

    Errors and source: as :func:`acid_strength`.

    >>> hard = Water(bicarbonate=quantity(200, "mg/l"))
    >>> mild = with_acid(hard, "lactic acid 80 %", quantity(3, "gram"), quantity(10, "litre"))
    >>> print(f"{alkalinity(hard):.2f}, {alkalinity(mild):.2f}")
    3.28 millimole / liter, 0.69 millimole / liter
    """
    mass_g = magnitude(mass, "gram", "mass", 0.0, 10000.0)
    volume_l = magnitude(volume, "litre", "volume", 0.01, 10000.0)
    given = magnitude(acid_strength(acid, ph), "millimole/gram", "acid") * mass_g / volume_l
    return replace(water, acid=quantity(_acid_mmol_per_l(water) + given, "millimole/litre"))


def acid_for(water: Water, acid: str, target: Quantity, volume: Quantity, ph: float = MASH_PH) -> Quantity:
    """Return how much acid as sold, in gram, brings the residual alkalinity down to a target.

    Args:
        water: to start from.
        acid: a name in the data file.
        target: wanted residual alkalinity, -20 mmol of charge per litre to what is there.
        volume: of the water, 0.01 to 10000 litre.
        ph: at which the acid ends up, 3 to 9.

    Raises:
        OutOfRange: an argument outside its range, or an acid that the data file does not have.

    Errors and source: as :func:`acid_strength`.

    >>> hard = Water(bicarbonate=quantity(200, "mg/l"))
    >>> dose = acid_for(hard, "lactic acid 80 %", quantity(0, "mmol/l"), quantity(10, "litre"))
    >>> print(f"{dose:.1f}")
    3.8 gram
    """
    there = magnitude(residual_alkalinity(water), "millimole/litre", "water")
    wanted = magnitude(target, "millimole/litre", "target", -20.0, there)
    volume_l = magnitude(volume, "litre", "volume", 0.01, 10000.0)
    per_gram = magnitude(acid_strength(acid, ph), "millimole/gram", "acid")
    return quantity((there - wanted) * volume_l / per_gram, "gram")


def blend(parts: Sequence[tuple[Water, Quantity]]) -> Water:
    """Return the mixture of waters; diluting with low-mineral water is a blend with :data:`LOW_MINERAL`.

    Args:
        parts: pairs of water and volume, one or more, 0 to 10000 litre each.

    Raises:
        OutOfRange: an argument outside its range; no volume at all.

    Source: conservation of mass.

    >>> half = blend([(Water(calcium=quantity(100, "mg/l")), quantity(4, "litre")),
    ...               (LOW_MINERAL, quantity(4, "litre"))])
    >>> print(half.calcium)
    50.0 milligram / liter
    """
    volumes_l = [magnitude(volume, "litre", "parts", 0.0, 10000.0) for _, volume in parts]
    total_l = sum(volumes_l)
    if total_l <= 0.0:
        raise OutOfRange("parts", total_l, "litre", reason="hold no water")
    waters = [water for water, _ in parts]

    def mean(values: Sequence[float]) -> float:
        return sum(value * volume for value, volume in zip(values, volumes_l, strict=True)) / total_l

    return Water(
        **{ion: quantity(mean([_mg_per_l(w, ion) for w in waters]), "milligram/litre") for ion in IONS},
        acid=quantity(mean([_acid_mmol_per_l(w) for w in waters]), "millimole/litre"),
    )


def dilution_for(alkalinity_there: Quantity, target: Quantity) -> float:
    """Return the share of low-mineral water, 0 to 1, that brings an alkalinity (or an ion) down to a target.

    Args:
        alkalinity_there: 0 to 100 mmol/l.
        target: 0 mmol/l to ``alkalinity_there``.

    Raises:
        OutOfRange: an argument outside its range.

    Source: conservation of mass.

    >>> dilution_for(quantity(4, "mmol/l"), quantity(1, "mmol/l"))
    0.75
    """
    there = magnitude(alkalinity_there, "millimole/litre", "alkalinity_there", 0.0, 100.0)
    wanted = magnitude(target, "millimole/litre", "target", 0.0, there)
    return 1.0 - wanted / there if there > 0.0 else 0.0


def alkalinity(water: Water) -> Quantity:
    """Return the alkalinity, in mmol of charge per litre: bicarbonate less acid; below zero where acid wins.

    >>> print(f"{alkalinity(Water(bicarbonate=quantity(122.034, 'mg/l'))):.2f}")
    2.00 millimole / liter
    """
    return quantity(_equivalents(water, "bicarbonate") - _acid_mmol_per_l(water), "millimole/litre")


def hardness(water: Water) -> Quantity:
    """Return the total hardness, calcium and magnesium, in mmol of charge per litre.

    >>> print(f"{hardness(Water(calcium=quantity(40.078, 'mg/l'))):.2f}")
    2.00 millimole / liter
    """
    return quantity(_equivalents(water, "calcium") + _equivalents(water, "magnesium"), "millimole/litre")


def residual_alkalinity(water: Water) -> Quantity:
    """Return the alkalinity that calcium and magnesium leave to the mash, in mmol of charge per litre.

    Source: P. Kolbach, Monatsschrift für Brauerei 6 (1953) 49: alkalinity less Ca / 3.5 less Mg / 7, all in
    equivalents.

    >>> water = Water(calcium=quantity(70, "mg/l"), bicarbonate=quantity(122, "mg/l"))
    >>> print(f"{residual_alkalinity(water):.2f}")
    1.00 millimole / liter
    """
    alkaline = magnitude(alkalinity(water), "millimole/litre", "water")
    freed = _equivalents(water, "calcium") / 3.5 + _equivalents(water, "magnesium") / 7.0
    return quantity(alkaline - freed, "millimole/litre")


def ion_balance(water: Water) -> Quantity:
    """Return cations less anions, in mmol of charge per litre: near zero for a complete water report.

    >>> print(f"{ion_balance(ions_of_salt('gypsum', quantity(1, 'gram'), quantity(1, 'litre'))):.2f~P}")
    0.00 mmol/l
    """
    charges = sum(
        _equivalents(water, ion) * (1 if _entry("ion", ion, "ion")["charge"] > 0 else -1) for ion in IONS
    )
    return quantity(charges, "millimole/litre")


def in_hardness_unit(value: Quantity, unit: str) -> float:
    """Return a hardness or alkalinity as a number in a traditional unit.

    Args:
        value: -1000 to 1000 mmol of charge per litre.
        unit: ``mmol/l``, ``mg/l CaCO3``, ``German degree``, ``French degree``, ``English degree`` or
            ``grain per US gallon``.

    Raises:
        OutOfRange: an argument outside its range, or another unit.

    >>> print(f"{in_hardness_unit(quantity(2, 'mmol/l'), 'German degree'):.2f}")
    5.61
    """
    return magnitude(value, "millimole/litre", "value", -1000.0, 1000.0) / _hardness_factor(unit)


def from_hardness_unit(number: float, unit: str) -> Quantity:
    """Return a hardness or alkalinity in mmol of charge per litre from a traditional unit.

    Args and errors: the inverse of :func:`in_hardness_unit`.

    >>> print(f"{from_hardness_unit(100.0, 'mg/l CaCO3'):.2f}")
    2.00 millimole / liter
    """
    given = magnitude(quantity(number, "dimensionless"), "dimensionless", "number", -50000.0, 50000.0)
    return quantity(given * _hardness_factor(unit), "millimole/litre")


def _hardness_factor(unit: str) -> float:
    if unit not in _HARDNESS_UNITS:
        raise OutOfRange("unit", None, "", reason=f"must be one of {', '.join(_HARDNESS_UNITS)}")
    return _HARDNESS_UNITS[unit]
