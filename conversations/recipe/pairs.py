"""Names and amounts on lines of their own, as web pages leave them when they are copied."""

from __future__ import annotations

import re
from itertools import pairwise

from conversations.recipe.words import known_grain, known_hop

_AMOUNT = re.compile(
    r"^\s*\d+(?:[.,]\d+)?(?:\s*[¼½¾]|\s+\d/\d)?\s*(?:kg|gr?|grams?|kilos?|lbs?|pounds?|oz|ounces?)\.?"
    r"(?:\s+\d+(?:[.,]\d+)?\s*(?:oz|ounces?|gr?|grams?))?\s*$",
    re.IGNORECASE,
)
_MORE = re.compile(
    r"^\s*(?:(?:at|for|@)\s+)?(?:\d+(?:[.,]\d+)?\s*(?:%.{0,14}|min(?:ute)?s?\.?|['’′])|flame[- ]?out|dry hop|boil|steep|mash|first wort)\s*$",
    re.IGNORECASE,
)


def _named(row: str) -> bool:
    plain = row.strip(" :.-–")
    return bool(plain) and not re.search(r"\d", plain) and len(plain.split()) <= 4 and (known_grain(plain) or known_hop(plain) or "yeast" in plain.casefold())


def on_one_line(rows: list[str]) -> list[str]:
    """The rows with a name and its amount put together wherever at least two such pairs follow each other.

    >>> on_one_line(["Pale malt", "2.1 kg", "Perle", "12 g", "60 min"])
    ['2.1 kg Pale malt', '12 g Perle, 60 min']
    """
    name_first = sum(_named(a) and bool(_AMOUNT.match(b)) for a, b in pairwise(rows))
    mass_first = sum(bool(_AMOUNT.match(a)) and _named(b) for a, b in pairwise(rows))
    if max(name_first, mass_first) < 2:
        return rows
    # Between two pairs either order fits; what the first amount follows tells.
    first = next(i for i, row in enumerate(rows) if _AMOUNT.match(row))
    names_lead = first > 0 and _named(rows[first - 1])
    made: list[str] = []
    i = 0
    while i < len(rows):
        pair = rows[i : i + 2]
        joined = ""
        if len(pair) == 2 and names_lead and _named(pair[0]) and _AMOUNT.match(pair[1]):
            joined = f"{pair[1].strip()} {pair[0].strip(' :.-–')}"
        elif len(pair) == 2 and not names_lead and _AMOUNT.match(pair[0]) and _named(pair[1]):
            joined = f"{pair[0].strip()} {pair[1].strip(' :.-–')}"
        if not joined:
            made.append(rows[i])
            i += 1
            continue
        i += 2
        while i < len(rows) and _MORE.match(rows[i]):
            joined += f", {rows[i].strip()}"
            i += 1
        made.append(joined)
    return made
