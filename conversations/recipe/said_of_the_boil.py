"""How long the boil is, where it is told beside a hop or by the timer, in the words of the line that says it outright."""

from __future__ import annotations

import re

_NUMBER = "an?|one|two|three|four|five|ten|fifteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|half|quarter|quarters|of|and"
_LENGTH = rf"(?:\d{{1,3}}\s{{0,2}}(?:minutes?|mins?|hours?|hrs?)|(?:(?:{_NUMBER})[ -]){{1,6}}(?:minutes?|mins?|hours?))\b(?:\s+and\s+a\s+(?:half|quarter))?"
_WHICH_IS = re.compile(
    rf"(?P<boil>\bboil)\s?,?\s(?:which|that|and\s(?:it|that|this)|and\sthe\sboil)\s?(?:is|was|['’]s|lasts|takes|will\sbe|goes\son|goes|runs)\s(?:for\s)?(?P<length>{_LENGTH})",
    re.IGNORECASE,
)
_IS_THE_BOIL = (
    r"(?:that['’]?s|that\sis|that\swas|which\sis|it['’]?s)\s(?:also\s)?(?:the\s|my\s|our\s)?(?:whole\s|full\s|entire\s|total\s)?"
    r"(?:length\sof\sthe\s)?boil(?:\s(?:time|length))?\b"
)
_LENGTH_OF_BOIL = re.compile(_IS_THE_BOIL, re.IGNORECASE)
_THAT_IS = re.compile(rf"(?P<length>{_LENGTH})\s?,?\s(?:and\s|so\s)?{_IS_THE_BOIL}", re.IGNORECASE)
_LONG = re.compile(r"\b(?P<boil>(?:whole|full|entire|total)\sboil)\s(?:of|for)\s(?P<length>\d{2,3})(?!\d|[.,]\d|\s?(?:g\b|l\b|%|oz))(?:\s?(?:minutes?|mins?)\b)?", re.IGNORECASE)
_TIMER = re.compile(rf"\b(?:set|start)\s(?:the|a|my|your)\s(?:timer|clock|alarm)\s(?:to|for|at)\s(?P<length>{_LENGTH})", re.IGNORECASE)
_BOILING = re.compile(r"\bboil", re.IGNORECASE)
_MASHING = re.compile(r"\bmash", re.IGNORECASE)


def with_boil(row: str) -> str:
    """The line with the length of its boil written out.

    >>> with_boil("15 g Fuggle for the whole of the boil, which is 60 minutes")
    '15 g Fuggle for the whole of the boil, boil 60 minutes'
    >>> with_boil("6 g Cascade, 30 min, and that's the whole boil")
    '6 g Cascade, 30 min, boil 30 min'
    """
    if not _BOILING.search(row):
        return row
    row = _WHICH_IS.sub(r"\g<boil>, boil \g<length>", row)
    row = _LONG.sub(r"\g<boil>, boil \g<length> minutes", row)
    if _LENGTH_OF_BOIL.search(row):
        row = _THAT_IS.sub(r"\g<length>, boil \g<length>", row)
    told = _TIMER.search(row)
    if told is not None and not _MASHING.search(row):
        row = f"{row[: told.end()]}, boil {told['length']}{row[told.end() :]}"
    return row
