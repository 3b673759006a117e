"""Money as it is written and said."""

from __future__ import annotations

from decimal import Decimal

from calc.cost import rounded

SIGNS = {"EUR": "€", "GBP": "£", "USD": "$"}
NO_HUNDREDTHS = frozenset({"JPY"})


def money(value: Decimal, code: str) -> str:
    """An amount with its sign before it, or its code behind it where the sign is not known everywhere.

    >>> money(Decimal("9.5"), "GBP"), money(Decimal("0.625"), "EUR"), money(Decimal("120"), "SEK")
    ('£9.50', '€0.63', '120.00 SEK')
    """
    number = rounded(value, 0 if code in NO_HUNDREDTHS else 2)
    sign = SIGNS.get(code)
    return f"{sign}{number}" if sign else f"{number} {code}"
