"""The time of a reading that is told later: "yesterday", "on Sunday", "two days ago", "on 3 March at 20:00"."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from conversations.intents import Context
from conversations.understanding.past import WEEKDAY, past_at
from conversations.understanding.times import clock_at, day_number, on_the_wall
from conversations.understanding.words import Item

_PARTS = {"morning": 8, "noon": 12, "afternoon": 15, "evening": 20, "night": 21}
_MONTH_NAMES = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")
USUAL_HOUR = 12
"""Hour of a past day that was named without one."""
SMALL_HOURS = 5
"""Hour of "overnight": when it is coldest."""


def spoken_of(context: Context) -> datetime:
    """The time of the reading that was told last, else now: "the day before" counts from it."""
    told = context.last.slots.get("at") if context.last is not None and context.last.name.startswith("reading.") else None
    return datetime.fromisoformat(str(told)).astimezone(context.now.tzinfo) if told is not None else context.now


def earlier_at(items: list[Item], i: int, now: datetime, zone: str, told: datetime | None = None) -> tuple[int, datetime] | None:
    """The past time that begins at item i: its end and the time; None where nothing of the kind is written there.

    A weekday is the last one before today; a day without an hour counts as noon; never later than now. ``told`` is the time that
    was spoken of before, from which "the day before" counts.
    """
    here = now.astimezone(now.tzinfo)
    words = [item.word if item.kind == "word" else "" for item in items[i : i + 4]] + [""] * 4
    today = here.date()
    if words[0] == "on" and i + 1 < len(items):
        nth = day_number(items, i + 1)
        if nth is not None and nth[1] and (nth[2] >= len(items) or items[nth[2]].word not in ("of", *_MONTH_NAMES)):
            # "On the 15th": the last one that there was.
            past = next((day for back in range(1, 32) if (day := today - timedelta(days=back)).day == nth[0]), None)
            return None if past is None else _settle(items, nth[2], past, here, zone)
        found = earlier_at(items, i + 1, now, zone)
        return found if found is not None and words[1] not in ("yesterday", "last", "this") else None
    if items[i].kind == "dur" and words[1] == "ago":
        if items[i].unit in ("day", "week") or items[i].whole_days:
            return _settle(items, i + 2, today - timedelta(days=round(items[i].value / 86400)), here, zone)
        return i + 2, here - timedelta(seconds=items[i].value)
    if words[0] == "yesterday":
        return _settle(items, i + 1, today - timedelta(days=1), here, zone)
    if words[:3] == ["day", "before", "yesterday"]:
        return _settle(items, i + 3, today - timedelta(days=2), here, zone)
    if words[0] in ("day", "night", "evening", "morning") and words[1] == "before":
        return _day_before(items, i, words, told or here, here, zone)
    if words[0] == "overnight" or (words[0] in ("during", "through") and words[1] == "night"):
        return (i + 1 if words[0] == "overnight" else i + 2), _at(today, SMALL_HOURS, 0, here, zone)
    if words[:2] == ["last", "night"]:
        clock = clock_at(items, i + 3) if i + 3 < len(items) and items[i + 2].word == "at" else None
        hour, minute, end = (21, 0, i + 2) if clock is None else (clock[0] % 12 + 12 * (clock[0] % 12 >= 4), clock[1], clock[3])
        # "at 1 last night" is an hour of today.
        day = today - timedelta(days=int(hour >= 12))
        return end, on_the_wall(datetime.combine(day, time(hour, minute)), zone)
    if words[:2] == ["this", "morning"]:
        return _this_morning(items, i + 2, here, zone)
    if (words[0] == "at" and i + 1 < len(items)) or items[i].kind in ("num", "clock"):
        gone = _clock_today(items, i + 1 if words[0] == "at" else i, here, zone)
        if gone is not None or words[0] == "at":
            return gone
    last = words[0] == "last"
    if words[1 if last else 0] in WEEKDAY:
        back = (here.weekday() - WEEKDAY[words[1 if last else 0]]) % 7 or 7
        return _settle(items, i + (2 if last else 1), today - timedelta(days=back), here, zone)
    if words[0] == "today":
        # "Gravity today 1.020" is of now.
        return None
    named = past_at(items, i, today) if any(item.kind == "num" for item in items[i : i + 3]) else None
    return None if named is None or items[i].kind == "dur" else _settle(items, named[0], named[1], here, zone)


def _day_before(items: list[Item], i: int, words: list[str], told: datetime, here: datetime, zone: str) -> tuple[int, datetime] | None:
    """ "the day before it was 1.014", "1.014 the day before that": the day before the one that was spoken of, and no other day."""
    end = i + (3 if words[2] == "that" else 2)
    after = items[end] if end < len(items) else None
    if after is not None and after.kind == "word" and after.word != "at":
        # "the day before I bottled"
        return None
    day = told.date() - timedelta(days=1)
    return _settle(items, end, day, here, zone) if words[0] == "day" else (end, _at(day, _PARTS[words[0]], 0, here, zone))


def _this_morning(items: list[Item], end: int, here: datetime, zone: str) -> tuple[int, datetime] | None:
    """ "this morning", "this morning at 7": a bare hour is one of the morning."""
    hour, minute = 8, 0
    clock = clock_at(items, end + 1) if end + 1 < len(items) and items[end].word == "at" else None
    if clock is not None and clock[0] <= 12:
        hour, minute, _, end = clock
    at = on_the_wall(datetime.combine(here.date(), time(hour, minute)), zone)
    return (end, at) if at < here else None


def _clock_today(items: list[Item], i: int, here: datetime, zone: str) -> tuple[int, datetime] | None:
    """ "at 8 this morning", "at 7 am", "at half past one": the last such hour of today that is gone.

    "at 8 yesterday evening" is one of the day that is named behind it.
    """
    clock = clock_at(items, i)
    if clock is None:
        return None
    hour, minute, is_open, end = clock
    day, said = here.date(), [item.word for item in items[end : end + 2]]
    if said[:1] == ["yesterday"] or said == ["last", "night"]:
        day, named = day - timedelta(days=1), said[-1]
        late = named in ("evening", "afternoon", "night")
        end += 2 if named in _PARTS or named == "night" else 1
        if is_open:
            hour = hour % 12 + (12 if late else 0) if late or named == "morning" else hour
        return end, on_the_wall(datetime.combine(day, time(hour % 24, minute)), zone)
    if items[i].kind == "num" and end == i + 1:
        # "66 at 10" may be degrees.
        return None
    halves = sorted({hour % 24, (hour + 12) % 24} if is_open else {hour % 24}, reverse=True)
    gone = (on_the_wall(datetime.combine(day, time(each, minute)), zone) for each in halves)
    at = next((each for each in gone if each < here), None)
    return None if at is None else (end, at)


def _settle(items: list[Item], end: int, day: date, here: datetime, zone: str) -> tuple[int, datetime] | None:
    """A past day with the part of the day or the hour behind it."""
    hour, minute = USUAL_HOUR, 0
    word = items[end].word if end < len(items) else ""
    after = items[end + 1] if end + 1 < len(items) else None
    if word in _PARTS:
        hour, end = _PARTS[word], end + 1
    elif (clock := clock_at(items, end + (word == "at"))) is not None and not clock[2]:
        hour, minute, _, end = clock
    elif word == "at" and after is not None and after.kind == "clock" and after.raw.count(":") == 1:
        hour, minute = (int(piece) for piece in after.raw.split(":"))
        end += 2
    elif word == "at" and after is not None and after.kind == "num" and after.value == int(after.value):
        half = items[end + 2].word if end + 2 < len(items) else ""
        if half not in ("am", "pm") or not 1 <= after.value <= 12:
            return None if not 0 <= after.value < 24 else (end, _at(day, USUAL_HOUR, 0, here, zone))
        hour, end = int(after.value) % 12 + (12 if half == "pm" else 0), end + 3
    if not (0 <= hour < 24 and 0 <= minute < 60):
        return None
    return end, _at(day, hour, minute, here, zone)


def _at(day: date, hour: int, minute: int, here: datetime, zone: str) -> datetime:
    return min(on_the_wall(datetime.combine(day, time(hour, minute)), zone), here - timedelta(minutes=1))
