"""Names of ingredients, yeasts and times of addition in a row of words."""

from __future__ import annotations

from functools import lru_cache

from conversations.recipe.words import PASSED_OVER, begins_a_name, ingredient_names, keys, words_of
from conversations.understanding.words import Item

_LONGEST_NAME = 4


def forms(item: Item) -> tuple[str, ...]:
    """A word as written and as the spelling takes it."""
    return _forms(item.raw, item.word) if item.kind == "word" else ()


@lru_cache(maxsize=4096)
def _forms(written: str, word: str) -> tuple[str, ...]:
    raw = written.lower().replace("'", "").replace("’", "")
    return (raw, word) if raw != word else (raw,)


def phrase_end(items: list[Item], i: int, words: tuple[str, ...]) -> int | None:
    """Where a phrase that begins at item i ends; articles and dashes between its words do not matter."""
    j = i
    for number, word in enumerate(words):
        while (
            number and j < len(items) and (items[j].kind == "dash" or items[j].word in PASSED_OVER)
        ):
            j += 1
        if j >= len(items) or word not in forms(items[j]):
            return None
        j += 1
    return j


def name_at(items: list[Item], i: int, colours: int = 0) -> tuple[str, str, int] | None:
    """The longest ingredient's name at item i: its kind, our name and where it ends.

    ``colours`` counts those that stand before it: of "brown brown brown ..." nobody has to see the end.
    """
    found: tuple[str, str, int] | None = None
    if begins_a_name().isdisjoint(forms(items[i])):
        return None
    rows: list[tuple[str, ...]] = [()]
    j = i
    while j < len(items) and j - i < _LONGEST_NAME + 2 and len(rows[0]) < _LONGEST_NAME:
        if items[j].kind == "dash" and j > i:
            j += 1
            continue
        written = forms(items[j])
        if not written:
            break
        rows = [(*row, form) for row in rows for form in written]
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
        and items[i].start - items[i - 1].end <= 1
        and not any(form in words_of("names", "never") | (words_of("", "beers") - {"red"}) for form in forms(items[i - 1]))
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
        and colours < 3
        and (name_at(items, end, colours + 1) or ("",))[0] == "grain"
    ):
        # "amber dry malt extract": the colour of what follows, not a malt of its own.
        return None
    return kind, name, end


def behind_name(items: list[Item], i: int) -> int:
    """Place in the text behind the name that begins at item i, or behind the item before it where none does."""
    start = i + 1 if i < len(items) and items[i].word == "of" else i
    found = name_at(items, start) if start < len(items) else None
    return items[(found[2] if found else i) - 1].end


def _slip_of(word: str, name: str) -> bool:
    """Whether a word has exactly the letters of another name of that grain: "pael" malt."""
    letters = sorted(word)
    return any(
        len(row) == 1 and ours == name and sorted(row[0]) == letters for row, (_, ours) in ingredient_names().items()
    )


def yeast_end(items: list[Item], i: int, in_yeast: bool) -> int | None:
    """End of a yeast's name at item i: a run of describing words, one of them "yeast" or the heading above it."""
    words, naming = words_of("yeast", "words"), words_of("yeast", "naming")
    j = i
    while j < len(items) and (
        any(form in words for form in forms(items[j]))
        or (items[j].kind == "dash" and j > i)
        or (items[j].kind == "sep" and items[j].word == "," and j > i and in_yeast and _next_in(items, j, words))
    ):
        j += 1
    if j == i or not any(form not in ("any", "whatever", "top", "fresh") for x in items[i:j] for form in forms(x)):
        return None
    named = any(form in naming for x in items[i:j] for form in forms(x))
    return j if named or in_yeast else None


def _next_in(items: list[Item], j: int, words: frozenset[str]) -> bool:
    return j + 1 < len(items) and any(form in words for form in forms(items[j + 1]))


_GONE = frozenset({"gone", "passed", "elapsed", "past", "old"})


def counted_up(items: list[Item], i: int) -> int | None:
    """Where "into the boil", "after the start", "after it boils" ends from item i; None where a time is none of these."""
    gone = next((j for j in range(i, min(i + 6, len(items))) if items[j].word in _GONE), None)
    if gone is not None and all(items[j].kind in ("word", "num") and items[j].word != "left" for j in range(i, gone)):
        # "when 45 minutes of the sixty have gone"
        return gone + 1
    if i < len(items) and items[i].word == "in" and (i + 1 == len(items) or items[i + 1].kind == "sep"):
        # "45 minutes in, 20 g of Spalt"
        return i + 1
    if i >= len(items) or items[i].word not in ("into", "after", "in", "from"):
        return None
    starts = {"into": ("boil",), "after": ("start", "starts", "started", "beginning", "begins", "boils", "boiling"), "from": ("start", "beginning")}
    for j in range(i + 1, min(i + 5, len(items))):
        if items[j].kind != "word":
            return None
        if items[j].word in starts.get(items[i].word, ()):
            return j + 1
    return None
