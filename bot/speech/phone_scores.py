"""How well wordings go with what the net heard: the probability of a row of phones over all its timings.

The forward sum of A. Graves and others, "Connectionist temporal classification" (ICML 2006), equations 6 to 8.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

_NEVER = -1e9


def scores(heard: NDArray[np.float32], rows: Sequence[Sequence[int]]) -> list[float]:
    """Natural logarithm of the probability of each row of phone numbers (from 1; 0 is none) given the net's result.

    A row that has more phones than there are moments is about -1e9.

    >>> half = np.log(np.full((2, 2), 0.5, np.float32))
    >>> [round(float(np.exp(each)), 3) for each in scores(half, [[1], []])]
    [0.75, 0.25]
    """
    if not rows or not len(heard):
        return [_NEVER] * len(rows)
    places = 2 * max(map(len, rows)) + 1
    phones = np.zeros((len(rows), places), int)
    for number, row in enumerate(rows):
        phones[number, 1 : 2 * len(row) : 2] = row
    # A phone follows the one before it directly, unless it is the same again.
    leap = np.full(phones.shape, _NEVER)
    if places > 3:
        leap[:, 3::2] = np.where(phones[:, 3::2] != phones[:, 1:-2:2], 0.0, _NEVER)
    sums = np.full((len(rows), places + 2), _NEVER)
    sums[:, 2] = heard[0, 0]
    if places > 1:
        sums[:, 3] = heard[0][phones[:, 1]]
    for moment in heard[1:]:
        stayed = np.logaddexp(sums[:, 2:], sums[:, 1:-1])
        sums[:, 2:] = np.logaddexp(stayed, sums[:, :-2] + leap) + moment[phones]
    ends = np.array([2 * len(row) for row in rows])
    each = np.arange(len(rows))
    last = np.where(ends > 0, sums[each, ends + 1], _NEVER)
    return [float(one) for one in np.logaddexp(sums[each, ends + 2], last)]
