"""A recipe's line of twice the length takes twice the work: nothing in it is read again for each of its ingredients."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

from conversations.recipe.bottle_sugar import BottleSugar
from conversations.recipe.entry import Entry
from conversations.recipe.mark import Mark
from conversations.recipe.volumes import Volumes

_TIMES = 16
"""How much longer the long line is: work in the square of the length grows by 256."""


def _marks(piece: str, count: int, kind: str, text: str, unit: str) -> tuple[str, list[Mark]]:
    return piece * count, [
        Mark(kind, k * len(piece), k * len(piece) + len(text), text, 8.0, unit, "grain" if kind == "name" else "") for k in range(count)
    ]


def _volumes(piece: str, count: int) -> Callable[[], None]:
    line, marks = _marks(piece, count, "volume", "8l", "litre")
    return lambda: Volumes("metric").add(line, marks)


def _sugars(piece: str, count: int) -> Callable[[], None]:
    line, marks = _marks(piece, count, "name", "dextrose", "")
    seps = [Mark("sep", m.end, m.end + 1, ",") for m in marks] if "," in piece else []
    found = sorted([*marks, *seps], key=lambda m: m.start)
    entries = [Entry(name=mark) for mark in marks]

    def read() -> None:
        sugar = BottleSugar(line, found)
        for entry in entries:
            sugar.holds(entry)

    return read


def _least(read: Callable[[], None]) -> float:
    spent = []
    for _ in range(5):
        begun = time.process_time()
        read()
        spent.append(time.process_time() - begun)
    return min(spent)


@pytest.mark.parametrize(
    ("made", "piece"),
    [
        (_volumes, "8l "),
        (_volumes, "8l steep in "),
        (_volumes, "8l topped up to "),
        (_sugars, "dextrose "),
        (_sugars, "dextrose, "),
        (_sugars, "dextrose for priming, "),
        (_sugars, "dextrose for priming "),
    ],
)
def test_work_grows_with_the_length_of_the_line(made: Callable[[str, int], Callable[[], None]], piece: str) -> None:
    short, long = made(piece, 250), made(piece, 250 * _TIMES)
    short()
    assert _least(long) < _least(short) * _TIMES * 4
