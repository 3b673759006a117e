"""One amount of hops that goes in at several times, as one addition for each of them."""

from __future__ import annotations

import re

_TIME = r"\d{1,3}(?!\d|\s*(?:%|percent|g\b|kg\b|oz\b)|[.,]\d)\s*(?:minutes?|mins?\.?|m\b|['’′])?|flame[- ]?out|knockout|the end"
_MASS = re.compile(r"(?<![\d.,])(?P<value>\d{1,6}(?:[.,]\d{1,4})?)\s{0,3}(?P<unit>g|gr|grams?|oz|ounces?)\b", re.IGNORECASE)
_HALVES = re.compile(
    rf",?\s{{0,3}}(?:with\s+)?half\s+(?:of it\s+|of them\s+)?(?:at|for|with|@)\s*(?P<one>{_TIME})\s*(?:,|and|&)\s*(?:and\s+)?(?:the\s+)?(?:other\s+)?"
    rf"(?:half|rest)\s+(?:at|for|with|@)?\s*(?P<two>{_TIME})",
    re.IGNORECASE,
)
_PARTS = re.compile(
    r",?\s{0,3}(?:split\s+|divided\s+)?(?:in|into)\s+(?P<many>two|three|four|2|3|4)\s+(?:equal\s+|even\s+)?(?:parts|portions|additions|lots|goes|shares)"
    rf"\s*[:,]?\s*(?:at|for|with|@)?\s*(?P<times>(?:{_TIME})(?:\s*(?:,|and|&|/)\s*(?:and\s+)?(?:{_TIME}))+)",
    re.IGNORECASE,
)
_SEVERAL = re.compile(
    rf"\s{{0,3}}(?:at|@)\s*(?P<times>\d{{1,3}}(?:\s*(?:,|and|&)\s*(?:and\s+)?(?:{_TIME}))+)(?=\s*[.;)]|\s*$)",
    re.IGNORECASE,
)
_COUNT = {"two": 2, "three": 3, "four": 4}
_ONE_TIME = re.compile(_TIME, re.IGNORECASE)


_AGAIN = re.compile(
    rf"\s{{0,3}}(?:,|and|&)\s*(?:and\s+)?(?:the\s+)?(?P<how>same(?:\s+again|\s+amount)?|again|double that|twice that|half that)\s+"
    rf"(?:at|for|with|@)?\s*(?P<time>{_TIME})",
    re.IGNORECASE,
)
_ONES = re.compile(
    rf"(?P<many>[2-4])\s*(?:x|×|times)\s*(?P<mass>\d+(?:[.,]\d+)?\s*(?:g|oz))\s+(?P<name>[^,;\d]+?)\s*[,:]\s*"
    rf"(?P<times>(?:one|1)\s+(?:at|for)\s+(?:{_TIME})(?:\s*(?:,|and)\s*(?:and\s+)?(?:one|1|the other|the third)\s+(?:at|for)\s+(?:{_TIME}))+)",
    re.IGNORECASE,
)
_SLASHED = re.compile(
    r"(?<![\d/.])(?P<values>\d+(?:\.\d+)?(?:/\d+(?:\.\d+)?){1,5})\s*(?P<unit>g|oz)\s+(?:of\s+)?(?P<name>[^,;\d@]+?)\s*(?:at|@)\s*(?P<times>\d{1,3}(?:/\d{1,3}){1,5})",
    re.IGNORECASE,
)
_FACTOR = {"double that": 2.0, "twice that": 2.0, "half that": 0.5}


def _in_pairs(row: str) -> str:
    """ "2 x 15 g Fuggle, one at 60 min, one at 15 min" and "15/10 g Goldings at 60/20": amounts and times told side by side."""
    ones, slashed = _ONES.search(row), _SLASHED.search(row)
    if ones is not None:
        times = re.findall(rf"(?:at|for)\s+({_TIME})", ones["times"], re.IGNORECASE)
        if len(times) == int(ones["many"]):
            told = ", ".join(f"{ones['mass']} {ones['name']} {_minutes(time)}" for time in times)
            return row[: ones.start()] + told + row[ones.end() :]
    if slashed is not None:
        values, times = slashed["values"].split("/"), slashed["times"].split("/")
        if len(values) == len(times):
            told = ", ".join(f"{a} {slashed['unit']} {slashed['name']} {b} min" for a, b in zip(values, times, strict=True))
            return row[: slashed.start()] + told + row[slashed.end() :]
    return row


def _again(row: str) -> str:
    """ "20 g Perle for 60 min, the same again at 10 min"; "again" alone does not say how much, so that is asked."""
    told, masses = _AGAIN.search(row), list(_MASS.finditer(row))
    if told is None or len(masses) != 1 or masses[0].start() > told.start():
        return row
    mass, how = masses[0], told["how"].lower()
    name = re.match(r"\s*(?:of\s+)?(?P<name>[^,;\d@(]*?)\s*(?:\b(?:at|for|with)\b|[,;\d@(]|$)", row[mass.end() :])
    named = name["name"] if name is not None and name["name"] else row[: mass.start()].rpartition(":")[2].strip(" ,")
    value = float(mass["value"].replace(",", "."))
    share = f"0-{value:g}" if how == "again" else f"{value * _FACTOR.get(how, 1.0):g}"
    return f"{row[: told.start()]}, {share} {mass['unit']} {named} {_minutes(told['time'])}{row[told.end() :]}"


def each_addition(row: str) -> str:
    """The line with such an amount written out; one whose share is not told is marked by a range, so that it is asked.

    >>> each_addition("12 g Perle, half at 60 min and half at 10 min")
    '6 g Perle 60 min, 6 g Perle 10 min'
    >>> each_addition("30 g Saaz in three parts at 60, 30 and 5 min")
    '10 g Saaz 60 min, 10 g Saaz 30 min, 10 g Saaz 5 min'
    >>> each_addition("12 g Perle at 60 and 10 min")
    '6-12 g Perle 60 min, 6-12 g Perle 10 min'
    """
    row = _again(_in_pairs(row))
    masses = list(_MASS.finditer(row))
    if len(masses) != 1:
        return row
    halves, parts, several = _HALVES.search(row), _PARTS.search(row), _SEVERAL.search(row)
    told = halves or parts or several
    if told is None or (told.start() < masses[0].start() and ":" not in row[: masses[0].start()]):
        return row
    times = [halves["one"], halves["two"]] if halves else _ONE_TIME.findall((parts or several or told)["times"])
    if parts and len(times) != _COUNT.get(parts["many"].lower(), int(parts["many"]) if parts["many"].isdigit() else 0):
        return row
    mass = masses[0]
    value = float(mass["value"].replace(",", "."))
    share = f"{round(value / len(times), 3):g}"
    amount = f"{share} {mass['unit']}" if told is not several else f"{share}-{value:g} {mass['unit']}"
    before = row[: mass.start()]
    label, colon, name = before.rpartition(":")
    behind = row[mass.end() : told.start()]
    rest = row[told.end() :]
    written = [f"{amount} {(name + ' ' + behind).strip(' ,')} {_minutes(time)}" for time in times]
    return f"{label}{colon}{' ' if colon else ''}{', '.join(written)}{rest}"


def _minutes(time: str) -> str:
    figure = re.match(r"\d+", time)
    return f"{figure[0]} min" if figure else time
