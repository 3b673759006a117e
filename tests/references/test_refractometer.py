"""Refractometer against sugar tables and published fits for fermented beer."""

from __future__ import annotations

import pytest

from calc.density import plato_from_gravity
from calc.refractometer import (
    brix_from_refractive_index,
    fermenting_gravity,
    fermenting_reading,
    wort_gravity,
)
from calc.units import quantity
from tests.references.conftest import Agree

# From memory: refractive index of aqueous sucrose at 20 degC, sodium line; NBS Circular 440, table 110.
INDEX = {1.33299: 0.0, 1.34026: 5.0, 1.34782: 10.0, 1.36384: 20.0, 1.39986: 40.0}


@pytest.mark.parametrize(("index", "percent"), INDEX.items())
def test_brix_of_an_index(agree: Agree, index: float, percent: float) -> None:
    agree(
        f"Brix at refractive index {index:.5f}",
        brix_from_refractive_index(quantity(index, "dimensionless")).magnitude,
        percent,
        0.05,
        "From memory: NBS Circular 440, table 110",
        "Bx",
    )


def test_wort_reading(agree: Agree) -> None:
    # ASBC cubic turned round: 12 degrees Plato is SG 1.04837; the reading there is 12 times the factor.
    agree(
        "gravity of wort reading 12.48 Bx, factor 1.04",
        wort_gravity(quantity(12.48, "degree_plato")).magnitude,
        1.04837,
        0.0002,
        "ASBC cubic",
    )


def linear_fit(original_brix: float, brix: float) -> float:
    """From memory: P. Novotny, Zymurgy, 2017; both readings already divided by the factor."""
    return 1 - 0.002349 * original_brix + 0.006276 * brix


def cubic_fit(original_brix: float, brix: float) -> float:
    """From memory: L. K. Bonham, Zymurgy, 2001; both readings already divided by the factor."""
    start = 1.001843 - 0.002318474 * original_brix - 0.000007775 * original_brix**2
    start -= 0.000000034 * original_brix**3
    return start + 0.00574 * brix + 0.00003344 * brix**2 + 0.000000086 * brix**3


@pytest.mark.parametrize(("original", "gravity"), [(1.040, 1.008), (1.050, 1.010), (1.060, 1.012)])
def test_finished_beer(agree: Agree, original: float, gravity: float) -> None:
    original_gravity = quantity(original, "dimensionless")
    reading = fermenting_reading(quantity(gravity, "dimensionless"), original_gravity)
    ours = fermenting_gravity(reading, original_gravity).magnitude
    original_brix = plato_from_gravity(original_gravity).magnitude
    wort_brix = reading.magnitude / 1.04
    name = f"gravity of beer reading {reading.magnitude:.2f} Bx, original gravity {original:.3f}"
    # The fits lie 0.001 to 0.003 apart from each other; the result is marked as an estimate for that.
    agree(name, ours, linear_fit(original_brix, wort_brix), 0.002, "From memory: Novotny 2017, linear fit")
    agree(name, ours, cubic_fit(original_brix, wort_brix), 0.003, "From memory: Bonham 2001, cubic fit")
