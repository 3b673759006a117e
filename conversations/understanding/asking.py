"""What counts as a question, and how surely; the words are in data/asking.toml.

There are degrees, since a mistake costs differently: what begins as a question for certain tells nothing, what may be one is
not guessed to be told, and what only has the words of one may be answered from the short answers.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def _page() -> dict[str, Any]:
    path = files("conversations.understanding").joinpath("data", "asking.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


@dataclass(frozen=True, slots=True)
class _Patterns:
    for_certain: re.Pattern[str]
    perhaps: re.Pattern[str]
    wonders: re.Pattern[str]
    politely: re.Pattern[str]
    politely_all: re.Pattern[str]
    politely_anywhere: re.Pattern[str]
    thinks: re.Pattern[str]
    leave_together: re.Pattern[str]
    leave_alone: re.Pattern[str]
    question_word: re.Pattern[str]
    behind: re.Pattern[str]
    expects: re.Pattern[str]


def _one_of(words: Iterable[str]) -> str:
    return "(" + "|".join(words) + ")"


@cache
def _patterns() -> _Patterns:
    page = _page()
    wondering, politely, leave, behind, expected = (page[key] for key in ("wondering", "politely", "leave", "behind_a_statement", "expected"))
    certain = [f"{verb}(?! {other})" if other else verb for verb, other in page["verbs_for_certain"].items()]
    certain += [f"{verb} {_one_of(persons)}" for verb, persons in page["verbs_before"].items()]

    def pattern(text: str) -> re.Pattern[str]:
        return re.compile(text, re.IGNORECASE)

    asked = _one_of(politely["verbs"])
    return _Patterns(
        for_certain=pattern(rf"\s*{_one_of(certain)}\b"),
        perhaps=pattern(rf"\s*({_one_of(page['before_first'])} )*{_one_of(page['first'])}\b"),
        wonders=pattern(rf"\s*({_one_of(wondering['openings'])} )*{_one_of(wondering['verbs'])} {_one_of(wondering['persons'])}\b"),
        politely=pattern(rf"\s*({_one_of(politely['openings'])} )*{asked} {_one_of(politely['of_us'])}\b"),
        politely_all=pattern(rf"\W*(please )?{asked} {_one_of(politely['of_all'])}\b"),
        politely_anywhere=pattern(rf"\b{asked} {_one_of(politely['anywhere'])}\b"),
        thinks=pattern(rf"\b{_one_of(page['asked_for_an_opinion'])}\W*$"),
        leave_together=pattern(rf"\s*{_one_of(leave['verbs'])} {_one_of(leave['together'])}\b"),
        leave_alone=pattern(rf"\s*{_one_of(leave['alone_verbs'])} {_one_of(leave['alone'])}\b"),
        question_word=pattern(rf"\b{_one_of(page['question_words'])}\b"),
        behind=pattern(rf"(?<![\s,.;:])[\s,.;:]+({_one_of(behind['links'])} )?(?={_one_of(behind['words'])} )"),
        expects=pattern(rf"\W*({_one_of(expected['openings'])}\W+)*({_one_of(expected['asking'])} (\w+ )?)?({_one_of(expected['verbs'])} {_one_of(expected['persons'])}|{_one_of(expected['until'])} {_one_of(expected['persons'])}|{_one_of(expected['ought'])})\b"),
    )


def asks_for_certain(text: str) -> bool:
    """Whether a message begins as a question, so that nothing in its first clause is told.

    >>> asks_for_certain("is the bag out"), asks_for_certain("was at 66"), asks_for_certain("can you pause it")
    (True, False, False)
    """
    return _patterns().for_certain.match(text) is not None


def asks_what_to_expect(text: str) -> bool:
    """Whether a message asks when or whether something is to be seen, so that nothing was seen.

    >>> asks_what_to_expect("when should i see bubbles"), asks_what_to_expect("when i got home there was foam")
    (True, False)
    """
    return _patterns().expects.match(text) is not None


def asks(text: str) -> bool:
    """Whether a message may be a question: by its sign or its first word, where it does not ask that something be done.

    >>> asks("so what now"), asks("bag out?"), asks("could you pause it?")
    (True, True, False)
    """
    return not asks_politely(text) and ("?" in text or _patterns().perhaps.match(text) is not None)


def wonders(text: str) -> bool:
    """Whether a message asks if something is wise or allowed: "can I squeeze it"."""
    return _patterns().wonders.match(text) is not None


def asks_politely(text: str, *, or_together: bool = False) -> bool:
    """Whether a message asks politely that something be done; ``or_together`` takes "can we" for that too.

    >>> asks_politely("could you stop the timer"), asks_politely("could you stop a flood with one of these do you think")
    (True, False)
    """
    found = _patterns()
    if found.thinks.search(text) is not None:
        return False
    return (found.politely_all if or_together else found.politely).match(text) is not None


def is_polite(text: str) -> bool:
    """Whether something is asked for politely anywhere in a message: "a timer if you could, can you"."""
    return _patterns().politely_anywhere.search(text) is not None


def asks_leave(text: str) -> bool:
    """Whether a message asks leave for all of us, or for a thing: "can we", "may it"."""
    return _patterns().leave_together.match(text) is not None


def asks_own_leave(text: str) -> bool:
    """Whether a message asks leave for oneself: "can I"."""
    return _patterns().leave_alone.match(text) is not None


def has_question_word(text: str) -> bool:
    """Whether a word that asks stands anywhere: "the hops went in when"."""
    return _patterns().question_word.search(text) is not None


def behind_statements(text: str) -> Iterable[re.Match[str]]:
    """The places where a question may begin behind a statement, with no stop between."""
    return _patterns().behind.finditer(text)


def of_the_trade(text: str) -> bool:
    """Whether a message in small letters has the words of a question about the trade."""
    page = _page()
    first = tuple(f"{word} " for word in page["of_the_trade_first"])
    links = any(link in text for link in page["of_the_trade_links"])
    return "?" in text or links or text.lstrip().startswith(first) or not _set("of_the_trade").isdisjoint(text.split())


@cache
def _set(key: str) -> frozenset[str]:
    return frozenset(_page()[key])


def asking_words() -> frozenset[str]:
    """Words beside which nothing is told."""
    return _set("words")


def first_words() -> frozenset[str]:
    """Words that may begin a question."""
    return _set("first")


def weak_words() -> frozenset[str]:
    """Words of a question that say nothing of what it is about."""
    return _set("of_the_trade") | _set("of_the_trade_weak")
