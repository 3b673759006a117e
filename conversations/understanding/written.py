"""What was written at a place of a message, as it stands there and as a name is called."""

from __future__ import annotations

from functools import cache

from rapidfuzz.distance.OSA import distance

from conversations.intents import Context
from conversations.understanding.words import Item, vocabulary, word_set


@cache
def _named_goods() -> frozenset[str]:
    return word_set("grain") | word_set("hops") | word_set("yeasts")


class Written:
    """A message and its row of items."""

    def __init__(self, text: str, items: list[Item], context: Context) -> None:
        self.text, self.items, self.context = text, items, context
        self.names = frozenset(name.lower() for name in context.names)
        self._confusions: dict[str, str] = vocabulary()["confusions"]
        self._misheard: dict[str, str] = vocabulary()["misheard"]

    def words(self, i: int, j: int) -> str:
        """What was written from item i to before item j."""
        return self.text[self.items[i].start : self.items[j - 1].end]

    def name_of(self, i: int, j: int) -> str:
        """What was written from item i to before item j, with common mishearings put right ("hobs" for hops)."""
        text, place = "", self.items[i].start
        for item in self.items[i:j]:
            text += self.text[place : item.start] + self.put_right(item)
            place = item.end
        return text

    def put_right(self, item: Item) -> str:
        """One word as it is called: a mishearing or a slip in the name of a hop, malt or yeast is put right."""
        raw = item.raw.lower()
        heard = item.kind == "word" and len(raw) > 3 and self._confusions.get(raw) == item.word
        heard = heard or (item.kind == "word" and raw in self._misheard)
        # "goldngs": a hop, malt or yeast has the name that the recipe knows it by.
        heard = heard or (item.kind == "word" and item.word in _named_goods() and len(raw) > 4 and distance(raw, item.word) in (1, 2))
        return item.word if heard else self.text[item.start : item.end]
