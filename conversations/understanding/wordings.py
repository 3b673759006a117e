"""A meaning said in known words with the figures and names of a message, and read: how its slots are filled.

data/wordings.toml has wordings of each meaning; `python -m tests.conversations.train` writes it with the model.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from functools import cache, lru_cache
from importlib.resources import files
from itertools import islice

from conversations.intents import Context, Intent
from conversations.understanding.cues import HARMLESS
from conversations.understanding.likeness import BARE_ONE, NEUTRAL, Example, Likeness, likeness, plain_stems, some
from conversations.understanding.rows import row_of
from conversations.understanding.said_anew import holds, leaves_a_name, means, names_in, own_words, paired, said_with
from conversations.understanding.understand import understand

Bank = Callable[[str], tuple[Example, ...]]
"""The known wordings of a meaning."""
_A_TIME = re.compile(r"~?(\d{4}-\d\d-\d\d|\d\d:\d\d)")
_MOST_TRIED = 10
"""Wordings that are read again for one message, so that its time stays bounded."""
_LINKS = frozenset({"and", "then", "but", "so", "cos", "because", "if", "while", "had", "i", "it", "that", "just", "which"})


def manners(name: str, slots: Mapping[str, object], figures: bool) -> str:
    """An intent with the words that its kind implies, ``kit.squeeze|squeezed=False``; figures and names are left out.

    A figure that stands in no message ("double that") is part of the meaning where there are none.
    """
    found = []
    for key, value in sorted(slots.items()):
        if own_words(name, key) or (figures and name == "correct"):
            continue
        if isinstance(value, bool) or (isinstance(value, str) and not _A_TIME.match(value)):
            found.append(f"{key}={value}")
        elif isinstance(value, int | float) and not figures:
            found.append(f"{key}={value:g}")
    return "|".join([name, *([",".join(found)] if found else [])])


@cache
def _page() -> dict[str, list[str]]:
    page = files("conversations.understanding").joinpath("data", "wordings.toml")
    found: dict[str, list[str]] = tomllib.loads(page.read_text(encoding="utf-8"))
    return found


@lru_cache(maxsize=512)
def wordings(meaning: str) -> tuple[Example, ...]:
    """The known wordings of a meaning."""
    return tuple(example(meaning, text) for text in _page().get(meaning, ()))


def example(meaning: str, text: str) -> Example:
    """A wording as it is compared."""
    return Example(meaning.partition("|")[0], likeness(text, NEUTRAL))


def put(message: Likeness, context: Context, meaning: str, bank: Bank = wordings) -> tuple[str, Intent] | None:
    """The meaning said with everything that the message has, and what it is read as; None where that does not come out."""
    name = meaning.partition("|")[0]
    known = bank(meaning)
    wants_none = not message.pieces and all(not each.likeness.pieces for each in known)
    if (not name.startswith(HARMLESS) and not (wants_none and name in some("of_no_share")) and _figures_left(message)) or _one_of(message, known):
        return None
    told = part(message, context, name)
    if (told is None or _loses_a_clock(message, told[1])) and not name.startswith(tuple(some("free_text"))):
        told = _in_other_words(message, context, known)
    return None if told is not None and _loses_a_clock(message, told[1]) else told


def _loses_a_clock(message: Likeness, intent: Intent) -> bool:
    """Whether a timer has no name though the message tells one: "boil timer 1 min shorter"."""
    named = "name" in intent.slots or not intent.name.startswith("timer.") or intent.name.endswith("_all")
    return not named and any(message.text[start:end].lower() in some("clocks") for _, start, end in message.words)


def _figures_left(message: Likeness) -> bool:
    """Whether a word may be a figure or a unit that was not read as one: "for the full hour", "one oh four too"."""
    for _, start, end in message.words:
        word = message.text[start:end].lower()
        if word in some("like_figures") or (word in ("am", "pm") and any(0 <= start - each.end <= 1 for each in message.pieces)):
            return True
    return False


def _one_of(message: Likeness, known: tuple[Example, ...]) -> bool:
    """Whether "one" may be a figure: where the meaning is said with bare ones, and hardly without."""
    if not message.pieces and any(not each.likeness.pieces for each in known):
        return False
    said = any(message.text[start:end].lower() == BARE_ONE for _, start, end in message.words)
    return said and any(piece.kind == "num" for each in known for piece in each.likeness.pieces)


def part(message: Likeness, context: Context, name: str, leading: bool = False) -> tuple[str, Intent] | None:
    """A part of the message, or what leads it, that the sentences read as that intent, with all of its figures."""
    parts = (each for each in _parts(message.text, context) if not leading or message.text.startswith(each))
    for said in islice(parts, _MOST_TRIED):
        read = understand(said, context)
        if [intent.name for intent in read.intents] != [name] or read.unread:
            continue
        if len(likeness(said, context).pieces) == len(message.pieces) and holds(read.intents[0], message.pieces, message):
            return said, read.intents[0]
    return None


def _parts(text: str, context: Context) -> Iterator[str]:
    """Runs of clauses, the longest first."""
    items, _ = row_of(text, context)
    whole = len(items)
    cuts = sorted({0, whole} | {k for k, item in enumerate(items) if item.kind == "sep" or item.word in _LINKS})
    spans = sorted(((a - b, a, b) for a in cuts for b in cuts if 2 <= b - a < whole), key=lambda span: span[:2])
    seen: set[str] = set()
    for _, begin, end in spans:
        while begin < end and (items[begin].kind == "sep" or items[begin].word in ("and", "then", "but", "so")):
            begin += 1
        while end > begin and items[end - 1].kind == "sep":
            end -= 1
        if end - begin >= 2 and (part := text[items[begin].start : items[end - 1].end]) not in seen:
            seen.add(part)
            yield part


def _of_other_stages(context: Context) -> frozenset[str]:
    """Words that name what is not there at this stage: no mash in the weeks after pitching, no fermenter on the hob."""
    if context.stage in some("stages_of_the_weeks"):
        return some("of_the_hob")
    return some("of_the_weeks") if context.stage in some("stages_on_the_hob") else frozenset()


def _in_other_words(message: Likeness, context: Context, known: tuple[Example, ...]) -> tuple[str, Intent] | None:
    kinds = sorted(piece.kind for piece in message.pieces)
    words = frozenset(message.stems) - plain_stems()
    elsewhen = _of_other_stages(context) - frozenset(message.text.lower().split())
    ranked: list[tuple[bool, bool, bool, float, int, Example]] = []
    for each in known:
        theirs = each.likeness
        if paired(message.pieces, theirs.pieces) is None or leaves_a_name(message, each):
            continue
        if not each.name.startswith(HARMLESS) and _figures_left(theirs):
            continue
        shared = len(words & frozenset(theirs.stems)) / (len(theirs.stems) + 3)
        other = sorted(piece.kind for piece in theirs.pieces) != kinds
        # "still 19" beside a fermenter is of no mash, and would be said back as one.
        ranked.append((not elsewhen.isdisjoint(theirs.text.lower().split()), other, not names_in(each), -shared, len(theirs.text), each))
    ranked.sort(key=lambda entry: entry[:5])
    tried = 0
    for *_, each in ranked:
        for said in said_with(message, each):
            tried += 1
            if tried > _MOST_TRIED:
                return None
            if (intent := means(said, message, each, context)) is not None:
                return said, intent
    return None
