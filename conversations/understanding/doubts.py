"""Whether what the sentences read is what is meant, by what the model of likely meanings says of the whole message."""

from __future__ import annotations

import re
from itertools import pairwise

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.asking import asks_for_certain, has_question_word
from conversations.understanding.cues import AS_WRITTEN, HARMLESS
from conversations.understanding.in_parts import takes_figures
from conversations.understanding.likely_intent import NO_INTENT, NOTHING, SEVERAL, UNCLEAR, Likely
from conversations.understanding.likeness import WORD, settings, some

_OF_ANOTHER = ("reading.mass", "reading.volume")
"""Amounts that may belong to what stands beside them: "fuggles gone in, 15 g"."""
_WITHOUT_AMOUNT = ("reading.", "done.boiling", "done.chilled", "done.flame_out", "done.stirred", "done.bag_out", "done.squeezed", "done.transferred", "look.")
"""What has none."""
_WITH_A_FIGURE = ("done.chilled", "done.chilling", "done.transferred")
"""What "it is cooled down to 18 degrees" and "it's in the fermenter 8.8 litres" tell beside what they read."""
_CANCELS = re.compile(r"(please )?cancel (the|my|that) \w+( please)?", re.IGNORECASE)
_ASKED_TOO = re.compile(r"^[^.,;:!?]*\band (?:then )?(?:(?:the|my|all|some) )*[\w'-]+ (?:go |goes |put |come |be )?(?:in|on|out|off|over)(?: now| then| yet| together| at the (?:very )?same (?:time|moment))?\W*$", re.IGNORECASE)
"""How what is asked goes on behind "and", with no subject of its own that tells."""
_HOPED_RIGHT = re.compile(r"\b(hope|think|reckon|guess) (that|it)(['’]?s| is) (right|ok|okay|all right|alright|fine|good|enough)\W*$", re.IGNORECASE)
"""Who asks whether what was measured is as it should be has measured it."""
_BETWEEN = re.compile(r"[.,;:!?]|\b(and|then|so|but)\b", re.IGNORECASE)
_LOOKED_AT = ("look.", "done.", "bottle.found")
_LONG_NAME = 2
"""Blanks in a name that is none of a clock."""
_PUT_RIGHT = ("correct", "edit.", "undo")
_CLOCKS = ("timer.start", "reminder.set", "snooze")
_NOT_KEPT = (*HARMLESS, "yes", "no", "unclear.", "edit.", "correct")
"""What keeps nothing new."""

_SPOKEN_OF = {
    "recipe.bitter": re.compile(r"bitter|hop|ibu|\b(bite|sharp|sharper|harsh|softer|smoother|mellow|mellower)\b", re.IGNORECASE),
    "reminder.cancel": re.compile(r"cancel|forget|stop|\bmind\b|scrap|delet|remov|drop|skip|\b(no|not|off|done|did|bin|ditch|kill|lose|clear|without|already|sorted|don['’]?t|needn['’]?t)\b", re.IGNORECASE),
}
"""Words of which one is said where these are meant."""


def doubtful(found: Understanding, first: Likely, every: tuple[Likely, ...], left: float, context: Context) -> bool:
    """Whether what was read is better asked about than recorded."""
    if _HOPED_RIGHT.search(found.text):
        # "66 degrees, I hope that's right"
        return False
    page = settings()
    if context.stage == "plan" and found.unread and any(each.name == "reading.volume" for each in found.intents):
        # "Let's do a bitter, 9 litres": there is nothing to measure yet, and who knows what the rest was.
        return True
    if not first.name.startswith(HARMLESS) and _contradicted(found, first, left):
        # "Got 300 g wheat malt left from last time" is hardly of the recipe, though of the stock in doubt only.
        return True
    if asks_for_certain(found.text) and _ASKED_TOO.search(found.text) and any(each.name.startswith("done.") for each in found.intents):
        # "Should the gas go off and the hops in"
        return True
    if found.unread and share(every, NOTHING) >= page["sure_all_talk"] and left < page["hardly_several"] and not any(each.slots for each in found.intents) and any(each.name.startswith(_LOOKED_AT) for each in found.intents):
        # "My uncle made palm wine back home, no thermometer nothing"
        return True
    strange = [each for each in found.intents if each.name == "timer.cancel" and _strange(each, context)]
    if strange and any(map(long_named, found.intents)):
        # "Cancel the rice timer everybody hates dumplings"
        return True
    if all(each.name.startswith((*_NOT_KEPT, *AS_WRITTEN)) for each in found.intents):
        return False
    if strange:
        return left < float(page["disowned_name"])
    # Nobody who says it so means that.
    several = 0.0 if len(found.intents) > 1 or found.unread else share(every, SEVERAL)
    # "Misread that, pot is at 70": whether it puts right or tells, a reading is told.
    put_right = share(every, "correct") if all(each.name.startswith("reading.") for each in found.intents) else 0.0
    return left + several + put_right < float(page["disowned"])


def _contradicted(found: Understanding, first: Likely, left: float) -> bool:
    """Whether the one thing that was read is hardly what is meant, and another almost surely."""
    page = settings()
    kept = [each for each in found.intents if not each.name.startswith((*_NOT_KEPT, *AS_WRITTEN))]
    if first.name == NOTHING:
        # "Fingers crossed it'll be 1.046 or so"
        return bool(kept) and first.probability >= page["contradicted_by_talk"] and left < page["contradicted_by_talk_left"]
    sure = first.probability >= page["contradicts"] and first.name not in NO_INTENT and not first.name.startswith(_PUT_RIGHT)
    # A shout in so many minutes may be a timer or a reminder.
    alike = first.name.startswith(_CLOCKS) and all(each.name.startswith(_CLOCKS) for each in kept)
    return sure and not alike and left < page["contradicted"] and len(found.intents) == len(kept) == 1 and not _named_beer(found)


def _named_beer(found: Understanding) -> bool:
    """Whether a brew is begun with its name, its style and its litres: "I want to get a stout going ten litres" is of no other volume."""
    begun = found.intents[0]
    styled = any(word in some("styles") for word in str(begun.slots.get("name", "")).lower().split())
    return begun.name == "brew.start" and "volume" in begun.slots and styled and not found.unread


def apart(found: Understanding) -> bool:
    """Whether all that was read stands in clauses of its own, with a stop or a joint between: "flame off, pot is in the sink"."""
    first, *others = found.intents
    if first.name in _WITH_A_FIGURE and all(each.name.startswith("reading.") for each in others) and not found.unread:
        return True
    asked = [each for each in found.intents if each.name.startswith("ask.")]
    only_read = all(each.name.startswith(_WITHOUT_AMOUNT) or (asked == [each] and _asked_apart(each)) for each in found.intents)
    if found.unread or (not only_read and any(each.name in _OF_ANOTHER for each in found.intents)):
        return False
    places = sorted((found.text.find(each.text), each.text) for each in found.intents)
    for (start, said), (behind, more) in pairwise(places):
        between = found.text[start + len(said) : behind] + " " + more.partition(" ")[0]
        if start < 0 or behind < start + len(said) or (_BETWEEN.search(between) is None and not (only_read and has_question_word(more.partition(" ")[0]))):
            return False
    return True


def _asked_apart(intent: Intent) -> bool:
    """Whether a question begins as one and wants no figure of what stands before it: "water's at 70, what's the strike temperature"."""
    return intent.name.startswith("ask.") and not takes_figures(intent.name) and not intent.slots and has_question_word(intent.text)


def has_its_word(name: str, text: str) -> bool:
    """Whether a message has one of the words without which some things are not meant: "theres a bit more now" is of no bitterness.

    >>> has_its_word("reminder.cancel", "I need to be reminded about the bottles"), has_its_word("reminder.cancel", "forget the bottles")
    (False, True)
    """
    return name not in _SPOKEN_OF or _SPOKEN_OF[name].search(text) is not None


def share(every: tuple[Likely, ...], name: str) -> float:
    """What the model gives to one name, whatever the slots."""
    return sum(each.probability for each in every if each.name == name)


def _strange(intent: Intent, context: Context) -> bool:
    """Whether a clock is named that there is none of, and no reminder is of either: "stop pulling your sister's hair"."""
    name = str(intent.slots.get("name", "")).lower()
    if _CANCELS.fullmatch(intent.text.strip(" .!")):
        # Nobody says "cancel" to a child.
        return False
    reminded = {word for text in context.reminded_of for word in WORD.findall(text.lower())}
    return bool(name) and name not in {each.lower() for each in context.names} and not {*name.split()} <= reminded


def long_named(intent: Intent) -> bool:
    """Whether a clock would have a name of many words."""
    return str(intent.slots.get("name", "")).count(" ") >= _LONG_NAME


def left_to(found: Understanding, every: tuple[Likely, ...]) -> float:
    """What the model gives to what the sentences read: next to nothing in "hw much of the sachet do i need, 6 l of 1.052"."""
    read_as = {intent.name for intent in found.intents}
    allowed = read_as | ({SEVERAL} if len(found.intents) > 1 or found.unread else set()) | {UNCLEAR}
    if any(name.startswith("recipe.") for name in read_as):
        # An amount that is put right says the same in all of these.
        allowed |= some("amounts_put_right")
    return sum(each.probability for each in every if each.name in allowed or each.name.startswith("again."))
