"""Slots that hold a name: of a malt, a hop, a yeast, a timer, or of anything that the person calls so."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, partial

from conversations.understanding.money import currency_at
from conversations.understanding.sentences import Filled, PlaceReader
from conversations.understanding.words import word_set
from conversations.understanding.written import Written

_LISTS = {"grain": "grain", "hop": "hops", "yeast": "yeasts"}
_NO_HOP = (("dry", "hop"), ("dry", "hops"), ("first", "gold"))
_HOPS = ("hop", "hops")
_LONGEST = 4
_CLOCKS = ("timer", "clock", "countdown", "alarm")


@cache
def _never() -> frozenset[str]:
    return word_set("never_names") | word_set("denials")


@cache
def _plain_words() -> frozenset[str]:
    return word_set("common") | word_set("light") | word_set("no_name")


def called(written: Written, i: int) -> Iterator[Filled]:
    """Up to four words that are a name: of the recipe, or not all of them plain words."""
    for j in range(i + 1, min(i + _LONGEST, len(written.items)) + 1):
        last = written.items[j - 1]
        if last.kind != "word" or last.word in _never() or currency_at(last):
            return
        name = written.name_of(i, j)
        if "," in name:
            return
        known = name.lower() in written.names
        if known or any(each.word not in _plain_words() for each in written.items[i:j]):
            yield j, {"name": name}, 1.0 if known else 0.55


def goods(kind: str, written: Written, i: int) -> Iterator[Filled]:
    """Up to four words of which one at least names a malt, a hop or a yeast, and none is a plain word."""
    allowed = word_set(_LISTS[kind])
    if kind == "hop" and i and (written.items[i - 1].word, written.items[i].word) in _NO_HOP:
        # "dry hop 30 g" says how, and not which; "gold" is a part of a name.
        return
    words: list[str] = []
    for j in range(i + 1, min(i + _LONGEST, len(written.items)) + 1):
        last = written.items[j - 1]
        extra = last.word == "extra" and j == i + 1 and j < len(written.items) and written.items[j].word == "pale"
        if last.kind != "word" or (last.word in _never() and not extra) or currency_at(last):
            return
        words.append(last.word)
        others = [word for word in words if word not in allowed and not (kind == "grain" and word.isdigit() and word is not words[0])]
        if kind == "yeast" and any(word in word_set("hops") for word in others):
            return
        if kind == "hop" and ("dry" in others or (words[0] == "first" and words[1:] and words[1] != "gold")):
            # "dry hop" is no dry yeast, and the name of no hop; "first saaz" is the first of the saaz.
            return
        if words[:2] == ["extra", "pale"]:
            others = [word for word in others if word != "extra"]
        if len(others) < len(words) and words != ["grain"] and not any(word in _plain_words() for word in others):
            # "hop is magnum"
            begin = i + 1 if kind == "hop" and len(words) > 1 and words[0] in _HOPS else i
            yield j, {"name": written.name_of(begin, j)}, 0.5 if others else 1.0


def _any_goods(written: Written, i: int) -> Iterator[Filled]:
    for kind in _LISTS:
        yield from goods(kind, written, i)


def _named_timer(written: Written, i: int) -> Iterator[Filled]:
    """ "the mash timer": one or two words of a name before a clock."""
    items = written.items
    for j in (i + 1, i + 2):
        if j >= len(items) or items[j - 1].kind != "word" or items[j - 1].word in _never() or items[j - 1].word in word_set("common"):
            return
        if items[j].word in _CLOCKS:
            yield j + 1, {"name": written.name_of(i, j)}, 1.0


NAMES: dict[str, PlaceReader] = {
    "name": called,
    "grain": partial(goods, "grain"),
    "hop": partial(goods, "hop"),
    "yeast": partial(goods, "yeast"),
    "goods": _any_goods,
    "named_timer": _named_timer,
}
"""Readers of slots by their kind."""
