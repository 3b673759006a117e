"""An n-gram model of what may be said, in the ARPA form that speech engines read.

Trigrams with the smoothing of Witten and Bell (IEEE Transactions on Information Theory 37, 1991, method C):
a context keeps for what it has not seen a share of the kinds of successors that it has seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import chain
from math import log10

import numpy as np
from numpy.typing import NDArray

_START, _END = "<s>", "</s>"
_NEVER = -99.0
_LEAST = 1e-12
_KEPT = 0.2
"""The method itself takes 1: right for found text, too much here, where every sentence form is known."""

SELDOM = 0.25
"""What a sentence counts that is told for its words alone, beside one that comes as often as it is said."""

Counts = defaultdict[str, float]
Successors = dict[tuple[str, ...], Counts]


def _counts() -> Counts:
    return defaultdict(float)


def _count(lines: Iterable[tuple[str, float]]) -> tuple[Successors, Successors, Counts]:
    ones = _counts()
    twos: Successors = defaultdict(_counts)
    threes: Successors = defaultdict(_counts)
    for line, often in lines:
        row = [_START, *line.split(), _END]
        for i in range(1, len(row)):
            ones[row[i]] += often
            twos[(row[i - 1],)][row[i]] += often
            if i > 1:
                threes[(row[i - 2], row[i - 1])][row[i]] += often
    return twos, threes, ones


def _for_new(successors: Counts) -> float:
    """What a context keeps for others, counted as its successors are."""
    return _KEPT * sum(min(1.0, often) for often in successors.values())


class Trigrams:
    """Counts turned into probabilities."""

    def __init__(self, lines: Iterable[str], seldom: Iterable[str] = ()) -> None:
        """Count the lines; every line is one sentence of words with blanks between. Those of ``seldom`` count less."""
        self.twos, self.threes, ones = _count(
            chain(((line, 1.0) for line in lines), ((line, SELDOM) for line in seldom))
        )
        total = sum(ones.values())
        self.ones = {word: count / total for word, count in ones.items()}

    @property
    def words(self) -> list[str]:
        """All words, without the marks of start and end."""
        return sorted(word for word in self.ones if word != _END)

    @staticmethod
    def kept(successors: Counts) -> float:
        """The share that a context keeps for successors that it has not seen."""
        new = _for_new(successors)
        return new / (new + sum(successors.values()))

    def two(self, first: str, second: str) -> float:
        """Probability of a word after another one."""
        successors = self.twos.get((first,))
        below = self.ones.get(second, 0.0)
        if not successors:
            return below
        new = _for_new(successors)
        return (successors.get(second, 0.0) + new * below) / (new + sum(successors.values()))

    def three(self, first: str, second: str, third: str) -> float:
        """Probability of a word after two others."""
        successors = self.threes.get((first, second))
        below = self.two(second, third)
        if not successors:
            return below
        new = _for_new(successors)
        return (successors.get(third, 0.0) + new * below) / (new + sum(successors.values()))

    def pairs(self, order: Sequence[str]) -> NDArray[np.float16]:
        """Natural logarithms of every pair: row by the word before (the last: the start), column by the word after
        (the last: the end)."""
        place = {word: number for number, word in enumerate([*order, _END])}
        alone = np.array([self.ones.get(word, 0.0) for word in place])
        table = np.empty((len(place), len(place)), np.float64)
        for number, word in enumerate([*order, _START]):
            successors = self.twos.get((word,), _counts())
            new = _for_new(successors) or 1.0
            table[number] = new * alone
            for after, count in successors.items():
                table[number, place[after]] += count
            table[number] /= new + sum(successors.values())
        return np.log(np.maximum(table, _LEAST)).astype(np.float16)

    def arpa(self) -> str:
        """The model as text."""
        lines = ["\\data\\"]
        pairs = [(a, b) for (a,), successors in self.twos.items() for b in successors]
        triples = [(a, b, c) for (a, b), successors in self.threes.items() for c in successors]
        lines += [f"ngram 1={len(self.ones) + 1}", f"ngram 2={len(pairs)}", f"ngram 3={len(triples)}", "", "\\1-grams:"]
        lines.append(f"{_NEVER:.4f} {_START} {self._back((_START,), self.twos):.4f}")
        for word in sorted(self.ones):
            lines.append(f"{log10(self.ones[word]):.4f} {word} {self._back((word,), self.twos):.4f}")
        lines += ["", "\\2-grams:"]
        for a, b in sorted(pairs):
            lines.append(f"{log10(self.two(a, b)):.4f} {a} {b} {self._back((a, b), self.threes):.4f}")
        lines += ["", "\\3-grams:"]
        lines += [f"{log10(self.three(a, b, c)):.4f} {a} {b} {c}" for a, b, c in sorted(triples)]
        return "\n".join([*lines, "", "\\end\\", ""])

    def _back(self, context: tuple[str, ...], table: Successors) -> float:
        successors = table.get(context)
        return log10(self.kept(successors)) if successors else 0.0
