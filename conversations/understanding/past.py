"""Days gone by as people say them: yesterday, in March, on 3 May, two weeks ago, last month."""

from __future__ import annotations

from datetime import date, timedelta

from conversations.understanding.words import Item

_NAMES = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")
MONTHS = {name: k for k, name in enumerate(_NAMES, start=1)} | {name[:3]: k for k, name in enumerate(_NAMES, start=1)}
MONTHS["sept"] = 9
"""Name or its first three letters to the number of the month."""
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
    day: int | None = None
    month: int | None = None
    year: int | None = None
    end = j
    while end < len(items) and end - j < 6:
        item = items[end]
        if item.kind == "num" and item.value == int(item.value) and 1 <= item.value <= 31 and day is None:
            day = int(item.value)
        elif item.kind == "num" and item.raw.isdigit() and 2000 <= item.value <= today.year and month is not None:
            year, end = int(item.value), end + 1
            break
        elif item.kind == "word" and item.word in MONTHS and month is None:
            month = MONTHS[item.word]
        elif not (item.kind == "word" and item.word in ("th", "st", "nd", "rd", "of") and day is not None and month is None):
            break
        end += 1
    if month is None:
        return None
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
