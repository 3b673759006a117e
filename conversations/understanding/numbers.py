"""Numbers as people write and say them: digits, comma decimals, fractions, number words, halves, "oh"."""

from __future__ import annotations

import math

from text_to_num import alpha2digit, text2num

from conversations.understanding.words import Item, split, word_set
from conversations.understanding.written_dates import MONTHS

ONES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
"""The words of 0 to 19, in order."""
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
"""The words of 20 to 90, in order."""
_SMALL = frozenset(ONES)
_TENS = frozenset(TENS)
_LARGE = frozenset({"hundred", "thousand"})
_WORDS = _SMALL | _TENS | _LARGE
_SIGNS = {"¼": 0.25, "½": 0.5, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125}
_PARTS = {"half": 0.5, "halves": 0.5, "quarter": 0.25, "quarters": 0.25, "third": 1 / 3, "thirds": 1 / 3} | dict.fromkeys(
    ("eighth", "eighths"), 0.125
)
_PARTS_COUNTED = {"two": 2, "three": 3, "five": 5, "seven": 7}
_BEGINS_FRACTION = frozenset({"a", "an", "one", *_PARTS, *_PARTS_COUNTED})
_ONE_OF = frozenset(
    ["hour", "hours", "hr", "hrs", "minute", "minutes", "min", "mins", "second", "seconds", "day", "week", "wk", "fortnight", "month", "year", "hundred", "thousand", "litre", "ml", "mil", "pint", "gallon", "quart", "cup", "teaspoon", "tablespoon", "gram", "kilo", "ounce", "pound", "inch", "foot", "centimetre", "millimetre", "degree", "percent"]
)
"""Before these "a" is a number."""
_MEASURES = (_ONE_OF - _LARGE) | frozenset(
    ["degrees", "litres", "mils", "pints", "gallons", "quarts", "cups", "grams", "kilos", "ounces", "pounds", "inches", "feet", "points", "celsius", "fahrenheit", "plato", "brix"]
)
"""Before these a word that sounds like a number is one."""
_MINUTES = frozenset({"m", "min", "minutes", "minute", "hour", "hours", "h", "hr", "sec", "secs", "seconds"})
_BEFORE_PRONOUN = frozenset({"another", "that", "this", "other", "new", "which", "next", "last", "best", "favourite", "worst", "nicest", "strongest", "latest"})
"""Behind these "one" stands for a thing and is no number."""
_BEHIND_PRONOUN = frozenset({"of", "for", "called", "side", "end", "edge", "corner", "hand", "spot", "place"})
_MILLILITRES = frozenset({"mil", "mils", "ml", "millilitre", "millilitres", "milliliter", "milliliters"})
_SIZES = frozenset({250.0, 275.0, 330.0, 355.0, 375.0, 440.0, 500.0, 568.0, 640.0, 660.0, 750.0})
"""Millilitres of usual bottles."""
_OUNCES = frozenset({"ounce", "ounces", "oz"})
_SIZES_IN_OUNCES = frozenset({7.0, 11.0, 12.0, 16.0, 20.0, 22.0, 32.0})
_LONGEST_RUN = 14


def read_digits(raw: str) -> float | None:
    """Read written digits; the comma is a decimal sign except in groups of three that gravities never have.

    ``1,050`` is 1.05 and ``5,2`` is 5.2, but ``2,500`` is 2500 until a unit says otherwise; None where the
    figure has more than one reading or more than 15 digits.

    >>> read_digits("1,050"), read_digits("2,500"), read_digits("5,2"), read_digits("1,050.5")
    (1.05, 2500.0, 5.2, 1050.5)
    """
    if raw in _SIGNS:
        return _SIGNS[raw]
    if sum(letter.isdigit() for letter in raw) > 15:
        return None
    dots, commas = raw.count("."), raw.count(",")
    groups = raw.replace(".", ",").split(",")
    if commas == 0 and dots <= 1:
        return float(raw)
    if dots == 0 and commas == 1:
        thousands = len(groups[1]) == 3 and 1 <= len(groups[0]) <= 3 and groups[0][0] != "0"
        if thousands and not (groups[0] == "1" and int(groups[1]) <= 200):
            return float(raw.replace(",", ""))
        return float(raw.replace(",", "."))
    last = max(raw.rfind("."), raw.rfind(","))
    sign = raw[last]
    whole_is_grouped = all(len(group) == 3 for group in groups[1:-1]) and 1 <= len(groups[0]) <= 3
    if not whole_is_grouped:
        return None
    if raw.count(sign) > 1:
        return float("".join(groups)) if dots * commas == 0 and len(groups[-1]) == 3 else None
    return float("".join(groups[:-1]) + "." + groups[-1])


def decimal_comma(raw: str) -> float | None:
    """The same figure with its one comma read as a decimal sign; None where it has no single comma."""
    return float(raw.replace(",", ".")) if raw.count(",") == 1 and "." not in raw and len(raw) < 16 else None


def _join(figures: list[str]) -> float | None:
    """Put together what was said in pieces: "ten fifty seven", "one oh five seven", "one fifty two"."""
    if len(figures) == 1:
        return float(figures[0])
    if len(figures) == 2 and figures[0] in ("1.0", "1.1", "0.9") and figures[1].isdigit() and len(figures[1]) == 2:
        # "one point oh ten" is a gravity said in two halves.
        return float("".join(figures))
    if any("." in figure for figure in figures[:-1]) or len("".join(figures)) > 6:
        return None
    if all(len(figure) == 1 for figure in figures):
        return float("".join(figures))
    if len(figures[0]) <= 2 and not (len(figures[0]) == 2 and figures[0][1] == "0" and figures[0] != "10"):
        tail = "".join(figures[1:])
        if len(tail.split(".")[0]) == 2 or (figures[0] == "1" and len(tail.split(".")[0]) == 3):
            return float(figures[0] + tail)
    return None


def _run(items: list[Item], i: int) -> int:
    """End of the run of number words that starts at i."""
    j, seen_point = i, False
    while j < len(items) and j - i < _LONGEST_RUN and items[j].kind in ("word", "dash"):
        word = items[j].word
        following = items[j + 1].word if j + 1 < len(items) and items[j + 1].kind == "word" else ""
        if items[j].kind == "dash":
            # "twenty-five" is one number; "five-ten" is a range.
            if not (j > i and items[j - 1].word in _TENS and following in _SMALL):
                break
        elif word in _WORDS:
            pass
        elif word in ("oh", "o") and (j > i or following in _WORDS):
            if not (following in _WORDS or (j > i and items[j - 1].word in _WORDS | {"point"})):
                break
        elif word == "point" and not seen_point and j > i and following in _WORDS | {"oh", "o"}:
            seen_point = True
        elif not (word == "and" and j > i and items[j - 1].word in _LARGE and following in _WORDS - _LARGE):
            break
        j += 1
    return j


_SIZES_OF_ONE = frozenset({"pint", "litre", "liter", "quart", "gallon"})


def _count_of_bottles(items: list[Item], begin: int, end: int) -> int:
    """Where the count ends in "eighteen five hundred mil bottles", "twenty four twelve ounce bottles"; elsewhere the end of the run."""
    behind = [item.word for item in items[end : end + 4] if item.kind != "dash" and item.word not in ("fl", "fluid")]
    if end - begin > 1 and items[end - 1].word == "one" and items[end - 2].word not in TENS and len(behind) > 1 and behind[0] in _SIZES_OF_ONE and behind[1].startswith("bottle"):
        # "fourteen one pint bottles"
        return end - 1
    ounces = behind[:1] != [] and behind[0] in _OUNCES
    if end - begin < (2 if ounces else 3) or len(behind) < 2 or not (ounces or behind[0] in _MILLILITRES) or not behind[1].startswith("bottle"):
        return end
    sizes = _SIZES_IN_OUNCES if ounces else _SIZES
    for cut in (begin + 1, begin + 2):
        size = _said([item.word for item in items[cut:end]])
        if size in sizes and _said([item.word for item in items[begin:cut]]) is not None:
            return cut
    return end


def _said(words: list[str]) -> float | None:
    """What number words alone amount to."""
    if not words or words[0] in _LARGE | {"and"} or any(word not in _WORDS | {"and"} for word in words):
        return None
    figures = [str(text2num(words[0], "en"))] if len(words) == 1 else str(alpha2digit(" ".join(words), "en")).split()
    try:
        return _join(figures)
    except ValueError:
        return None


_WEIGHED = frozenset({"gram", "grams", "g", "ounce", "ounces", "oz"})


def _time_and_amount(items: list[Item], begin: int, end: int, figures: list[str]) -> int | None:
    """Where the time of one hop ends and the grams of the next begin: "18 grams challenger at sixty twelve grams goldings"."""
    behind_at = begin > 0 and items[begin - 1].word in ("at", "for") and end < len(items) and items[end].word in _WEIGHED
    if len(figures) != 2 or not behind_at or not any(item.word in _WEIGHED for item in items[:begin]) or not all(figure.isdigit() for figure in figures):
        return None
    return next((k for k in range(begin + 1, end) if _said([item.word for item in items[begin:k]]) == float(figures[0])), None)


def _fraction(items: list[Item], i: int) -> tuple[float, int] | None:
    """Read "half", "a half", "three quarters", "1/2" at i: the value and where it ends."""
    if items[i].kind == "word" and items[i].word not in _BEGINS_FRACTION:
        return None
    words = [item.word if item.kind == "word" else "" for item in items[i : i + 3]] + ["", "", ""]
    article = 1 if words[0] in ("a", "an", "one") else 0
    if words[article] in _PARTS:
        return _PARTS[words[article]], i + article + 1
    if words[0] in _PARTS_COUNTED and words[1] in _PARTS and words[1] not in ("half", "halves"):
        return _PARTS_COUNTED[words[0]] * _PARTS[words[1]], i + 2
    if items[i].kind == "digits":
        if items[i].raw in _SIGNS:
            return _SIGNS[items[i].raw], i + 1
        if (
            words[1] == "/"
            and items[i + 2 : i + 3]
            and items[i + 2].kind == "digits"
            and items[i].raw.isdigit()
            and items[i + 2].raw.isdigit()
            and len(items[i].raw) <= 2
            and 0 < int(items[i + 2].raw[:3]) <= 64
            and items[i].end == items[i + 1].start
        ):
            return int(items[i].raw) / int(items[i + 2].raw[:3]), i + 3
    return None


_BEFORE_A_YEAR = frozenset({*MONTHS, "in", "from", "of", "by", "since", "harvest", "crop"})
_BEHIND_A_YEAR = frozenset({"harvest", "crop", "season"})


def _is_year(figures: list[str], items: list[Item], begin: int, end: int) -> bool:
    """Whether two figures are a year: "best before march twenty twenty seven", but not "in twenty, twenty five minutes"."""
    closed = end == len(items) or items[end].kind == "sep" or items[end].word in _BEHIND_A_YEAR
    said = len(figures) == 2 and figures[0] == "20" and len(figures[1]) == 2 and figures[1].isdigit()
    return said and closed and begin > 0 and items[begin - 1].word in _BEFORE_A_YEAR


def _number(items: list[Item], i: int) -> tuple[Item, int] | None:
    """The number that starts at item i, and where it ends."""
    first = items[i]
    value: float | None = None
    parts: tuple[float, ...] = ()
    j, is_fraction = i, False
    word = first.word if first.kind == "word" else ""
    following = items[i + 1].word if i + 1 < len(items) and items[i + 1].kind == "word" else ""
    fraction = _fraction(items, i)
    if fraction is not None:
        value, j = fraction
        is_fraction = True
        if j < len(items) and items[j].word in ("a", "an"):
            j += 1
        elif j + 1 < len(items) and items[j].word == "of" and items[j + 1].word in ("a", "an"):
            j += 2
    elif first.kind == "digits":
        value, j = read_digits(first.raw), i + 1
        if value is not None and following in _LARGE and value < 1000:
            value, j = value * (100 if following == "hundred" else 1000), i + 2
    elif word in ("a", "an") and following == "dozen":
        value, j = 12.0, i + 2
    elif word == "dozen":
        value, j = 12.0, i + 1
    elif word == "a" and following == "couple":
        value, j = 2.0, i + 2
        if j < len(items) and items[j].word == "of":
            j += 1
    elif word in ("a", "an", "another") and following in _ONE_OF - _LARGE:
        value, j = 1.0, i + 1
    else:
        begin = i + 1 if word == "a" and following in _LARGE else i
        j = _run(items, begin)
        if j == begin:
            return None
        j = _count_of_bottles(items, begin, j)
        said = [item.word for item in items[begin:j] if item.kind == "word"]
        said = ["zero" if piece in ("oh", "o") else piece for piece in said]
        if said[0] in _LARGE:
            said.insert(0, "one")
        # alpha2digit leaves a lone "one" or "two" as it is, text2num does not.
        figures = [str(text2num(said[0], "en"))] if len(said) == 1 else []
        figures = figures or str(alpha2digit(" ".join(said), "en")).split()
        if (cut := _time_and_amount(items, begin, j, figures)) is not None:
            j, figures = cut, figures[:1]
        try:
            parts = tuple(float(figure) for figure in figures)
            value = _join(figures)
        except ValueError:
            value = None
        if value is None and _is_year(figures, items, begin, j):
            return Item("num", "", first.start, items[j - 1].end, float("".join(figures)), raw="".join(figures)), j
        if j < len(items) and items[j].word == "dozen" and value is not None:
            value, j = value * 12, j + 1
    if value is None:
        return (Item("word", "?", first.start, items[j - 1].end, raw=first.raw), j) if j > i else None
    if not is_fraction and j < len(items):
        # "two and a half", "2 1/2", "2½"; an "and" must be followed by a spoken part.
        begin = j + 1 if items[j].word == "and" and j + 1 < len(items) else j
        added = _fraction(items, begin)
        spoken = items[j].word == "and" or items[j].kind == "digits"
        if added is not None and spoken and added[0] < 1 and value == math.floor(value):
            value, j = value + added[0], added[1]
            if j + 1 < len(items) and items[j].word == "of" and items[j + 1].word in ("a", "an"):
                # "four and five eighths of an inch"
                j += 2
    if is_fraction and j == i + 3 and first.kind == "digits" and items[i + 2].kind == "digits":
        parts = (float(first.raw), float(items[i + 2].raw))
    item = Item("num", "", first.start, items[j - 1].end, value, parts=parts, fraction=is_fraction)
    item.spoken_one = word in ("a", "an", "another") and value == 1
    item.raw = first.raw if first.kind == "digits" and j == i + 1 else ""
    if len(parts) == 2 and word in ("oh", "o", "zero") and 1 <= parts[0] < 10 <= parts[1] < 60:
        # "Oh six thirty" is of the morning.
        item.raw = f"{int(parts[0]):02d}{int(parts[1])}"
    return item, j


_LAST_FIGURE = {"too": "two", "to": "two", "for": "four", "won": "one", "ate": "eight"}


_SOUNDS_LIKE_A_FIGURE = frozenset({*_LAST_FIGURE, "tea", "tee", "ty", "juan", "wan", "owe", "ow", "pint", "fore", "tree"})


def _closes_a_decimal(items: list[Item], item: Item, behind: Item | None) -> bool:
    """Whether a word that sounds like a figure stands at the end of a spoken decimal: "one point oh four too"."""
    if behind is not None and behind.kind != "sep" and behind.word not in ("at", "and"):
        return False
    place = next(k for k, each in enumerate(items) if each is item)
    said = [each.word for each in items[max(0, place - 4) : place]]
    return "point" in said and all(word in _SMALL | _TENS | {"oh", "o"} for word in said[said.index("point") + 1 :]) and said[-1] != "point"


def _stands_for_a_word(items: list[Item], item: Item, last: str, behind: Item) -> bool:
    """Whether a written 2 or 4 is "to" or "for": "2 get 2 9.1 l", "add 10m 2 mash timer", "sugar 4 6 l"."""
    if item.end >= behind.start:
        return False
    if behind.word in word_set("behind_to"):
        return True
    if behind.kind == "digits":
        if item.raw == "2" and last == "get":
            # "2 get 2 12 l", but "get 2 500 ml bottles"
            place = next(k for k, each in enumerate(items) if each is item)
            return "." in behind.raw or "," in behind.raw or (place > 1 and items[place - 2].word == "to")
        return last in word_set("before_to" if item.raw == "2" else "before_for")
    return last in _MINUTES and behind.word in word_set("clocks_behind_to")


def _goes_on(items: list[Item], item: Item) -> bool:
    """Whether figures stand behind "won point" and "won oh", as in a gravity: "won point oh four five"."""
    place = next(k for k, each in enumerate(items) if each is item)
    said = [each.word for each in items[place + 1 : place + 4]]
    return len(said) > 2 and all(word in _WORDS or word in ("point", "oh", "o", "owe", "ow", "for", "fore", "ate", "too", "won") for word in said)


def _put_homophones_right(items: list[Item]) -> None:
    """Inside a number a recogniser hears "for" for four, "too" for two, "won" for one."""
    for before, item, behind in zip([None, *items], items, [*items[1:], None], strict=False):
        if item.kind == "word" and item.word not in _SOUNDS_LIKE_A_FIGURE:
            continue
        last, following = before.word if before else "", behind.word if behind else ""
        if item.word in _LAST_FIGURE and _closes_a_decimal(items, item, behind):
            item.word = _LAST_FIGURE[item.word]
        elif item.word == "too" and (last in _TENS or following in _MEASURES):
            item.word = "two"
        elif item.word == "for" and (
            (last in ("oh", "o", "zero", "point") and following in _SMALL | _MEASURES)
            or (last in ("another", "add", "to", *TENS) and following in _MEASURES)
        ):
            item.word = "four"
        elif item.word == "for" and following in ("tea", "tee", "ty"):
            item.word = "forty"
        elif item.word in ("tea", "tee", "ty") and last == "forty":
            item.word = ""
        elif item.word == "to" and last in TENS and following in _MEASURES:
            item.word = "two"
        elif item.word in ("won", "juan", "wan") and (last in ("oh", "o", "zero", "point", *TENS) or (following in ("point", "oh", "o") and _goes_on(items, item))):
            item.word = "one"
        elif item.word in ("owe", "ow") and last == "point" and following in _WORDS:
            item.word = "oh"
        elif item.word == "pint" and last == "one" and following in ("oh", "o", "zero"):
            # "gravity one pint oh four five"
            item.word = "point"
        elif item.word == "fore" and last in ("oh", "o", "zero", "point") and following in _SMALL | _MEASURES:
            item.word = "four"
        elif item.word == "ate" and (following in _MEASURES or last in TENS or last in ("oh", "o")):
            item.word = "eight"
        elif item.word in ("too", "tree") and last in ("oh", "o"):
            item.word = "two" if item.word == "too" else "three"
        elif item.kind == "digits" and item.raw in ("2", "4") and behind is not None and _stands_for_a_word(items, item, last, behind):
            # "how much water 2 get to 6.5l"
            item.kind, item.word = "word", "to" if item.raw == "2" else "for"
        elif item.kind == "dash" and following in _PARTS and last in ("two", "three", "five", "seven"):
            # "three-quarter-hour"
            item.kind, item.word = "word", ""
    items[:] = [item for item in items if item.kind != "word" or item.word]


def number_items(items: list[Item]) -> list[Item]:
    """Replace every run of digits and number words by one item of kind num; minus signs are drawn in."""
    _put_homophones_right(items)
    result: list[Item] = []
    i = 0
    while i < len(items):
        pronoun = items[i].word == "one" and (
            (i > 0 and items[i - 1].word in _BEFORE_PRONOUN and not (i + 1 < len(items) and items[i + 1].word in _WORDS | {"oh", "o", "point"})) or (i + 1 < len(items) and items[i + 1].word in _BEHIND_PRONOUN)
        )
        found = _number(items, i) if items[i].kind in ("word", "digits") and not pronoun else None
        if found is None:
            result.append(items[i])
            i += 1
            continue
        item, i = found
        before = result[-1] if result else None
        if before is not None and item.kind == "num":
            apart = len(result) < 2 or result[-2].end < before.start or result[-2].kind == "sep"
            if (before.kind == "dash" and before.end == item.start and apart) or before.word == "minus":
                item.value, item.start, item.raw = -item.value, before.start, ""
                result.pop()
        result.append(item)
    return result


def numbers_in(text: str) -> list[tuple[str, float]]:
    """All numbers of a message as written and as read.

    >>> numbers_in("one point oh five seven, two and a quarter")
    [('one point oh five seven', 1.057), ('two and a quarter', 2.25)]
    """
    items = number_items(split(text))
    return [(text[item.start : item.end], item.value) for item in items if item.kind == "num"]
