"""An amount or a time that the same line takes back: "four kilos of pale malt, no, four point two kilos"."""

from __future__ import annotations

import re

from conversations.recipe.marks import items_of
from conversations.understanding.quantities import KINDS
from conversations.understanding.self_corrections import taken_back
from conversations.understanding.words import Item

_LONGEST = 3000
_BETWEEN = 5
"""Words that may stand between an amount and what takes it back: its name."""
_LEADS = re.compile(r"\W*(?:(?:at|for|it['’]?s|that['’]?s|it|is|to|about|only|i|we|meant|the|a)\s+){0,3}$", re.IGNORECASE)
_NAME = re.compile(r"\s+(?:of\s+)?(?P<name>[^\W\d]+)")
_NO_MAKE = re.compile(r"\W*no\W+(?:(?:wait|sorry|hang on)\W+)?make (?:that|it)\b", re.IGNORECASE)
""" "20 litres. No, make that 19": across a stop, where nothing else stands between."""
_STATEMENT = 50
"""Letters between an amount and the time told with it."""
_TRIES = 12
_FAR = 3.5
"""How many times the one the other may be where a unit is missing."""


def without_taken_back(row: str) -> str:
    """The line with what was taken back left out.

    >>> without_taken_back("four kilos of pale malt no hang on four point two kilos of pale malt")
    'four point two kilos of pale malt'
    >>> without_taken_back("Stout, 20 litres. No, make that 19.")
    'Stout, 19 litres.'
    >>> without_taken_back("fifty no sorry sixty grams of roasted barley")
    'sixty grams of roasted barley'
    >>> without_taken_back("25 g Goldings at fifteen minutes scratch that at ten minutes")
    '25 g Goldings at ten minutes'
    """
    if len(row) > _LONGEST:
        return row
    for _ in range(_TRIES):
        mended = _once(row)
        if mended is None:
            return row
        row = mended
    return row


def _once(row: str) -> str | None:
    markers = list(taken_back().finditer(row))
    if not markers:
        return None
    figures = [item for item in items_of(row, "metric") if item.kind in ("num", "qty", "dur")]
    for said in markers:
        first = next((f for f in reversed(figures) if f.end <= said.start()), None)
        second = next((f for f in figures if f.start >= said.end()), None)
        if first is None or second is None or not _LEADS.match(row[said.end() : second.start]):
            continue
        first = _of_the_same(row, figures, first, second)
        between = row[first.end : said.start()]
        alone = said["by"].casefold() in ("no", "rather", "actually", "sorry") and len(said.group().split()) == 1
        longest = _BETWEEN if not _NAME.match(row, first.end) or first.kind == "dur" else 2 * _BETWEEN
        stopped = re.search(r"[.!?]\s", between) and not (_NO_MAKE.match(said.group()) and between.strip() in (".", "!"))
        if len(between.split()) > longest or stopped or not _one_thing(first, second):
            continue
        if alone and (between.strip(" ,-–—") != "" or said["by"].casefold() != "no") and "," not in between + said.group() and not re.search(r"[–—]|\s-", between):
            # "thermometer no 2", "20 g rather 10 min" take nothing back.
            continue
        return _without(row, first, second, between)
    return None


def _of_the_same(row: str, figures: list[Item], first: Item, second: Item) -> Item:
    """The figure that the second one takes back: "20 g of Fuggle for 60 minutes, oops, 25 g of Fuggle" means the mass before the time."""
    said = _NAME.match(row, second.end)
    if said is None or first.kind == "num" or _one_thing(first, second):
        return first
    earlier = (f for f in reversed(figures) if f.end <= first.start and _one_thing(f, second) and f.kind == second.kind)
    same = next((f for f in earlier if (named := _NAME.match(row, f.end)) is not None and named["name"].casefold() == said["name"].casefold()), None)
    return same if same is not None and first.start - same.end <= _STATEMENT else first


def _without(row: str, first: Item, second: Item, between: str) -> str:
    """The second figure in the place of the first, with what the first was an amount of where only it says so."""
    told = row[second.start : second.end]
    if second.kind == "num" and first.kind != "num":
        unit = re.search(r"[^\W\d]+\W*$", row[first.start : first.end])
        told = f"{told} {unit[0].strip()}" if unit else told
    behind = row[second.end :]
    name = between.strip(" ,.-–—")
    named = [_NAME.match(part) for part in (between, behind)]
    said_again = bool(name) and all(named) and named[0]["name"].casefold() == named[1]["name"].casefold()  # type: ignore[index]
    names_another = bool(re.match(r"\s+of\s|\s*[^\W\d]+\s+malt\b", behind))
    kept = "" if not name or said_again or names_another else f" {name}"
    return f"{row[: first.start]}{told}{kept}{behind}"


def _one_thing(first: Item, second: Item) -> bool:
    if first.kind == "num" or second.kind == "num":
        if first.kind == "dur" and first.unit not in ("minute", ""):
            return False
        low, high = sorted((abs(first.value) / (60 if first.kind == "dur" else 1), abs(second.value)))
        return low > 0 and (first.kind == "num" or second.kind == "num") and high / low <= _FAR
    kinds = ["time" if f.kind == "dur" else KINDS.get(f.unit, f.unit) for f in (first, second)]
    return kinds[0] == kinds[1]
