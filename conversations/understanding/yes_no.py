"""Questions that would be statements without their first words: "is it done" asks, "done" tells.

The sentence templates drop such words as "is" and "it", so these few questions are told apart before them.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.resources import files

from conversations.intents import Intent
from conversations.understanding.asking import behind_statements
from conversations.understanding.numbers import ONES, TENS
from conversations.understanding.words import vocabulary


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    path = files("conversations.understanding").joinpath("data", "yes_no.toml")
    rows = tomllib.loads(path.read_text(encoding="utf-8"))["question"]
    return tuple((str(row["name"]), re.compile(row["pattern"], re.IGNORECASE)) for row in rows)


def yes_no_question(text: str) -> Intent | None:
    """The question that a whole message is, if it is one of these.

    >>> yes_no_question("is it done yet?").name
    'ask.finished'
    >>> yes_no_question("done") is None
    True
    """
    said = text.strip()
    for name, pattern in _patterns():
        if pattern.fullmatch(said):
            return Intent(name=name, text=said)
    return None


_SUBJECTLESS = re.compile(r"(is|has) (?!(it|that|this|she|the|my|our)\b)", re.IGNORECASE)
_ENDS_WITH_A_WORD = re.compile(r"\b(?!(now|today|again|yet|still|morning|tonight|already)\b)(?P<word>[^\W\d_]{2,})$", re.IGNORECASE)


def _is_its_subject(said: str, question: str) -> bool:
    """Whether what stands before "is finished" is what is finished, and nothing is asked: "22 degrees and the cooling is finished"."""
    last = _ENDS_WITH_A_WORD.search(said.rstrip()) if _SUBJECTLESS.match(question) else None
    return last is not None and last["word"].lower() not in {*ONES, *TENS, *vocabulary()["units"]}


def question_behind(text: str) -> tuple[str, Intent] | None:
    """What stands before one of these questions, and the question: "gravity is 1.011 is it finished".

    >>> question_behind("gravity's 1.010, is it done")[0]
    "gravity's 1.010"
    """
    for place in behind_statements(text):
        asked = yes_no_question(text[place.end() :]) if place.start() else None
        if asked is not None and not _is_its_subject(text[: place.start()], text[place.end() :]):
            return text[: place.start()], asked
    return None
