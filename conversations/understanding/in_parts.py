"""A message that says several things with little or nothing between them: "bag's out I haven't squeezed it".

It is cut where a new thing may begin, and taken only where every part of it is read whole by itself; the words at which one
begins or never ends stand in data/parts.toml.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import partial

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.asking import asks_for_certain, has_question_word
from conversations.understanding.likeness import some
from conversations.understanding.rows import row_of
from conversations.understanding.together import together
from conversations.understanding.words import LONGEST_TEXT, Item, listed, word_set

_LEAST_WORDS = 3
_MOST_PARTS = 4
_MOST_READ = 10
"""Parts of one message that are tried, so that its time stays bounded."""
_LINKS = re.compile(r"^(?:[\s,;:.!–—-]|(?:and|then|plus|also|so|but|n|&)\b)+", re.IGNORECASE)
_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_TOLD = ("done.", "reading.", "bottle.", "look.", "timer.", "reminder.", "stage.", "hops.", "recipe.", "stock.", "kit.", "priming.", "timeline.", "settings.currency", "settings.quiet", "brew.start", "steer.")
_NOT_TOLD = ("bottle.anyway", "bottle.accept", "kit.check", "kit.has_bag", "kit.forget", "kit.use", "kit.print", "kit.mark_stick", "kit.squeeze", "stock.show", "stock.can", "stock.opened", "timer.cancel_all", "reminder.cancel_all", "stage.skip")
"""What may stand in one breath with other things, and what of it may not; talk of anything else may turn round what stands beside it."""
_ASKED = ("ask.", "timer.status")
_LAST = (*_ASKED, "note")
"""What may only stand last."""
_WITH_UNIT = ("qty", "dur")
_ARTICLES = ("the", "a", "an", "my")
_FIGURES = ("num", *_WITH_UNIT)
_LOOKS = ("look.", "bottle.found")

_STANDS_THERE = ("ferment", "bottle", "condition")
"""Stages in which the beer is in the fermenter, or was."""

Read = Callable[[str], Understanding]


_some = partial(listed, "parts")


def _cuts(items: list[Item], text: str) -> list[int]:
    """The places at which a new thing may begin, the surest first."""
    ranked: list[tuple[int, int]] = []
    for k in range(1, len(items)):
        before, item = items[k - 1], items[k]
        # Not every small word is an item: "300 ml of boiling water".
        small = _WORD.findall(text[before.end : item.start].lower())
        while small and small[-1] in _ARTICLES:
            small.pop()
        last = small[-1] if small else before.word
        linked = before.kind == "sep" or item.word in _some("links") or last in _some("links")
        if item.kind == "sep" or {item.word, *small} & _some("never_begins") or (last in _some("never_ends") and not linked):
            continue
        if linked:
            ranked.append((0, k))
        elif item.word in _some("begins") and sum(each.kind != "sep" for each in items[k:]) > 1:
            ranked.append((1, k))
        elif item.word == "at" and k + 1 < len(items) and items[k + 1].unit in ("degC", "degF") and before.kind != "num":
            # "Yeast chucked in at nineteen degrees"; of a gravity it is what the sample was at
            ranked.append((2, k))
        elif item.kind in _FIGURES and before.kind not in _FIGURES and (last not in _some("leads_to_figures") or (k > 1 and items[k - 2].word in _some("ends_with_in"))):
            # "Stirred again sixty five point three"
            ranked.append((2, k))
        elif before.kind in _WITH_UNIT and item.kind not in _FIGURES:
            # "12 g in stirred"
            ranked.append((2, k))
    return [k for _, k in sorted(ranked)]


def _whole(found: Understanding, last: bool = False) -> bool:
    """Whether a part was read to its last word; a question may only stand last."""
    if not found.intents or found.unread:
        return False
    names = [each.name for each in found.intents]
    if any(name.startswith(_ASKED) for name in names) and not (has_question_word(found.text) or "?" in found.text):
        # "Bag is out, didn't squeeze it, too hot" asks for nothing.
        return False
    if any(str(each.slots.get("name", "")).lower() in some("no_names") for each in found.intents):
        return False
    if found.taken_for and any(name.startswith(_LOOKS) for name in names):
        # "Coming along nicely" says nothing of its own.
        return False
    return all(name.startswith((*_TOLD, *_LAST) if last else _TOLD) and not name.startswith(_NOT_TOLD) and (last or name not in _ASKED) for name in names)


def _pieces(items: list[Item], text: str, read: Read, most: int, begin: int = 0) -> Iterator[list[Understanding]]:
    """The readings of all parts from an item on, way by way of cutting; the last part is read before it is cut again."""
    start = items[begin].start
    for cut in _cuts(items[begin:], text):
        at = items[begin + cut].start
        left = read(_LINKS.sub("", text[start:at]).rstrip(" ,;:-"))
        if not _whole(left):
            continue
        right = read(_LINKS.sub("", text[at:]))
        if _whole(right, last=True):
            yield [left, right]
        elif most > 2:
            yield from ([left, *more] for more in _pieces(items, text, read, most - 1, begin + cut))


def takes_figures(name: str) -> bool:
    """Whether figures that stand before a question may be its own: "7.2 l, how much sugar"."""
    return name in _some("of_figures")


def wants_the_figure(found: Understanding) -> bool:
    """Whether the one amount that stands before a question is most likely what it is asked of: "7.2 l in there then how much sugar"."""
    return len(found.quantities) == 1 and [each.name for each in found.intents[:-1]] == ["reading.volume"] and takes_figures(found.intents[-1].name)


def _of_several(intents: list[Intent]) -> bool:
    """Whether two readings of a kind are of two brews ("porter at 1.012, stout at 1.018"), or figures stand before what is asked of them."""
    readings = [each.name for each in intents if each.name.startswith("reading.")]
    if intents[-1].name.startswith(_ASKED) and any(each.name == "bottle.found" for each in intents):
        # "One was flat, what do I do" asks for help.
        return True
    if "reading.volume" in readings and any(each.name == "bottle.unsized" for each in intents):
        # How much goes into each, or what is left over?
        return True
    of_a_question = takes_figures(intents[-1].name) and all(each.name.startswith(("reading.", "bottle.", "kit.bottles")) for each in intents[:-1])
    return of_a_question or len(readings) > len({*readings})


def _kept(intent: Intent, told: list[Intent]) -> bool:
    """Whether what was read before is still read, with all that it held."""
    return any(each.name == intent.name and all(each.slots.get(key) == value for key, value in intent.slots.items()) for each in told)


def in_parts(text: str, context: Context, found: Understanding, read: Read) -> Understanding | None:
    """The message in as many parts as it takes for each to be read whole, with all that was read of it before; else None."""
    items, spans = row_of(text, context)
    if context.expects is not None or len(items) < _LEAST_WORDS or asks_for_certain(text):
        return None
    words = {*_WORD.findall(text.lower())}
    if words & ((word_set("by_hearsay") - _some("may_be_asked")) | _some("turns_all")):
        return None
    tried: dict[str, Understanding] = {}

    def once(part: str) -> Understanding:
        if part not in tried and len(tried) < _MOST_READ:
            tried[part] = read(part) if part else Understanding(text="")
        return tried.get(part, Understanding(text=part))

    for parts in _pieces(items, text, once, _MOST_PARTS):
        intents = [(number, each) for number, part in enumerate(parts) for each in part.intents]
        told: list[Intent] = []
        for _, each in together(intents, context.stage, list(range(len(parts))), text):
            if all((each.name, each.slots) != (other.name, other.slots) for other in told):
                told.append(each)
        many = len(told)
        if len(begun := [each for each in told if each.name == "brew.start"]) > 1:
            # "Let's do a new brew, brown ale 8 litres"
            told = [each for each in told if each.name != "brew.start" or each.slots or not any(other.slots for other in begun)]
        if _of_several(told) or ("?" in text and not told[-1].name.startswith(_ASKED)):
            return None
        if context.stage in _STANDS_THERE and not found.unread and any(each.name == "done.transferred" for each in told):
            # "It's in the fermenter eight point eight litres": it has been there for long.
            return None
        if all(_kept(each, told) for each in found.intents) and many > len(found.intents):
            taken_for = "; ".join(each.taken_for for each in parts if each.taken_for)
            return Understanding(text=text[:LONGEST_TEXT], quantities=tuple(spans), intents=tuple(told), taken_for=taken_for)
    return None
