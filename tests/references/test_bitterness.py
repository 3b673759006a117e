"""Utilisation against the published table, cell by cell."""

import pytest

from calc.bitterness import bitterness, utilisation
from calc.units import quantity
from tests.references.conftest import Agree

# Source: G. Tinseth, decimal alpha acid utilisation by boil time and wort gravity (1995), printed with three
# digits. From memory; columns are gravity 1.030 to 1.120.
GRAVITIES = (1.030, 1.040, 1.050, 1.060, 1.070, 1.080, 1.090, 1.100, 1.110, 1.120)
PUBLISHED = {
    5: (0.055, 0.050, 0.046, 0.042, 0.038, 0.035, 0.032, 0.029, 0.027, 0.025),
    10: (0.100, 0.091, 0.084, 0.076, 0.070, 0.064, 0.058, 0.053, 0.049, 0.045),
    15: (0.137, 0.125, 0.114, 0.105, 0.096, 0.087, 0.080, 0.073, 0.067, 0.061),
    30: (0.212, 0.194, 0.177, 0.162, 0.148, 0.135, 0.124, 0.113, 0.103, 0.094),
    45: (0.253, 0.232, 0.212, 0.194, 0.177, 0.162, 0.148, 0.135, 0.123, 0.113),
    60: (0.276, 0.252, 0.231, 0.211, 0.193, 0.176, 0.161, 0.147, 0.135, 0.123),
    90: (0.295, 0.270, 0.247, 0.226, 0.206, 0.188, 0.172, 0.157, 0.144, 0.132),
    120: (0.301, 0.275, 0.252, 0.230, 0.210, 0.192, 0.176, 0.161, 0.147, 0.134),
}


@pytest.mark.parametrize("minutes", PUBLISHED)
def test_published_table(agree: Agree, minutes: int) -> None:
    for gravity, printed in zip(GRAVITIES, PUBLISHED[minutes], strict=True):
        # Tolerance: half of the last printed digit, and a hair for cells that lie on the edge.
        agree(
            f"utilisation, {minutes} min at {gravity:.3f}",
            utilisation(quantity(minutes, "minute"), gravity),
            printed,
            0.0006,
            "G. Tinseth, utilisation table (1995), from memory",
        )


def test_bitterness_by_hand(agree: Agree) -> None:
    # Source: the table's own definition, mg/l = utilisation * alpha * grams * 1000 / litre, with its printed
    # cell for 60 min at 1.050: 0.231 * 0.055 * 28 * 1000 / 19 = 18.72.
    ours = bitterness(
        quantity(28, "gram"), quantity(5.5, "percent"), quantity(60, "minute"), 1.050, quantity(19, "litre")
    )
    agree(
        "bitterness of 28 g at 5.5 % in 19 l",
        ours.magnitude,
        18.72,
        0.05,
        "by hand with the printed cell, G. Tinseth (1995)",
        "IBU",
    )
