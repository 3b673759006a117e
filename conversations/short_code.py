"""The short code of a batch, as it stands on its bottles: B, the batch's number, and a letter that proves it."""

from __future__ import annotations

import re

_LETTERS = "ABCDEFGHJKLMNPQRSTVWXYZ"
"""Without I, O and U, which are taken for 1, 0 and V on a wet label."""
_CODE = re.compile(r"\s*+B\s*+(?:-\s*+)?(\d{1,9})\s*+(?:-\s*+)?([A-Z])\s*", re.IGNORECASE | re.ASCII)


def short_code(batch: int) -> str:
    """The code of a batch number from 1.

    The letter is the number's remainder by 23, a prime, so that one wrong digit or two swapped neighbours
    give another letter.

    >>> short_code(27)
    'B27E'
    """
    return f"B{batch}{_LETTERS[batch % len(_LETTERS)]}"


def read_code(text: str) -> int | None:
    """The batch number that a code stands for; None where the letter does not prove it or it is no code.

    >>> read_code(" b27e ")
    27
    >>> read_code("B28E") is None
    True
    """
    match = _CODE.fullmatch(text)
    if match is None:
        return None
    number = int(match[1])
    return number if _LETTERS[number % len(_LETTERS)] == match[2].upper() else None
