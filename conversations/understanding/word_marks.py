"""What the model of a message's likely meaning sees of it: marks of its words, neighbours, letters, quantities, situation."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Container, Iterable
from itertools import pairwise

from conversations.intents import Context
from conversations.understanding.asking import first_words
from conversations.understanding.likeness import WORD, Likeness, Piece

_STEPS = {
    "temperature": (12, 27, 40, 60, 64, 70, 78, 90, 99.5),
    "num": (1, 1.2, 5, 13, 31, 59, 80, 101, 1000, 1200),
    "mass": (12, 60, 300),
    "duration": (1260, 3000, 7260, 86400),
    "length": (20,),
}
"""Where one range of a quantity ends and the next begins: degrees Celsius, grams, seconds, centimetres."""
_GRAMS = {"gram": 1.0, "kilogram": 1000.0, "pound": 454.0, "ounce": 28.0, "milligram": 0.001}
_DENYING = frozenset(
    "not no don't dont never nothing none isn't wasn't didn't won't can't haven't hasn't nobody".split()  # noqa: SIM905
)
OF_WORDS = "w:"
"""How the mark of a word begins."""
LETTERS = "c:"
"""How a mark of four letters begins; there are many of them in a word, and each counts less."""


def marks(message: Likeness, context: Context, anywhere: bool = False) -> frozenset[str]:
    """The marks of a message; ``anywhere`` leaves its stage out, for wordings that are of none.

    >>> from conversations.understanding.likeness import NEUTRAL, likeness
    >>> found = marks(likeness("mash is 66 C", NEUTRAL), NEUTRAL)
    >>> sorted(mark for mark in found if mark[:2] in ("w:", "K:"))
    ['K:temperature5', 'w:<temperature>', 'w:mash']
    """
    placed = [(start, word) for word, start, _ in message.words]
    placed += [(piece.start, f"<{piece.kind}>") for piece in message.pieces]
    row = ["^", *(word for _, word in sorted(placed)), "$"]
    kinds = Counter(piece.kind for piece in message.pieces)
    words = WORD.findall(message.text.lower().replace("’", "'"))
    found = {f"{OF_WORDS}{word}" for word in row[1:-1]}
    found |= {f"b:{one} {other}" for one, other in pairwise(row)}
    found |= {f"s:{one} _ {other}" for one, other in zip(row, row[2:], strict=False)}
    found |= {f"k:{kind}{min(count, 3)}" for kind, count in kinds.items()}
    found |= {f"K:{_range(piece)}" for piece in message.pieces}
    found |= {f"{LETTERS}{part}" for word in words if len(word) >= 4 for part in _fours(f"_{word}_")}
    found |= {f"k#{min(len(message.pieces), 4)}", f"len{min(len(message.words) // 4, 4)}"}
    if not anywhere:
        found |= {f"S:{context.stage}", *(f"S:{context.stage} {kind}" for kind in kinds)}
    if context.expects:
        found.add(f"E:{context.expects}")
    if context.last is not None:
        found |= {"L:1", f"L:{context.last.name}"}
    if words and words[0] in first_words():
        found |= {"ask", f"ask:{words[0]}"}
    if "?" in message.text:
        found.add("?")
    if _DENYING & set(words):
        found.add("deny")
    return frozenset(found)


def strangers(found: Iterable[str], known: Container[str]) -> str:
    """A mark for how many words of a message were never learned: talk is full of them.

    >>> strangers(["w:mash", "w:likes", "b:mash likes"], {"w:mash"})
    'u:1'
    """
    return f"u:{min(3, sum(mark.startswith(OF_WORDS) and mark not in known for mark in found))}"


def _fours(word: str) -> list[str]:
    return [word[k : k + 4] for k in range(len(word) - 3)]


def _range(piece: Piece) -> str:
    value = piece.value
    if piece.kind == "temperature" and piece.unit == "degF":
        value = (value - 32) / 1.8
    if piece.kind == "mass":
        value *= _GRAMS.get(piece.unit, 1.0)
    if piece.kind == "volume":
        return f"volume {piece.unit}"
    steps = _STEPS.get(piece.kind)
    return piece.kind if steps is None else f"{piece.kind}{bisect_right(steps, value)}"
