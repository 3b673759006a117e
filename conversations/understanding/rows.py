"""A message as the row that sentences are matched against: numbers joined, small words dropped, cut into clauses."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import cache, lru_cache

from conversations.intents import Context, Intent, Span, UnitSystem
from conversations.understanding.money import currency_at, money_at, without_and
from conversations.understanding.numbers import number_items
from conversations.understanding.quantities import quantity_items
from conversations.understanding.times import duration_items
from conversations.understanding.words import Item, plain, spell, split, word_set

Placed = tuple[int, Intent]
"""An intent and the place in the row at which it begins."""
_AFTER_NO = frozenset({"no", "sorry", "oops", "wait", "actually", "correction", "oh", "whoops", "ah", "damn", "argh", "aw", "och", "ach", "ugh"})
_COMMANDS = frozenset({"start", "set", "put", "need", "give", "kindly", "please", "keep", "do", "make", "run", "want", "begin", "create", "add", "and", "plus", "also", "then", "on"})
_MASSES = frozenset({"gram", "kilogram", "ounce", "pound"})
_CLOCKS = frozenset({"timer", "alarm", "countdown"})

_TAKES_OUT = frozenset({"remove", "delete", "drop", "ditch", "lose", "omit", "skip", "without", "scrap", "bin", "no", "out", "rid", "swap", "replace", "leave", "take"})
_CHANGED = frozenset({"was", "is", "should", "for", "with", "instead"})
"""What is said before and behind a malt that is named by its colour, and that is to go or to be another one."""


def row_of(text: str, context: Context) -> tuple[list[Item], list[Span]]:
    """The items of a message that carry something, and the quantities found in it with the words that they were."""
    row, spans = _row_of(text, context.units)
    return [*row], [*spans]


@lru_cache(maxsize=64)
def _row_of(text: str, units: UnitSystem) -> tuple[list[Item], list[Span]]:
    """Kept, because several rules look at the same message one after another; nobody changes an item afterwards."""
    with_units = quantity_items(number_items(split(text)), units)
    joined = _with_their_colours(without_and(duration_items(with_units)))
    for item in joined:
        item.said = text[item.start : item.end].lower()
    spans = [
        Span(
            text=text[item.start : item.end],
            start=item.start,
            end=item.end,
            value=item.value,
            unit=item.unit if item.kind == "qty" else ("second" if item.kind == "dur" else "dimensionless"),
        )
        for item in joined
        if item.kind in ("qty", "dur", "num")
    ]
    spans = sorted([*spans, *_money_spans(text, joined)], key=lambda span: span.start)
    fillers = word_set("fillers")
    row: list[Item] = []
    joined = _without_openings(_without_asides(_without_tolerances(_without_one(joined))))
    for k, item in enumerate(joined):
        # "am" is the morning behind a number, and carries nothing elsewhere.
        morning = item.word == "am" and row and row[-1].kind in ("num", "clock")
        if item.kind == "word" and item.word in fillers and not morning:
            continue
        if item.kind == "quote":
            if row and row[-1].kind == "num" and row[-1].end == item.start and item.word in "'’′":
                # 120' may be minutes or feet: not a number to record.
                row[-1].kind, row[-1].word = "word", "?"
            continue
        if item.kind == "dash":
            near = joined[max(0, k - 1) : k] + joined[k + 1 : k + 2]
            if len(near) < 2 or any(one.kind not in ("num", "qty", "clock") for one in near):
                continue
            item.kind, item.word = "word", "-"
        if item.kind == "sep" and (not row or row[-1].kind == "sep") and not item.question:
            continue
        if item.word == "," and len(row) > 1 and row[-1].word == "no" and row[-2].kind == "sep" and not row[-2].question:
            # "I had the wrong glasses on. No, it's 1.044": the same behind something else.
            continue
        if item.kind != "sep" and row and all(each.word in _AFTER_NO or each.kind == "sep" for each in row):
            # "oh no wait, it's 18": one word of them is enough.
            said = [*row, item] if item.word in _AFTER_NO else row
            row = [next((each for each in said if each.word in ("no", "sorry")), said[0])]
            if item.word in _AFTER_NO:
                continue
        row.append(item)
    return row, spans


def _with_their_colours(items: list[Item]) -> list[Item]:
    """The number of "100 g crystal 150" and "remove the crystal 60" belongs to the malt's name: it tells its colour.

    "Make the crystal 60" may be an amount, "make the crystal 60 200 g" has another one.
    """
    for k in range(1, len(items)):
        item, malt, before, behind = items[k], items[k - 1], items[max(0, k - 4) : k - 1], items[k + 1 : k + 2]
        whole = item.kind == "num" and item.raw.isdigit() and 10 <= item.value <= 999
        if not whole or malt.word not in word_set("named_by_colour"):
            continue
        weighed = any(each.kind == "qty" and each.unit in _MASSES for each in before + behind)
        if weighed or any(each.word in _TAKES_OUT for each in before) or any(each.word in _CHANGED for each in behind):
            item.kind, item.word = "word", item.raw
    return items


def _without_one(items: list[Item]) -> list[Item]:
    """Without the "one" of "kindly start one timer of 60 minutes": it stands for "a"."""
    kept: list[Item] = []
    for k, item in enumerate(items):
        behind = items[k + 1 : k + 3]
        timer = bool(behind) and (behind[0].word in _CLOCKS or (behind[0].kind == "dur" and behind[-1].word in _CLOCKS))
        said = [each for each in kept[-2:] if each.word not in ("me", "us")]
        begins = not kept or (bool(said) and (said[-1].kind == "sep" or said[-1].word in _COMMANDS))
        if not (timer and begins and item.said == "one" and item.value == 1):
            kept.append(item)
    return kept


def _money_spans(text: str, items: list[Item]) -> list[Span]:
    """Sums of money that name their currency."""
    found: list[Span] = []
    i = 0
    while i < len(items):
        paid = money_at(items, i)
        near = items[i : paid[0]] if paid else []
        # "three pounds fifty" weighs nothing: no weight goes on with fifty.
        pounds = len(near) > 1 and near[0].unit == "pound"
        if paid is None or not paid[2] or not (pounds or any(currency_at(item) for item in near)):
            i += 1
            continue
        start, end = items[i].start, items[paid[0] - 1].end
        found.append(Span(text=text[start:end], start=start, end=end, value=paid[1], unit=paid[2]))
        i = paid[0]
    return found


def _without_tolerances(items: list[Item]) -> list[Item]:
    """Drop "give or take a degree" and "plus or minus 0.5 C": how sure a figure is, and no figure of its own."""
    kept: list[Item] = []
    for item in items:
        said = [each.word for each in kept[-3:]]
        if item.kind in ("num", "qty", "dur") and said in (["plus", "or", "minus"], ["give", "or", "take"]):
            del kept[-3:]
        elif item.kind in ("num", "qty", "dur") and said[-2:] in (["plus", "or"], ["±"]):
            del kept[-2:]
        elif item.kind in ("num", "qty") and said[-1:] == ["±"]:
            kept.pop()
        else:
            kept.append(item)
    return kept


_CALLED = frozenset({"no", "leave", "don't", "put", "get", "stop"})
"""Asides that begin so are called to somebody, who may be named."""
_PUT_SOMEWHERE = frozenset({"pot", "kettle", "sat", "sitting", "stood", "standing", "bubbles", "foam"})
"""Behind these "in the sink" is what is told."""
_FULL_OF = (["with"], ["of"], ["full"])
_ASKED_BEFORE = frozenset({"how", "what", "why", "if", "when", "can", "could", "do", "should", "shall", "must", "would", "will", "may"})
_JUDGED = frozenset({"fizz", "carbonation", "bubbles", "condition"})
_IS = frozenset({"is", "was", "'s", "now"})


@cache
def _asides() -> dict[str, tuple[tuple[str, ...], ...]]:
    """Turns of speech by their first word, the longest first; words as the row has them."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for phrase in word_set("asides") | word_set("remarks_on_gravity"):
        words = tuple(spell(plain(word)) for word in phrase.split())
        found.setdefault(words[0], []).append(words)
    return {first: tuple(sorted(each, key=len, reverse=True)) for first, each in found.items()}


@cache
def _remarks() -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(spell(plain(word)) for word in phrase.split()) for phrase in word_set("remarks_on_gravity"))


def _behind_a_gravity(kept: list[Item]) -> bool:
    last = next((item for item in reversed(kept) if item.kind != "sep"), None)
    return last is not None and last.kind == "num" and (0.98 <= last.value <= 1.2 or 980 <= last.value <= 1200) and last.value != 1


def _stands_somewhere(kept: list[Item]) -> bool:
    """Whether what was said before tells of a thing that is put somewhere: "pot", "the pot is", "flame's off and it's"."""
    said = [item.word for item in kept]
    if said[-1:] == ["it"]:
        return len(said) == 1 or said[-2] in ("and", "then", "")
    return bool(said) and (said[-1] in _PUT_SOMEWHERE or (said[-1] in _IS and len(said) > 1 and said[-2] in _PUT_SOMEWHERE))


def _without_asides(items: list[Item]) -> list[Item]:
    """Drop turns of speech that carry nothing, unless they are all that is said."""
    kept: list[Item] = []
    i = 0
    while i < len(items):
        for words in _asides().get(items[i].word, ()):
            if items[i].word == "in" and (_stands_somewhere(kept) or [each.word for each in items[i + len(words) : i + len(words) + 1]] in _FULL_OF):
                # "pot's in the cold bath", "it's in the sink with cold water": where it stands is what is told.
                continue
            if items[i].word in ("spot", "bang") and any(each.word in _JUDGED for each in kept[-2:]):
                # "the fizz is spot on"
                continue
            if words[:2] == ("i", "make") and kept and kept[-1].word in _ASKED_BEFORE:
                # "how can I make it hotter"
                continue
            if words in _remarks() and (not _behind_a_gravity(kept) or [each.word for each in items[i + len(words) : i + len(words) + 1]] == ["before"]):
                # Of a mash that is a bit low it is asked what to do; "1.014 the day before" is of another day.
                continue
            if tuple(each.word or each.said for each in items[i : i + len(words)]) == words and len(words) < len(items):
                i += len(words)
                if words[0] in _CALLED and len(items) == i + 1 and items[i].raw[:1].isupper():
                    # "leave that alone Sam"
                    i += 1
                break
        else:
            kept.append(items[i])
            i += 1
    return kept


def _without_openings(items: list[Item]) -> list[Item]:
    """Drop "could you" and the like where a clause begins: they only ask politely."""
    kept: list[Item] = []
    i = 0
    begins = True
    while i < len(items):
        if begins and (length := _opening(items, i)):
            i += length
            continue
        begins = items[i].kind == "sep" or items[i].word in ("um", "uh", "er", "erm", "and", "then", "please", "hey", "hi", "hello", "so", "but", "now", "ok", "well", "right")
        kept.append(items[i])
        i += 1
    return kept


def _opening(items: list[Item], i: int) -> int:
    if items[i].word in word_set("agreeing") and items[i + 1 : i + 2] and items[i + 1].word in ("it", "that") and _has_figure(items[i:]):
        # "yeah it's 67 in the mash": no question is answered by that.
        return 1
    words: list[str] = []
    for item in items[i : i + 5]:
        if item.kind not in ("word", "num", "qty", "dur"):
            break
        words.append(item.word if item.kind == "word" else item.said)
    for n in range(len(words), 0, -1):
        said = " ".join(words[:n])
        behind = items[i + n].word if i + n < len(items) else ""
        if behind == "," and i + n + 1 < len(items):
            # "go on then, how much was it"
            behind = items[i + n + 1].word
        if said in word_set("openings_of_questions") and behind in ("what", "which", "how", "where", "why", "who"):
            return n
        # What is left must say something: "oh please" opens nothing.
        says_more = any(item.kind != "sep" and item.word not in word_set("fillers") for item in items[i + n :])
        if said in word_set("idioms") or (says_more and said in word_set("openings")):
            return n
    return 0


def _has_figure(items: list[Item]) -> bool:
    return any(item.kind in ("qty", "num") for item in items)


def clauses(items: list[Item]) -> list[int]:
    """The number of the clause that each item belongs to; breaks and "and" begin a new one."""
    clause, result = 0, []
    for k, item in enumerate(items):
        # "between 8 pm and 7 am" is one thing.
        joins = item.word == "and" and any(near.word == "between" for near in items[max(0, k - 4) : k])
        if item.kind == "sep" or (item.word in ("and", "then", "but") and not joins):
            clause += 1
        result.append(clause)
    return result


def places_of(clause: list[int], number: int) -> list[int]:
    """The places of the items of one clause; the numbers of the clauses only rise."""
    return list(range(bisect_left(clause, number), bisect_right(clause, number)))
