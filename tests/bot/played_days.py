"""Diaries for the tests of pictures and pages: invented days, played through the real session."""

from __future__ import annotations

import io
from collections.abc import Iterable
from datetime import UTC
from functools import cache
from pathlib import Path

from bot.rehearse import CHAT, Rehearsal
from bot.script import Move, read_script
from bot.store_diary import ChatDiary

DAYS = Path(__file__).parents[2] / "fixtures" / "days"


def played(lines: Iterable[str]) -> ChatDiary:
    """The diary after a script."""
    start, steps = read_script(lines)
    rehearsal = Rehearsal(start, io.StringIO())
    now = start.astimezone(UTC)
    for one in steps:
        if isinstance(one, Move):
            now += one.by
            rehearsal.move_to(now)
        else:
            rehearsal.say(one.text, f"script:{one.line}")
    return rehearsal.store.diary(CHAT)


@cache
def whole_day() -> ChatDiary:
    """Eight litres in metric units, to the eleventh day; do not change it."""
    return played((DAYS / "heather_lane_metric.txt").read_text(encoding="utf-8").splitlines())


@cache
def imperial_day() -> ChatDiary:
    """A day in imperial units, and a fermenter's temperature after it; do not change it."""
    lines = (DAYS / "oxbow_imperial.txt").read_text(encoding="utf-8").splitlines()
    return played([*lines, "+1d", "68 F"])


def fermenting(*lines: str, name: str = "Mill Lane stout") -> ChatDiary:
    """A batch with its yeast in, and then these lines."""
    before = (
        "@ 2026-03-14 09:30 Europe/Lisbon",
        f"brew 8 litres of {name}",
        "1.5 kg pale malt",
        "14 g Fuggle 4.8% at 60",
        "next",
        "next",
        "grain is in",
        "bag out",
        "next",
        "it's boiling",
        "flame out",
        "next",
        "chilled",
        "gravity 1.045 at 20 C",
        "transferred",
        "yeast is in",
    )
    return played((*before, *lines))
