"""Boiling against the steam tables and a standard atmosphere."""

import pytest
from CoolProp.CoolProp import PropsSI
from fluids import ATMOSPHERE_1976
from iapws import IAPWS97

from calc.boil import boiling_point, highest_boil_off
from calc.units import quantity
from tests.references.conftest import Agree


@pytest.mark.parametrize("altitude_m", [-400, 0, 500, 1000, 2000, 3500, 5500])
def test_boiling_point(agree: Agree, altitude_m: int) -> None:
    # Source: US Standard Atmosphere 1976 (the same as ISO 2533 here) by fluids; saturation by CoolProp.
    # Tolerance: IF97 and IAPWS-95 differ by 0.01 K.
    outside = float(PropsSI("T", "P", ATMOSPHERE_1976(altitude_m).P, "Q", 0, "Water")) - 273.15
    agree(
        f"boiling point at {altitude_m} m",
        boiling_point(quantity(altitude_m, "metre")).magnitude,
        outside,
        0.02,
        "US Standard Atmosphere 1976 by fluids, IAPWS-95 by CoolProp",
        "degC",
    )


def test_boiling_point_second_library(agree: Agree) -> None:
    # Source: IAPWS-IF97 by iapws at one atmosphere, the same equation in another's hands.
    agree(
        "boiling point at sea level",
        boiling_point(quantity(0, "metre")).magnitude,
        IAPWS97(P=0.101325, x=0).T - 273.15,
        0.001,
        "IAPWS-IF97 by iapws",
        "degC",
    )


def test_highest_boil_off(agree: Agree) -> None:
    # Source: IAPWS-95 by CoolProp, difference of the enthalpies of steam and water at one atmosphere.
    steam, water = (float(PropsSI("H", "P", 101325, "Q", q, "Water")) for q in (1, 0))
    density = float(PropsSI("D", "P", 101325, "Q", 0, "Water"))
    agree(
        "highest boil-off for 1 kW net",
        highest_boil_off(quantity(1, "kW")).magnitude,
        1000.0 / (steam - water) * 3600.0 / density * 1000.0,
        0.002,
        "IAPWS-95 by CoolProp",
        "l/h",
    )
