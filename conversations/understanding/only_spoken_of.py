"""What is only spoken of and not told: an amount that is judged, a clock that somebody else has, a swap in the household."""

from __future__ import annotations

import re

from conversations.intents import Intent

_AMOUNTS = ("recipe.grain", "recipe.hop", "recipe.yeast", "recipe.volume", "done.hops", "recipe.amount")
_ADVERBS = r"((a bit|bit|way|far|much|rather|quite|really|just|probably|surely|maybe|perhaps|only|already|not|nowhere near|more than) ){0,3}"
_JUDGED = re.compile(
    rf"((\b(is|are|was|were|seems?|sounds?|looks?|feels?)|['’]s|\b(would|will|might|may|could) be) {_ADVERBS}"
    r"(too (much|many|little|few|strong|high|low|heavy|dear|expensive|weak|hoppy|bitter|dark)|a (lot|bit much|bit low|bit high|bit little|bit mean)|lots|loads|plenty|enough|excessive|overkill|over the top|silly|daft|ridiculous|stingy|steep|pricey|expensive)\b"
    rf"|[a-z]+ {_ADVERBS}(too (much|little|many|few)|not enough)\W*$)",
    re.IGNORECASE,
)
"""What is thought of an amount, in one breath with it."""
_BREATH = re.compile(r"[,;!?]|\.(?!\d)| and | but ")
_ORDERS = re.compile(r"\b(remind|ping|nudge|alert|warn|wake|call|shout|buzz|set|start|make|add|create|give|need|want|put|run)\b", re.IGNORECASE)
_ANOTHERS_CLOCK = re.compile(
    r"\b(phone|mobile|watch|smartwatch|calendar|diary|tablet|laptop|computer|speaker|oven|cooker|microwave|fridge|washing machine|dishwasher|wife|husband|partner|mum|dad|daughter|son|kids?|boss|mate|neighbour|school|work|office|dentist|doctor)"
    r"(['’]?s)?( already| also| still| only)? (has|have|had|got|gives|gave|sends|sent|keeps|kept|shows|showed|rings|rang|beeps|beeped|sets|set) (me |us |him |her |itself )?(a |an |the |its |his |her |another |their )?(own )?(\w+ )?(reminder|alarm|timer|clock|beep|alert)\b"
    r"|\b(he|she|it|they|(my|the|his|her|their|our|your) \w+)( already| also| still)?( has| have| had|['’]s got|['’]ve got)( got)? (a |an |the |his |her |its |their )(own )?(\w+ )?(reminder|alarm|timer)\b",
    re.IGNORECASE,
)
_NO_CLOCK = frozenset({"meter", "parking", "ticket", "bill", "rent", "bet", "loan", "mortgage", "score", "guest", "list"})
_OF_THE_HOUSE = frozenset({"cat", "cats", "dog", "dogs", "kid", "kids", "baby", "bin", "bins", "rubbish", "washing", "dishes", "hoover", "lights", "telly", "car", "bus", "train", "pizza", "takeaway"})
_PERSONS = frozenset({"he", "she", "they", "mum", "dad", "wife", "husband", "son", "daughter", "neighbour", "neighbours", "boss", "mate", "prices", "price", "weather", "rain", "wind", "storm", "temper"})
_NO_PART = re.compile(r"^(put|take|let|bring|ring|call|go|get|walk|feed|turn|wash|empty|switch|open|close|shut|fetch|move|send)\b", re.IGNORECASE)
"""A thing to do is no part of a recipe."""


def only_spoken_of(text: str, intent: Intent) -> bool:
    """Whether what was found is only spoken of.

    >>> malt = Intent(name="recipe.grain", text="1.6 kg pale malt")
    >>> only_spoken_of("1.6 kg pale malt is too much", malt), only_spoken_of("1.6 kg pale malt, I think", malt)
    (True, False)
    >>> only_spoken_of("my phone has a reminder at 9", Intent(name="reminder.set", text="reminder at 9"))
    True
    """
    if intent.name in _AMOUNTS:
        at = text.find(intent.text)
        return at >= 0 and _JUDGED.search(_BREATH.split(text[at:], maxsplit=1)[0]) is not None
    if intent.name in ("reminder.set", "timer.start", "unclear.reminder", "unclear.timer"):
        return _ANOTHERS_CLOCK.search(text) is not None and _ORDERS.search(intent.text) is None
    if intent.name in ("timer.extend", "timer.shorten", "timer.change"):
        return not _NO_CLOCK.isdisjoint(str(intent.slots.get("name", "")).lower().split())
    if intent.name == "look.foam_down":
        return not (_OF_THE_HOUSE | _PERSONS).isdisjoint(re.split(r"[^a-z]+", text.lower()))
    if intent.name == "recipe.swap":
        return any(_NO_PART.match(said) or _OF_THE_HOUSE & set(said.lower().split()) for said in (str(intent.slots.get(key, "")) for key in ("old", "new")))
    return False
