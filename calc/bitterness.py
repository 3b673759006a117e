"""Bitterness from the published table of utilisation by boiling time and gravity."""

from __future__ import annotations

import math

from calc.units import Quantity, magnitude, quantity


def utilisation(duration: Quantity, gravity: Quantity | float) -> float:
    """Return the share of the alpha acids that ends up in the beer as bitterness, 0 to 0.4.

    Args:
        duration: time in the boil, 0 to 240 minute.
        gravity: specific gravity of the wort, mean over the boil, 1.000 to 1.200.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: about 20 % of the value from kitchen to kitchen.
    Source: G. Tinseth, utilisation table (1995): a bigness factor of the gravity times a factor of time.

    >>> print(f"{utilisation(quantity(60, 'minute'), 1.050):.3f}")
    0.231
    """
    minutes = magnitude(duration, "minute", "duration", 0.0, 240.0)
    return bigness(gravity) * (1.0 - math.exp(-0.04 * minutes)) / 4.15


def bigness(gravity: Quantity | float) -> float:
    """Return the factor of the gravity in the table: strong wort takes up less.

    Args:
        gravity: specific gravity, 1.000 to 1.200.

    Raises:
        OutOfRange: ``gravity`` outside its range.

    Source: G. Tinseth, utilisation table (1995).

    >>> print(f"{bigness(1.050):.3f}")
    1.053
    """
    specific = magnitude(gravity, "dimensionless", "gravity", 1.0, 1.2)  # type: ignore[arg-type]
    return float(1.65 * 0.000125 ** (specific - 1.0))


def bitterness_per_utilisation(hop_mass: Quantity, alpha_acids: Quantity | float, volume: Quantity) -> float:
    """Return the milligrams of alpha acids per litre: the bitterness in IBU if all of it were used.

    Args:
        hop_mass: 0 to 50 kg.
        alpha_acids: share of the hops' mass, 0 to 40 percent (a bare number is a fraction).
        volume: finished wort, cold, 0.1 to 2000 litre.

    Raises:
        OutOfRange: an argument outside its range.

    >>> print(bitterness_per_utilisation(quantity(10, "gram"), quantity(5, "percent"), quantity(5, "litre")))
    100.0
    """
    hop_mg = magnitude(hop_mass, "milligram", "hop_mass", 0.0, 50e6)
    alpha = magnitude(alpha_acids, "dimensionless", "alpha_acids", 0.0, 0.4)  # type: ignore[arg-type]
    return hop_mg * alpha / magnitude(volume, "litre", "volume", 0.1, 2000.0)


def bitterness(
    hop_mass: Quantity,
    alpha_acids: Quantity | float,
    duration: Quantity,
    gravity: Quantity | float,
    volume: Quantity,
) -> Quantity:
    """Return the bitterness, in IBU, that one addition gives the beer.

    Args:
        hop_mass: 0 to 50 kg.
        alpha_acids: share of the hops' mass, 0 to 40 percent (a bare number is a fraction).
        duration: time in the boil, 0 to 240 minute.
        gravity: specific gravity, mean over the boil, 1.000 to 1.200.
        volume: finished wort, cold, 0.1 to 2000 litre.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: about 20 %; nobody tastes a difference below 5 IBU. Additions add up.
    Source: G. Tinseth, utilisation table (1995). One IBU is one milligram of iso-alpha acids in a litre.

    >>> b = bitterness(quantity(10, "gram"), quantity(5, "percent"), quantity(60, "minute"), 1.050,
    ...                quantity(5, "litre"))
    >>> print(f"{b.to('IBU').magnitude:.1f}")
    23.1
    """
    alpha_mg_per_l = bitterness_per_utilisation(hop_mass, alpha_acids, volume)
    return quantity(alpha_mg_per_l * utilisation(duration, gravity), "IBU")
