"""Short answers to questions about the trade, found by their words and never made up.

A question finds an answer when it meets all keyword groups of one entry of data/answers.toml or is nearly one
of its example questions. Rare words count for more than common ones; a near miss of a long word is taken
for it. Readings, commands and chit-chat find nothing.
"""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from rapidfuzz import process
from rapidfuzz.distance import OSA

from conversations.understanding.asking import of_the_trade, weak_words
from conversations.understanding.closings import without_openings
from conversations.understanding.glossary import defined

THRESHOLD = 0.5
"""Least score, of 0 to 1, at which an answer is given; below it the question counts as unknown."""

_LONGEST_TEXT = 300
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?|co2")
_A_STILL = re.compile(r"\b(?:(a|my|the|copper) still(?= *(?:$|[?.,;!]|for\b|to\b|work))|stills\b)")
"""The vessel; "is my beer still ok" is another word."""
_FIGURE = re.compile(
    r"\d|\b(point|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen"
    r"|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|thousand)\b"
)
_PLAIN = frozenset(
    {
        "a", "an", "the", "i", "i'm", "i've", "my", "me", "we", "our", "you", "your", "it", "its", "it's",
        "he", "she", "they", "this", "that", "these", "those", "there", "is", "are", "was", "were", "be",
        "been", "am", "do", "does", "did", "to", "of", "in", "on", "at", "for", "from", "with", "and", "or",
        "if", "so", "as", "have", "has", "had", "will", "would", "could", "please", "just", "ok", "okay",
        "some", "any", "very", "really", "bit", "oh", "hi", "hey", "by", "about", "now", "still",
    }
)
_DONE = re.compile(r"\b(in|out|on|off|done|started|added|pitched|finished|starting|now)\W*$|^(i am |i'm )?adding\b")
_ORDER = re.compile(
    r"^\W*(please )?(remind|cancel|delete|set|start|stop|pause|resume|undo|change|make|show|tell me when)\b"
    r"|\bhow long (is |are )?(left|on)\b|\b(is|time|minutes) left\b"
)
_SAME = {
    "no": "not", "none": "not", "without": "not", "cannot": "not", "anything": "nothing",
    # As they are typed with a wet thumb.
    **dict.fromkeys(("dont", "doesnt", "didnt", "isnt", "arent", "wasnt", "werent", "wont", "cant", "hasnt", "havent", "couldnt", "wouldnt"), "not"),
}


@dataclass(frozen=True, slots=True)
class Answer:
    """One short answer: text of at most three lines, where it comes from, and a caution (empty if none)."""

    key: str
    text: str
    source: str
    caution: str
    hazard: bool = False
    """Whether it is a matter of safety, to be given before anything else that is asked."""
    normal: str = ""
    """What is said to "is that normal?" behind it; empty where the text itself says it."""
    told: bool = False
    """Whether it answers a mishap that is told and not asked about."""
    instead: frozenset[str] = frozenset()
    """Names of intents that may be read there by their words, and are not what is meant."""


@dataclass(frozen=True, slots=True)
class _Entry:
    answer: Answer
    examples: tuple[str, ...]
    questions: tuple[frozenset[str], ...]
    groups: tuple[frozenset[str], ...]
    unless: tuple[str, ...]
    bonus: float
    stages: frozenset[str]
    needs: frozenset[str]
    """One of these must be said: "how hot should the water be" is nearly a question of the rinse, and is none."""

    every: frozenset[str]
    """All words of its examples and keywords: what shares none of them is not of it."""

    def telling(self, strong: frozenset[str]) -> bool:
        """Whether any example shares two words with these, which are more than question words."""
        return any(len(strong & question) >= 2 for question in self.questions)


@dataclass(frozen=True, slots=True)
class _Index:
    entries: tuple[_Entry, ...]
    weights: dict[str, float]
    sums: dict[frozenset[str], float]
    """Weight of each example question."""
    by_letter: dict[str, tuple[str, ...]]


def _stem(word: str) -> str:
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        return word[:-1]
    return word


def _plain_words(text: str) -> list[str]:
    words: list[str] = []
    for word in _WORD.findall(_A_STILL.sub("distil", text[:_LONGEST_TEXT].lower().replace("’", "'"))):
        if word.endswith("n't"):
            words.append("not")
        elif word not in _PLAIN:
            word = word.split("'")[0]
            words.append(_SAME.get(word, _stem(word)))
    return [word for word in words if word not in _PLAIN]


@cache
def _index() -> _Index:
    path = files("conversations.understanding").joinpath("data", "answers.toml")
    entries: list[_Entry] = []
    for key, row in tomllib.loads(path.read_text(encoding="utf-8")).items():
        questions = tuple(frozenset(_plain_words(question)) for question in row["examples"])
        groups = tuple(frozenset(_stem(word) for word in group.split("|")) for group in row["keywords"])
        entries.append(
            _Entry(
                Answer(
                    key, "\n".join(row["answer"]), row["source"], row.get("caution", ""), bool(row.get("first")), str(row.get("normal", "")),
                    bool(row.get("told") or row.get("first")), frozenset(row.get("instead", ())),
                ),
                tuple(row["examples"]),
                questions,
                groups,
                tuple(row.get("unless", ())),
                0.15 if row.get("first") else 0.0,
                frozenset(row.get("stages", ())),
                frozenset(_stem(word) for word in row.get("needs", ())),
                frozenset().union(*questions, *groups),
            )
        )
    seen: dict[str, int] = {}
    for entry in entries:
        for word in entry.every:
            seen[word] = seen.get(word, 0) + 1
    weights = {word: math.log(1 + len(entries) / count) for word, count in seen.items()}
    weights.update({word: 0.6 for word in weak_words() if word in weights})
    by_letter: dict[str, list[str]] = {}
    for word in sorted(weights):
        if len(word) >= 4:
            by_letter.setdefault(word[0], []).append(word)
    sums = {question: sum(weights[word] for word in question) for entry in entries for question in entry.questions}
    return _Index(tuple(entries), weights, sums, {letter: tuple(words) for letter, words in by_letter.items()})


@lru_cache(maxsize=4096)
def _spelt(word: str) -> str:
    index = _index()
    if word in index.weights or not 5 <= len(word) <= 24:
        return word
    slips = 1 if len(word) < 8 else 2
    found = process.extractOne(word, index.by_letter.get(word[0], ()), scorer=OSA.distance, score_cutoff=slips)
    return word if found is None else str(found[0])


def answers() -> dict[str, Answer]:
    """Every answer by its key, in the order of the data file."""
    return {entry.answer.key: entry.answer for entry in _index().entries}


def examples() -> dict[str, tuple[str, ...]]:
    """The example questions of every answer, by its key."""
    return {entry.answer.key: entry.examples for entry in _index().entries}


def _likeness(words: frozenset[str], weight: float, questions: tuple[frozenset[str], ...], index: _Index) -> float:
    """Weight of the words shared with the likest question over the mean weight of both, 0 to 1."""
    shared = ((question, words & question) for question in questions)
    return max((2 * sum(index.weights[word] for word in both) / (weight + index.sums[question]) for question, both in shared if both), default=0.0)


def find_answer(text: str, stage: str | None = None) -> Answer | None:
    """The short answer that a question asks for, or None when none is near enough.

    Deterministic; reads at most 300 characters. A message with figures must look like a question or name a hazard.
    Where the stage is given, what is only asked at other stages is left out.
    """
    meant = defined(text, certain=False)
    if meant is not None:
        return Answer(meant.key, meant.text, meant.source, "")
    index = _index()
    words = frozenset(_spelt(word) for word in _plain_words(text))
    lowered = text[:_LONGEST_TEXT].lower()
    asking = of_the_trade(lowered) or of_the_trade(without_openings(lowered))
    # "dry hops in" or "mash is 67" tells what was done or read: a record for the session, not a question.
    # Only a hazard ("the dog ate 20 g of hops") is worth an answer then.
    telling = not asking and bool(_FIGURE.search(lowered) or (_DONE.search(lowered) and "not" not in words))
    if _ORDER.search(lowered) or words.isdisjoint(index.weights):
        return None
    # A word never heard of counts fully.
    weight, strong = sum(index.weights.get(word, 2.0) for word in words), words - weak_words()
    best: tuple[float, _Entry] | None = None
    for entry in index.entries:
        if words.isdisjoint(entry.every) or (telling and not entry.answer.told) or any(phrase in lowered for phrase in entry.unless):
            continue
        if (stage is not None and entry.stages and stage not in entry.stages) or (entry.needs and words.isdisjoint(entry.needs)):
            continue
        likeness = _likeness(words, weight, entry.questions, index)
        met = [max((index.weights[word] for word in group & words), default=0.0) for group in entry.groups]
        # Without its keywords an example must share two telling words, or be asked word for word.
        score = 0.65 * likeness if likeness > 0.99 or entry.telling(strong) else 0.0
        if all(met):
            # Meeting every group is half the way at once; rarer words and likeness to an example do the rest.
            score = 0.45 + 0.03 * min(sum(met), 8.0) + 0.5 * likeness + entry.bonus
        if best is None or score > best[0] + 1e-12:
            best = (score, entry)
    if best is None or best[0] < THRESHOLD + (0.0 if asking else 0.05):
        return None
    return best[1].answer
