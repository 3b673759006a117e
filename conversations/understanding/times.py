"""Durations and clock times of kitchen English; zone-aware, never in the past, summer time heeded."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from conversations.understanding.four_figure_clock import four_figure_clock
from conversations.understanding.numbers import ONES, TENS
from conversations.understanding.quantities import SECONDS
from conversations.understanding.words import Item
from conversations.understanding.written_dates import MONTHS

_DAYS = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
_WEEKDAYS = {name: k for k, name in enumerate(_DAYS)} | {name[:3]: k for k, name in enumerate(_DAYS)}
TIME_WORDS = frozenset((*ONES, *TENS, "hundred", "thousand")) | frozenset(
    ["tomorrow", "tonight", "today", "morning", "afternoon", "evening", "night", "midnight", "midday", "quarter", "quarters", "halves", "thirds", "third", "eighth", "eighths", "point", "dozen", "couple", "minus", "between"]
)
"""Words of numbers and times, which the spelling must not take for anything else."""
_DAYPARTS = {"morning": 8, "lunchtime": 12, "afternoon": 14, "evening": 18, "night": 21, "tonight": 20}
_NEXT = {"week": 7, "month": 30}
"""Days to what is named by "next"."""
_ORDINALS = "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth"
_ORDINALS += " fifteenth sixteenth seventeenth eighteenth nineteenth twentieth"
_NTH = {word: place for place, word in enumerate(_ORDINALS.split(), start=1)} | {"thirtieth": 30}
TIME_WORDS |= frozenset(MONTHS) | frozenset(_DAYS) | frozenset(_NTH) | frozenset({"daily", "hourly", "lunchtime"})
DEFAULT_HOUR = 9
"""Hour of a day that was named without one ("remind me on saturday")."""
FARTHEST = timedelta(days=800)


def duration_items(items: list[Item]) -> list[Item]:
    """Join neighbouring times such as "1 hour and 15 minutes" or "an hour and a half" into one dur item."""
    result: list[Item] = []
    i = 0
    while i < len(items):
        item = items[i]
        i += 1
        if item.kind == "clock" and item.raw.count(":") == 2:
            h, m, s = (int(piece) for piece in item.raw.split(":"))
            result.append(Item("dur", "", item.start, item.end, h * 3600.0 + m * 60 + s, "hour"))
            continue
        if item.kind == "word" and item.word in ("hour", "hr") and i + 1 < len(items) and items[i].word == "and" and items[i + 1].fraction and 0 < items[i + 1].value < 1:
            # "Hour and a half for the mash"
            result.append(Item("dur", "", item.start, items[i + 1].end, 3600 * (1 + items[i + 1].value), "hour"))
            i += 2
            continue
        if item.kind != "qty" or item.unit not in SECONDS:
            result.append(item)
            continue
        seconds, end, step, days = (
            item.value * SECONDS[item.unit],
            item.end,
            SECONDS[item.unit],
            item.whole_days,
        )
        while i < len(items):
            j = i + 1 if items[i].word == "and" and i + 1 < len(items) else i
            if items[i].kind == "sep" and items[i].raw == "," and i + 1 < len(items):
                # "1 hour, 2 minutes": only a whole smaller unit goes on after a comma.
                j = i + 1
                if items[j].kind != "qty" or SECONDS.get(items[j].unit, step) >= step:
                    break
            following = items[j]
            if following.kind == "qty" and SECONDS.get(following.unit, step) < step:
                step = SECONDS[following.unit]
                seconds += following.value * step
                days = days and following.whole_days
            elif following.kind == "num" and following.fraction and j > i and 0 < following.value < 1:
                seconds += following.value * step
            elif (
                following.kind == "num"
                and step == 3600
                and following.value == int(following.value)
                and (0 < following.value < 60 or (following.value == 0 and following.start == end))
                and (j > i or following.start == end or _ends_there(items, j + 1))
            ):
                seconds += following.value * 60
                step = 60.0
            else:
                break
            i, end = j + 1, following.end
        result.append(Item("dur", "", item.start, end, seconds, item.unit, whole_days=days))
    return result


def _ends_there(items: list[Item], j: int) -> bool:
    """Whether "1 hour 20" ends what is said there, so that the 20 can be nothing but minutes."""
    return j >= len(items) or items[j].kind == "sep" or items[j].word in ("please", "for", "and", "timer", "mash", "boil")


def after(now: datetime, zone: str, seconds: float, whole_days: bool = False) -> datetime:
    """The time so many seconds from now; whole days keep the hour on the wall across summer time."""
    here = now.astimezone(ZoneInfo(zone))
    if whole_days:
        return on_the_wall((here + timedelta(seconds=seconds)).replace(tzinfo=None), zone)
    return (here.astimezone(ZoneInfo("UTC")) + timedelta(seconds=seconds)).astimezone(ZoneInfo(zone))


def on_the_wall(wall: datetime, zone: str) -> datetime:
    """A wall time in its zone; an hour that the clocks skip moves to the hour that they show instead."""
    local = wall.replace(tzinfo=ZoneInfo(zone))
    return local.astimezone(ZoneInfo("UTC")).astimezone(ZoneInfo(zone))


def clock_at(items: list[Item], i: int) -> tuple[int, int, bool, int] | None:
    """Hour, minute, whether the half of the day is open, and where it ends; None where no hour is said.

    "eleven at night", "seven in the morning" and "six this evening" close the half of the day.
    """
    found = _clock(items, i)
    if found is None or not found[2]:
        return found
    hour, minute, _, j = found
    k = j + 1 if j < len(items) and items[j].word in ("at", "in", "this") else j
    part = items[k].word if k < len(items) else ""
    if part not in _DAYPARTS:
        return found
    late = part != "morning" and not (part in ("night", "tonight") and hour in (12, 1, 2, 3, 4))
    return hour % 12 + (12 if late else 0), minute, False, k + 1


def _clock(items: list[Item], i: int) -> tuple[int, int, bool, int] | None:
    """Hour, minute, whether the half of the day is open, and where it ends."""
    if i >= len(items):
        return None
    first, rest = items[i], items[i + 1 : i + 3]
    if first.word in ("noon", "midday"):
        return 12, 0, False, i + 1
    if first.word == "midnight":
        return 0, 0, False, i + 1
    is_minutes = first.kind == "num" or (first.kind == "dur" and first.unit == "minute")
    if is_minutes and len(rest) == 2 and rest[0].word in ("past", "to", "before") and rest[1].kind == "num":
        minutes = first.value * 60 if first.fraction else first.value / (60 if first.kind == "dur" else 1)
        hour = rest[1].value
        if 0 < minutes < 60 and minutes == int(minutes) and hour == int(hour) and 1 <= hour <= 12:
            total = int(hour) * 60 + int(minutes if rest[0].word == "past" else -minutes)
            return _half_of_day(items, i + 3, total // 60, total % 60, True)
    if first.fraction and first.value == 0.5 and rest and rest[0].kind == "num" and 1 <= rest[0].value <= 12:
        return _half_of_day(items, i + 2, int(rest[0].value), 30, True)
    if first.kind == "clock" and first.raw.count(":") == 1:
        hour, minute = (int(piece) for piece in first.raw.split(":"))
        return _half_of_day(items, i + 1, hour, minute, not first.raw.startswith("0"))
    if (said := four_figure_clock(items, i)) is not None:
        return said[0], said[1], False, said[2]
    if first.kind != "num" or first.fraction:
        return None
    if len(first.parts) == 2:
        return _half_of_day(items, i + 1, int(first.parts[0]), int(first.parts[1]), True)
    hours, dot, decimals = first.raw.partition(".")
    if dot and hours.isdigit() and len(decimals) == 2 and len(hours) <= 2:
        return _half_of_day(items, i + 1, int(hours), int(decimals), True)
    if first.value == int(first.value):
        return _half_of_day(items, i + 1, int(first.value), 0, True)
    return None


def _half_of_day(
    items: list[Item], j: int, hour: int, minute: int, is_open: bool
) -> tuple[int, int, bool, int] | None:
    if not (0 <= hour < 24 and 0 <= minute < 60):
        return None
    if j < len(items) and items[j].word == "o'clock":
        j += 1
    word = items[j].word if j < len(items) else ""
    pair = word + items[j + 1].word if j + 1 < len(items) and items[j + 1].kind == "word" else ""
    if word in ("am", "pm") or pair in ("am", "pm"):
        if not 1 <= hour <= 12:
            return None
        half = word if word in ("am", "pm") else pair
        return hour % 12 + (12 if half == "pm" else 0), minute, False, j + (1 if word == half else 2)
    return hour, minute, is_open and 1 <= hour <= 12, j


def when_at(items: list[Item], i: int, now: datetime, zone: str) -> tuple[int, datetime, float | None] | None:
    """The time phrase that begins at item i: its end, the time, and seconds where it was "in so long".

    None where nothing of the kind is written there, or where it lies in the past or too far ahead.
    """
    here = now.astimezone(ZoneInfo(zone))
    word = items[i].word if i < len(items) else ""
    if word in ("in", "over", "within", "after") and i + 1 < len(items) and items[i + 1].kind == "dur":
        end = i + 3 if i + 2 < len(items) and items[i + 2].word == "time" else i + 2
        return _relative(items, i + 1, end, now, zone)
    if items[i].kind == "dur" and [x.word for x in items[i + 1 : i + 3]] in (["from", "now"], ["from", "today"]):
        return _relative(items, i, i + 3, now, zone)
    week = items[i].kind == "dur" and items[i].value == SECONDS["week"] * round(items[i].value / SECONDS["week"])
    begin = i + 2 if i + 1 < len(items) and items[i + 1].word in ("on", "from", "next") else i + 1
    if week and begin < len(items) and (items[begin].word in _WEEKDAYS or items[begin].word in ("today", "tomorrow")):
        # "a week on saturday at 11"
        first = when_at(items, begin, now, zone)
        at = None if first is None else on_the_wall(first[1].replace(tzinfo=None) + timedelta(seconds=items[i].value), zone)
        return None if first is None or at is None else (first[0], at, None)
    day: date | None = None
    hour: int | None = None
    minute, is_open, part, j, today_named, same_day = 0, False, "", i, False, False
    while j < len(items):
        word = items[j].word
        following = items[j + 1].word if j + 1 < len(items) else ""
        if day is None and word in ("today", "tonight"):
            day, today_named = here.date(), True
            part = word if word == "tonight" else part
            j += 1
        elif day is None and word == "tomorrow":
            day, j = here.date() + timedelta(days=1), j + 1
        elif day is None and [x.word for x in items[j : j + 3]] == ["day", "after", "tomorrow"]:
            day, j = here.date() + timedelta(days=2), j + 3
        elif day is None and (
            word in _WEEKDAYS or (word in ("on", "next", "this") and following in _WEEKDAYS)
        ):
            name = word if word in _WEEKDAYS else following
            ahead = (_WEEKDAYS[name] - here.weekday()) % 7
            same_day = ahead == 0 and word != "next"
            day, j = (
                here.date() + timedelta(days=ahead or (0 if same_day else 7)),
                j + (1 if word in _WEEKDAYS else 2),
            )
        elif day is None and word == "next" and following in _NEXT:
            day, j = here.date() + timedelta(days=_NEXT[following]), j + 2
        elif day is None and following == "weekend" and word in ("this", "at", "on", "next", "over"):
            day, j = here.date() + timedelta(days=(5 - here.weekday()) % 7 or 7), j + 2
        elif not part and (word in _DAYPARTS or (word in ("in", "this", "at") and following in _DAYPARTS)):
            part, j = (word, j + 1) if word in _DAYPARTS else (following, j + 2)
            if word == "this":
                day, today_named = here.date(), True
        elif (hour is None and word in ("at", "by", "until", "till", "for") and (clock := _clock(items, j + 1))) or (
            hour is None
            and (clock := _clock(items, j))
            and (j > i or items[j].kind in ("clock", "word") or items[j].fraction or not clock[2])
        ):
            hour, minute, is_open, j = clock
        elif day is None and (found := _calendar(items, j, here)) is not None:
            day, j = found
        else:
            break
    if j == i or (day is None and hour is None and not part):
        return None
    if hour is None:
        hour, is_open = _DAYPARTS.get(part, DEFAULT_HOUR), False
    elif is_open and part:
        is_open = False
        if part != "morning" and hour < 12 and not (part == "night" and hour < 5):
            hour += 12
    at = _settle(here, zone, day, today_named, hour, minute, is_open)
    if same_day and at is not None and at <= now:
        # Saturday named on a Saturday is today while the hour is still ahead.
        at = on_the_wall(at.replace(tzinfo=None) + timedelta(days=7), zone)
    return None if at is None or not now < at <= now + FARTHEST else (j, at, None)


def _relative(
    items: list[Item], i: int, j: int, now: datetime, zone: str
) -> tuple[int, datetime, float | None] | None:
    seconds = items[i].value
    if not 0 < seconds <= FARTHEST.total_seconds():
        return None
    whole = items[i].whole_days
    return j, after(now, zone, seconds, whole), None if whole else seconds


def _settle(
    here: datetime, zone: str, day: date | None, today: bool, hour: int, minute: int, is_open: bool
) -> datetime | None:
    other = (hour + 12) % 24
    if day is None or today:
        hours = sorted((hour % 24, other)) if is_open else [hour]
        for ahead in (0, 1):
            for chosen in hours:
                at = on_the_wall(datetime.combine(here.date() + timedelta(ahead), time(chosen, minute)), zone)
                if at > here:
                    return at if not (today and ahead) else None
        return None
    if is_open and hour < 7:
        hour = other
    return on_the_wall(datetime.combine(day, time(hour, minute)), zone)


def day_number(items: list[Item], i: int) -> tuple[int, bool, int] | None:
    """A day of the month at item i, whether it was said as an ordinal ("5th", "twenty first"), and where it ends."""
    item = items[i]
    following = items[i + 1].word if i + 1 < len(items) else ""
    if item.word in _NTH:
        return _NTH[item.word], True, i + 1
    if item.kind != "num" or item.fraction or item.value != int(item.value) or not 1 <= item.value <= 31:
        return None
    if item.value in (20, 30) and not item.raw and _NTH.get(following, 99) < 10:
        return int(item.value) + _NTH[following], True, i + 2
    if following in ("th", "st", "nd", "rd") and items[i + 1].start == item.end:
        return int(item.value), True, i + 2
    return int(item.value), False, i + 1


def _calendar(items: list[Item], i: int, here: datetime) -> tuple[date, int] | None:
    """A date such as "on 3 december" or "the fifth of march", read by dateparser; "on the 5th" is the next one."""
    j = i + 1 if items[i].word == "on" and i + 1 < len(items) else i
    if items[j].fraction and len(items[j].parts) == 2:
        # "24/11": the day first.
        return _day_month(int(items[j].parts[0]), int(items[j].parts[1]), here.date(), j + 1)
    month = items[j].word if items[j].word in MONTHS else ""
    if month:
        j += 1
    found = day_number(items, j) if j < len(items) else None
    if found is None:
        return None
    number, ordinal, end = found
    if not month:
        of = end + 1 if end < len(items) and items[end].word == "of" else end
        if of < len(items) and items[of].word in MONTHS:
            month, end = items[of].word, of + 1
    if not month:
        day = _next_day(here.date(), number) if ordinal else None
        return None if day is None else (day, end)
    import dateparser  # slow to load, and only a date with a month needs it

    settings = {
        "PREFER_DATES_FROM": "future",
        "RELATIVE_BASE": here.replace(tzinfo=None),
        "DATE_ORDER": "DMY",
    }
    parsed = dateparser.parse(f"{number} {month}", languages=["en"], settings=settings)
    return None if parsed is None else (parsed.date(), end)


def _day_month(day: int, month: int, today: date, end: int) -> tuple[date, int] | None:
    """The next such day from today on."""
    for year in (today.year, today.year + 1):
        try:
            found = date(year, month, day)
        except ValueError:
            continue
        if found >= today:
            return found, end
    return None


def _next_day(today: date, number: int) -> date | None:
    """The next day of the month with that number, today left out."""
    for ahead in range(1, 63):
        day = today + timedelta(days=ahead)
        if day.day == number:
            return day
    return None


def _times_a_day(items: list[Item], i: int) -> tuple[int, float] | None:
    """ "twice a day", "3 times a week": its end and the seconds between."""
    times = {"once": 1.0, "twice": 2.0}.get(items[i].word)
    j = i + 1
    if items[i].kind == "num" and j < len(items) and items[j].word == "times":
        times, j = items[i].value, j + 1
    if times is None or times < 1 or j >= len(items) or items[j].kind != "dur" or not items[j].whole_days:
        return None
    return j + 1, items[j].value / times


_PERIODS = {"hourly": 3600.0, "daily": 86400.0, "weekly": 604800.0}


def every_at(items: list[Item], i: int, now: datetime, zone: str) -> tuple[int, float, datetime | None] | None:
    """A repetition that begins at item i: its end, the seconds between, and the first time where one was said.

    Reads "every 12 hours", "every other day", "every day at 8 pm", "every morning", "every friday", "daily".
    """
    word = items[i].word
    if (often := _times_a_day(items, i)) is not None:
        return *often, None
    if word in _PERIODS:
        seconds, j = _PERIODS[word], i + 1
    elif word in ("every", "each") and i + 1 < len(items):
        j = i + 2 if items[i + 1].word == "other" and i + 2 < len(items) else i + 1
        item = items[j]
        if item.kind == "dur" and item.value >= 1:
            seconds = item.value
        elif item.word in SECONDS and item.kind == "word":
            seconds = SECONDS[item.word]
        elif item.word in _DAYPARTS:
            first = when_at(items, j, now, zone)
            return None if first is None else (first[0], 86400.0 * (j - i), first[1])
        elif item.word in _WEEKDAYS:
            first = when_at(items, j, now, zone)
            return None if first is None else (first[0], 604800.0 * (j - i), first[1])
        else:
            return None
        seconds *= j - i
        j += 1
    else:
        return None
    if seconds >= 86400 and j < len(items) and items[j].word in ("at", "in"):
        first = when_at(items, j, now, zone)
        if first is not None and first[2] is None:
            return first[0], seconds, first[1]
    return j, seconds, None
