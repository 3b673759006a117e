"""What a message most likely means by a linear model of its marks, learned from labelled messages and the sentences.

`python -m tests.conversations.train` learns it anew and writes data/likely_intent.npz.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from conversations.intents import Context
from conversations.understanding.likeness import Likeness
from conversations.understanding.word_marks import LETTERS, marks, strangers

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NOTHING, SEVERAL, UNCLEAR = "nothing", "several", "unclear"
"""What a message can be beside one intent: talk, several things at once, something to ask back."""
NO_INTENT = frozenset({NOTHING, SEVERAL, UNCLEAR})
OF_LETTERS = 0.4
"""What a mark of letters counts beside one of words."""
_MOST, _LEAST = 15, 0.001
"""How many intents are told, and what the least of them must have."""
STEP = 0.04
"""What one unit of a stored weight counts."""


@dataclass(frozen=True, slots=True)
class Model:
    """The weights: one row for each mark and a last one that is always added, one column for each meaning."""

    meanings: tuple[str, ...]
    rows: dict[str, int]
    weights: NDArray[np.int8]
    names: tuple[str, ...]
    """Intents without the words that belong to their meanings."""
    name_of: NDArray[np.int64]
    """For each meaning the place of its intent in ``names``."""


@dataclass(frozen=True, slots=True)
class Likely:
    """How likely an intent is, and its likeliest meaning: ``name|slot=word``."""

    name: str
    meaning: str
    probability: float


@cache
def shipped() -> Model:
    """The model in data/likely_intent.npz; read when the first message is not understood."""
    import numpy as np

    page = files("conversations.understanding").joinpath("data", "likely_intent.npz")
    with page.open("rb") as opened, np.load(opened, allow_pickle=False) as stored:
        return made_of(stored["meanings"].tolist(), stored["marks"].tolist(), stored["weights"])


def made_of(meanings: list[str], known: list[str], weights: Any) -> Model:
    """A model of its parts."""
    import numpy as np

    names = tuple(sorted({meaning.partition("|")[0] for meaning in meanings}))
    name_of = np.array([names.index(meaning.partition("|")[0]) for meaning in meanings])
    return Model(tuple(meanings), {mark: k for k, mark in enumerate(known)}, weights, names, name_of)


def worth(mark: str) -> float:
    """How much a mark of a message counts."""
    return OF_LETTERS if mark.startswith(LETTERS) else 1.0


def likely(message: Likeness, context: Context, model: Model | None = None) -> tuple[Likely, ...]:
    """Every intent that may be meant, the likeliest first; what is hardly possible is left out."""
    import numpy as np

    model = model or shipped()
    seen = marks(message, context)
    every = sorted(seen | {strangers(seen, model.rows)})
    found: Iterable[tuple[int, float]] = ((model.rows[mark], worth(mark)) for mark in every if mark in model.rows)
    rows, counts = zip(*found, (len(model.rows), 1.0), strict=True)
    sums = (np.array(counts) @ model.weights[list(rows)]) * STEP
    each = np.exp(sums - sums.max())
    each /= each.sum()
    together = np.bincount(model.name_of, weights=each, minlength=len(model.names))
    result = []
    for place in together.argsort()[::-1]:
        best = int(np.where(model.name_of == place, each, -1.0).argmax())
        result.append(Likely(model.names[place], model.meanings[best], float(together[place])))
        if len(result) == _MOST or together[place] < _LEAST:
            break
    return tuple(result)
