"""Times of day said in four figures, as services say them: "at nineteen hundred", "by 0630", "at 2200 hours"."""

from __future__ import annotations

from conversations.understanding.words import Item

_LEADS = frozenset({"at", "by", "from", "until", "till", "to", "and", "between", "for", "after", "before", "since"})
"""Behind these four figures may be a time of day; anywhere else they are a gravity or an amount."""
_LEAST = 1300
"""In figures: what is less could as well be a gravity ("at 1045")."""


def four_figure_clock(items: list[Item], i: int) -> tuple[int, int, int] | None:
    """Hour, minute and where it ends, where item i is a time of day in four figures; else None."""
    if i == 0 or items[i - 1].word not in _LEADS:
        return None
    item, end = items[i], i + 1
    as_hours = item.kind == "dur" and item.unit == "hour"
    if item.kind != "num" and not as_hours:
        return None
    value = item.value / 3600 if as_hours else item.value
    if item.fraction or value != int(value) or not 0 <= value < 2400 or value % 100 >= 60:
        return None
    written = item.raw.isdigit() and len(item.raw) == 4
    if as_hours:
        # "At 24 hours" is no time of day.
        fits = value >= 100
    elif written:
        fits = item.raw[0] == "0" or value >= _LEAST
    else:
        fits = not item.raw and value % 100 == 0 and value >= 100
    return (int(value) // 100, int(value) % 100, end) if fits else None
