"""Propagation against the `uncertainties` library and a worked example of the GUM."""

from __future__ import annotations

import math

import pytest
import uncertainties
from uncertainties import umath

from calc.density import extract_mass, plato_from_gravity
from calc.uncertainty import Measured, propagate
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

# Source: JCGM 100:2008 (GUM), H.2, table H.2: means, standard uncertainties and correlations.
VOLTAGE = Measured(quantity(4.9990, "volt"), quantity(0.0032, "volt"))
CURRENT = Measured(quantity(19.6610, "milliampere"), quantity(0.0095, "milliampere"))
PHASE = Measured(quantity(1.04446, "radian"), quantity(0.00075, "radian"))
CORRELATIONS = {("v", "i"): -0.36, ("v", "phase"): 0.86, ("i", "phase"): -0.65}


def resistance(v: Quantity, i: Quantity, phase: Quantity) -> Quantity:
    return (v / i * math.cos(phase.m_as("radian"))).to("ohm")


def reactance(v: Quantity, i: Quantity, phase: Quantity) -> Quantity:
    return (v / i * math.sin(phase.m_as("radian"))).to("ohm")


def impedance(v: Quantity, i: Quantity, phase: Quantity) -> Quantity:
    return (v / i).to("ohm")


@pytest.mark.parametrize(
    ("name", "function", "value", "u"),
    [
        ("resistance", resistance, 127.732, 0.071),
        ("reactance", reactance, 219.847, 0.295),
        ("impedance", impedance, 254.260, 0.236),
    ],
)
def test_worked_example(agree: Agree, name: str, function: object, value: float, u: float) -> None:
    result = propagate(function, {"v": VOLTAGE, "i": CURRENT, "phase": PHASE}, CORRELATIONS)  # type: ignore[arg-type]
    source = "JCGM 100:2008 (GUM), H.2"
    agree(f"GUM example: {name}", result.value.magnitude, value, 0.001, source, "ohm")
    # The printed correlations have two digits, which moves the last printed digit.
    agree(f"GUM example: uncertainty of {name}", result.uncertainty.magnitude, u, 0.002, source, "ohm")


LIBRARY = "the library uncertainties"


def test_product_and_exponential(agree: Agree) -> None:
    def ours(time: Quantity, tau: Quantity, height: Quantity) -> Quantity:
        return height * math.exp(-time.m_as("minute") / tau.m_as("minute"))

    result = propagate(
        ours,
        {
            "time": Measured(quantity(30, "minute"), quantity(20, "second")),
            "tau": Measured(quantity(2, "hour"), quantity(3, "minute")),
            "height": Measured(quantity(47, "delta_degC"), quantity(0.5, "delta_degC")),
        },
    )
    time, tau, height = (uncertainties.ufloat(*pair) for pair in ((30, 1 / 3), (120, 3), (47, 0.5)))
    outside = height * umath.exp(-time / tau)
    agree(
        "uncertainty of an exponential decay",
        result.uncertainty.magnitude,
        outside.std_dev,
        0.001 * outside.std_dev,
        LIBRARY,
        "K",
    )


def test_extract_mass(agree: Agree) -> None:
    volume, gravity = uncertainties.ufloat(5, 0.05), uncertainties.ufloat(1.05, 0.0005)
    # Source of the cubic: ASBC. The library has to be given a formula that takes its numbers.
    percent = -616.868 + 1111.14 * gravity - 630.272 * gravity**2 + 135.997 * gravity**3
    outside = volume * gravity * 0.998207 * percent / 100
    ours = propagate(
        extract_mass,
        {
            "volume": Measured(quantity(5, "litre"), quantity(50, "millilitre")),
            "gravity": Measured(quantity(1.05, "dimensionless"), quantity(0.0005, "dimensionless")),
        },
    )
    agree(
        "uncertainty of the extract in 5 litres at SG 1.050",
        ours.uncertainty.m_as("kg"),
        outside.std_dev,
        0.005 * outside.std_dev,
        f"{LIBRARY}, ASBC cubic",
        "kg",
    )


def test_a_formula_that_iterates(agree: Agree) -> None:
    gravity = uncertainties.ufloat(1.05, 0.002)
    outside = -616.868 + 1111.14 * gravity - 630.272 * gravity**2 + 135.997 * gravity**3
    ours = propagate(
        plato_from_gravity,
        {"gravity": Measured(quantity(1.05, "dimensionless"), quantity(0.002, "dimensionless"))},
    )
    agree(
        "uncertainty of degrees Plato at SG 1.050 ± 0.002",
        ours.uncertainty.magnitude,
        outside.std_dev,
        0.005 * outside.std_dev,
        f"{LIBRARY}, ASBC cubic",
        "P",
    )
