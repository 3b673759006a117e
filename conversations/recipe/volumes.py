"""Which of the volumes in a recipe's text is the size of its batch."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from conversations.intents import Measured, UnitSystem
from conversations.recipe.amounts import celsius
from conversations.recipe.limits import volume_refused
from conversations.recipe.mark import Mark
from conversations.recipe.words import words_of

SMALLEST_BATCH = 0.45
"""Litres below which a volume is a spoon or a cup of something, not a batch."""
_EDGES = frozenset({"sep", "name", "mass"})
_TOP_UP = re.compile(
    r"\b(?:top(?:ped)?|make|made|fill(?:ed)?|dilute[sd]?)\s+(?:\w+\s+)?(?:up\s+)?to\s*$", re.IGNORECASE
)
_STEEP = re.compile(r"\b(?:steep|soak|dissolve|mash|stir)\w*\b", re.IGNORECASE)
_INTO = re.compile(r"\b(?:in|into|with)\s+(?:\w+\s+)?$", re.IGNORECASE)
_LEAD = 80
"""Letters in front of a volume that can say what it is for; a whole line before each of its volumes would be read again and again."""
_EACH_LITRE = re.compile(r"(?:^|\b(?:per|each|every|a)\s+)(?:a |an |each |every )?(?:litre|liter|gallon)$", re.IGNORECASE)
"""A measure that something is counted by, no size."""
_FOR_ONE = re.compile(r"\b(?:for|makes?|making|yields?|brews?|brewed) (?:about |just )?(?:a|an|one) (?:litre|liter|gallon)$", re.IGNORECASE)
"""A gallon of beer, where nothing on the line is weighed for each."""
_OF_BEER = re.compile(r"\s*(?:of\s+)?(?:finished\s+)?(?:beer|ale|stout|porter|lager|bitter|mild)\b(?!\s+malt)", re.IGNORECASE)
_AMERICAN = re.compile(r"\bAA\b|\b(?:two|six)row\b|\b\d+\s?L\b|\b(?:SRM|color|flavor|liters?|quarts?|qts?)\b")
_SURELY_AMERICAN = re.compile(r"\b(?:corn\ssugar|fl(?:avor|avored)|color(?:ed)?|quarts?)\b", re.IGNORECASE)
_NOT_AMERICAN = re.compile(r"\b(?:EBC|colour|flavour|litres?|pints?|UK|imperial|British)\b", re.IGNORECASE)
_STATED = re.compile(r"\b(?:(?P<us>U\.?S\.?A?|American)|UK|imperial|imp|British)\s+(?:gal|gals|gallons?|pints?|quarts?)\b", re.IGNORECASE)
"""Which gallon all gallons of the text are."""
_BOTTLES = frozenset({"bottle", "bottles", "can", "cans", "keg", "kegs", "growler", "growlers"})


class Volumes:
    """Collects volumes line by line; the one with the best reason to be the batch wins, the first among equals."""

    def __init__(self, system: UnitSystem) -> None:
        self.system = system
        self.found: list[tuple[int, Mark]] = []
        self.unread: list[str] = []
        """Lines with a volume of an ingredient, whose weight nobody can tell."""
        self.signs: set[str] = set()
        """What tells on which side of the Atlantic the recipe was written."""

    def add(self, line: str, marks: list[Mark]) -> None:
        """Take the volumes of one line."""
        self._signs(line, marks)
        bottled = _in_bottles(marks)
        if bottled is not None:
            self.found.append((1, bottled))
        steep = _STEEP.search(line)
        steeped_from = steep.end() if steep else len(line)
        weighed = any(m.kind == "mass" for m in marks)
        for left, right in _pieces(marks):
            near = _near(marks[left:right])
            for place in range(left, right):
                if marks[place].kind == "volume":
                    self._one(line, marks, place, near, steeped_from, weighed)

    def _signs(self, line: str, marks: list[Mark]) -> None:
        weighed = {m.unit for m in marks if m.kind == "mass"}
        degrees = {"degF" if celsius(m) != m.value else m.unit for m in marks if m.kind == "temperature"}
        self.signs |= {unit for unit in weighed | degrees if unit in ("pound", "kilogram", "degF", "degC")}
        self.signs |= {"american", "strong"} if _SURELY_AMERICAN.search(line) else set()
        self.signs |= {"american"} if _AMERICAN.search(line) else set()
        self.signs |= {"stated us" if stated["us"] else "stated imperial" for stated in _STATED.finditer(line)}
        self.signs |= {"other"} if _NOT_AMERICAN.search(line) else set()

    def _american(self) -> bool:
        """Pounds and an American word together, with Fahrenheit or a second such word, and nothing that speaks against it."""
        return {"pound", "american"} <= self.signs and bool({"degF", "strong"} & self.signs) and not self.signs & {"kilogram", "degC", "other"}

    def _one(self, line: str, marks: list[Mark], place: int, near: frozenset[str], steeped_from: int, weighed: bool) -> None:
        mark = marks[place]
        lead = max(0, mark.start - _LEAD)
        if (_EACH_LITRE.match(mark.text) or _EACH_LITRE.search(line, lead, mark.end)) and (weighed or not _FOR_ONE.search(line, lead, mark.end)):
            return
        if mark.value <= 0:
            # No spoonful either: the size was told, and cannot be.
            self.found.append((0, mark))
            return
        against = words_of("size", "against") | {"preboil"}
        # A word in front of its colon or bracket counts for the volume behind it ("Batch: 5 l").
        following = [m for m in marks[place + 1 : place + 3] if m.text.casefold() != "of"][:1]
        if following and following[0].what == "grain" and not weighed and not _OF_BEER.match(line, mark.end):
            # "a pint of honey" has no weight that could be told.
            self.unread.append(line.strip())
            return
        small = Measured(value=mark.value, unit=mark.unit).in_unit("litre") < SMALLEST_BATCH
        if _TOP_UP.search(line, lead, mark.start) and not {"pot", "kettle", "boil", "preboil", "pre"}.intersection(near):
            against = frozenset()
        into = _INTO.search(line, max(lead, steeped_from), mark.start)
        if into is not None:
            # "steep 250 g crystal in 3 litres": the water that it is steeped in.
            return
        of_beer = bool(_OF_BEER.match(line, mark.end)) and not small
        if (near & against and not of_beer) or (small and "batch" not in near):
            return
        self.found.append((3 if of_beer or near & words_of("size", "cues") else 2, mark))

    def best(self) -> tuple[Measured | None, bool, str]:
        """The size, whether its gallon may be either one, and why it is refused (else empty)."""
        best = max(self.found, key=lambda pair: (pair[0], pair[1].what != "unsure"), default=None)
        if best is None:
            return None, False, ""
        mark = best[1]
        stated = self.signs & {"stated us", "stated imperial"}
        if mark.what == "unsure" and len(stated) == 1:
            bare = mark.unit.removeprefix("imperial_")
            mark = replace(mark, what="", unit=bare if "stated us" in stated else f"imperial_{bare}")
        unit = mark.unit.removeprefix("imperial_") if mark.what == "unsure" and self._american() else mark.unit
        volume = Measured(value=mark.value, unit=unit)
        if refused := volume_refused(volume, mark.text):
            return None, False, refused
        return volume, mark.what == "unsure" and self.system == "metric", ""


def _pieces(marks: list[Mark]) -> Iterator[tuple[int, int]]:
    """Where the pieces of the line lie between its separators, names and masses."""
    left = 0
    for place, mark in enumerate(marks):
        if mark.kind in _EDGES:
            yield left, place
            left = place + 1
    yield left, len(marks)


def _near(piece: list[Mark]) -> frozenset[str]:
    """The words of a piece of the line, which speak for or against each volume in it."""
    near = {m.what for m in piece if m.kind == "key" or m.what == "preboil"}
    return frozenset(near | {m.text.casefold() for m in piece if m.kind in ("word", "key")})


def _in_bottles(marks: list[Mark]) -> Mark | None:
    """ "24 bottles of 500 ml", "12 x 330 ml bottles and 6 of 500 ml": what they hold together."""
    if not any(m.text.casefold() in _BOTTLES for m in marks):
        return None
    litres, last = 0.0, None
    for place, mark in enumerate(marks):
        if mark.kind != "volume":
            continue
        before = [m for m in marks[max(0, place - 4) : place] if m.text.casefold() not in ("of", "x", "×", "at", "each", "holding")]
        before = [m for m in before if m.text.casefold() not in _BOTTLES]
        if before and before[-1].kind == "number" and before[-1].value == int(before[-1].value) >= 2:
            litres += before[-1].value * Measured(value=mark.value, unit=mark.unit).in_unit("litre")
            last = mark
    return None if last is None else Mark("volume", last.start, last.end, f"{litres:g} l", round(litres, 3), "litre")
