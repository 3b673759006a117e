"""Slots that hold a time: lengths, hours, days, what repeats and until when."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from zoneinfo import ZoneInfo

from conversations.understanding.before_end import before_end
from conversations.understanding.best_before import date_at
from conversations.understanding.past import past_at
from conversations.understanding.periods import period_at
from conversations.understanding.quantities import SECONDS
from conversations.understanding.sentences import Filled, PlaceReader
from conversations.understanding.slot_names import called
from conversations.understanding.times import after, clock_at, every_at, when_at
from conversations.understanding.told_later import earlier_at, spoken_of
from conversations.understanding.words import Item, vocabulary
from conversations.understanding.written import Written

_LONG = 2400.0
_LONGEST_BARE = 600


def _today(written: Written) -> date:
    return written.context.now.astimezone(ZoneInfo(written.context.zone)).date()


def _when(written: Written, i: int) -> Iterator[Filled]:
    yield from _after_event(written, i)
    found = when_at(written.items, i, written.context.now, written.context.zone)
    if found is not None:
        end, at, seconds = found
        yield end, {"at": at.isoformat()} if seconds is None else {"duration_s": seconds}, 1.0


def _past(written: Written, i: int) -> Iterator[Filled]:
    gone = past_at(written.items, i, _today(written))
    if gone is not None:
        yield gone[0], gone[1].isoformat(), 1.0


def _period(written: Written, i: int) -> Iterator[Filled]:
    stretch = period_at(written.items, i, _today(written))
    if stretch is not None:
        end, first, after, name = stretch
        # This year is meant where no time is named, so it need not be said.
        this_year = name == str(_today(written).year)
        yield end, {} if this_year else {"from": first.isoformat(), "until": after.isoformat(), "period": name}, 1.0


def _date(written: Written, i: int) -> Iterator[Filled]:
    printed = date_at(written.text, written.items, i, _today(written), month_first=written.context.units == "us")
    if printed is not None:
        yield printed[0], printed[1].isoformat(), 1.0


def _wall(written: Written, i: int) -> Iterator[Filled]:
    item, clock = written.items[i], clock_at(written.items, i)
    if clock is not None:
        # A tilde says that the half of the day was left open.
        yield clock[3], f"{'~' if clock[2] else ''}{clock[0] % 24:02d}:{clock[1]:02d}", 1.0
    if clock is not None and clock[3] > i + 1 and item.kind == "num" and item.value in range(24):
        # "23 to 7" may be an hour and what it goes to.
        yield i + 1, f"{'~' if 1 <= item.value <= 12 else ''}{int(item.value):02d}:00", 1.0


def _earlier(written: Written, i: int) -> Iterator[Filled]:
    told = earlier_at(written.items, i, written.context.now, written.context.zone, spoken_of(written.context))
    if told is not None:
        yield told[0], {"at": told[1].isoformat()}, 1.0


def _every(written: Written, i: int) -> Iterator[Filled]:
    repeated = every_at(written.items, i, written.context.now, written.context.zone)
    if repeated is not None:
        end, seconds, first = repeated
        yield end, {"every_s": seconds} | ({} if first is None else {"at": first.isoformat()}), 1.0


def _after_event(written: Written, i: int) -> Iterator[Filled]:
    """ "3 days after pitching": so long after something of the brew day."""
    items = written.items
    if items[i].kind != "dur" or i + 2 >= len(items) or items[i + 1].word != "after":
        return
    events: dict[str, str] = vocabulary()["events"]
    words: list[str] = []
    for j in range(i + 2, min(i + 6, len(items))):
        words.append(items[j].word)
        event = events.get(" ".join(words))
        if event is not None:
            yield j + 1, {"duration_s": items[i].value, "after": event}, 1.1


def _until(written: Written, i: int) -> Iterator[Filled]:
    """ "until friday", "for two days": when a repetition ends."""
    items, context = written.items, written.context
    word = items[i].word
    if word in ("until", "till", "til", "up") and i + 1 < len(items):
        begin = i + 2 if word == "up" else i + 1
        found = when_at(items, begin, context.now, context.zone) if begin < len(items) else None
        if found is not None:
            yield found[0], {"until": found[1].isoformat()}, 1.0
    elif word == "for" and i + 1 < len(items) and items[i + 1].kind == "dur":
        length = items[i + 1]
        end = after(context.now, context.zone, length.value, length.whole_days)
        yield i + 2, {"until": end.isoformat()}, 1.0


def _until_day(written: Written, i: int) -> Iterator[Filled]:
    if written.items[i].word != "for":
        yield from _until(written, i)


def _durations(written: Written, i: int) -> Iterator[Filled]:
    """ "5 and 10 minutes", "3, 5 and 7 minutes", "5 minutes and 1 hour": two or more, each with its own clock."""
    items = written.items
    found: list[Item] = []
    j = i
    while j < len(items):
        if items[j].kind not in ("num", "dur") or items[j].fraction:
            break
        found.append(items[j])
        j += 1
        k = j
        while k < len(items) and (items[k].word in ("and", "for") or items[k].raw == ","):
            k += 1
        if k == j and (k >= len(items) or items[k].kind != "dur"):
            break
        j = k
    if len(found) < 2 or found[-1].kind != "dur":
        return
    end = next(k for k in range(i, len(items)) if items[k] is found[-1]) + 1
    seconds: list[float] = []
    step = 60.0
    for item in reversed(found):
        step = SECONDS.get(item.unit, step) if item.kind == "dur" else step
        seconds.insert(0, item.value if item.kind == "dur" else item.value * step)
    yield end, {"durations": seconds}, 1.0


def _named_durations(written: Written, i: int) -> Iterator[Filled]:
    """ "eggs 6 minutes, pasta 11 minutes": two or more clocks, each with its name before or behind it."""
    items = written.items
    found: list[tuple[str, float]] = []
    j = i
    while j < len(items):
        k = j + 1 if items[j].raw in (",", ":") or items[j].word in ("and", "for") else j
        read = next(((end, name["name"]) for end, name, _ in called(written, k)), None) if k < len(items) else None
        if read is None:
            break
        m = read[0] + 1 if read[0] < len(items) and items[read[0]].word in ("for", "at") else read[0]
        if m >= len(items) or items[m].kind != "dur":
            break
        found.append((read[1], items[m].value))
        j = m + 1
    if len(found) > 1:
        yield j, {"durations": [each for _, each in found], "names": [name for name, _ in found]}, 1.0


def _duration(written: Written, i: int) -> Iterator[Filled]:
    item = written.items[i]
    if item.kind == "dur" and item.value >= 1:
        yield i + 1, {"duration_s": item.value}, 1.0


def _minutes(written: Written, i: int) -> Iterator[Filled]:
    """A length, or a bare number of minutes."""
    item = written.items[i]
    if item.kind == "num" and 0 < item.value <= _LONGEST_BARE and item.value * 2 == int(item.value * 2):
        yield i + 1, {"duration_s": item.value * 60}, 0.9
    yield from _duration(written, i)


def _long(written: Written, i: int) -> Iterator[Filled]:
    """A length of forty minutes or more that is not "another" one."""
    item = written.items[i]
    if item.kind == "dur" and item.value >= _LONG and written.text[item.start :][:7].lower() != "another":
        yield i + 1, {"duration_s": item.value}, 1.0


def _halfday(written: Written, i: int) -> Iterator[Filled]:
    """A clock of 12 or of 24 hours; "set the clock to 20 minutes" is another one."""
    item = written.items[i]
    if item.kind == "dur" and item.value in (43200.0, 86400.0):
        yield i + 1, {"duration_s": item.value}, 1.0


TIMES: dict[str, PlaceReader] = {
    "when": _when,
    "past": _past,
    "period": _period,
    "date": _date,
    "wall": _wall,
    "earlier": _earlier,
    "every": _every,
    "after": _after_event,
    "before_end": lambda written, i: before_end(written.items, i),
    "until": _until,
    "until_day": _until_day,
    "durations": _durations,
    "named_durations": _named_durations,
    "duration": _duration,
    "mins": _minutes,
    "long": _long,
    "halfday": _halfday,
}
"""Readers of slots by their kind."""
