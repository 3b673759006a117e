"""Boiling at a told air pressure, heat of a timed boil, and a checked thermometer, against other libraries."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids import ATMOSPHERE_1976

from calc.boil import boiling_point
from calc.heat import heat_flow
from calc.thermometer import correct_temperature
from calc.units import quantity
from tests.references.conftest import Agree


@pytest.mark.parametrize(("altitude_m", "sea_hpa"), [(0, 985.0), (600, 1030.0), (1500, 1000.0)])
def test_boiling_point_in_the_weather(agree: Agree, altitude_m: int, sea_hpa: float) -> None:
    # Source: US Standard Atmosphere 1976 by fluids for the share of the pressure that is left; CoolProp's saturation.
    share = ATMOSPHERE_1976(altitude_m).P / ATMOSPHERE_1976(0).P
    outside = float(PropsSI("T", "P", 100 * sea_hpa * share, "Q", 0, "Water")) - 273.15
    ours = boiling_point(quantity(altitude_m, "metre"), quantity(sea_hpa / 10, "kilopascal")).magnitude
    agree(f"boiling point at {altitude_m} m and {sea_hpa:g} hPa", ours, outside, 0.02, "atmosphere by fluids, IAPWS-95 by CoolProp", "degC")


def test_heat_of_a_timed_boil(agree: Agree) -> None:
    # Source: enthalpy of water by CoolProp (IAPWS-95). Tolerance: one specific heat for the whole range, 0.5 %.
    kg = 8.0 * float(PropsSI("D", "T", 293.15, "P", 101325, "Water")) / 1000
    joule = kg * (float(PropsSI("H", "T", 373.1, "P", 101325, "Water")) - float(PropsSI("H", "T", 288.15, "P", 101325, "Water")))
    ours = heat_flow(quantity(8, "litre"), quantity(15, "degC"), quantity(99.95, "degC"), quantity(25, "minute")).magnitude
    agree("power that boils 8 l in 25 min", ours, joule / 1500, 0.005 * joule / 1500, "IAPWS-95 by CoolProp", "W")


@pytest.mark.parametrize("shown", [5.0, 40.0, 67.0, 95.0])
def test_thermometer_line(agree: Agree, shown: float) -> None:
    # Source: straight line through two points by numpy.
    slope, offset = np.polyfit([0.6, 98.1], [0.0, 99.2], 1)
    ours = correct_temperature(quantity(shown, "degC"), quantity(0.6, "degC"), quantity(98.1, "degC"), quantity(99.2, "degC"))
    agree(f"thermometer checked in ice and steam, {shown:g} shown", ours.magnitude, slope * shown + offset, 1e-9, "numpy.polyfit", "degC")
