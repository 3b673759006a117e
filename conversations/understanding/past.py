"""Days gone by as people say them: yesterday, in March, on 3 May, two weeks ago, last month."""

from __future__ import annotations

from datetime import date, timedelta

from conversations.understanding.words import Item
from conversations.understanding.written_dates import written_at

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
WEEKDAY = {name: number for number, name in enumerate(_DAYS)} | {name[:3]: number for number, name in enumerate(_DAYS)}
"""Names of the days and their short forms to Monday = 0."""
_MIDDLE = 15
"""The day that a bare month stands for: the middle, so that no age is off by more than half of it."""


def _year_for(month: int, day: int, today: date) -> date | None:
    for year in (today.year, today.year - 1):
        try:
            found = date(year, month, day)
        except ValueError:
            continue
        if found <= today:
            return found
    return None


def past_at(items: list[Item], i: int, today: date) -> tuple[int, date] | None:
    """The past day that begins at item i and where its words end; never in the future."""
    words = [item.word if item.kind == "word" else "" for item in items[i : i + 5]] + [""] * 5
    if words[0] in ("today", "yesterday"):
        return i + 1, today - timedelta(days=0 if words[0] == "today" else 1)
    if words[0] == "last" and words[1] in ("week", "month", "year"):
        return i + 2, today - timedelta(days={"week": 7, "month": 30, "year": 365}[words[1]])
    if items[i].kind == "dur" and words[1] == "ago":
        return i + 2, today - timedelta(seconds=min(items[i].value, 86400.0 * 3650))
    if items[i].kind == "num" and words[1] in ("month", "months", "year", "years") and words[2] == "ago":
        days = items[i].value * (30.44 if words[1].startswith("month") else 365.25)
        return (i + 3, today - timedelta(days=days)) if 0 <= days <= 3650 else None
    j = i + 1 if words[0] in ("in", "on", "last", "since") else i
    if words[j - i] in WEEKDAY:
        return j + 1, today - timedelta(days=(today.weekday() - WEEKDAY[words[j - i]]) % 7 or 7)
    return _calendar(items, j, today)


def _calendar(items: list[Item], j: int, today: date) -> tuple[int, date] | None:
    """ "march", "march 2025", "3 march", "3rd of march 2025" or "march 3"."""
    written = written_at(items, j, today.year)
    if written is None:
        return None
    day, month, year, end = written.day, written.month, written.year, written.end
    if year is not None:
        try:
            found = date(year, month, day or _MIDDLE)
        except ValueError:
            return None
        return (end, min(found, today)) if found <= today or day is None else None
    if day is None and month == today.month:
        # "in March", said in March: this month, and not a year ago.
        return end, min(date(today.year, month, _MIDDLE), today)
    settled = _year_for(month, day or _MIDDLE, today)
    return None if settled is None else (end, settled)
