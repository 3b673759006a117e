"""What a batch costs, per litre, bottle and pint, with left-over ingredients priced by the part used.

Money is :class:`decimal.Decimal` in whatever currency the brewer pays; nothing is rounded before
:func:`rounded`, so that shares add up.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from calc.errors import OutOfRange
from calc.units import Quantity, magnitude

PintUnit = Literal["imperial_pint", "US_pint"]

_DIGITS = 12
_PINT_LITRE: dict[str, Decimal] = {
    "imperial_pint": Decimal("0.56826125"),
    "US_pint": Decimal("0.473176473"),
}


def _decimal(value: float) -> Decimal:
    """A float without the noise of its last binary digits."""
    return Decimal(f"{value:.{_DIGITS}g}")


def _price(price: Decimal, argument: str) -> Decimal:
    if not isinstance(price, Decimal):
        raise OutOfRange(argument, None, "money", 0, None, "must be a decimal.Decimal")
    if not price.is_finite() or price < 0:
        raise OutOfRange(argument, None, "money", 0, None, "must be a number of 0 or more")
    return price


def _litres(volume: Quantity, argument: str) -> Decimal:
    return _decimal(magnitude(volume, "litre", argument, 1e-3, 1e4))


def rounded(amount: Decimal, places: int = 2) -> Decimal:
    """Round money for showing, halves away from zero, to 0 to 6 places.

    Raises:
        OutOfRange: places outside 0 to 6.

    >>> rounded(Decimal("1.005"))
    Decimal('1.01')
    """
    if not 0 <= places <= 6:
        raise OutOfRange("places", places, "dimensionless", 0, 6)
    return amount.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class Purchase:
    """Something bought for brewing, of which a part goes into this batch.

    Attributes:
        price: paid for the whole package, 0 or more.
        package: what was in it: a mass, a volume or a count (dimensionless), above 0.
        used: the part used, in the same kind of unit; it may be more than one package.
    """

    price: Decimal
    package: Quantity
    used: Quantity


def cost_of_part(price: Decimal, package: Quantity, used: Quantity) -> Decimal:
    """Price of the part used of a package; the rest stays in stock at its own share of the price.

    Args:
        price: paid for the whole package, 0 or more.
        package: amount in the package, above 0.
        used: amount used, 0 or more, of the same dimension.

    Returns:
        money, not rounded.

    Raises:
        OutOfRange: an argument outside its range, or package and used of different kinds.

    >>> from calc.units import quantity
    >>> cost_of_part(Decimal("4.40"), quantity(11, "gram"), quantity(3, "gram"))
    Decimal('1.20')
    """
    unit = str(package.units)
    packed = _decimal(magnitude(package, unit, "package", 1e-9))
    return _price(price, "price") * _decimal(magnitude(used, unit, "used", 0)) / packed


def batch_cost(purchases: Iterable[Purchase]) -> Decimal:
    """Sum of the parts used, money, not rounded.

    Raises:
        OutOfRange: as in :func:`cost_of_part`.

    >>> from calc.units import quantity
    >>> malt = Purchase(Decimal("9.00"), quantity(5, "kg"), quantity(1300, "gram"))
    >>> yeast = Purchase(Decimal("4.40"), quantity(11, "gram"), quantity(3, "gram"))
    >>> batch_cost([malt, yeast])
    Decimal('3.540')
    """
    return sum((cost_of_part(p.price, p.package, p.used) for p in purchases), Decimal(0))


def left_over_value(purchases: Iterable[Purchase]) -> Decimal:
    """What the unused rest of the packages is worth by price paid; money, not rounded.

    Where more than one package was used, the last one opened counts.

    Raises:
        OutOfRange: as in :func:`cost_of_part`.

    >>> from calc.units import quantity
    >>> left_over_value([Purchase(Decimal("4.40"), quantity(11, "gram"), quantity(3, "gram"))])
    Decimal('3.20')
    """
    total = Decimal(0)
    for purchase in purchases:
        used = cost_of_part(purchase.price, purchase.package, purchase.used)
        if purchase.price:
            total += (purchase.price - used % purchase.price) % purchase.price
    return total


def cost_per_litre(batch: Decimal, volume: Quantity) -> Decimal:
    """Money per litre of beer, not rounded.

    Args:
        batch: money for the whole batch, 0 or more.
        volume: of beer that was packaged, above 0 litres.

    Raises:
        OutOfRange: an argument outside its range.

    >>> from calc.units import quantity
    >>> cost_per_litre(Decimal("6.00"), quantity(4.8, "litre"))
    Decimal('1.25')
    """
    return _price(batch, "batch") / _litres(volume, "volume")


def cost_per_bottle(batch: Decimal, volume: Quantity, bottle: Quantity) -> Decimal:
    """Money for the beer in one bottle, not rounded; ``bottle`` is its filled volume, above 0 litres.

    Arguments and errors otherwise as in :func:`cost_per_litre`.

    >>> from calc.units import quantity
    >>> cost_per_bottle(Decimal("6.00"), quantity(4.8, "litre"), quantity(500, "ml"))
    Decimal('0.625')
    """
    return cost_per_litre(batch, volume) * _litres(bottle, "bottle")


def cost_per_pint(batch: Decimal, volume: Quantity, pint: PintUnit = "imperial_pint") -> Decimal:
    """Money per pint, not rounded; "imperial_pint" is 568 ml, "US_pint" 473 ml.

    Arguments and errors otherwise as in :func:`cost_per_litre`.

    Source: definitions of the two pints.

    >>> from calc.units import quantity
    >>> rounded(cost_per_pint(Decimal("6.00"), quantity(4.8, "litre")))
    Decimal('0.71')
    """
    if pint not in _PINT_LITRE:
        raise OutOfRange("pint", None, "litre", reason=f"must be one of {', '.join(_PINT_LITRE)}")
    return cost_per_litre(batch, volume) * _PINT_LITRE[pint]
