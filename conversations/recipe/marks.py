"""A line of a recipe as a row of marks: names, masses, shares, times, volumes, and the words that turn them."""

from __future__ import annotations

import re

from calc.fermentables import find_fermentable
from conversations.intents import UnitSystem
from conversations.recipe.figures import is_colour, number_mark, quantity_mark, two_amounts
from conversations.recipe.mark import Mark
from conversations.recipe.names import counted_up, forms, name_at, phrase_end, yeast_end
from conversations.recipe.words import keys, when_phrases
from conversations.understanding.numbers import number_items
from conversations.understanding.quantities import KINDS, quantity_items
from conversations.understanding.sentences import tree
from conversations.understanding.times import duration_items
from conversations.understanding.words import Item, split

_ROWS = (
    (re.compile(r"\b(?:2|two)[- ]?row\b", re.IGNORECASE), "tworow"),
    (re.compile(r"\b(?:6|six)[- ]?row\b", re.IGNORECASE), "sixrow"),
)
_CELLS = re.compile(r"\s*[|\t]\s*|\s{3,}")
_LEADER = re.compile(r"(?:(?<!\s)\s++)?(?:\.{2,}|…+)\s*")
_SLASH = re.compile(r"\s+/{1,2}\s+")
_LOVIBOND = re.compile(r"\s{0,3}\((\d{1,3}L)\)")
_BRACKETS = re.compile(r"(?:(?<!\s)\s++)?[()\[\]]\s*")


def spread(line: str) -> str:
    """The line with cells of a table as pieces between commas, and "2-row" as one word.

    >>> spread("| Pale malt | 4.1 kg | 80 % |")
    'Pale malt, 4.1 kg, 80 %'
    """
    for written, word in _ROWS:
        line = written.sub(word, line)
    # "crystal malt (60L)": the maltster's degrees stay beside the malt.
    line = _LOVIBOND.sub(r" \1 ", line)
    # A bracket is a piece of its own: "1 oz (28 g)" is one amount said twice, not an ounce and 28 grams.
    line = _SLASH.sub(", ", _BRACKETS.sub(", ", _LEADER.sub(" ", line)))
    return _CELLS.sub(", ", line.strip(" |\t")).strip(", ")


def items_of(line: str, system: UnitSystem) -> list[Item]:
    """The line's words, numbers, quantities and durations, in order; nothing is dropped."""
    tree()
    return duration_items(quantity_items(number_items(split(line)), system))


def marks(line: str, system: UnitSystem, section: str | None = None) -> list[Mark]:
    """The marks of one line, which may hold several ingredients; ``section`` is the heading that it stands under."""
    items = items_of(line, system)
    in_yeast = section == "yeast"
    found: list[Mark] = []
    i = 0
    while i < len(items):
        mark, end = _mark(line, items, i, in_yeast)
        if mark is not None:
            found.append(mark)
            if mark.rest is not None:
                found.append(mark.rest)
            in_yeast = in_yeast or (mark.kind == "name" and mark.what == "yeast")
        i = end
    return _in_grams(found)


def _in_grams(found: list[Mark]) -> list[Mark]:
    """ "a quarter kilo of black malt, two fifty of crystal": a bare hundred of a malt is grams where the line weighs in grams or kilos."""
    if not any(m.kind == "mass" and m.unit in ("gram", "kilogram") for m in found):
        return found
    for place, mark in enumerate(found[:-2]):
        of, name = found[place + 1], found[place + 2]
        least, most = {"grain": (20, 950), "hop": (3, 200)}.get(name.what, (1, 0))
        if mark.kind == "number" and not mark.what and least <= mark.value <= most and of.text.casefold() == "of" and name.kind == "name":
            mark.kind, mark.unit = "mass", "gram"
    return found


def _says_length(items: list[Item], i: int) -> bool:
    """ "the boil is sixty minutes", "the boil lasts an hour", but not "when the boil is ten minutes old"."""
    told = i + 2 < len(items) and items[i + 1].word in ("is", "was", "lasts", "takes", "lasted", "took") and items[i + 2].kind == "dur"
    return told and not (i > 1 and items[i - 2].word in ("when", "once", "until", "till", "after", "while"))


def _with_shade(line: str, items: list[Item], i: int, end: int, ours: str) -> int:
    """Where the name ends with the shade that some write behind it: "caramel malt dark"."""
    if end < len(items) and items[end].word in ("dark", "light"):
        shaded = find_fermentable(line[items[i].start : items[end].end])
        return end + (shaded is not None and shaded.name != ours)
    return end


def _unjoined(mark: Mark, line: str, items: list[Item], end: int) -> Mark:
    """ "pale malt 4 kg and 300 g of Munich": two masses that ran into one, of which this is the first; the second waits in ``rest``."""
    parts = two_amounts(mark.text)
    of = end + 1 < len(items) and items[end].word == "of"
    if parts is None or not of or name_at(items, end + 1) is None:
        # "pale malt 1 kg and 250 g, crystal malt": nobody can tell.
        return mark
    first, second = ([x for x in items_of(part, "metric") if x.kind == "qty"] for part in parts)
    if len(first) != 1 or len(second) != 1:
        return mark
    begins = mark.end - len(parts[1])
    mark.rest = Mark("mass", begins, mark.end, parts[1], second[0].value, second[0].unit)
    mark.what, mark.value, mark.unit, mark.text, mark.end = "", first[0].value, first[0].unit, parts[0], mark.start + len(parts[0])
    return mark


def _some_hops(items: list[Item], i: int) -> bool:
    """ "20 g hops", "15 g of bittering hops": hops of a variety that nobody named, right behind their mass."""
    if items[i].word not in ("hops", "hop", "pellets"):
        return False
    j = i - 1
    while j >= 0 and items[j].word in ("of", "bittering", "aroma", "any", "some", "leaf", "whole"):
        j -= 1
    weighed = j >= 0 and items[j].kind == "qty" and KINDS.get(items[j].unit) == "mass"
    weighed = weighed and not (j and items[j - 1].word in ("total", "altogether", "all", "of"))
    following = items[i + 1] if i + 1 < len(items) else None
    return weighed and (following is None or (name_at(items, i + 1) is None and following.word not in ("of", "in", "total", "altogether", ":", "-")))


def _mark(line: str, items: list[Item], i: int, in_yeast: bool) -> tuple[Mark | None, int]:
    item = items[i]

    def made(kind: str, end: int, **fields: float | str) -> tuple[Mark, int]:
        start, stop = item.start, items[end - 1].end
        return Mark(kind, start, stop, line[start:stop], **fields), end  # type: ignore[arg-type]

    if item.kind == "sep":
        return made("sep", i + 1, what=item.word)
    if item.kind == "dur":
        days = item.unit in ("day", "week") or item.whole_days or item.value >= 86400
        if days:
            return made("days", i + 1, value=item.value / 86400)
        into = counted_up(items, i + 1)
        if into is not None:
            return made("time", into, value=item.value / 60, what="after")
        led = next((x.word for x in reversed(items[max(0, i - 3) : i]) if x.word not in ("the", "first")), "")
        if led == "after":
            return made("time", i + 1, value=item.value / 60, what="after")
        return made("time", i + 1, value=item.value / 60)
    if item.kind == "qty":
        amount, after = quantity_mark(line, items, i)
        return (amount if amount is None or amount.what != "range" else _unjoined(amount, line, items, after)), after
    if item.kind == "num" and i > 1 and items[i - 1].word == "." and items[i - 2].word == "no":
        # "Kitchen Lager No. 3"
        return made("word", i + 1, what=item.word)
    if item.kind == "num":
        return number_mark(line, items, i)
    if item.kind != "word":
        return None, i + 1
    if item.word == "day" and i + 1 < len(items) and items[i + 1].kind == "num" and i and items[i - 1].word == "on":
        return made("when", i + 2, what="dry")
    if _some_hops(items, i):
        return made("name", i + 1, what="hop", ours="hops")
    for words, meaning in (phrase for form in forms(item) for phrase in when_phrases().get(form, ())):
        end = phrase_end(items, i, words)
        if end is not None and not (words[-1] == "boil" and _says_length(items, end - 1)) and not (i and items[i - 1].word in ("no", "without", "until", "till", "til")):
            return made("when", end, what=meaning)
    end = yeast_end(items, i, in_yeast)
    if end is not None:
        return made("name", end, what="yeast")
    name = name_at(items, i)
    if name is not None and ":" in line[item.start : items[name[2] - 1].start]:
        # "Malt: pale 2 kg": the label is no part of the name.
        return made("word", i + 1, what=item.word)
    if name is not None and name[2] == i + 1 and item.word in ("malt", "malts") and i + 2 < len(items) and items[i + 1].word in ("is", "are", "was", "were", ":"):
        # "the malt is 1.9 kilos of pale": a label in words.
        return made("word", i + 1, what=item.word)
    if name is not None:
        kind, ours, end = name
        again = name_at(items, end) if kind == "grain" and end < len(items) else None
        if again is not None and again[:2] == (kind, ours):
            # "Maris Otter pale malt": one malt under two of its names.
            end = again[2]
        mark, end = made("name", _with_shade(line, items, i, end, ours) if kind == "grain" else end, what=kind, ours=ours)
        if kind == "grain" and is_colour(line, items, end):
            # "crystal malt 60L, 200 g": the maltster's degrees, not litres.
            mark.text, end = line[mark.start : items[end].end], end + 1
        elif kind == "grain" and end + 1 < len(items) and items[end].kind == "num" and items[end + 1].word in ("ebc", "srm", "lovibond"):
            # "crystal 120 EBC" says its colour, which the plan counts with.
            mark.text, end = line[mark.start : items[end + 1].end], end + 2
        return mark, end
    before = items[i - 1].word if i else ""
    if item.word in ("preboil",) or (item.word == "pre" and i + 2 < len(items) and items[i + 1].kind == "dash"):
        return made("word", i + (3 if item.word == "pre" else 1), what="preboil")
    for form in forms(item):
        if form in keys() and not (before == "the" and keys()[form] == "boil" and not _says_length(items, i)):
            return made("key", i + 1, what=keys()[form])
    return made("word", i + 1, what=item.word)
