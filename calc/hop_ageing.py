"""How much alpha acid is left in hops that were kept a while."""

from __future__ import annotations

import math

from calc.errors import OutOfRange
from calc.tables import read_table
from calc.units import Quantity, magnitude, quantity

_DAYS_PER_MONTH = 365.25 / 12.0


def _choice(table: dict[str, float], key: str, argument: str) -> float:
    if key not in table:
        raise OutOfRange(argument, None, "", reason=f"must be one of {', '.join(table)}")
    return float(table[key])


def aged_alpha_acids(
    alpha_acids: Quantity | float,
    age: Quantity,
    temperature: Quantity,
    wrapping: str = "airtight",
    keeping: str = "average",
) -> Quantity:
    """Return the alpha acids, in percent, that are left after storage.

    Args:
        alpha_acids: on the packet, 0 to 40 percent (a bare number is a fraction).
        age: since packing, 0 to 10 year.
        temperature: of storage, -40 to 40 degC.
        wrapping: ``open``, ``airtight`` or ``vacuum`` (``data/hop_storage.toml``).
        keeping: how the variety keeps: ``good``, ``fair``, ``average`` or ``poor``.

    Raises:
        OutOfRange: an argument outside its range, or a word that the data file does not have.

    Errors: a quarter of the loss, either way; the variety's class dominates. What is lost as alpha acid is
    partly replaced by the bitterness of its oxidation products.
    Source: first-order loss; numbers from memory, in the data file.

    >>> left = aged_alpha_acids(quantity(5, "percent"), quantity(6, "month"), quantity(20, "degC"), "open")
    >>> print(f"{left.magnitude:.2f}")
    2.75
    """
    fresh = magnitude(alpha_acids, "dimensionless", "alpha_acids", 0.0, 0.4)  # type: ignore[arg-type]
    days = magnitude(age, "day", "age", 0.0, 3653.0)
    store_c = magnitude(temperature, "degC", "temperature", -40.0, 40.0)
    data = read_table("hop_storage")
    lost = _choice(data["lost_in_test"], keeping, "keeping")
    rate_per_day = -math.log1p(-lost) / (float(data["months_of_test"]) * _DAYS_PER_MONTH)
    rate_per_day *= math.pow(2.0, (store_c - 20.0) / float(data["halving_kelvin"]))
    rate_per_day *= _choice(data["wrapping"], wrapping, "wrapping")
    return quantity(100.0 * fresh * math.exp(-rate_per_day * days), "percent")
