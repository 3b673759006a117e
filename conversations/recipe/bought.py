"""What was bought, where the brackets behind it say how much of it is used: "5 kg pale malt (need 4.6)"."""

from __future__ import annotations

import re

_BOUGHT = re.compile(
    r"(?P<mass>\b\d{1,5}(?:[.,]\d{1,3})?)\s{0,2}(?P<unit>kg|g|gr|grams?|kilos?|lbs?|oz)\s(?P<name>[^\d,;()]{2,40}?)\s{0,2}"
    r"\((?:I\s|we\s)?(?:only\s)?(?:need|needs|needed|use|uses|using|used|take)\s(?:only\s)?(?P<used>[^()]{1,120})\)",
    re.IGNORECASE,
)
_USED = re.compile(r"(?<!\bfor )(?<!\bat )(?<!@)(?<![\d.,])(\d{1,5}(?:[.,]\d{1,3})?)(?=\s*(?:$|[,;)]|and\b|(?:for|at)\b|@))", re.IGNORECASE)


def only_used(row: str) -> str:
    """The line with what is used in the place of what was bought.

    >>> only_used("5 kg pale malt (need 4.6), 500 g crystal (need 300)")
    'pale malt 4.6 kg, crystal 300 g'
    >>> only_used("100 g Challenger (need 25 for 60 min and 15 for 10 min, 7.5%)")
    'Challenger 25 g for 60 min and 15 g for 10 min, 7.5%'
    """
    return _BOUGHT.sub(_written, row)


def _written(found: re.Match[str]) -> str:
    used = _USED.sub(rf"\1 {found['unit']}", found["used"])
    if not re.search(rf"\d\s*{re.escape(found['unit'])}\b", used):
        return found[0]
    return f"{found['name']} {used}"
