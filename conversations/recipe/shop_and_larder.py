"""What a line says of the larder and the shop beside its amount: "(have 5 kg)", "- buy 500 g, 3.40 euro", "- 100 g left in the jar"."""

from __future__ import annotations

import re

_WEIGHT = r"\d{1,5}(?:[.,]\d{1,3})?\s?(?:kg|g|gr|grams?|kilos?|lbs?|pounds?|oz|ounces?)"
_WEIGHED = re.compile(rf"(?<![\d.,]){_WEIGHT}\b", re.IGNORECASE)
_ABOUT = r"(?:about\s|still\s|only\s|roughly\s|another\s|over\s|at\sleast\s|nearly\s){0,2}"
_THERE = r"(?:in|from|out\sof)\s(?:the|my|our)\s(?:freezer|fridge|cupboard|jar|tin|larder|pantry|shed|cellar|drawer|loft|garage|shop|house)"
_SAID = (
    rf"(?:(?:i|we)\s)?(?:already\s|still\s|should\s){{0,2}}(?:have|got|(?:i|we)['’]ve(?:\sgot)?|buy|bought|order|ordered|in\sstock:?|stock:?|have\sgot)\s{_ABOUT}{_WEIGHT}\b|"
    rf"{_ABOUT}{_WEIGHT}\s(?:are\s|is\s)?(?:left|in\sstock|at\shome|to\sspare|{_THERE})\b|"
    rf"\d{{1,3}}[.,]\d\d\s(?:for|per)\s(?:an?\s)?{_WEIGHT}\b|{_WEIGHT}\sfor\s\d{{1,3}}[.,]\d\d\b"
)
_BRACKET = re.compile(rf"\s?\((?:{_SAID})[^()\d]*(?:\d+[.,]\d\d[^()\d]*)?\)", re.IGNORECASE)
_BEHIND = re.compile(rf"\s(?:-|–|—)\s(?:{_SAID})[^()\d;]*(?:\d+[.,]\d\d[^()\d;]*)?$", re.IGNORECASE)
_HAVE_USE = re.compile(rf"^\s*(?:i\s)?(?:have|got)\s(?P<had>{_WEIGHT})\s(?:of\s)?(?P<name>[^\d,;()–—-]{{2,40}}?)\s?(?:[-–—,]|but)\s(?:will\s|i\s|only\s){{0,2}}(?:use|using|need|take)\s(?:only\s)?(?P<used>{_WEIGHT})\s*$", re.IGNORECASE)
_MAY = re.compile(r"[(\-–—]")


def without_larder(row: str) -> str:
    """The line without it, where another amount says what goes into the beer.

    >>> without_larder("pale malt 2.8 kg (have 5 kg, no need to buy)"), without_larder("red crystal 350 g - buy 500 g, 3.40 euro")
    ('pale malt 2.8 kg', 'red crystal 350 g')
    >>> without_larder("Challenger 15 g, 60 min - 2.90 for 50 g"), without_larder("pale malt (have 5 kg)")
    ('Challenger 15 g, 60 min', 'pale malt (have 5 kg)')
    >>> without_larder("have 3 kg pale malt - use 2.5 kg")
    '2.5 kg pale malt'
    """
    have = _HAVE_USE.match(row)
    if have is not None:
        return f"{have['used']} {have['name']}"
    if not _MAY.search(row):
        return row
    mended = _BEHIND.sub("", _BRACKET.sub("", row))
    return mended if mended != row and _WEIGHED.search(mended) else row
