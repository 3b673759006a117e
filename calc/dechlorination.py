"""Taking chlorine and chloramine out of tap water, which otherwise taste of plasters in the beer."""

from __future__ import annotations

from calc.errors import OutOfRange
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity


def reductant_for(
    chlorine: Quantity, volume: Quantity, reductant: str = "sodium metabisulphite", excess: float = 1.5
) -> Quantity:
    """Return how much of a reductant, in gram, destroys free chlorine or chloramine within minutes.

    Args:
        chlorine: total chlorine, counted as Cl2 as on water reports, 0 to 10 mg/l.
        volume: 0.01 to 10000 litre.
        reductant: ``sodium metabisulphite``, ``potassium metabisulphite`` or ``ascorbic acid``.
        excess: times the least amount, 1 to 5; salts lose strength on the shelf.

    Raises:
        OutOfRange: an argument outside its range, or a reductant that ``data/water_salts.toml`` lacks.

    Errors: stoichiometry is exact; 1.5 times (the default) is common practice, no source. Boiling drives out
    free chlorine but chloramine only slowly. Sulphites can harm people with asthma: no heaped spoons.
    Source: S2O5(2-) + 2 HOCl + H2O -> 2 SO4(2-) + 2 Cl- + 4 H+; chloramine takes the same, one mole for
    each mole counted as Cl2; ascorbic acid reduces one.

    >>> dose = reductant_for(quantity(1, "mg/l"), quantity(10, "litre"))
    >>> print(f"{dose.to('milligram'):.0f}")
    20 milligram
    """
    chlorine_mg_per_l = magnitude(chlorine, "milligram/litre", "chlorine", 0.0, 10.0)
    volume_l = magnitude(volume, "litre", "volume", 0.01, 10000.0)
    times = magnitude(quantity(excess, "dimensionless"), "dimensionless", "excess", 1.0, 5.0)
    entries = read_table("water_salts")["dechlorination"]
    if reductant not in entries:
        raise OutOfRange("reductant", None, "", reason=f"must be one of {', '.join(entries)}")
    data = entries[reductant]
    per_gram = float(data["molar_mass"]) / (70.906 * float(data["chlorine_per_formula"]))
    return quantity(chlorine_mg_per_l * volume_l * per_gram * times / 1000.0, "gram")
