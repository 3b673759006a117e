"""The lines of a rehearsal script: the start, moves of the clock, messages, comments."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

DEFAULT_START = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
"""Where a script that names no start begins; fixed, so that it prints the same every time."""

_START = re.compile(r"@\s*(\d{4}-\d{2}-\d{2})[ T](\d{1,2}:\d{2}(?::\d{2})?)(?:\s+(\S+))?")
_MOVE = re.compile(r"\+((?:\s*\d+(?:\.\d+)?\s*[smhd])+)")
_PART = re.compile(r"(?<!\d)(\d+(?:\.\d+)?)\s*([smhd])")
_SECONDS = {"s": 1.0, "m": 60.0, "h": 3600.0, "d": 86400.0}


class ScriptError(Exception):
    """A line that cannot be read; the text is a sentence with its number."""


class Say(NamedTuple):
    """A message from the person."""

    line: int
    text: str


class Move(NamedTuple):
    """Let this much time pass; a day is 24 hours."""

    line: int
    by: timedelta


def _start(line: int, text: str) -> datetime:
    match = _START.fullmatch(text)
    if match is None:
        raise ScriptError(f"Line {line}: a start is like '@ 2026-03-14 09:30 Europe/Lisbon', not '{text}'.")
    day, time, zone = match.groups()
    try:
        naive = datetime.fromisoformat(f"{day}T{time.zfill(5) if time.count(':') == 1 else time.zfill(8)}")
    except ValueError:
        raise ScriptError(f"Line {line}: there is no such time as {day} {time}.") from None
    try:
        return naive.replace(tzinfo=ZoneInfo(zone or "UTC"))
    except (OSError, ValueError, KeyError):
        raise ScriptError(f"Line {line}: there is no time zone named {zone}.") from None


def _move(line: int, text: str) -> timedelta:
    match = _MOVE.fullmatch(text)
    if match is None:
        raise ScriptError(f"Line {line}: a move of the clock is like +20m, +90s, +1h or +3d, not '{text}'.")
    seconds = sum(float(number) * _SECONDS[unit] for number, unit in _PART.findall(match[1]))
    if seconds > 36525 * 86400:
        raise ScriptError(f"Line {line}: '{text}' is more than a hundred years.")
    return timedelta(seconds=seconds)


def read_script(lines: Iterable[str]) -> tuple[datetime, list[Say | Move]]:
    """The start and the steps of a script; raises ScriptError, naming the line, before anything is played."""
    start: datetime | None = None
    steps: list[Say | Move] = []
    for number, raw in enumerate(lines, start=1):
        text = raw.strip()
        if not text or text.startswith("#"):
            continue
        if text.startswith("@"):
            if start is not None or steps:
                raise ScriptError(f"Line {number}: the start may be set once, before anything else.")
            start = _start(number, text)
        elif text.startswith("+"):
            steps.append(Move(number, _move(number, text)))
        else:
            steps.append(Say(number, text))
    return start or DEFAULT_START, steps
