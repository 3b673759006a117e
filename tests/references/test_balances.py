"""Balances by a second route: the ASBC cubic or the NBS polynomial, solved by scipy."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from calc.balances import (
    additions_to_reach,
    gravity_after_boiling_down,
    gravity_after_dilution,
    mix,
    points_error,
    sugar_to_reach_gravity,
    water_to_reach_gravity,
)
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

WATER_KG_L = 0.998207  # Source: IAPWS-95, 20 degC.


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def litre(value: float) -> Quantity:
    return quantity(value, "litre")


def cubic_plato(gravity: float) -> float:
    """Source: ASBC Methods of Analysis."""
    return -616.868 + 1111.14 * gravity - 630.272 * gravity**2 + 135.997 * gravity**3


def polynomial_brix(gravity: float) -> float:
    """Source: polynomial after NBS Circular 440, up to SG 1.179."""
    return ((182.4601 * gravity - 775.6821) * gravity + 1262.7794) * gravity - 669.5622


def gravity_at(percent: float) -> float:
    return float(brentq(lambda gravity: polynomial_brix(gravity) - percent, 0.99, 1.179))


def masses(volume_l: float, gravity: float) -> tuple[float, float]:
    """Extract and total, kg."""
    total_kg = volume_l * gravity * WATER_KG_L
    return total_kg * polynomial_brix(gravity) / 100, total_kg


@pytest.mark.parametrize("gravity", [1.050, 1.080, 1.120])
def test_halving_by_water(agree: Agree, gravity: float) -> None:
    extract_kg, total_kg = masses(3, gravity)
    agree(
        f"SG {gravity:.3f} with its own volume of water",
        gravity_after_dilution(litre(3), sg(gravity), litre(3)).magnitude,
        gravity_at(100 * extract_kg / (total_kg + 3 * WATER_KG_L)),
        0.0001,
        "polynomial after NBS Circular 440, scipy",
    )


@pytest.mark.parametrize(("gravity", "final_l"), [(1.040, 5.0), (1.060, 4.0)])
def test_boiling_down(agree: Agree, gravity: float, final_l: float) -> None:
    extract_kg, _ = masses(6, gravity)
    agree(
        f"6 litres at SG {gravity:.3f} boiled down to {final_l:g}",
        gravity_after_boiling_down(litre(6), sg(gravity), litre(final_l)).magnitude,
        float(brentq(lambda end: masses(final_l, end)[0] - extract_kg, 1.0, 1.179)),
        0.0002,
        "polynomial after NBS Circular 440, scipy",
    )


def test_water_to_a_gravity(agree: Agree) -> None:
    # The cubic this time: mass of wort falls as the inverse of its degrees Plato.
    total_kg = 5 * 1.060 * WATER_KG_L
    water_kg = total_kg * (cubic_plato(1.060) / cubic_plato(1.048) - 1)
    agree(
        "water that takes 5 litres from SG 1.060 to 1.048",
        water_to_reach_gravity(litre(5), sg(1.060), sg(1.048)).m_as("litre"),
        water_kg / WATER_KG_L,
        0.01,
        "ASBC cubic",
        "l",
    )


def test_mixing(agree: Agree) -> None:
    first, second = masses(3, 1.080), masses(2, 1.030)
    agree(
        "3 litres at SG 1.080 with 2 litres at 1.030",
        mix([(litre(3), sg(1.080)), (litre(2), sg(1.030))]).gravity.magnitude,
        gravity_at(100 * (first[0] + second[0]) / (first[1] + second[1])),
        0.0001,
        "polynomial after NBS Circular 440, scipy",
    )


def test_sugar(agree: Agree) -> None:
    extract_kg, total_kg = masses(5, 1.045)
    wanted = polynomial_brix(1.050) / 100
    sugar_kg = (wanted * total_kg - extract_kg) / (1 - wanted)
    agree(
        "sugar that takes 5 litres from SG 1.045 to 1.050",
        sugar_to_reach_gravity(litre(5), sg(1.045), sg(1.050)).m_as("gram"),
        1000 * sugar_kg,
        # 0.05 degrees Plato of disagreement at either end would be 4 g; the two routes differ far less.
        0.7,
        "polynomial after NBS Circular 440",
        "g",
    )


def test_sugar_and_water_at_once(agree: Agree) -> None:
    additions = additions_to_reach(litre(4.5), sg(1.045), litre(5), sg(1.048))
    now, wanted = masses(4.5, 1.045), masses(5, 1.048)
    agree(
        "sugar that takes 4.5 litres at SG 1.045 to 5 litres at 1.048",
        additions.sugar.m_as("gram"),
        1000 * (wanted[0] - now[0]),
        0.7,
        "polynomial after NBS Circular 440",
        "g",
    )


def test_points_times_volume(agree: Agree) -> None:
    extract_kg, _ = masses(3, 1.080)
    true = float(brentq(lambda end: masses(6, end)[0] - extract_kg, 1.0, 1.179))
    agree(
        "error of points times volume: SG 1.080 thinned to twice its volume",
        points_error(litre(3), sg(1.080), litre(6)).magnitude,
        1.040 - true,
        0.00005,
        "polynomial after NBS Circular 440, scipy",
    )
