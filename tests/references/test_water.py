"""Water against molar masses, the PHREEQC engine, hardness definitions and Kolbach's cities."""

import pytest
from molmass import Formula
from phreeqpython import PhreeqPython

from calc.dechlorination import reductant_for
from calc.mash_acidity import Grain, mash_acidity
from calc.tables import read_table
from calc.units import quantity
from calc.water import (
    IONS,
    LOW_MINERAL,
    Water,
    acid_strength,
    blend,
    from_hardness_unit,
    hardness,
    in_hardness_unit,
    ions_of_salt,
    residual_alkalinity,
    with_salt,
)
from tests.references.conftest import Agree

DATA = read_table("water_salts")


@pytest.mark.parametrize("kind", ["salt", "acid", "dechlorination"])
def test_molar_masses(agree: Agree, kind: str) -> None:
    # Source: IUPAC atomic weights by molmass. Tolerance: the last digit of the data file.
    for name, entry in DATA[kind].items():
        agree(
            f"molar mass of {name}",
            entry["molar_mass"],
            Formula(entry["formula"]).mass,
            0.02,
            "molmass",
            "g/mol",
        )


@pytest.mark.parametrize(
    ("ion", "formula"),
    [
        ("calcium", "Ca"),
        ("magnesium", "Mg"),
        ("sodium", "Na"),
        ("sulphate", "SO4"),
        ("chloride", "Cl"),
        ("bicarbonate", "HCO3"),
    ],
)
def test_molar_masses_of_ions(agree: Agree, ion: str, formula: str) -> None:
    agree(
        f"molar mass of {ion}",
        DATA["ion"][ion]["molar_mass"],
        Formula(formula).mass,
        0.01,
        "molmass",
        "g/mol",
    )


def test_gypsum_by_molmass(agree: Agree) -> None:
    # Source: molmass: share of calcium and sulphate in CaSO4.2H2O.
    water = ions_of_salt("gypsum", quantity(1, "gram"), quantity(10, "litre"))
    whole = Formula("CaSO4(H2O)2").mass
    agree(
        "Ca from 1 g of gypsum in 10 l",
        water.calcium.magnitude,
        100.0 * 40.078 / whole,
        0.02,
        "molmass",
        "mg/l",
    )
    agree(
        "SO4 from 1 g of gypsum in 10 l",
        water.sulphate.magnitude,
        100.0 * Formula("SO4").mass / whole,
        0.02,
        "molmass",
        "mg/l",
    )


def test_salts_by_phreeqc(agree: Agree) -> None:
    # Source: the PHREEQC engine: totals of a solution of the same salts, moles by molmass, and that it finds
    # them all dissolved. Tolerance 0.1 %: rounding of the molar masses.
    water = LOW_MINERAL
    for salt, gram in (
        ("gypsum", 2.0),
        ("calcium chloride dihydrate", 1.5),
        ("epsom salt", 1.0),
        ("baking soda", 1.2),
    ):
        water = with_salt(water, salt, quantity(gram, "gram"), quantity(10, "litre"))
    grams = {"CaSO4": 2.0, "CaCl2": 1.5, "MgSO4": 1.0, "NaHCO3": 1.2}
    crystal_water = {"CaSO4": 2, "CaCl2": 2, "MgSO4": 7, "NaHCO3": 0}
    mmol = {
        salt: 100.0 * gram / (Formula(salt).mass + crystal_water[salt] * Formula("H2O").mass)
        for salt, gram in grams.items()
    }
    solution = PhreeqPython().add_solution_simple(mmol, temperature=20)
    for ion, element, formula in (
        ("calcium", "Ca", "Ca"),
        ("magnesium", "Mg", "Mg"),
        ("sodium", "Na", "Na"),
        ("sulphate", "S", "SO4"),
        ("chloride", "Cl", "Cl"),
        ("bicarbonate", "C", "HCO3"),
    ):
        outside = solution.total_element(element, units="mmol") * Formula(formula).mass
        agree(
            f"{ion} of four salts in 10 l",
            getattr(water, ion).magnitude,
            outside,
            0.001 * outside,
            "PHREEQC by phreeqpython",
            "mg/l",
        )


def test_phosphoric_acid_by_phreeqc(agree: Agree) -> None:
    # Source: the PHREEQC engine: how the phosphates share out at pH 5.4. Tolerance 1 %: activities.
    solution = PhreeqPython().add_solution(
        {"units": "mmol/l", "temp": 25, "pH": 5.4, "P": 1.0, "Na": "1.0 charge"}
    )
    once = solution.species_moles["H2PO4-"]
    twice = solution.species_moles["HPO4-2"]
    none = solution.species_moles.get("H3PO4", 0.0)
    ours = acid_strength("phosphoric acid 10 %", 5.4).magnitude * 97.994 / 100.0
    agree(
        "protons given by phosphoric acid at pH 5.4",
        ours,
        (once + 2.0 * twice) / (none + once + twice),
        0.01,
        "PHREEQC by phreeqpython",
        "mol/mol",
    )


@pytest.mark.parametrize(
    ("unit", "caco3"),
    [
        ("German degree", 17.848),
        ("French degree", 10.0),
        ("English degree", 14.254),
        ("grain per US gallon", 17.118),
    ],
)
def test_hardness_units(agree: Agree, unit: str, caco3: float) -> None:
    # Source: published table of hardness units in mg/l of CaCO3 (as in textbooks of water treatment).
    ours = in_hardness_unit(from_hardness_unit(1.0, unit), "mg/l CaCO3")
    agree(f"one {unit}", ours, caco3, 0.003, "published table of hardness units", "mg/l CaCO3")


def city(calcium: float, magnesium: float, carbonate: float) -> Water:
    """Water from German degrees of calcium, magnesium and carbonate hardness."""

    def charge(degrees: float) -> float:
        return float(from_hardness_unit(degrees, "German degree").magnitude)

    return Water(
        calcium=quantity(charge(calcium) * 40.078 / 2.0, "mg/l"),
        magnesium=quantity(charge(magnesium) * 24.305 / 2.0, "mg/l"),
        bicarbonate=quantity(charge(carbonate) * 61.017, "mg/l"),
    )


@pytest.mark.parametrize(
    ("name", "calcium", "magnesium", "carbonate", "total", "residual"),
    [
        ("Munich", 10.6, 4.2, 14.2, 14.8, 10.6),
        ("Dortmund", 36.7, 4.6, 16.8, 41.3, 5.7),
        ("Vienna", 22.8, 15.8, 30.9, 38.6, 22.1),
        ("Pilsen", 1.0, 0.6, 1.3, 1.6, 0.9),
    ],
)
def test_brewing_cities(
    agree: Agree,
    name: str,
    calcium: float,
    magnesium: float,
    carbonate: float,
    total: float,
    residual: float,
) -> None:
    # Source: brewing waters of four cities in German degrees, as printed in W. Kunze, Technology Brewing and
    # Malting (after Kolbach). From memory. Tolerance: one in the last printed digit.
    water = city(calcium, magnesium, carbonate)
    source = "W. Kunze, Technology Brewing and Malting, table of brewing waters, from memory"
    agree(
        f"total hardness, {name}",
        in_hardness_unit(hardness(water), "German degree"),
        total,
        0.06,
        source,
        "dH",
    )
    agree(
        f"residual alkalinity, {name}",
        in_hardness_unit(residual_alkalinity(water), "German degree"),
        residual,
        0.06,
        source,
        "dH",
    )


def test_dilution_by_phreeqc(agree: Agree) -> None:
    # Source: the PHREEQC engine: one part of hard water in three parts of pure water.
    engine = PhreeqPython()
    hard = engine.add_solution_simple({"CaCl2": 2.0}, temperature=20)
    pure = engine.add_solution_simple({}, temperature=20)
    outside = engine.mix_solutions({hard: 0.25, pure: 0.75}).total_element("Ca", units="mmol") * 40.078
    tap = Water(calcium=quantity(2.0 * 40.078, "mg/l"))
    ours = blend([(tap, quantity(2, "litre")), (LOW_MINERAL, quantity(6, "litre"))])
    agree("calcium after dilution to a quarter", ours.calcium.magnitude, outside, 0.05, "PHREEQC", "mg/l")


@pytest.mark.parametrize(
    ("reductant", "formula", "moles"),
    [
        ("sodium metabisulphite", "Na2S2O5", 2),
        ("potassium metabisulphite", "K2S2O5", 2),
        ("ascorbic acid", "C6H8O6", 1),
    ],
)
def test_dechlorination(agree: Agree, reductant: str, formula: str, moles: int) -> None:
    # Source: stoichiometry with molmass: 2 mg/l of Cl2 in 20 l.
    ours = reductant_for(quantity(2, "mg/l"), quantity(20, "litre"), reductant, 1.0).to("mg").magnitude
    outside = 40.0 / Formula("Cl2").mass * Formula(formula).mass / moles
    agree(f"{reductant} for 40 mg of chlorine", ours, outside, 0.05, "stoichiometry by molmass", "mg")


def test_kolbach_shift(agree: Agree) -> None:
    # Source: P. Kolbach 1953: 10 German degrees of residual alkalinity raise the pH by 0.3. The buffer of
    # base malt in the data file is set by this, so the check is of units and signs. Tolerance 10 %.
    bill = [Grain(quantity(1, "kg"), "base")]
    hard = city(0.0, 0.0, 10.0)
    ours = (
        mash_acidity(bill, hard, quantity(4, "litre")).ph
        - mash_acidity(bill, LOW_MINERAL, quantity(4, "litre")).ph
    )
    agree("rise of mash pH for 10 dH at 4 l/kg", ours, 0.30, 0.03, "P. Kolbach 1953")


def test_ions_are_the_data_files() -> None:
    assert set(IONS) == set(DATA["ion"])
