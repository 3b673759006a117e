"""The likeliest rows of words for what the net heard: a search over all words at once with a model of word pairs.

Time goes forward as A. Viterbi's algorithm has it (IEEE Transactions on Information Theory 13, 1967), every word a
chain of its phones with room for silence; the best rows are then taken out from the end, nearest first (A. Chow and
R. Schwartz, "The N-best algorithm", ICASSP 1990, with the forward scores as the estimate). The first is exact, as far as
no more than _KEPT words may end at a moment; of the others only the timing that is best for each last word is known.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

_NEVER = np.float32(-1e9)
_KEPT = 20
"""Words that may end at one moment."""
_BEHIND = 25.0
"""How far behind the best of these a word may be."""
_LOOKED_AT = 1500
"""Rows of words looked at when the best are taken out."""
_SAME_REST = 3
"""How often the same last words are gone on from, with other timings."""
_LAST_MOMENTS = 60
"""Moments before the end (1.2 s) in which the last word may end."""


class _Ends(NamedTuple):
    """Words that may end at a moment, with their scores and the moments at which they began."""

    words: NDArray[np.intp]
    scores: NDArray[np.float32]
    begun: NDArray[np.int32]


class WordSearch:
    """All words of a situation. ``pairs`` holds logarithms: row by word before (the last: start), column by word after
    (the last: end)."""

    def __init__(self, words: Sequence[str], phones: Sequence[Sequence[int]], pairs: NDArray[np.float16]) -> None:
        """Phones are numbered from 1; every word has at least one."""
        self._words = words
        self._pairs = pairs
        lengths = np.array([2 * len(each) for each in phones])
        ends = np.cumsum(lengths)
        self._first, self._last = ends - lengths, ends - 1
        self._phone = np.zeros(int(ends[-1]), int)
        self._leap = np.full(len(self._phone), _NEVER, np.float32)
        self._step = np.zeros(len(self._phone), np.float32)
        for start, row in zip(self._first, phones, strict=True):
            self._phone[start + 1 : start + 2 * len(row) : 2] = row
            self._step[start] = _NEVER
            for place in range(1, len(row)):
                if row[place] != row[place - 1]:
                    self._leap[start + 2 * place + 1] = 0.0

    def __call__(self, heard: NDArray[np.float32], most: int) -> list[str]:
        """So many wordings at most, the likeliest first; empty where nothing was heard."""
        if not len(heard):
            return []
        entries, ends = self._forward(heard)
        silent = np.concatenate([np.cumsum(heard[:0:-1, 0])[::-1], [0.0]])
        return self._taken_out(entries, ends, silent, most)

    def _forward(self, heard: NDArray[np.float32]) -> tuple[list[NDArray[np.float32]], list[_Ends]]:
        """The score of beginning each word at each moment, and what may end there."""
        count = len(self._words)
        score = np.full(len(self._phone) + 2, _NEVER, np.float32)
        begun = np.zeros(len(self._phone) + 2, np.int32)
        best, since, other = np.empty_like(score[2:]), begun[2:].copy(), np.empty_like(score[2:])
        entry = self._pairs[count, :count].astype(np.float32)
        entries, ends = [], []
        for moment, sounds in enumerate(heard):
            entries.append(entry)
            best[:] = score[2:]
            for before, way, its in ((score[1:-1], self._step, begun[1:-1]), (score[:-2], self._leap, begun[:-2])):
                np.add(before, way, out=other)
                better = other > best
                np.copyto(best, other, where=better)
                np.copyto(since, its, where=better)
            for place in (self._first, self._first + 1):
                better = entry > best[place]
                best[place[better]] = entry[better]
                since[place[better]] = moment
            np.add(best, sounds[self._phone], out=score[2:])
            begun[2:] = since
            at_end = score[2:][self._last]
            kept = np.argpartition(-at_end, min(_KEPT, count - 1))[:_KEPT]
            kept = kept[at_end[kept] > at_end[kept].max() - _BEHIND]
            ends.append(_Ends(kept, at_end[kept], begun[2:][self._last[kept]]))
            entry = (at_end[kept][:, None] + self._pairs[kept, :count].astype(np.float32)).max(axis=0)
        return entries, ends

    def _taken_out(
        self,
        entries: Sequence[NDArray[np.float32]],
        ends: Sequence[_Ends],
        silent: NDArray[np.float32],
        most: int,
    ) -> list[str]:
        count, number = len(self._words), 0
        heap: list[tuple[float, int, tuple[int, ...], int, float]] = []

        def put(words: tuple[int, ...], begun: int, score: float) -> None:
            nonlocal number
            number += 1
            heapq.heappush(heap, (-score, number, words, begun, score - float(entries[begun][words[0]])))

        for moment in range(max(0, len(ends) - _LAST_MOMENTS), len(ends)):
            for word, score, begun in zip(*(each.tolist() for each in ends[moment]), strict=True):
                put((word,), begun, score + float(silent[moment]) + float(self._pairs[word, count]))
        found: dict[tuple[int, ...], None] = {}
        seen: dict[tuple[int, ...], int] = {}
        for _ in range(_LOOKED_AT):
            if not heap or len(found) >= most:
                break
            _, _, words, begun, rest = heapq.heappop(heap)
            if begun == 0:
                found[words] = None
                continue
            seen[words] = seen.get(words, 0) + 1
            if seen[words] > _SAME_REST:
                continue
            for word, score, since in zip(*(each.tolist() for each in ends[begun - 1]), strict=True):
                put((word, *words), since, score + float(self._pairs[word, words[0]]) + rest)
        return [" ".join(self._words[word] for word in words) for words in found]
