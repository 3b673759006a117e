"""The rests of the beer in a recipe's text: the warm one with its day and warmth, the cold one with its days."""

from __future__ import annotations

import re
from dataclasses import dataclass

from conversations.intents import Measured

_CLAUSE = re.compile(r"[\n;.](?!\d)")
_WARM = re.compile(r"\b(?:diacetyl|warm|d)[- ]rest\b", re.IGNORECASE)
_COLD = re.compile(r"\b(?:cold[- ](?:crash(?:ed|ing)?|rest|condition(?:ed|ing)?|stor(?:e|ed|ing))|crash[- ]cool(?:ed|ing)?|lager(?:ed|ing)?\s+(?:at|for))\b", re.IGNORECASE)
_DAY = re.compile(r"\b(?:day|d)\s*(\d{1,2})\b", re.IGNORECASE)
_DEGREES = re.compile(r"(\d{1,2}(?:[.,]\d)?)\s*(?:°|deg(?:rees)?\s*)?\s*([CF])\b", re.IGNORECASE)
_LENGTH = re.compile(r"(\d{1,2}|an?|one|two|three|four|five|six|seven|ten)\s*[- ]?(day|week)s?\b", re.IGNORECASE)
_WORDS = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "ten": 10}
_MOST_COLD_DAYS = 60
_WARMEST_C, _COOLEST_C = 32.0, 14.0


@dataclass(frozen=True, slots=True)
class BeerRests:
    """What was found; None where nothing was said."""

    warm_day: float | None = None
    warm_to: Measured | None = None
    cold_days: float | None = None


def beer_rests(text: str) -> BeerRests:
    """The rests that a text asks for.

    >>> found = beer_rests("Ferment at 19 C. Raise to 22 C on day 5 for a diacetyl rest. Cold crash for 3 days.")
    >>> (found.warm_day, found.warm_to.value, found.cold_days)
    (5.0, 22.0, 3.0)
    >>> beer_rests("Mash rest 30 min at 62 C")
    BeerRests(warm_day=None, warm_to=None, cold_days=None)
    """
    warm_day: float | None = None
    warm_to: Measured | None = None
    cold_days: float | None = None
    for clause in _CLAUSE.split(text):
        if _WARM.search(clause):
            if (day := _DAY.search(clause)) is not None:
                warm_day = float(day[1])
            degrees = [Measured(value=float(each[1].replace(",", ".")), unit="degF" if each[2].upper() == "F" else "degC") for each in _DEGREES.finditer(clause)]
            warm_to = next((each for each in reversed(degrees) if _COOLEST_C <= each.in_unit("degC") <= _WARMEST_C), warm_to)
        elif _COLD.search(clause) and (length := _LENGTH.search(clause)) is not None:
            number = _WORDS.get(length[1].lower()) or float(length[1])
            days = float(number) * (7 if length[2].lower() == "week" else 1)
            cold_days = days if 0 < days <= _MOST_COLD_DAYS else cold_days
    return BeerRests(warm_day, warm_to, cold_days)
