"""Slots that hold how old something on the shelf is: the year of its harvest, or its age."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from conversations.understanding.sentences import Filled, PlaceReader
from conversations.understanding.written import Written

_HARVEST = 9, 15
"""Month and day for which a year of harvest stands: hops and barley are in by then in the north. Common practice."""
_OLDEST_YEARS = 15
_DAYS = {"day": 1.0, "week": 7.0, "month": 30.44, "year": 365.25}


def _today(written: Written) -> date:
    return written.context.now.astimezone(ZoneInfo(written.context.zone)).date()


def _harvest(written: Written, i: int) -> Iterator[Filled]:
    """ "2024", "last year"."""
    items, today = written.items, _today(written)
    item = items[i]
    if item.word == "last" and i + 1 < len(items) and items[i + 1].word == "year":
        yield i + 2, {"packed": date(today.year - 1, *_HARVEST).isoformat()}, 1.0
    elif item.kind == "num" and item.value == int(item.value) and today.year - _OLDEST_YEARS <= item.value <= today.year:
        yield i + 1, {"packed": min(date(int(item.value), *_HARVEST), today).isoformat()}, 1.0


def _aged(written: Written, i: int) -> Iterator[Filled]:
    """ "two years", "18 months"."""
    items, today = written.items, _today(written)
    if items[i].kind == "dur" and items[i].value >= 86400:
        yield i + 1, _since(today, items[i].value / 86400), 1.0
    elif items[i].kind == "num" and i + 1 < len(items):
        days = _DAYS.get(items[i + 1].word.removesuffix("s"))
        if days is not None:
            yield i + 2, _since(today, items[i].value * days), 1.0


def _since(today: date, days: float) -> dict[str, str]:
    return {"packed": (today - timedelta(days=min(max(0.0, days), _OLDEST_YEARS * 365.25))).isoformat()}


AGES: dict[str, PlaceReader] = {"harvest": _harvest, "aged": _aged}
"""Readers of slots by their kind."""
