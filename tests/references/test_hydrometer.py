"""Hydrometer correction against the density of water, printed corrections and the common polynomial."""

from __future__ import annotations

import iapws
import pytest

from calc.density import gravity_from_plato, plato_from_gravity
from calc.hydrometer import correct_gravity, correct_gravity_by_polynomial
from calc.units import Quantity, quantity
from tests.references.conftest import Agree


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def celsius(value: float) -> Quantity:
    return quantity(value, "degC")


def water_kg_m3(temperature_c: float) -> float:
    return float(iapws.IAPWS95(T=temperature_c + 273.15, P=0.101325).rho)


@pytest.mark.parametrize("calibration_c", [15.56, 20.0])
@pytest.mark.parametrize("temperature_c", [5, 40, 80])
def test_in_water_it_must_give_one(agree: Agree, temperature_c: float, calibration_c: float) -> None:
    # What a hydrometer shows in water follows from the water's density and the glass alone:
    # cubic expansion of soda-lime glass 25e-6 per K. Source: ISO 387.
    glass = 1 + 25e-6 * (temperature_c - calibration_c)
    reading = water_kg_m3(temperature_c) / water_kg_m3(calibration_c) * glass
    agree(
        f"corrected reading in water at {temperature_c} degC, calibrated at {calibration_c:g} degC",
        correct_gravity(sg(reading), celsius(temperature_c), celsius(calibration_c)).magnitude,
        1.0,
        # Squares of the glass term (2e-6) and the gap between two equations of water.
        0.00001,
        "IAPWS-95, by the library iapws, and ISO 387",
    )


@pytest.mark.parametrize("brix", [10, 12])
def test_brix_hydrometer_at_25(agree: Agree, brix: float) -> None:
    corrected = correct_gravity(gravity_from_plato(quantity(brix, "degree_plato")), celsius(25))
    agree(
        f"correction of a Brix hydrometer reading {brix} at 25 degC",
        plato_from_gravity(corrected).magnitude - brix,
        0.32,
        0.05,
        "From memory: NBS Circular 440, temperature corrections for Brix hydrometers",
        "Bx",
    )


# The polynomial leaves out the glass and the sugar's own expansion, which nearly cancel at room temperature:
# half a mark of the stem there. In a hot sample it may be off by what 2 K of its temperature make.
@pytest.mark.parametrize("gravity", [1.010, 1.050, 1.080])
@pytest.mark.parametrize(
    ("temperature_c", "tolerance"), [(15, 0.0005), (25, 0.0005), (30, 0.0005), (40, 0.0008), (60, 0.001)]
)
def test_the_common_polynomial(agree: Agree, gravity: float, temperature_c: float, tolerance: float) -> None:
    agree(
        f"gravity of a reading {gravity:.3f} at {temperature_c} degC",
        correct_gravity(sg(gravity), celsius(temperature_c)).magnitude,
        correct_gravity_by_polynomial(sg(gravity), celsius(temperature_c)).magnitude,
        tolerance,
        "From memory: the widely printed cubic in degF",
    )
