"""Reads a message as the sentences do and, where they read nothing, as what it most likely means.

What answers is done where the model is sure of it. What records is done only where nothing marks the message as talk and
every figure of it has its place, in words that are read like any message; else it is left unread, to be asked about.
"""

from __future__ import annotations

import re
from functools import cache

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.answers import find_answer
from conversations.understanding.cues import AS_WRITTEN, HARMLESS
from conversations.understanding.likely_intent import NOTHING, SEVERAL, UNCLEAR, Likely, Model, likely
from conversations.understanding.likeness import WORD, Likeness, counts_as, likeness, settings, some
from conversations.understanding.nearest import POLITE, sort_of
from conversations.understanding.understand import understand
from conversations.understanding.wordings import Bank, put, wordings
from conversations.understanding.words import LONGEST_TEXT, word_set

_LONGEST = 160
"""Letters of a message that may be one thing; what is longer tells a story."""
_ASKS = re.compile(r"\b(what|whats|what's|how|hows|how's|why|when|whens|which|where|who)\b", re.IGNORECASE)
_NO_INTENT = frozenset({NOTHING, SEVERAL, UNCLEAR})


def read(text: str, context: Context, model: Model | None = None, bank: Bank = wordings) -> Understanding:
    """Read one message; ``taken_for`` of the result says in known words what it was taken for, if not by the sentences."""
    found = understand(text, context)
    if len(text) > _LONGEST or (context.expects or "").startswith("tasting."):
        return found
    if found.intents:
        return _rather_asked(found, context, model, bank)
    if not found.unread or find_answer(text) is not None:
        return found
    message = likeness(text, context)
    if {*message.stems} <= _of_greetings():
        return found
    first = likely(message, context, model)[0]
    if not _sure(first, message):
        return found
    told = put(message, context, first.meaning, bank)
    if told is None or not _said_alike(first.name, text, told[0]):
        return found
    return _taken(found, *told)


def _said_alike(name: str, text: str, wording: str) -> bool:
    """Whether what records is denied where its wording is, and nowhere else."""
    if name.startswith((*HARMLESS, *settings()["denied_too"])):
        return True
    return sort_of(text).denies == sort_of(wording).denies


@cache
def _of_greetings() -> frozenset[str]:
    return frozenset(map(counts_as, word_set("greetings") | word_set("greeted")))


def _taken(found: Understanding, said: str, intent: Intent) -> Understanding:
    whole = intent.model_copy(update={"text": found.text[:LONGEST_TEXT]})
    return found.model_copy(update={"intents": (whole,), "unread": (), "taken_for": said})


def _sure(first: Likely, message: Likeness) -> bool:
    page, name = settings(), first.name
    if name in _NO_INTENT or name.startswith((*page["not_done"], *AS_WRITTEN)):
        return False
    if name.startswith(HARMLESS):
        return first.probability >= float(page["sure_harmless"])
    sort = sort_of(message.text)
    doubts = some("doubting") & set(WORD.findall(message.text.lower()))
    if doubts or sort.asks or sort.others or sort.untold or (_ASKS.search(message.text) and not POLITE.match(message.text)):
        return False
    near = name.startswith(tuple(page["only_near"])) and not name.startswith(("reading.", "done."))
    return first.probability >= float(page["sure_only_near" if near else "sure_records"])


def _rather_asked(found: Understanding, context: Context, model: Model | None, bank: Bank) -> Understanding:
    """A question that the sentences took for something else: "hw much of the sachet do i need, 6 l of 1.052"."""
    page = settings()
    if not (sort_of(found.text).asks or _ASKS.search(found.text)):
        return found
    message = likeness(found.text, context)
    every = likely(message, context, model)
    first, read_as = every[0], {intent.name for intent in found.intents}
    if not first.name.startswith("ask.") or first.name in read_as or first.probability < page["sure_other"]:
        return found
    if not read_as <= {each.name for each in every}:
        # A meaning that the model has not learned yet cannot be unlikely to it.
        return found
    if sum(each.probability for each in every if each.name in read_as) > page["doubted"]:
        return found
    told = put(message, context, first.meaning, bank)
    return found if told is None else _taken(found, *told)
