"""What an answer quotes of somebody else's message: lines behind ">" beside a recipe that has none."""

from __future__ import annotations

import re

_WEIGHED = re.compile(r"\d\s?(?:kg|g|gr|grams?|kilos?|lbs?|pounds?|oz|ounces?|%)(?!\w)", re.IGNORECASE)


def _weighed(rows: list[str]) -> int:
    return sum(len(_WEIGHED.findall(row[:1000])) for row in rows)


def without_quoted(rows: list[str]) -> tuple[list[str], list[str]]:
    """The rows of the answer, and those quoted with an amount; where many amounts stand behind ">", it is a list or the recipe spoken of, and all are kept.

    >>> without_quoted(["> I used 3 kg of wheat", "1.2 kg pale malt", "8 g Saaz"])
    (['1.2 kg pale malt', '8 g Saaz'], ['I used 3 kg of wheat'])
    >>> without_quoted(["> 1.2 kg pale malt", "> 8 g Saaz", "Boil an hour"])
    (['> 1.2 kg pale malt', '> 8 g Saaz', 'Boil an hour'], [])
    """
    quoted = [row for row in rows if row.lstrip().startswith(">")]
    own = [row for row in rows if not row.lstrip().startswith(">")]
    if not quoted or _weighed(own) < 2 * max(1, _weighed(quoted)):
        return rows, []
    return own, [row.strip(" >") for row in quoted if _weighed([row])]
