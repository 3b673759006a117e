"""Dates as they stand on a packet or are read off it: June, 06/2027, 30.6.2027, 2027-06-30, the end of June, in 6 months."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from conversations.understanding.words import Item
from conversations.understanding.written_dates import MONTHS, written_at

_ISO = re.compile(r"(?P<y>20\d\d)[-/](?P<m>\d{1,2})(?:[-/](?P<d>\d{1,2}))?(?!\d)")
_FULL = re.compile(r"(?P<a>\d{1,2})[./-](?P<b>\d{1,2})[./-](?P<y>20\d\d|\d\d)(?!\d)")
_MONTH = re.compile(r"(?P<m>\d{1,2})[./-](?P<y>20\d\d|\d\d)(?!\d)")
_YEARS_AHEAD = 10


def date_at(text: str, items: list[Item], i: int, today: date, month_first: bool = False) -> tuple[int, date] | None:
    """The date that begins at item i and where its words end.

    A month with its year is its last day, as on food (Source: Regulation (EU) No 1169/2011, Annex X: "best before end"
    where only month and year are given); a month alone is the next one, at its beginning: the careful side.
    """
    figures = _figures(text, items[i].start, month_first)
    if figures is not None:
        end, found = figures
        after = next((k for k in range(i, len(items)) if items[k].start >= end), len(items))
        return (after, found) if _sane(found, today) else None
    words = [item.word if item.kind == "word" else "" for item in items[i : i + 4]] + [""] * 4
    if words[0] == "in" and i + 1 < len(items) and items[i + 1].kind == "dur":
        return i + 2, today + timedelta(seconds=min(items[i + 1].value, 86400.0 * 365 * _YEARS_AHEAD))
    j, at_end = i, False
    if words[0] in ("end", "beginning", "start"):
        j, at_end = i + 1, words[0] == "end"
        j += j < len(items) and items[j].word == "of"
    elif words[0] == "next" and words[1] in MONTHS:
        j = i + 1
    found_at = _written(items, j, today, at_end)
    return found_at if found_at is not None and _sane(found_at[1], today) else None


def _sane(found: date, today: date) -> bool:
    return abs(found.year - today.year) <= _YEARS_AHEAD


def _figures(text: str, start: int, month_first: bool) -> tuple[int, date] | None:
    iso, full, month = (pattern.match(text, start) for pattern in (_ISO, _FULL, _MONTH))
    if iso:
        day = int(iso["d"]) if iso["d"] else None
        return _ended(iso.end(), _day(int(iso["y"]), int(iso["m"]), day))
    if full:
        a, b = int(full["a"]), int(full["b"])
        day, number = (b, a) if (month_first and a <= 12) or b > 12 else (a, b)
        return _ended(full.end(), _day(_year(full["y"]), number, day))
    if month:
        return _ended(month.end(), _day(_year(month["y"]), int(month["m"]), None))
    return None


def _ended(end: int, found: date | None) -> tuple[int, date] | None:
    return None if found is None else (end, found)


def _year(written: str) -> int:
    return int(written) + (2000 if len(written) == 2 else 0)


def _day(year: int, month: int, day: int | None) -> date | None:
    """The day, or the last one of the month; None where there is no such day."""
    if not 1 <= month <= 12:
        return None
    last = calendar.monthrange(year, month)[1]
    return date(year, month, day or last) if 1 <= (day or last) <= last else None


def _written(items: list[Item], j: int, today: date, at_end: bool) -> tuple[int, date] | None:
    """ "june", "3rd of june 2027", "june 3", "june next year"."""
    written = written_at(items, j, 2100, figures=True, this_year=today.year)
    if written is None:
        return None
    day, month, year = written.day, written.month, written.year
    if year is None:
        year = today.year + (month < today.month or (month == today.month and day is not None and day < today.day))
        found = _day(year, month, day or (None if at_end or month == today.month else 1))
    else:
        found = _day(year, month, day)
    return None if found is None else (written.end, found)


_OF_YEAST = frozenset({"dry", "dried", "ale", "lager", "english", "american", "german", "belgian", "wheat", "wine", "bread"})


def belongs_to_mass(items: list[Item], i: int) -> bool:
    """Whether the name at item i is of what was bought: "bought 11 g dry yeast, best before March"."""
    return i > 0 and (items[i - 1].kind == "qty" or items[i - 1].word in _OF_YEAST)
