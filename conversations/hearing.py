"""From ways of hearing a note to what is done with it: taken, asked about, or not made out.

Pure, and without any sound: the shell brings what an engine heard. How well a sentence is understood, and whether
what it says can be at this stage and beside the last readings, counts as much as the ear.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Literal, NamedTuple

from conversations.intents import Measured, Understanding
from conversations.session import readings
from conversations.session.readings import SLOT
from conversations.session.state import State
from conversations.session.step import context_of
from conversations.session.turn import Turn
from conversations.understanding.numbers import number_items
from conversations.understanding.understand import understand
from conversations.understanding.words import split

Decision = Literal["accept", "ask", "reject"]

NOT_UNDERSTOOD = 0.1
"""What a wording counts that leaves words unread, beside one that is understood whole."""
DOUBTED = 0.1
"""What a reading counts that the session would question: it is more likely a slip of the ear than of the pot."""
ODD = 0.05
"""What a wording counts that nobody says: a bare number to write down, two temperatures in one breath."""
LEAST_TO_ASK = 0.35
"""Share below which asking "did you say" would only puzzle: from 0.15 to 0.45 no right button of the development voices
was lost, and most of what was asked about talk of other things."""
COST_OF_WRONG = {
    "ask": 30.0,
    "note": 84.0,
    "undo": 42.0,
    "yes": 42.0,
    "no": 42.0,
    "correct": 42.0,
    "reading": 33.0,
    "": 30.0,
}
"""What acting on a wrong meaning costs, by intent or its family; asking once costs 1."""
OF_ONE_MIND = 0.3
"""Share of the errors that remains where a second ear understood the same by itself and the first thought of it too."""
CONTRADICTED = 5.0
"""How many times likelier an error is where another ear by itself understood another matter."""
WORTH_A_THOUGHT = 0.15
"""Share of an ear's belief from which it has thought of a meaning by itself."""
SECOND_WORTH_A_BUTTON = 0.12
"""Share that the second meaning needs to be worth a button."""


LEAST_ALIKE = 0.1
"""Share of a meaning's wordings that must have a shape that is said here."""
MISHEARD_PAIR = ("no", "now")
"""First words that an ear cannot tell apart behind a pot, and that turn a correction into a reading: three of the four
wrong ones of the development voices in noise."""


class Alternative(NamedTuple):
    """One way of hearing a note; the confidences of all of them add up to 1 at most.

    ``led`` is the share of the times that the ear listened in which this came first, 0 where it listens once;
    ``like`` tells whether it has the shape of a sentence that people say here.
    """

    text: str
    confidence: float
    led: float = 0.0
    like: bool = True


class Verdict(NamedTuple):
    """What to do with a note: ``text`` is taken as said; ``choices`` are offered instead where it is to be asked."""

    decision: Decision
    text: str
    confidence: float
    choices: tuple[str, ...] = ()


class Ear(NamedTuple):
    """What one engine heard; ``misses`` is the share of notes whose meaning it does not bring at all."""

    alternatives: Sequence[Alternative]
    misses: float = 0.05


class Meaning:
    """Wordings that come to the same, and how sure each ear is of them."""

    def __init__(self, text: str, understanding: Understanding, ears: int) -> None:
        self.text = text
        self.understanding = understanding
        self.sure = [0.0] * ears
        self.led = [0.0] * ears
        self.heard = self.alike = 0.0
        """How sure the ears are of its wordings, and of those that have the shape of a sentence that is said here."""

    @property
    def like(self) -> bool:
        """Whether people say it so: a wording that was hardly heard says nothing of the others."""
        return self.alike > LEAST_ALIKE * self.heard

    @property
    def of_one_mind(self) -> bool:
        """Whether a second ear by itself understood this and the others thought of it too.

        One ear that hears the same each time that it listens is no surer for it: it errs each time alike.
        """
        return len(self.sure) > 1 and self.led[-1] > 0.99 and all(sure >= WORTH_A_THOUGHT for sure in self.sure)

    @property
    def matter(self) -> list[object]:
        """What is done and with which numbers, whatever the names: those an ear often spells in its own way."""
        return [
            [intent.name, sorted(repr(_plain(each)) for each in intent.slots.values() if not isinstance(each, str))]
            for intent in self.understanding.intents
        ]

    @property
    def whole(self) -> bool:
        """Whether nothing of it was left unread."""
        return not self.understanding.unread


def meaning_of(understanding: Understanding) -> str:
    """A key that two wordings share when they say the same; empty where nothing was understood."""
    said = [
        [intent.name, {key: _plain(value) for key, value in intent.slots.items()}] for intent in understanding.intents
    ]
    return json.dumps(said, sort_keys=True) if said else ""


def _plain(value: object) -> object:
    if isinstance(value, Measured):
        return [round(value.value, 4), value.unit]
    if isinstance(value, str):
        return value.lower()
    return round(value, 4) if isinstance(value, float) else value


def settle(ears: Sequence[Ear], state: State, now: datetime) -> Verdict:
    """Decide on what one or more engines heard, by the expected cost of being wrong."""
    found: dict[str, Meaning] = {}
    context = context_of(state, now)
    neither = 1.0
    for number, ear in enumerate(ears):
        weights: dict[str, float] = {}
        heard = sum(each.confidence for each in ear.alternatives)
        doubt = 0.0
        for each in ear.alternatives:
            understanding = understand(each.text, context)
            key = meaning_of(understanding)
            weight = each.confidence
            if not key or understanding.unread:
                weight *= NOT_UNDERSTOOD
            if not key:
                doubt += weight
                continue
            key += " and more" if understanding.unread else ""
            found.setdefault(key, Meaning(each.text, understanding, len(ears)))
            found[key].led[number] += each.led
            found[key].heard += each.confidence
            found[key].alike += each.confidence * each.like
            weights[key] = weights.get(key, 0.0) + weight * plausibility(understanding, state, now)
        total = sum(weights.values()) + doubt
        for key, weight in weights.items():
            found[key].sure[number] = min(1.0, heard) * weight / total
        neither *= 1.0 - sum(min(1.0, heard) * weight / total for weight in weights.values())
    if not found:
        return Verdict("reject", "", 0.0)
    scores = {key: _together(meaning.sure, ears) for key, meaning in found.items()}
    whole = sum(scores.values()) + neither
    ranked = sorted(found, key=lambda key: -scores[key])
    best, share = found[ranked[0]], scores[ranked[0]] / whole
    # An ear that by itself understood another matter makes it doubtful, however sure the other one is.
    against = len(ears) > 1 and any(
        other.whole and other.led[-1] > 0.99 and other.matter != best.matter for other in found.values()
    )
    # Measured: where one meaning has three quarters, it is right more often than that.
    sure = 1 - (1 - share) ** 2 * (CONTRADICTED if against else OF_ONE_MIND if best.of_one_mind else 1.0)
    # "Go forward ten metres" is heard as "go for ten litres", and surely: the model knows no other words.
    twin = _twin(best, found.values())
    if best.whole and best.like and twin is None and (1 - sure) * cost(best.understanding) < 1:
        return Verdict("accept", best.text, sure)
    if share < LEAST_TO_ASK or not best.whole:
        return Verdict("reject", "", sure)
    others = [found[key] for key in ranked[1:2] if scores[key] / whole > SECOND_WORTH_A_BUTTON and found[key].whole]
    others = [twin] if twin is not None else others
    return Verdict("ask", "", sure, (best.text, *(other.text for other in others)))


def _twin(best: Meaning, found: Iterable[Meaning]) -> Meaning | None:
    """What was heard as well and differs in the first word alone, by words that ears take for one another."""
    first, _, rest = best.text.lower().partition(" ")
    if first not in MISHEARD_PAIR:
        return None
    other = MISHEARD_PAIR[first == MISHEARD_PAIR[0]]
    return next((each for each in found if each.whole and each.text.lower() == f"{other} {rest}"), None)


def _together(sure: Sequence[float], ears: Sequence[Ear]) -> float:
    """How sure all ears together are, each taken to err on its own: agreement counts for much."""
    if len(ears) == 1:
        return sure[0]
    return math.prod(max(one, 0.0) + ear.misses for one, ear in zip(sure, ears, strict=True))


def cost(understanding: Understanding) -> float:
    """What acting on it wrongly would cost, in questions that could have been asked instead."""
    return max(
        COST_OF_WRONG.get(intent.name, COST_OF_WRONG.get(intent.name.partition(".")[0], COST_OF_WRONG[""]))
        for intent in understanding.intents
    )


def plausibility(understanding: Understanding, state: State, now: datetime) -> float:
    """How well what was understood goes with the stage, the plan and the last readings: 1 well, less where doubted."""
    turn = Turn(state, now)
    worth = 1.0
    for intent in understanding.intents:
        if intent.name in SLOT:
            value = readings.measured(intent.slots[SLOT[intent.name]])
            if readings.looks_wrong(turn, SLOT[intent.name], value):
                worth *= DOUBTED
        elif intent.name.startswith("unclear.") or (
            intent.name == "note" and any(_only_numbers(value) for value in intent.slots.values())
        ):
            worth *= ODD
    kinds = [intent.name for intent in understanding.intents]
    return worth * ODD ** (len(kinds) - len(set(kinds)))


def _only_numbers(value: object) -> bool:
    return isinstance(value, str) and all(item.kind != "word" for item in number_items(split(value)))
