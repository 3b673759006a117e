"""What may stand in a slot of a sentence: each kind of slot has its reader, which yields where it ends and what it holds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from conversations.understanding.places import place_at
from conversations.understanding.sentences import Filled, PlaceReader
from conversations.understanding.slot_ages import AGES
from conversations.understanding.slot_amounts import AMOUNTS, amount_of
from conversations.understanding.slot_names import NAMES
from conversations.understanding.slot_times import TIMES
from conversations.understanding.written import Written

_NEVER_WHAT = frozenset({"again", "last", "next", "this", "yesterday", "at", "to", "in", "on", "by", "until", "till", "every", "for", "about"})
_LONGEST_WHAT = 40
_THAT = re.compile(r"^(that )?(it (?=(smells|tastes|looks)\b))?", re.IGNORECASE)
_ZONE = re.compile(r"[A-Za-z]+(?:/[A-Za-z_+-]+)+")
_SYSTEMS = {
    "metric": "metric",
    "imperial": "imperial",
    "british": "imperial",
    "uk": "imperial",
    "us": "us",
    "american": "us",
    "si": "metric",
    "celsius": "metric",
    "fahrenheit": "fahrenheit",
}


def _rest(written: Written, i: int) -> Iterator[Filled]:
    """All that follows."""
    # From where the word before ends, so that small words that lead to it are kept: "it's a touch thin".
    begin = written.items[i - 1].end if i else written.items[i].start
    yield len(written.items), _THAT.sub("", written.text[begin:].strip(" ,:;\n\t")), 2.0


def _what(written: Written, i: int) -> Iterator[Filled]:
    """What is to be done: any words, up to each place where they may end."""
    items = written.items
    last, begins = min(len(items), i + _LONGEST_WHAT), i + (items[i].kind == "sep")
    text, place = "", items[min(begins, last - 1)].start
    for j in range(begins + 1, last + 1):
        item = items[j - 1]
        text += written.text[place : item.start] + written.put_right(item)
        place = item.end
        if item.kind != "sep" and item.word not in ("and", "then") and not (j == i + 1 and items[i].word in _NEVER_WHAT):
            # Up to where the next thing begins, so that a small word at its end is kept.
            end = items[j].start if j < len(items) else len(written.text)
            yield j, (text + written.text[place:end]).strip(" ,.;!?\n\t"), 0.7


def _zone(written: Written, i: int) -> Iterator[Filled]:
    items = written.items
    named = _ZONE.match(written.text, items[i].start)
    if named is not None:
        end = next((k for k in range(i, len(items)) if items[k].start >= named.end()), len(items))
        yield end, named.group(), 1.0
    elif items[i].word == "utc":
        yield i + 1, "UTC", 1.0
    else:
        yield from place_at(items, i)


def _system(written: Written, i: int) -> Iterator[Filled]:
    word = written.items[i].word
    if word in _SYSTEMS:
        yield i + 1, {"system": _SYSTEMS[word]}, 1.0


_READERS: dict[str, PlaceReader] = {**NAMES, **TIMES, **AGES, **AMOUNTS, "rest": _rest, "what": _what, "zone": _zone, "system": _system}


@cache
def _reader(kind: str) -> PlaceReader:
    return _READERS.get(kind) or amount_of(kind)


class Slots(Written):
    """Reads slots of one message."""

    def read(self, kind: str, i: int) -> Iterator[Filled]:
        """Every way in which a slot of that kind can be filled from item i."""
        return _reader(kind)(self, i)
