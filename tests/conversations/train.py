"""Learns what messages likely mean and writes data/likely_intent.npz and data/wordings.toml: `python -m tests.conversations.train`.

Multinomial logistic regression of the marks of word_marks.py with a quadratic penalty, by scipy's L-BFGS. Six to twenty minutes and 7 GB.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import scipy.sparse
from scipy.optimize import minimize

from conversations.understanding import likely_intent
from conversations.understanding.likely_intent import STEP, Model, worth
from conversations.understanding.likeness import Example
from conversations.understanding.said_anew import names_in
from conversations.understanding.word_marks import marks, strangers
from conversations.understanding.wordings import example
from tests.conversations.learning_material import EXAMPLES, FORMS, OTHERWISE, Sample, material

DATA = Path(likely_intent.__file__).parent / "data"
PENALTY = 0.3
ROUNDS = 60
FEWEST = 2
"""Samples that a mark must have."""
LEAST = 0.03
"""Weights below this are left out; they change nothing and would take half the room."""
WORDINGS, LONGEST_WORDING = 3, 60


def learned(samples: Sequence[Sample], rounds: int = ROUNDS) -> Model:
    """The model of some samples."""
    seen = [marks(each.likeness, each.context, each.anywhere) for each in samples]
    counts = Counter(mark for each in seen for mark in each)
    often = {mark for mark, count in counts.items() if count >= FEWEST}
    seen = [each | {strangers(each, often)} for each in seen]
    known = sorted(often | {strange for each in seen for strange in each if strange.startswith("u:")})
    rows = {mark: k for k, mark in enumerate(known)}
    meanings = sorted({each.meaning for each in samples})
    columns = {meaning: k for k, meaning in enumerate(meanings)}
    places = [sorted(rows[mark] for mark in each if mark in rows) for each in seen]
    table: Any = scipy.sparse.csr_matrix(
        (
            [worth(known[k]) for each in places for k in each],
            [k for each in places for k in each],
            np.cumsum([0, *map(len, places)]),
        ),
        shape=(len(samples), len(known)),
        dtype=np.float32,
    )
    turned = table.T.tocsr()
    weight = np.array([each.weight for each in samples], dtype=np.float32)
    truth = np.array([columns[each.meaning] for each in samples])
    line = np.arange(len(samples))

    def loss(flat: Any) -> tuple[float, Any]:
        # Half the digits are enough for weights that are stored in steps, and cost half the time and room.
        weights = flat.reshape(len(known) + 1, len(meanings)).astype(np.float32)
        each = table @ weights[:-1]
        each += weights[-1]
        each -= each.max(axis=1, keepdims=True)
        np.exp(each, out=each)
        each /= each.sum(axis=1, keepdims=True)
        cost = -(weight * np.log(each[line, truth] + 1e-12)).sum(dtype=float)
        cost += 0.5 * PENALTY * (weights[:-1] ** 2).sum(dtype=float)
        each[line, truth] -= 1
        each *= weight[:, None]
        slope = np.empty_like(weights)
        slope[:-1] = turned @ each + PENALTY * weights[:-1]
        slope[-1] = each.sum(axis=0)
        return float(cost), slope.ravel().astype(float)

    start = np.zeros((len(known) + 1) * len(meanings))
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": rounds, "maxcor": 6})
    weights = found.x.reshape(len(known) + 1, len(meanings))
    stored = np.clip(np.round(np.where(np.abs(weights) < LEAST, 0, weights) / STEP), -127, 127).astype(np.int8)
    return likely_intent.made_of(meanings, known, stored)


def bank(samples: Iterable[Sample]) -> dict[str, list[str]]:
    """A few short wordings of each meaning for each choice of quantities, with and without a name; those that people said come first."""
    order = {EXAMPLES: 0, OTHERWISE: 2, FORMS: 3}
    found: dict[str, list[str]] = {}
    counts: Counter[tuple[str, tuple[str, ...], bool]] = Counter()
    for each in sorted(samples, key=lambda each: (order.get(each.source, 1), len(each.text), each.text)):
        context = each.context
        after = context.last is not None and not each.meaning.startswith("correct")
        if not each.read or context.expects or after or len(each.text) > LONGEST_WORDING or context.units != "metric":
            continue
        key = each.meaning, tuple(sorted(piece.kind for piece in each.likeness.pieces)), bool(names_in(example(each.meaning, each.text)))
        if counts[key] < WORDINGS and each.text not in found.get(each.meaning, ()):
            counts[key] += 1
            found.setdefault(each.meaning, []).append(each.text)
    return found


class Known:
    """A bank of wordings that is not in a file."""

    def __init__(self, wordings: dict[str, list[str]]) -> None:
        self._wordings = wordings
        self._made = cache(self._make)

    def _make(self, meaning: str) -> tuple[Example, ...]:
        return tuple(example(meaning, text) for text in self._wordings.get(meaning, ()))

    def __call__(self, meaning: str) -> tuple[Example, ...]:
        return self._made(meaning)


def main() -> None:
    """Learn from everything and write both files."""
    samples = material()
    model = learned(samples)
    known = sorted(model.rows, key=model.rows.__getitem__)
    with (DATA / "likely_intent.npz").open("wb") as opened:
        np.savez_compressed(opened, meanings=np.array(model.meanings), marks=np.array(known), weights=model.weights)
    lines = ["# Wordings of each meaning that the sentences read; written by `python -m tests.conversations.train`."]
    for meaning, texts in sorted(bank(samples).items()):
        lines.append(f"{json.dumps(meaning)} = {json.dumps(texts, ensure_ascii=False)}")
    (DATA / "wordings.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{len(samples)} wordings, {len(known)} marks, {len(model.meanings)} meanings")


if __name__ == "__main__":
    main()
