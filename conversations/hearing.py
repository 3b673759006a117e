"""From ways of hearing a note to what is done with it: taken, asked about, or not made out.

Pure, and without any sound: the shell brings what an engine heard. How well a sentence is understood, and whether
what it says can be at this stage and beside the last readings, counts as much as the ear.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Literal, NamedTuple

from calc.hops import find_hop
from conversations.intents import Context, Measured, Understanding
from conversations.session import readings
from conversations.session.readings import SLOT
from conversations.session.state import State
from conversations.session.step import context_of
from conversations.session.turn import Turn
from conversations.understanding.cues import AS_WRITTEN
from conversations.understanding.likely_intent import likely
from conversations.understanding.likeness import likeness
from conversations.understanding.match_says import BEFORE_MASH
from conversations.understanding.numbers import number_items
from conversations.understanding.understand import understand
from conversations.understanding.word_for_word import is_word_for_word
from conversations.understanding.words import split

Decision = Literal["accept", "ask", "reject"]


class Trust(NamedTuple):
    """How far the shares that an ear gives its wordings are to be believed."""

    errs: float
    """How many of the errors that the shares of one ear leave remain."""
    unread: float
    """What a wording counts that leaves words unread, beside one that is understood whole."""
    as_well: float
    """Share of thirteen, thirty or their like from which on the other of the two was heard as well, and is asked about."""


ONE_EAR, ONE_EAR_IN_QUIET = Trust(1.0, 0.1, 0.05), Trust(0.6, 0.05, 0.05)
TWO_EARS, TWO_EARS_IN_NOISE = Trust(0.25, 0.02, 0.003), Trust(0.5, 0.02, 0.003)
"""Chosen on development voices (docs/speech.md): two ears err less, and what they garble is surely garbled. In noise they
err together."""
DOUBTED = 0.1
"""What a reading counts that the session would question: it is more likely a slip of the ear than of the pot."""
ODD = 0.05
"""What a wording counts that nobody says: a bare number to write down, two temperatures in one breath."""
LEAST_TO_ASK = 0.35
"""Share below which asking "did you say" would only puzzle: from 0.15 to 0.45 no right button of the development voices
was lost, and most of what was asked about talk of other things."""
COST_OF_WRONG = {
    "ask": 15.0,
    "diary": 15.0,
    "export": 15.0,
    "picture": 15.0,
    "note": 84.0,
    "undo": 42.0,
    "yes": 42.0,
    "no": 42.0,
    "correct": 42.0,
    "reading": 33.0,
    "": 20.0,
}
"""What acting on a wrong meaning costs, by intent or its family; asking once costs 1. A wrong answer records nothing."""
SECOND_WORTH_A_BUTTON = 0.12
"""Share that the second meaning needs to be worth a button."""
SURELY_SAID = 0.95
"""How likely the model of likely meanings must hold what a wording was understood as, where its shape is unknown: of the
development voices a wording of a right meaning has 0.97 or more, "go for ten litres" in a mash 0.3."""
LEAST_ALIKE = 0.1
"""Share of a meaning's wordings that must have a shape that is said here."""
_NAMES = frozenset(["name", "old", "new", "was"])
"""Slots that name an ingredient."""
MISHEARD_PAIR = ("no", "now")
"""First words that an ear cannot tell apart behind a pot, and that turn a correction into a reading: three of the four
wrong ones of the development voices in noise."""
TEENS = {
    "thirteen": "thirty",
    "fourteen": "forty",
    "fifteen": "fifty",
    "sixteen": "sixty",
    "seventeen": "seventy",
    "eighteen": "eighty",
    "nineteen": "ninety",
}
"""Numbers that are taken for one another, the one by its ten: asked about where both were heard."""
_OTHER_TEEN = TEENS | {ten: teen for teen, ten in TEENS.items()}


class Alternative(NamedTuple):
    """One way of hearing a note; the confidences of all of them add up to 1 at most.

    ``like`` tells whether it has the shape of a sentence that people say here.
    """

    text: str
    confidence: float
    like: bool = True


class Verdict(NamedTuple):
    """What to do with a note: ``text`` is taken as said; ``choices`` are offered instead where it is to be asked."""

    decision: Decision
    text: str
    confidence: float
    choices: tuple[str, ...] = ()


class Meaning:
    """Wordings that come to the same, and how sure the ear is of them."""

    def __init__(self, text: str, understanding: Understanding) -> None:
        self.text = text
        self.understanding = understanding
        self.weight = self.heard = self.alike = 0.0
        """What it counts, how sure the ear is of its wordings, and of those with the shape of a sentence that is said here."""

    @property
    def like(self) -> bool:
        """Whether people say it so: a wording that was hardly heard says nothing of the others."""
        return self.alike > LEAST_ALIKE * self.heard

    @property
    def whole(self) -> bool:
        """Whether nothing of it was left unread."""
        return not self.understanding.unread


def meaning_of(understanding: Understanding) -> str:
    """A key that two wordings share when they say the same; empty where nothing was understood."""
    said = [
        [intent.name, {key: _plain(value, key) for key, value in intent.slots.items()}] for intent in understanding.intents
    ]
    return json.dumps(said, sort_keys=True) if said else ""


def _plain(value: object, key: str) -> object:
    if isinstance(value, Measured):
        return [round(value.value, 4), value.unit]
    if isinstance(value, str):
        # "Fuggle" and "Fuggles" are one hop.
        hop = find_hop(value) if key in _NAMES else None
        return (hop.name if hop is not None else value).lower()
    return round(value, 4) if isinstance(value, float) else value


def settle(heard: Sequence[Alternative], state: State, now: datetime, trust: Trust = ONE_EAR) -> Verdict:
    """Decide on what was heard, by the expected cost of being wrong; ``trust`` is that in the ear that heard."""
    found: dict[str, Meaning] = {}
    context = context_of(state, now)
    doubt = 0.0
    for each in heard:
        understanding = understand(each.text, context)
        key = meaning_of(understanding)
        weight = each.confidence * (1.0 if key and not understanding.unread else trust.unread)
        if not key:
            doubt += weight
            continue
        meaning = found.setdefault(key + (" and more" if understanding.unread else ""), Meaning(each.text, understanding))
        meaning.weight += weight * plausibility(understanding, state, now)
        meaning.heard += each.confidence
        meaning.alike += each.confidence * each.like
    there = min(1.0, sum(each.confidence for each in heard))
    if not found or not there:
        return Verdict("reject", "", 0.0)
    ranked = sorted(found.values(), key=lambda meaning: -meaning.weight)
    # What the ear holds for nothing that it brought stays doubt.
    whole = (doubt + sum(meaning.weight for meaning in ranked)) / there
    best, share = ranked[0], ranked[0].weight / whole
    # Measured: where one meaning has three quarters, it is right more often than that.
    sure = 1 - trust.errs * (1 - share) ** 2
    # "Go forward ten metres" is heard as "go for ten litres", and surely: the model knows no other words.
    twin = _twin(best, found, context, trust)
    if best.whole and (best.like or _said_here(best, context)) and twin is None and (1 - sure) * cost(best.understanding) < 1:
        return Verdict("accept", best.text, sure)
    if share < LEAST_TO_ASK or not best.whole:
        return Verdict("reject", "", sure)
    others = [each for each in ranked[1:2] if each.weight / whole > SECOND_WORTH_A_BUTTON and each.whole]
    others = [twin] if twin is not None else others
    return Verdict("ask", "", sure, (best.text, *(other.text for other in others)))


def _said_here(best: Meaning, context: Context) -> bool:
    """Whether a wording whose shape was not drawn stands in the sentences, or the model of likely meanings knows it so."""
    names = {intent.name for intent in best.understanding.intents}
    if len(names) > 1 or any(name.startswith(("note", *AS_WRITTEN)) for name in names):
        # Words of the person's own may be any, and those of two things are not known together.
        return False
    # The size of the batch is settled once the mash has begun: what is heard so is something else.
    if is_word_for_word(best.understanding, context) and not (names == {"recipe.volume"} and context.stage not in BEFORE_MASH):
        return True
    found = likely(likeness(best.text, context), context)
    return sum(each.probability for each in found if each.name in names) >= SURELY_SAID


def _twin(best: Meaning, found: Mapping[str, Meaning], context: Context, trust: Trust) -> Meaning | None:
    """What was heard as well and differs in one word alone, by words that ears take for one another."""
    first, *rest = best.text.lower().split()
    if first in MISHEARD_PAIR:
        other = " ".join([MISHEARD_PAIR[first == MISHEARD_PAIR[0]], *rest])
        return next((each for each in found.values() if each.whole and each.text.lower() == other), None)
    for other in twins_of(best.text.lower()):
        twin = found.get(meaning_of(understand(other, context)))
        if twin is not None and twin is not best and twin.whole and twin.weight >= trust.as_well * best.weight:
            return twin
    return None


def twins_of(text: str) -> list[str]:
    """The wording with thirteen for thirty or their like, one at a time.

    >>> twins_of("thirty minutes at fifteen")
    ['thirteen minutes at fifteen', 'thirty minutes at fifty']
    """
    row = text.split()
    return [" ".join([*row[:place], _OTHER_TEEN[word], *row[place + 1 :]]) for place, word in enumerate(row) if word in _OTHER_TEEN]


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
