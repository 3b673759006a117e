"""Dipstick curve against scipy's monotone interpolation and the geometry of a rounded pot."""

from __future__ import annotations

import math

import pytest
from scipy.interpolate import PchipInterpolator

from calc.dipstick import volume_from_depth, volume_from_marks
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

MARKS = [(2.0, 0.7), (5.0, 2.1), (9.0, 4.3), (12.0, 5.9), (18.0, 9.4)]


def marks(points: list[tuple[float, float]]) -> list[tuple[Quantity, Quantity]]:
    return [(quantity(depth, "cm"), quantity(volume, "litre")) for depth, volume in points]


@pytest.mark.parametrize("depth_cm", [0.5, 3.3, 7.0, 11.1, 15.0, 17.9])
def test_curve_between_marks(agree: Agree, depth_cm: float) -> None:
    depths, volumes = zip((0.0, 0.0), *MARKS, strict=True)
    agree(
        f"volume between marks at {depth_cm} cm",
        volume_from_marks(quantity(depth_cm, "cm"), marks(MARKS)).m_as("litre"),
        float(PchipInterpolator(depths, volumes)(depth_cm)),
        1e-9,
        "scipy, PchipInterpolator",
        "l",
    )


@pytest.mark.parametrize("depth_cm", [3.0, 7.0, 13.0])
def test_bowl(agree: Agree, depth_cm: float) -> None:
    # A bowl of 20 cm radius marked every 2 cm: volume of a spherical cap, pi h^2 (3 r - h) / 3.
    def cap_l(depth: float) -> float:
        return math.pi * depth**2 * (60 - depth) / 3 / 1000

    measured = [(float(depth), cap_l(depth)) for depth in range(2, 17, 2)]
    agree(
        f"volume in a bowl of 20 cm radius at {depth_cm:g} cm, marked every 2 cm",
        volume_from_marks(quantity(depth_cm, "cm"), marks(measured)).m_as("litre"),
        cap_l(depth_cm),
        0.02,
        "geometry of a spherical cap",
        "l",
    )


def test_straight_pot(agree: Agree) -> None:
    agree(
        "volume 15 cm deep in a pot 26 cm wide",
        volume_from_depth(quantity(150, "mm"), quantity(0.26, "m")).m_as("litre"),
        math.pi * 1.3**2 * 1.5,
        1e-9,
        "geometry of a cylinder",
        "l",
    )
