"""What may stand in a slot of a sentence: quantities with or without their unit, names, times and free text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from zoneinfo import ZoneInfo

from rapidfuzz.distance.OSA import distance

from calc.density import gravity_from_plato
from calc.errors import OutOfRange
from calc.units import quantity
from conversations.intents import Context, Measured
from conversations.understanding.before_end import before_end
from conversations.understanding.best_before import date_at
from conversations.understanding.money import currency_at, is_rate, money_at, rate_at
from conversations.understanding.past import past_at
from conversations.understanding.places import place_at
from conversations.understanding.quantities import KINDS, SECONDS, unit_at
from conversations.understanding.sentences import Filled
from conversations.understanding.short_sizes import bottle_size, counted_pints
from conversations.understanding.times import after, clock_at, every_at, when_at
from conversations.understanding.told_later import earlier_at
from conversations.understanding.words import Item, vocabulary, word_set

_NEVER_WHAT = frozenset({"again", "last", "next", "this", "yesterday", "at", "to", "in", "on", "by", "until", "till", "every", "for", "about"})


@cache
def _named_goods() -> frozenset[str]:
    return word_set("grain") | word_set("hops") | word_set("yeasts")


_ZONE = re.compile(r"[A-Za-z]+(?:/[A-Za-z_+-]+)+")
_LONG = 2400.0
_BARE = {"temp": "temperature", "vol": "volume", "depthn": "depth", "massn": "mass"}
_NO_HOP = (("dry", "hop"), ("dry", "hops"), ("first", "gold"))
_SYSTEMS = {
    "metric": "metric",
    "imperial": "imperial",
    "british": "imperial",
    "uk": "imperial",
    "us": "us",
    "american": "us",
    "si": "metric",
    "celsius": "metric",
    "fahrenheit": "fahrenheit",
}


def default_unit(kind: str, context: Context) -> str:
    """The unit of a bare number of that kind, by the person's setting."""
    old = context.units != "metric"
    return {
        "temperature": "degF" if old else "degC",
        "volume": {"us": "gallon", "imperial": "imperial_gallon"}.get(context.units, "litre"),
        "depth": "inch" if old else "centimetre",
        "diameter": "inch" if old else "centimetre",
        "mass": "ounce" if old else "gram",
    }[kind]


def gravity_shape(item: Item) -> float | None:
    """Specific gravity where the figure can hardly be anything else (1.050, 1050); None otherwise."""
    if item.kind == "num" and not item.fraction:
        if 0.95 <= item.value < 1.3 and item.value != 1.0:
            return item.value
        if 980 <= item.value <= 1200:
            return item.value / 1000
        if item.raw in ("1.000", "1,000", "1.00"):
            return 1.0
    return None


def gravity_value(item: Item) -> float | None:
    """Specific gravity of a figure said of a gravity, short forms included: 1057, 10.57, 57, 12 plato."""
    if item.kind == "qty" and item.unit == "degree_plato":
        try:
            return round(float(gravity_from_plato(quantity(item.value, "degree_plato")).magnitude), 5)
        except OutOfRange:
            return None
    if item.kind != "num" or item.value <= 0:
        return None
    if item.value < 2:
        return item.value
    if 9.8 <= item.value < 12 and item.value != int(item.value):
        return round(item.value / 10, 5)
    if 900 <= item.value < 2000:
        return item.value / 1000
    if 2 <= item.value <= 150 and item.value == int(item.value):
        return 1 + item.value / 1000
    return item.value


class Slots:
    """Reads slots of one message."""

    def __init__(self, text: str, items: list[Item], context: Context) -> None:
        self.text, self.items, self.context = text, items, context
        self.names = frozenset(name.lower() for name in context.names)
        self._confusions: dict[str, str] = vocabulary()["confusions"]
        self._misheard: dict[str, str] = vocabulary()["misheard"]

    def words(self, i: int, j: int) -> str:
        """What was written from item i to before item j."""
        return self.text[self.items[i].start : self.items[j - 1].end]

    def name_of(self, i: int, j: int) -> str:
        """What was written from item i to before item j, with common mishearings put right ("hobs" for hops)."""
        text, place = "", self.items[i].start
        for item in self.items[i:j]:
            text += self.text[place : item.start] + self._put_right(item)
            place = item.end
        return text

    def _put_right(self, item: Item) -> str:
        heard = item.kind == "word" and len(item.raw) > 3 and self._confusions.get(item.raw.lower()) == item.word
        heard = heard or (item.kind == "word" and item.raw.lower() in self._misheard)
        # "goldngs": a hop, malt or yeast has the name that the recipe knows it by.
        heard = heard or (item.kind == "word" and item.word in _named_goods() and len(item.raw) > 4 and distance(item.raw.lower(), item.word) in (1, 2))
        return item.word if heard else self.text[item.start : item.end]

    def read(self, kind: str, i: int) -> Iterator[Filled]:
        """Every way in which a slot of that kind can be filled from item i."""
        item = self.items[i]
        if kind in ("name", "grain", "hop", "yeast"):
            yield from self._names(kind, i)
        elif kind in ("rest", "what"):
            yield from self._free(kind, i)
        elif kind == "when":
            yield from self._after_event(i)
            found = when_at(self.items, i, self.context.now, self.context.zone)
            if found is not None:
                end, at, seconds = found
                yield end, {"at": at.isoformat()} if seconds is None else {"duration_s": seconds}, 1.0
        elif kind == "money":
            paid = money_at(self.items, i)
            if paid is not None:
                yield paid[0], {"money": paid[1], "currency": paid[2]}, 1.0
        elif kind == "paid":
            paid = money_at(self.items, i)
            if paid is not None and any(currency_at(each) for each in self.items[i : paid[0]]):
                yield paid[0], {"money": paid[1], "currency": paid[2]}, 1.0
        elif kind == "priced":
            rate = rate_at(self.items, i)
            if rate is not None:
                yield rate[0], {"mass": rate[1]}, 1.0
        elif kind == "goods":
            for each in ("grain", "hop", "yeast"):
                yield from self._names(each, i)
        elif kind == "named_timer":
            yield from self._named_timer(i)
        elif kind == "past":
            gone = past_at(self.items, i, self.context.now.astimezone(ZoneInfo(self.context.zone)).date())
            if gone is not None:
                yield gone[0], gone[1].isoformat(), 1.0
        elif kind == "date":
            today = self.context.now.astimezone(ZoneInfo(self.context.zone)).date()
            printed = date_at(self.text, self.items, i, today, month_first=self.context.units == "us")
            if printed is not None:
                yield printed[0], printed[1].isoformat(), 1.0
        elif kind == "wall":
            clock = clock_at(self.items, i)
            if clock is not None:
                # A tilde says that the half of the day was left open.
                yield clock[3], f"{'~' if clock[2] else ''}{clock[0] % 24:02d}:{clock[1]:02d}", 1.0
            if clock is not None and clock[3] > i + 1 and item.kind == "num" and item.value in range(24):
                # "23 to 7" may be an hour and what it goes to.
                yield i + 1, f"{'~' if 1 <= item.value <= 12 else ''}{int(item.value):02d}:00", 1.0
        elif kind == "mgl":
            if (item.kind == "num" and item.value >= 0) or item.unit == "milligram / litre":
                yield i + 1, item.value, 0.9
        elif kind == "currency":
            code = currency_at(item)
            if code:
                yield i + 1, code, 1.0
        elif kind == "hectopascals":
            if (item.kind == "num" or item.unit in ("hectopascal", "millibar")) and 870 <= item.value <= 1090:
                yield i + 1, Measured(value=item.value / 10, unit="kilopascal"), 1.0
            elif item.unit == "kilopascal" and 87 <= item.value <= 109:
                yield i + 1, Measured(value=item.value, unit="kilopascal"), 1.0
        elif kind == "metres":
            yield from self._metres(i, item)
        elif kind == "earlier":
            told = earlier_at(self.items, i, self.context.now, self.context.zone)
            if told is not None:
                yield told[0], {"at": told[1].isoformat()}, 1.0
        elif kind == "after":
            yield from self._after_event(i)
        elif kind == "before_end":
            yield from before_end(self.items, i)
        elif kind == "every":
            repeated = every_at(self.items, i, self.context.now, self.context.zone)
            if repeated is not None:
                end, seconds, first = repeated
                yield end, {"every_s": seconds} | ({} if first is None else {"at": first.isoformat()}), 1.0
        elif kind == "until" or (kind == "until_day" and item.word != "for"):
            yield from self._until(i)
        elif kind == "one":
            if item.said == "one":
                yield i + 1, {}, 1.0
        elif kind == "halfday":
            # A clock of 12 or of 24 hours; "set the clock to 20 minutes" is another one.
            if item.kind == "dur" and item.value in (43200.0, 86400.0):
                yield i + 1, {"duration_s": item.value}, 1.0
        elif kind == "percentn":
            if (item.kind == "num" and not item.fraction and 0 < item.value < 30) or item.unit == "percent":
                yield i + 1, Measured(value=item.value, unit="percent"), 1.0
        elif kind in ("bottle_size", "pints"):
            if size := counted_pints(item) if kind == "pints" else bottle_size(item):
                yield i + 1, size, 1.0
        elif kind == "durations":
            yield from self._durations(i)
        elif kind == "named_durations":
            yield from self._named_durations(i)
        elif kind == "bare":
            if item.kind in ("num", "qty"):
                yield i + 1, {"item": item}, 0.9
        elif kind == "unitword":
            unit = unit_at(self.items, i, self.context.units)
            if unit is not None:
                yield unit[1], unit[0], 1.0
        elif kind == "zone":
            named = _ZONE.match(self.text, item.start)
            if named is not None:
                end = next((k for k in range(i, len(self.items)) if self.items[k].start >= named.end()), len(self.items))
                yield end, named.group(), 1.0
            elif item.word == "utc":
                yield i + 1, "UTC", 1.0
            else:
                yield from place_at(self.items, i)
        elif kind == "system":
            if item.word in _SYSTEMS:
                yield i + 1, {"system": _SYSTEMS[item.word]}, 1.0
        else:
            yield from self._quantity(kind, i, item)

    def _metres(self, i: int, item: Item) -> Iterator[Filled]:
        """A height above the sea: "300 m" was read as minutes."""
        if item.kind == "dur" and self.words(i, i + 1).rstrip(".").endswith("m") and "min" not in self.words(i, i + 1):
            yield i + 1, Measured(value=item.value / 60, unit="metre"), 1.0
        elif item.kind == "qty" and item.unit in ("metre", "foot"):
            yield i + 1, Measured(value=item.value, unit=item.unit), 1.0

    def _after_event(self, i: int) -> Iterator[Filled]:
        """ "3 days after pitching": so long after something of the brew day."""
        if self.items[i].kind != "dur" or i + 2 >= len(self.items) or self.items[i + 1].word != "after":
            return
        events: dict[str, str] = vocabulary()["events"]
        words: list[str] = []
        for j in range(i + 2, min(i + 6, len(self.items))):
            words.append(self.items[j].word)
            event = events.get(" ".join(words))
            if event is not None:
                yield j + 1, {"duration_s": self.items[i].value, "after": event}, 1.1

    def _until(self, i: int) -> Iterator[Filled]:
        """ "until friday", "for two days": when a repetition ends."""
        word = self.items[i].word
        if word in ("until", "till", "til", "up") and i + 1 < len(self.items):
            begin = i + 2 if word == "up" else i + 1
            found = when_at(self.items, begin, self.context.now, self.context.zone) if begin < len(self.items) else None
            if found is not None:
                yield found[0], {"until": found[1].isoformat()}, 1.0
        elif word == "for" and i + 1 < len(self.items) and self.items[i + 1].kind == "dur":
            length = self.items[i + 1]
            end = after(self.context.now, self.context.zone, length.value, length.whole_days)
            yield i + 2, {"until": end.isoformat()}, 1.0

    def _durations(self, i: int) -> Iterator[Filled]:
        """ "5 and 10 minutes", "3, 5 and 7 minutes", "5 minutes and 1 hour": two or more, each with its own clock."""
        found: list[Item] = []
        j = i
        while j < len(self.items):
            if self.items[j].kind not in ("num", "dur") or self.items[j].fraction:
                break
            found.append(self.items[j])
            j += 1
            k = j
            while k < len(self.items) and (self.items[k].word in ("and", "for") or self.items[k].raw == ","):
                k += 1
            if k == j and (k >= len(self.items) or self.items[k].kind != "dur"):
                break
            j = k
        if len(found) < 2 or found[-1].kind != "dur":
            return
        end = next(k for k in range(i, len(self.items)) if self.items[k] is found[-1]) + 1
        seconds: list[float] = []
        step = 60.0
        for item in reversed(found):
            step = SECONDS.get(item.unit, step) if item.kind == "dur" else step
            seconds.insert(0, item.value if item.kind == "dur" else item.value * step)
        yield end, {"durations": seconds}, 1.0

    def _named_durations(self, i: int) -> Iterator[Filled]:
        """ "eggs 6 minutes, pasta 11 minutes": two or more clocks, each with its name before or behind it."""
        found: list[tuple[str, float]] = []
        j = i
        while j < len(self.items):
            k = j + 1 if self.items[j].raw in (",", ":") or self.items[j].word in ("and", "for") else j
            read = next(((end, name["name"]) for end, name, _ in self._names("name", k)), None) if k < len(self.items) else None
            if read is None:
                break
            m = read[0] + 1 if read[0] < len(self.items) and self.items[read[0]].word in ("for", "at") else read[0]
            if m >= len(self.items) or self.items[m].kind != "dur":
                break
            found.append((read[1], self.items[m].value))
            j = m + 1
        if len(found) > 1:
            yield j, {"durations": [each for _, each in found], "names": [name for name, _ in found]}, 1.0

    def _quantity(self, kind: str, i: int, item: Item) -> Iterator[Filled]:
        of = KINDS.get(item.unit, "") if item.kind == "qty" else ""
        if kind in ("duration", "mins", "long"):
            if item.kind == "dur" and item.value >= (_LONG if kind == "long" else 1) and not (kind == "long" and self.text[item.start :][:7].lower() == "another"):
                yield i + 1, {"duration_s": item.value}, 1.0
            elif kind == "mins" and item.kind == "num" and 0 < item.value <= 600 and item.value * 2 == int(item.value * 2):
                yield i + 1, {"duration_s": item.value * 60}, 0.9
        elif kind in ("gravity", "sg"):
            value = gravity_value(item) if kind == "gravity" or of == "gravity" else gravity_shape(item)
            if value is not None:
                yield i + 1, Measured(value=value, unit="dimensionless"), 1.0
        elif kind == "count":
            if item.kind == "num" and item.value == int(item.value) and 1 <= item.value <= 1e6:
                yield i + 1, item.value, 0.9
        elif kind == "number":
            if item.kind == "num":
                yield i + 1, item.value, 0.9
        elif kind == "share":
            if item.fraction and 0 < item.value < 1:
                yield i + 1, item.value, 1.0
        elif kind == "quantity":
            if item.kind == "dur":
                yield i + 1, Measured(value=item.value, unit="second"), 1.0
            if item.kind == "qty":
                yield i + 1, Measured(value=item.value, unit=item.unit), 1.0
        elif kind in _BARE and item.kind == "num":
            name = _BARE[kind]
            yield i + 1, {name: Measured(value=item.value, unit=default_unit(name, self.context))}, 0.9
        elif item.kind == "qty":
            name = _BARE.get(kind, kind)
            wanted = {"depth": "length", "diameter": "length"}.get(name, name)
            if of == wanted and not (of == "mass" and is_rate(self.items, i)):
                value_read = Measured(value=item.value, unit=item.unit)
                yield i + 1, ({name: value_read} if kind in _BARE else value_read), 1.0

    def _names(self, kind: str, i: int) -> Iterator[Filled]:
        lists = {"grain": "grain", "hop": "hops", "yeast": "yeasts"}
        allowed = word_set(lists[kind]) if kind in lists else None
        never = word_set("never_names") | word_set("denials")
        plain_words = word_set("common") | word_set("light") | word_set("no_name")
        if kind == "hop" and i and (self.items[i - 1].word, self.items[i].word) in _NO_HOP:
            # "dry hop 30 g" says how, and not which; "gold" is a part of a name.
            return
        for j in range(i + 1, min(i + 4, len(self.items)) + 1):
            last = self.items[j - 1]
            if last.kind != "word" or last.word in never or currency_at(last):
                return
            words = [x.word for x in self.items[i:j]]
            if allowed is not None:
                others = [w for w in words if w not in allowed]
                if (kind == "yeast" and any(w in word_set("hops") for w in others)) or (kind == "hop" and ("dry" in others or (words[0] == "first" and words[1:] and words[1] != "gold"))):
                    # "dry hop" is no dry yeast, and the name of no hop; "first saaz" is the first of the saaz.
                    return
                if len(others) < len(words) and words != ["grain"] and not any(w in plain_words for w in others):
                    name = self.name_of(i, j)
                    yield j, {"name": name}, 1.0 if all(w in allowed for w in words) else 0.5
                continue
            name = self.name_of(i, j)
            if "," in name:
                return
            if name.lower() in self.names or any(w not in plain_words for w in words):
                yield j, {"name": name}, 1.0 if name.lower() in self.names else 0.55

    def _named_timer(self, i: int) -> Iterator[Filled]:
        """ "the mash timer": one or two words of a name before a clock."""
        never = word_set("never_names") | word_set("denials") | word_set("common")
        for j in (i + 1, i + 2):
            if j >= len(self.items) or self.items[j - 1].kind != "word" or self.items[j - 1].word in never:
                return
            if self.items[j].word in ("timer", "clock", "countdown", "alarm"):
                yield j + 1, {"name": self.name_of(i, j)}, 1.0

    def _free(self, kind: str, i: int) -> Iterator[Filled]:
        if kind == "rest":
            end = len(self.items)
            yield end, re.sub(r"^that (it (?=(smells|tastes|looks)\b))?", "", self.text[self.items[i].start :].strip(), flags=re.IGNORECASE), 2.0
            return
        last, begins = min(len(self.items), i + 40), i + (self.items[i].kind == "sep")
        text, place = "", self.items[min(begins, last - 1)].start
        for j in range(begins + 1, last + 1):
            item = self.items[j - 1]
            text += self.text[place : item.start] + self._put_right(item)
            place = item.end
            if item.kind != "sep" and item.word not in ("and", "then") and not (j == i + 1 and self.items[i].word in _NEVER_WHAT):
                # Up to where the next thing begins, so that a small word at its end is kept.
                end = self.items[j].start if j < len(self.items) else len(self.text)
                yield j, (text + self.text[place:end]).strip(" ,.;!?\n\t"), 0.7
