"""What is told in a clean sentence, though talk to somebody else in the kitchen runs on behind it without a stop.

"yeast is in finally right who wants a bath": the sentences read all of "yeast is in finally", and what is left begins like a
clause of its own, with nothing that could turn it round (data/chatter.toml). What is left is told as unread.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache, partial

from calc.units import quantity
from conversations.intents import Context, Intent, Measured, Understanding
from conversations.understanding.cues import HARMLESS
from conversations.understanding.elsewhere import names_a_thing, speaks_of_elsewhere
from conversations.understanding.rows import row_of
from conversations.understanding.understand import understand
from conversations.understanding.words import LONGEST_TEXT, listed, word_set

_WORD = re.compile(r"[^\W_]+(?:['’][^\W\d_]+)*")
_TAKEN = ("done.", "reading.", "bottle.count", "bottle.found", "timer.", "stage.", "snooze", "hops.", "look.", "brew.start", "recipe.grain", "recipe.hop", *HARMLESS)
"""What may be taken out of talk; not what is answered, put right, forgotten or kept word by word."""
_NOT_TAKEN = ("timer.cancel_all", "ask.help", "diary.search")
_WRITTEN = ("recipe.", "stock.")
_ELSEWHERE = re.compile(r"\b(timer|alarm|clock) (on|in|of) (the|my|your|his|her)\b", re.IGNORECASE)
_SPREAD = ("bottle.found", "done.boiled_over")
_OF_HOT_WORT = (45.0, 105.0)
"""Degrees Celsius of nothing in a kitchen but what is brewed, where nothing is named: no weather, no body and no oven."""
_ALL_OVER = ["all", "over"]
"""How far what gushed or boiled over went; behind anything else it begins nothing."""
_LEAST_BEHIND = 2
_MOST_TRIED = 4
"""Places of one message that are read again, so that its time stays bounded."""


_some = partial(listed, "chatter")


@cache
def _of_the_trade() -> frozenset[str]:
    return _some("of_the_brewing").union(*(word_set(kind) for kind in ("about", "grain", "hops", "yeasts")))


def _begins(words: list[str]) -> bool:
    """Whether words begin like a clause of its own that is said to somebody."""
    behind = list(words)
    while len(behind) > _LEAST_BEHIND and behind[0] in _some("leading"):
        behind = behind[1:]
    if len(behind) < _LEAST_BEHIND:
        return False
    if behind[0] in _some("answers"):
        return behind[1] in _some("spoken_to")
    return behind[0] in _some("persons") | _some("told_to") or behind[:2] in (["what", "a"], _ALL_OVER)


def _denies(words: list[str]) -> bool:
    denying = word_set("denials") | {"nobody", "nothing", "none", "nope", "dont", "neither", "nor"}
    return any(word in denying or word.endswith("n't") for word in words)


def _only_talk(said: str, words: list[str], context: Context) -> bool:
    """Whether what is left has no figure and no word that doubts, denies or goes on with what was told."""
    if _some("doubts") & {*words}:
        return False
    if _denies(words) and _some("goes_back") & {word for word in words if word not in ("dont", "don't")} - {"not"}:
        return False
    if "?" in said and words[0] not in ("who", "who's", "whose"):
        return False
    items, spans = row_of(said, context)
    return not spans and not any(item.kind in ("num", "qty", "dur", "clock") for item in items)


def _alone_enough(core: str, intents: tuple[Intent, ...], behind: str, context: Context) -> bool:
    """Whether a figure of the core is of the brewing, and of nothing that the talk is about."""
    readings = [intent for intent in intents if intent.name.startswith("reading.")]
    if not readings or names_a_thing(row_of(core, context)[0]):
        return True
    for intent in readings:
        measured = intent.slots.get("temperature")
        if intent.name == "reading.gravity":
            continue
        if intent.name != "reading.temperature" or not isinstance(measured, Measured):
            return False
        if not _OF_HOT_WORT[0] <= quantity(measured.value, measured.unit).to("degC").magnitude <= _OF_HOT_WORT[1]:
            return False
    return not speaks_of_elsewhere(behind, row_of(behind, context)[0])


def _turned(core: str, intents: tuple[Intent, ...]) -> bool:
    """Whether the core itself is in somebody's mouth, denied or under a condition, which talk beside it makes no surer."""
    if all(each.name.startswith(HARMLESS) for each in intents):
        return False
    words = {word.lower().replace("’", "'") for word in _WORD.findall(core)}
    return bool(words & _some("turns_the_core")) or _denies([*words])


def _names(intents: tuple[Intent, ...], context: Context) -> frozenset[str]:
    """Words of the timers that there are."""
    own = {word for intent in intents for word in str(intent.slots.get("name", "")).lower().split()}
    return frozenset(word for name in context.names for word in name.lower().split()) - own


def _cuts(text: str) -> Iterator[tuple[str, str, list[str]]]:
    """The message cut in two before each word that may begin talk, the first first."""
    found = list(_WORD.finditer(text))
    words = [each.group().lower().replace("’", "'") for each in found]
    tried = 0
    for k in range(1, len(found) - 1):
        # "timer 10 minutes to get the ice out": what a clock is for.
        if tried < _MOST_TRIED and words[k - 1] != "to" and _begins(words[k:]):
            tried += 1
            yield text[: found[k].start()].rstrip(" ,;-–—"), text[found[k].start() :], words[k:]


def _swallowed(whole: tuple[Intent, ...], core: tuple[Intent, ...], behind: str) -> bool:
    """Whether a message that was read whole has talk in it as a clock: "grain's in stop hitting your brother"."""
    names = {each.name for each in core}
    more = [each for each in whole if each.name not in names]
    swallowed = [each for each in whole if each.name.startswith("timer.") and behind[-12:] in each.text]
    return bool(swallowed) and all(each in swallowed for each in more)


def clean_core(text: str, context: Context, whole: tuple[Intent, ...] | None = None) -> Understanding | None:
    """What the message tells in a sentence of its own before talk begins, or None; the talk is left unread.

    ``whole`` is what all of it was read as, if it was.
    """
    if context.expects is not None:
        return None
    for core, behind, words in _cuts(text[:LONGEST_TEXT]):
        if len(_WORD.findall(core)) < _LEAST_BEHIND or core[-1] in ".!?" or not _only_talk(behind, words, context):
            # "drained. i'm knackered": what has a stop between is read clause by clause, and a word alone says too little.
            continue
        told = understand(core, context)
        if not told.intents or told.unread or not all(_may_be_taken(each, context) for each in told.intents):
            continue
        if _turned(core, told.intents):
            continue
        if words[:2] == _ALL_OVER and not all(each.name.startswith(_SPREAD) for each in told.intents):
            continue
        written = any(each.name.startswith(_WRITTEN) for each in told.intents)
        trade = _of_the_trade() - (frozenset() if written else _some("of_the_kitchen"))
        if (trade | _names(told.intents, context)) & {*words} or not _alone_enough(core, told.intents, behind, context):
            continue
        if whole is not None and not _swallowed(whole, told.intents, behind):
            return None
        return told.model_copy(update={"text": text[:LONGEST_TEXT], "unread": (behind.strip(" .!"),)})
    return None


def _may_be_taken(intent: Intent, context: Context) -> bool:
    if _ELSEWHERE.search(intent.text) and str(intent.slots.get("name", "")).lower() not in {name.lower() for name in context.names}:
        # "cancel the timer on the oven"
        return False
    return intent.name.startswith(_TAKEN) and not intent.name.startswith(_NOT_TAKEN)
