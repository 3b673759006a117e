"""A day, month and year as they stand beside each other: june, 3rd of june 2027, june 3."""

from __future__ import annotations

from dataclasses import dataclass

from conversations.understanding.words import Item

_NAMES = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")
MONTHS = {name: k for k, name in enumerate(_NAMES, start=1)} | {name[:3]: k for k, name in enumerate(_NAMES, start=1)}
MONTHS["sept"] = 9
"""Name or its first three letters to the number of the month."""
_MOST_ITEMS = 6
_BETWEEN = ("th", "st", "nd", "rd", "of")


@dataclass(frozen=True, slots=True)
class Written:
    """What was written, and where its items end."""

    end: int
    month: int
    day: int | None
    year: int | None


def written_at(items: list[Item], j: int, last_year: int, *, figures: bool = False, this_year: int | None = None) -> Written | None:
    """The date that begins at item j; None where it names no month.

    With ``figures`` the day is written as one, and may stand behind the year; with ``this_year`` "next year" behind the month counts.
    """
    day: int | None = None
    month: int | None = None
    year: int | None = None
    end = j
    while end < len(items) and end - j < _MOST_ITEMS and (year is None or (figures and day is None)):
        item = items[end]
        whole = item.kind == "num" and item.value == int(item.value)
        if whole and 1 <= item.value <= 31 and day is None and (item.raw.isdigit() or not figures):
            day = int(item.value)
        elif whole and month is not None and year is None and 2000 <= item.value <= last_year:
            year = int(item.value)
        elif item.kind == "word" and item.word in MONTHS and month is None:
            month = MONTHS[item.word]
        elif item.word == "next" and this_year and month and end + 1 < len(items) and items[end + 1].word == "year":
            year, end = this_year + 1, end + 1
        elif not (item.kind == "word" and item.word in _BETWEEN and day is not None and month is None):
            break
        end += 1
    return None if month is None else Written(end, month, day, year)
