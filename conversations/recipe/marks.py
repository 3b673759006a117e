"""A line of a recipe as a row of marks: names, masses, shares, times, volumes, and the words that turn them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from conversations.intents import UnitSystem
from conversations.recipe.words import ingredient_names, keys, when_phrases, words_of
from conversations.understanding.numbers import number_items
from conversations.understanding.quantities import KINDS, quantity_items
from conversations.understanding.sentences import tree
from conversations.understanding.slots import gravity_shape
from conversations.understanding.times import duration_items
from conversations.understanding.words import Item, split

_ROWS = (
    (re.compile(r"\b(?:2|two)[- ]?row\b", re.IGNORECASE), "tworow"),
    (re.compile(r"\b(?:6|six)[- ]?row\b", re.IGNORECASE), "sixrow"),
)
_CELLS = re.compile(r"\s*[|\t]\s*|\s{3,}")
_LEADER = re.compile(r"\s*(?:\.{2,}|…+)\s*")
_SLASH = re.compile(r"\s+/\s+")
_PER = re.compile(
    r"\s*(?:/|per\s+|(?:for\s+)?(?:each|every)\s+|a\s+)\s*(?P<of>l|lit(?:re|er)s?|gallons?|gal|bottle)\b", re.IGNORECASE
)
"""Behind a mass: for each litre, gallon or bottle."""
_BRACKETS = re.compile(r"\s*[()\[\]]\s*")
_LONGEST_NAME = 4
_MOST_HOP_MINUTES = 240
_COLOUR_UNITS = frozenset({"ebc", "srm", "lovibond", "ibu", "ibus", "abv", "lov"})
_ABOUT_ALPHA = frozenset({"abv", "alcohol", "efficiency", "attenuation"})


@dataclass(slots=True)
class Mark:
    """One thing found in a line; ``kind`` is name, mass, share, time, days, when, volume, temperature, gravity,
    key, number, word or sep."""

    kind: str
    start: int
    end: int
    text: str = ""
    value: float = 0.0
    unit: str = ""
    what: str = ""
    """Of a name: grain, hop, yeast or extra. Of a key: mash, hold, boil, other. Of a when: its meaning."""
    ours: str = ""
    """Of a name: what the data files call it."""


def spread(line: str) -> str:
    """The line with cells of a table as pieces between commas, and "2-row" as one word.

    >>> spread("| Pale malt | 4.1 kg | 80 % |")
    'Pale malt, 4.1 kg, 80 %'
    """
    for written, word in _ROWS:
        line = written.sub(word, line)
    # A bracket is a piece of its own: "1 oz (28 g)" is one amount said twice, not an ounce and 28 grams.
    line = _SLASH.sub(", ", _BRACKETS.sub(", ", _LEADER.sub(" ", line)))
    return _CELLS.sub(", ", line.strip(" |\t")).strip(", ")


def items_of(line: str, system: UnitSystem) -> list[Item]:
    """The line's words, numbers, quantities and durations, in order; nothing is dropped."""
    tree()
    return duration_items(quantity_items(number_items(split(line)), system))


def _forms(item: Item) -> tuple[str, ...]:
    """A word as written and as the spelling takes it."""
    if item.kind != "word":
        return ()
    raw = item.raw.lower().replace("'", "").replace("’", "")
    return (raw, item.word) if raw != item.word else (raw,)


def _phrase(items: list[Item], i: int, words: tuple[str, ...]) -> int | None:
    """Where a phrase that begins at item i ends; articles and dashes between its words do not matter."""
    j = i
    for number, word in enumerate(words):
        while (
            number and j < len(items) and (items[j].kind == "dash" or items[j].word in ("the", "a", "an", "it", "my"))
        ):
            j += 1
        if j >= len(items) or word not in _forms(items[j]):
            return None
        j += 1
    return j


def _name(items: list[Item], i: int) -> tuple[str, str, int] | None:
    """The longest ingredient's name at item i: its kind, our name and where it ends."""
    found: tuple[str, str, int] | None = None
    rows: list[tuple[str, ...]] = [()]
    j = i
    while j < len(items) and j - i < _LONGEST_NAME + 2 and len(rows[0]) < _LONGEST_NAME:
        if items[j].kind == "dash" and j > i:
            j += 1
            continue
        forms = _forms(items[j])
        if not forms:
            break
        rows = [(*row, form) for row in rows for form in forms]
        j += 1
        for row in rows:
            if row in ingredient_names():
                found = (*ingredient_names()[row], j)
    if found is None:
        return None
    kind, name, end = found
    if (
        items[i].word in ("malt", "malts")
        and i
        and items[i - 1].kind == "word"
        and not any(form in words_of("names", "never") | words_of("", "beers") for form in _forms(items[i - 1]))
        and items[i - 1].word not in keys()
        and not _slip_of(items[i - 1].word, name)
    ):
        # "toasted malt": a malt that is not known, and not pale malt.
        return None
    following = items[end].word if end < len(items) else ""
    if end == i + 1 and items[i].word in words_of("", "colours") and following in words_of("", "beers"):
        return None
    if (
        end == i + 1
        and items[i].word in words_of("", "colours")
        and end < len(items)
        and (_name(items, end) or ("",))[0] == "grain"
    ):
        # "amber dry malt extract": the colour of what follows, not a malt of its own.
        return None
    return kind, name, end


def _behind_name(items: list[Item], i: int) -> int:
    """Place in the text behind the name that begins at item i, or behind the item before it where none does."""
    start = i + 1 if i < len(items) and items[i].word == "of" else i
    found = _name(items, start) if start < len(items) else None
    return items[(found[2] if found else i) - 1].end


def _slip_of(word: str, name: str) -> bool:
    """Whether a word has exactly the letters of another name of that grain: "pael" malt."""
    letters = sorted(word)
    return any(
        len(row) == 1 and ours == name and sorted(row[0]) == letters for row, (_, ours) in ingredient_names().items()
    )


def _yeast(items: list[Item], i: int, in_yeast: bool) -> int | None:
    """End of a yeast's name at item i: a run of describing words, one of them "yeast" or the heading above it."""
    words, naming = words_of("yeast", "words"), words_of("yeast", "naming")
    j = i
    while j < len(items) and (
        any(form in words for form in _forms(items[j]))
        or (items[j].kind == "dash" and j > i)
        or (items[j].kind == "sep" and items[j].word == "," and j > i and in_yeast and _next_in(items, j, words))
    ):
        j += 1
    if j == i or not any(form not in ("any", "whatever", "top", "fresh") for x in items[i:j] for form in _forms(x)):
        return None
    named = any(form in naming for x in items[i:j] for form in _forms(x))
    return j if named or in_yeast else None


def _next_in(items: list[Item], j: int, words: frozenset[str]) -> bool:
    return j + 1 < len(items) and any(form in words for form in _forms(items[j + 1]))


def _bare_time(items: list[Item], i: int) -> bool:
    """Whether the number at item i is minutes by the word before it or the mark behind it."""
    before = items[i - 1] if i else None
    after = items[i + 1] if i + 1 < len(items) else None
    if not 0 <= items[i].value <= 1000 or (gravity_shape(items[i]) is not None and 0.99 <= items[i].value < 1.2):
        return False
    if after is not None and after.kind == "quote" and after.word in "'’′":
        return True
    if before is None:
        return False
    if before.kind == "dash" and i > 1 and items[i - 2].word == "t":
        return True
    if after is not None and after.word in _COLOUR_UNITS:
        return False
    return before.word in ("at", "for") or (before.word in ("last", "final") and after is None)


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
            in_yeast = in_yeast or (mark.kind == "name" and mark.what == "yeast")
        i = end
    return found


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
        return made("time", i + 1, value=item.value / 60)
    if item.kind == "qty":
        return _quantity(line, items, i)
    if item.kind == "num":
        return _number(line, items, i)
    if item.kind != "word":
        return None, i + 1
    forms = _forms(item)
    for words, meaning in when_phrases():
        end = _phrase(items, i, words) if words[0] in forms else None
        if end is not None:
            return made("when", end, what=meaning)
    end = _yeast(items, i, in_yeast)
    if end is not None:
        return made("name", end, what="yeast")
    name = _name(items, i)
    if name is not None:
        kind, ours, end = name
        again = _name(items, end) if kind == "grain" and end < len(items) else None
        if again is not None and again[:2] == (kind, ours):
            # "Maris Otter pale malt": one malt under two of its names.
            end = again[2]
        mark, end = made("name", end, what=kind, ours=ours)
        if kind == "grain" and _is_colour(line, items, end):
            # "crystal malt 60L, 200 g": the maltster's degrees, not litres.
            mark.text, end = line[mark.start : items[end].end], end + 1
        return mark, end
    before = items[i - 1].word if i else ""
    if item.word in ("preboil",) or (item.word == "pre" and i + 2 < len(items) and items[i + 1].kind == "dash"):
        return made("word", i + (3 if item.word == "pre" else 1), what="preboil")
    for form in forms:
        if form in keys() and not (before == "the" and keys()[form] == "boil"):
            return made("key", i + 1, what=keys()[form])
    return made("word", i + 1, what=item.word)


def _is_colour(line: str, items: list[Item], i: int) -> bool:
    """Whether "60L" at item i is a malt's colour: the line has another amount for it."""
    if i >= len(items) or items[i].kind != "qty" or items[i].unit != "litre":
        return False
    return line[items[i].start : items[i].end].endswith("L") and any(
        x is not items[i] and x.kind == "qty" for x in items
    )


def _quantity(line: str, items: list[Item], i: int) -> tuple[Mark | None, int]:
    item = items[i]
    of = KINDS.get(item.unit, "")
    kind = {
        "mass": "mass",
        "percent": "share",
        "volume": "volume",
        "temperature": "temperature",
        "gravity": "gravity",
    }.get(of)
    if kind is None:
        return None, i + 1
    end = i + 1
    mark = Mark(kind, item.start, item.end, line[item.start : item.end], item.value, item.unit)
    if (
        kind in ("mass", "share")
        and i > 1
        and items[i - 1].kind == "dash"
        and items[i - 2].kind == "num"
        and items[i - 1].start == items[i - 2].end
    ):
        mark.what = "range"
    before = items[i - 1] if i else None
    named = before is not None and before.kind == "word"
    named = named and before is not None and (before.word == "malt" or before.word not in words_of("names", "never"))
    if kind == "mass" and named and "and" in mark.text.split():
        # "pale malt 1 kg and 250 g crystal malt": one amount or two, nobody can tell.
        mark.what = "range"
    each = _PER.match(line, item.end) or _PER.match(line, _behind_name(items, end))
    if kind == "mass" and each:
        # No amount until somebody says how many litres.
        mark.what = f"per {'litre' if each['of'][:1].casefold() == 'l' else each['of'][:3].casefold()}"
        mark.what = {"per gal": "per gallon", "per bot": "per bottle"}.get(mark.what, mark.what)
    if kind == "volume":
        near = [x.word for x in items[max(0, i - 2) : i] + items[i + 1 : i + 3]]
        raw = mark.text.lower()
        bare = not any(word in raw.split() for word in ("us", "imperial", "uk")) and "litre" not in item.unit
        if any(word in words_of("size", "us") for word in near):
            mark.unit = item.unit.removeprefix("imperial_")
        elif any(word in words_of("size", "imperial") for word in near):
            mark.unit = (
                item.unit if item.unit.startswith("imperial_") or "litre" in item.unit else f"imperial_{item.unit}"
            )
        elif bare:
            mark.what = "unsure"
    elif kind == "share" and end < len(items) and items[end].word in _ABOUT_ALPHA:
        return None, end + 1
    elif kind == "gravity":
        return None, end
    return mark, end


def _number(line: str, items: list[Item], i: int) -> tuple[Mark | None, int]:
    item = items[i]
    after = items[i + 1].word if i + 1 < len(items) else ""
    text = line[item.start : item.end]
    if after in _COLOUR_UNITS and not 0.99 <= item.value < 1.2:
        return None, i + 2
    several = _several(line, items, i)
    if several is not None:
        return several
    if _bare_time(items, i):
        return Mark("number", item.start, item.end, text, item.value, what="time"), i + 1
    sg = gravity_shape(item)
    if sg is not None and sg > 1.0:
        return Mark("gravity", item.start, item.end, text, sg), i + 1
    return Mark("number", item.start, item.end, text, item.value), i + 1


def _several(line: str, items: list[Item], i: int) -> tuple[Mark, int] | None:
    """ "2 x 11.5 g", "2 sachets of 11.5 g": so many times a mass; one that may be either is marked as unsure."""
    count, j = items[i].value, i + 1
    if count != int(count) or not 1 <= count <= 50 or j >= len(items):
        return None
    packs = items[j].word in words_of("names", "packs")
    if not packs and items[j].word not in ("x", "×", "*", "times"):
        return None
    j += 1
    brackets = j < len(items) and packs and items[j].kind == "sep" and items[j].word == ","
    j += brackets or (j < len(items) and items[j].word in ("of", "at", "each", "with"))
    if j >= len(items) or items[j].kind != "qty" or KINDS.get(items[j].unit) != "mass":
        return None
    within = j + 2 < len(items) and items[j + 1].word == "in" and items[j + 2].word == "each"
    each = within or (j + 1 < len(items) and items[j + 1].word in ("each", "apiece"))
    mark = Mark("mass", items[i].start, items[j].end, line[items[i].start : items[j].end], unit=items[j].unit)
    mark.value = count * items[j].value
    if (brackets and not each and count > 1) or (count > 1 and "and" in mark.text.split()):
        mark.what = "range"
    return mark, j + 1 + each + within
