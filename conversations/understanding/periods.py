"""Stretches of time gone by as people say them: in March, last month, this week, in 2025, over the summer."""

from __future__ import annotations

from datetime import date, timedelta

from conversations.understanding.words import Item
from conversations.understanding.written_dates import MONTHS

Period = tuple[int, date, date, str]
"""Where its words end, its first day, the day after its last, and how it is called."""
_LEADS = frozenset(["in", "during", "of", "over", "for", "throughout", "back"])
_SEASONS = {"spring": (3, "spring"), "summer": (6, "summer"), "autumn": (9, "autumn"), "fall": (9, "autumn"), "winter": (12, "winter")}
"""First month of a season of the northern half of the earth."""
_EARLIEST = 1990


def _month(year: int, month: int) -> tuple[date, date]:
    first = date(year, month, 1)
    return first, date(year + month // 12, month % 12 + 1, 1)


def _season(year: int, month: int) -> tuple[date, date]:
    first, after = date(year, month, 1), month + 3
    return first, date(year + (after - 1) // 12, (after - 1) % 12 + 1, 1)


def period_at(items: list[Item], i: int, today: date) -> Period | None:
    """The stretch that begins at item i; one without a year is the last one that has begun."""
    j = i
    while j < len(items) and items[j].word in _LEADS:
        j += 1
    words = [item.word if item.kind == "word" else "" for item in items[j : j + 3]] + [""] * 3
    if words[0] in ("this", "last", "past", "previous"):
        return _relative(words, j, today)
    if j < len(items) and items[j].kind == "num" and items[j].raw.isdigit() and _EARLIEST <= items[j].value <= today.year:
        year = int(items[j].value)
        return j + 1, date(year, 1, 1), date(year + 1, 1, 1), str(year)
    if words[0] not in MONTHS and words[0] not in _SEASONS:
        return None
    said = _year_behind(items, j + 1, today)
    if words[0] in MONTHS:
        if said is None and j + 1 < len(items) and items[j + 1].kind == "num":
            # "March 3" is a day.
            return None
        end, year = said or (j + 1, today.year - (MONTHS[words[0]] > today.month))
        first, after = _month(year, MONTHS[words[0]])
        return end, first, after, f"{first:%B} {year}"
    month, name = _SEASONS[words[0]]
    end, year = said or (j + 1, today.year - (month > today.month))
    first, after = _season(year, month)
    return end, first, after, f"{name} {year}"


def _year_behind(items: list[Item], j: int, today: date) -> tuple[int, int] | None:
    """ "2025", "of 2025", "last year", "this year" behind a month or a season."""
    if j < len(items) and items[j].word == "of":
        j += 1
    if j < len(items) and items[j].kind == "num" and items[j].raw.isdigit() and _EARLIEST <= items[j].value <= today.year:
        return j + 1, int(items[j].value)
    if j + 1 < len(items) and items[j].word in ("last", "this") and items[j + 1].word == "year":
        return j + 2, today.year - (items[j].word == "last")
    return None


def _relative(words: list[str], j: int, today: date) -> Period | None:
    back = words[0] != "this"
    match words[1]:
        case "week":
            first = today - timedelta(days=today.weekday() + 7 * back)
            return j + 2, first, first + timedelta(days=7), "last week" if back else "this week"
        case "month":
            year, month = (today.year - (today.month == 1), (today.month - 2) % 12 + 1) if back else (today.year, today.month)
            first, after = _month(year, month)
            return j + 2, first, after, f"{first:%B} {first.year}"
        case "year":
            year = today.year - back
            return j + 2, date(year, 1, 1), date(year + 1, 1, 1), str(year)
        case name if name in MONTHS:
            year = today.year - (MONTHS[name] > today.month or (back and MONTHS[name] == today.month))
            first, after = _month(year, MONTHS[name])
            return j + 2, first, after, f"{first:%B} {year}"
        case name if name in _SEASONS:
            month, name = _SEASONS[name]
            year = today.year - (month > today.month)
            first, after = _season(year, month)
            if back and after > today:
                first, after = _season(year - 1, month)
            return j + 2, first, after, f"{name} {first.year}"
        case _:
            return None
