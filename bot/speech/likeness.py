"""Whether a wording has the shape of something that is said here, whatever its numbers and names.

The engine's model looks two words back, so noise is heard as words that follow each other well and make no sentence:
"what's next back", "mash at sixty six for sixty revert". Sentences of the language data, with numbers and names taken
out, tell these from what people say.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable
from functools import lru_cache
from itertools import pairwise

from bot.speech.dictionary import hearing
from bot.speech.spoken_numbers import number_words

_AT_ONCE, _SHARED = 3, 3
"""Pieces of a shape that are looked at together, and how many shapes must share them. Of right wordings of the
development voices, whole shapes alone miss eight of a hundred, which were all asked about."""
UNLIKE = 0.4
"""What a wording of another shape counts beside one of a known shape; measured on the development voices."""
_SILENT = frozenset(["a", "an", "and", "are", "is", "it's", "my", "now", "please", "the"])
_NUMBER = "#"


@lru_cache(maxsize=1)
def _names() -> tuple[dict[tuple[str, ...], str], int]:
    """Names by their words with a sign for their kind, and the most words that one has."""
    found: dict[tuple[str, ...], str] = {}
    # Malt, hops and yeast are told of in the same sentences.
    for kind, sign in (
        ("grain", "@thing"),
        ("hop", "@thing"),
        ("yeast", "@thing"),
        ("name", "@name"),
        ("rest", "@rest"),
        ("what", "@what"),
    ):
        for name in hearing()["names"][kind]:
            found.setdefault(tuple(name.split()), sign)
    for common in ("boil", "eggs", "hops", "mash", "yeast"):
        found.pop((common,), None)
        found.pop(("the", common), None)
    return found, max(map(len, found))


def shape(text: str) -> str:
    """The wording without its numbers, names and small words.

    >>> shape("the mash is at sixty seven point five degrees"), shape("ten grams of east kent goldings")
    ('mash at # degrees', '# grams of @thing')
    """
    known, longest = _names()
    numbers = number_words() - {"and"}
    row, result, place = text.lower().split(), list[str](), 0
    while place < len(row):
        for count in range(min(longest, len(row) - place), 0, -1):
            sign = known.get(tuple(row[place : place + count]))
            if sign:
                result.append(sign)
                place += count
                break
        else:
            word = row[place]
            place += 1
            if word in numbers:
                if result[-1:] != [_NUMBER]:
                    result.append(_NUMBER)
            elif word not in _SILENT:
                result.append("what" if word == "what's" else word)
    return " ".join(result)


def shapes(lines: Iterable[str]) -> list[str]:
    """All shapes of these sentences, each once."""
    return sorted({shape(line) for line in lines})


def pieces(known: Iterable[str]) -> frozenset[tuple[str, ...]]:
    """Every few neighbouring pieces that several of these shapes share, their ends included."""
    found = Counter(piece for each in known for piece in set(_pieces(each)))
    return frozenset(piece for piece, count in found.items() if count >= _SHARED)


def alike(text: str, known: Container[str], common: Container[tuple[str, ...]]) -> bool:
    """Whether the wording is said here, or put together of what is said; no word but a number is said twice.

    >>> said = ["water at #", "sparge at # degrees", "mash at # degrees", "malt at # degrees", "wort at # degrees"]
    >>> common = pieces(said + ["water in", "water on at #", "water off at #", "water at # too", "water at # or so"])
    >>> [alike(text, said, common) for text in ("water at fifty degrees", "water at at fifty", "degrees at fifty")]
    [True, False, False]
    """
    row = text.lower().split()
    if any(word == after and word not in number_words() for word, after in pairwise(row)):
        return False
    form = shape(text)
    return form in known or all(piece in common for piece in _pieces(form))


def _pieces(form: str) -> list[tuple[str, ...]]:
    row = ["", *form.split(), ""]
    return [tuple(row[place : place + _AT_ONCE]) for place in range(max(1, len(row) - _AT_ONCE + 1))]
