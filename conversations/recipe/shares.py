"""A recipe on one line with its grist in percent and its hops weighed, cut where the next amount begins."""

from __future__ import annotations

import re

LONGEST_SHARED = 3000
_SHARE_FIRST = re.compile(r"(?:^|,|\band\b|:)\s*\d+(?:[.,]\d+)?\s*%\s+(?!alpha|aa\b|alc|abv)[A-Za-z]{3,}", re.IGNORECASE)
_NEXT_AMOUNT = re.compile(
    r"(?:(?<!\s)\s++)?(?:,|:|\band\b)\s++(?=\d+(?:[.,]\d+)?\s*(?:%\s+(?!alpha|aa\b|alc|abv)[A-Za-z]{3,}|(?:g|kg|oz|lb|lbs|grams?|ounces?|pounds?)\b))", re.IGNORECASE
)
_WEIGHED = re.compile(r"\d\s*(?:g|kg|oz|lb|lbs|grams?|ounces?|pounds?)\b", re.IGNORECASE)


def shares_apart(row: str) -> list[str]:
    """ "80% pale malt, 20% munich, 20 g Saaz 3.5% at 60" in pieces: there a percentage before a name is a share, one behind it alpha."""
    shares, weighed = list(_SHARE_FIRST.finditer(row[:LONGEST_SHARED])), _WEIGHED.search(row)
    if len(row) > LONGEST_SHARED or len(shares) < 2 or weighed is None or weighed.start() < shares[0].start():
        # "2.3 kg in all: 90 % pale malt, 10 % crystal": the shares are of that mass.
        return [row]
    return [piece.strip() for piece in _NEXT_AMOUNT.split(row) if piece.strip()]
