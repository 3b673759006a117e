"""From ways of hearing a note to what is done with it: taken, asked about, or not made out.

Pure, and without any sound: the shell brings what an engine heard. How well a sentence is understood, and whether
what it says can be at this stage and beside the last readings, counts as much as the ear.
"""

from __future__ import annotations

import json
from collections.abc import Container, Iterable, Sequence
from datetime import datetime
from typing import Literal, NamedTuple

from calc.hops import find_hop
from conversations.intents import Context, Intent, Measured, Understanding
from conversations.recipe.words import known_grain, known_hop
from conversations.session import readings
from conversations.session.addressee import plausible
from conversations.session.readings import SLOT
from conversations.session.state import State
from conversations.session.step import context_of
from conversations.session.turn import Turn
from conversations.understanding.cues import AS_WRITTEN
from conversations.understanding.likely_intent import UNCLEAR, likely
from conversations.understanding.likeness import likeness
from conversations.understanding.match_says import BEFORE_MASH
from conversations.understanding.numbers import number_items
from conversations.understanding.understand import understand
from conversations.understanding.word_for_word import is_word_for_word
from conversations.understanding.words import split

Decision = Literal["accept", "ask", "reject"]

NOT_UNDERSTOOD = 0.02
"""What a wording counts that leaves words unread, beside one that is understood whole: "time table" sounds as "timetable"."""
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
WORDS_BEFORE = 3
"""Words that may stand before a sentence of the data that holds a number: "and the pot's nine and a half inches deep"."""
LEAST_ALIKE = 0.1
"""Share of a meaning's wordings that must have a shape that is said here."""
AGREED = 0.1
"""How many of the errors of two ears remain where both wrote the same words, each without the other: of 435 development
notes no more are taken wrongly than with 1, and seven more rightly."""
_NAMES = frozenset(["name", "old", "new", "was"])
"""Slots that name an ingredient, or what the person calls something."""
OF_INGREDIENTS = ("recipe.amount", "recipe.alpha", "recipe.drop", "recipe.dry_hop", "recipe.grain", "recipe.hop", "recipe.swap", "hops.", "done.hops", "edit.hop_name")
"""Intents whose names are grains and hops: one that the data does not know is more likely a slip of the ear."""
OF_OWN_WORDS = ("note", "tasting", "brew.start", "kit.", "batch.", "diary.", "export.", "picture.")
"""Intents that keep words which may be any, or look for what was once called so: "open the window" opens no batch."""
_ANY_WORDS = frozenset(["name", "text", "a", "b"])
"""Their slots."""
_SORTS = frozenset(["hop", "hops", "malt", "grain", "grains", "extract", "yeast", "rest"])
"""Words that stand for an ingredient without its name."""
MISHEARD_PAIR = ("no", "now")
"""First words that an ear cannot tell apart behind a pot, and that turn a correction into a reading: three of the four
wrong ones of the development voices in noise."""


class Alternative(NamedTuple):
    """One way of hearing a note; the confidences of all of them add up to 1 at most.

    ``like`` tells whether it has the shape of a sentence that people say here, ``agreed`` whether an ear that knows nothing
    of brewing wrote the same.
    """

    text: str
    confidence: float
    like: bool = True
    agreed: bool = False


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
        self.agreed = False
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


def settle(heard: Sequence[Alternative], state: State, now: datetime, errs: float = 1.0) -> Verdict:
    """Decide on what was heard, by the expected cost of being wrong.

    ``errs`` is how many of the errors that the shares of one ear leave remain with the ear that heard.
    """
    found: dict[str, Meaning] = {}
    context = context_of(state, now)
    doubt = 0.0
    for each in heard:
        understanding = understand(each.text, context)
        key = meaning_of(understanding)
        weight = each.confidence * (1.0 if key and not understanding.unread else NOT_UNDERSTOOD)
        if not key:
            doubt += weight
            continue
        meaning = found.setdefault(key + (" and more" if understanding.unread else ""), Meaning(each.text, understanding))
        meaning.weight += weight * plausibility(understanding, state, now)
        meaning.heard += each.confidence
        meaning.alike += each.confidence * each.like
        meaning.agreed |= each.agreed
    there = min(1.0, sum(each.confidence for each in heard))
    if not found or not there:
        return Verdict("reject", "", 0.0)
    ranked = sorted(found.values(), key=lambda meaning: -meaning.weight)
    # What the ear holds for nothing that it brought stays doubt.
    whole = (doubt + sum(meaning.weight for meaning in ranked)) / there
    best, share = ranked[0], ranked[0].weight / whole
    # Measured: where one meaning has three quarters, it is right more often than that.
    sure = 1 - errs * (AGREED if best.agreed else 1.0) * (1 - share) ** 2
    # "Go forward ten metres" is heard as "go for ten litres", and surely: the model knows no other words.
    twin = _twin(best, ranked)
    if best.whole and (best.like or _said_here(best, state, context)) and twin is None and (1 - sure) * cost(best.understanding) < 1:
        return Verdict("accept", best.text, sure)
    if share < LEAST_TO_ASK or not best.whole:
        return Verdict("reject", "", sure)
    others = [each for each in ranked[1:2] if each.weight / whole > SECOND_WORTH_A_BUTTON and each.whole]
    others = [twin] if twin is not None else others
    return Verdict("ask", "", sure, (best.text, *(other.text for other in others)))


def _said_here(best: Meaning, state: State, context: Context) -> bool:
    """Whether a wording whose shape was not drawn stands in the sentences, or the model of likely meanings knows it so."""
    names = {intent.name for intent in best.understanding.intents}
    called = (*context.names, *(batch.name for batch in state.batches), *(kit.name for kit in (*state.kits, state.kit)))
    given = {name.casefold() for name in called}
    if len(names) > 1 or any(_own_words(intent, given) for intent in best.understanding.intents):
        # Words of the person's own may be any, and those of two things are not known together.
        return False
    if best.agreed:
        return True
    if names == {"recipe.volume"} and context.stage not in BEFORE_MASH:
        # The size of the batch is settled once the mash has begun: what is heard so is something else.
        return False
    if is_word_for_word(best.understanding, context):
        return True
    if any(name.startswith(AS_WRITTEN) for name in names):
        return False
    if any(intent.slots for intent in best.understanding.intents):
        # "From eight till four in after" leaves out what makes it the afternoon.
        return _ends_word_for_word(best, context)
    found = likely(likeness(best.text, context), context)
    families = {name if not name.startswith("unclear.") else UNCLEAR for name in names}
    return sum(each.probability for each in found if each.name in families) >= SURELY_SAID


def _ends_word_for_word(best: Meaning, context: Context) -> bool:
    """Whether it is a sentence of the data with a few words before it that change nothing."""
    words, wanted = best.text.split(), meaning_of(best.understanding)
    rests = [understand(" ".join(words[place:]), context) for place in range(1, 1 + min(WORDS_BEFORE, len(words) - 2))]
    return any(meaning_of(rest) == wanted and is_word_for_word(rest, context) for rest in rests)


def _own_words(intent: Intent, given: Container[str]) -> bool:
    """Whether it holds words that may be any and that nothing of this chat is called."""
    return intent.name.startswith(OF_OWN_WORDS) and any(
        key in _ANY_WORDS and isinstance(value, str) and value.casefold() not in given for key, value in intent.slots.items()
    )


def _strange_names(intent: Intent, names: Container[str]) -> int:
    """How many of its names are of no ingredient that the data or the chat knows."""
    if not intent.name.startswith(OF_INGREDIENTS):
        return 0
    said = [value for key, value in intent.slots.items() if key in _NAMES and isinstance(value, str)]
    return sum(
        not (known_hop(name) or known_grain(name) or name.casefold() in names or _SORTS & set(name.casefold().split()))
        for name in said
    )


def _twin(best: Meaning, found: Iterable[Meaning]) -> Meaning | None:
    """What was heard as well and differs in the first word alone, by words that ears take for one another."""
    first, _, rest = best.text.lower().partition(" ")
    if first not in MISHEARD_PAIR:
        return None
    other = MISHEARD_PAIR[first == MISHEARD_PAIR[0]]
    return next((each for each in found if each.whole and each.text.lower() == f"{other} {rest}"), None)


def cost(understanding: Understanding) -> float:
    """What acting on it wrongly would cost, in questions that could have been asked instead."""
    return max(
        COST_OF_WRONG.get(intent.name, COST_OF_WRONG.get(intent.name.partition(".")[0], COST_OF_WRONG[""]))
        for intent in understanding.intents
    )


def plausibility(understanding: Understanding, state: State, now: datetime) -> float:
    """How well what was understood goes with the stage, the plan and the last readings: 1 well, less where doubted."""
    turn = Turn(state, now)
    names = {name.casefold() for name in context_of(state, now).names}
    worth = 1.0
    for intent in understanding.intents:
        if intent.name in SLOT:
            value = readings.measured(intent.slots[SLOT[intent.name]])
            if readings.looks_wrong(turn, SLOT[intent.name], value):
                worth *= DOUBTED
        elif intent.name == "ask.pitch" and isinstance(asked := intent.slots.get("temperature"), Measured):
            # Nobody asks whether yeast may go in at 96 degrees.
            worth *= 1.0 if plausible("pitch", "temperature", asked) else DOUBTED
        elif intent.name.startswith("unclear.") or (
            intent.name == "note" and any(_only_numbers(value) for value in intent.slots.values())
        ):
            worth *= ODD
        worth *= ODD ** _strange_names(intent, names)
    kinds = [intent.name for intent in understanding.intents]
    return worth * ODD ** (len(kinds) - len(set(kinds)))


def _only_numbers(value: object) -> bool:
    return isinstance(value, str) and all(item.kind != "word" for item in number_items(split(value)))
