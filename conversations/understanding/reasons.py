"""An order that stands beside why it is given: "couldn't get any chocolate malt so take the chocolate malt out".

The order must be read whole by itself, and the reason have no figure and nothing that puts the order off, asks or takes it back.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.fitting import has_clock
from conversations.understanding.likeness import WORD, ingredients, some
from conversations.understanding.rows import Placed, row_of
from conversations.understanding.words import LONGEST_TEXT, word_set

Reader = Callable[[str, Context], Understanding]
_LONGEST = 200
_MOST_TRIED = 4
_BEFORE = (None, "plan", "prepare")
_SO = re.compile(r"\s{0,2}(?:[,;.!–—]|\s-\s)+\s*(?:and |so |then )*|\s{1,2}(?:and )?so (?=\w)", re.IGNORECASE)
_WHY = re.compile(
    r"\s{0,2}(?:[,;.!–—]|\s-\s|\b(?:because|cos|cuz|coz|as|since|so that|so(?= (?:i|we) (?:can|could|can't|don't|do not|won't|know)\b))\b)+\s*|\s{1,2}(?=(?:it's|its|it is|i'm|im|i've|ive|i have|i had|i need|i've got|we're|we are|we've|they're|there's|theres|that's|got to|gotta|had to|the \w+(?:'s| is| are)|(?:(?:my|the|our|your) )?(?:phone|phones|phone's|mobile|doorbell|bell|door|door's|baby|baby's|babys|kids?|kid's|wean|weans|dog|dog's|dogs|cat|cat's|cats|someone|someone's|somebody|somebody's|wife|wife's|mum|mum's|postie|postie's|postman|neighbour|delivery|courier)\b|(?:i|we|he|she|they|it) (?:sleep|work|doze|nap|study|ate|was|were|burnt|burned|forgot|dropped|lost|got|left|broke|spilt|spilled|went|fell)|(?:we|they|he|she)'ve)\b)|\s{1,2}(?=(?:he|she|they|we|i|nobody|(?:my|our|the) \w+) (?:doesn't|don't|do not|does not|didn't|can't|cannot|hates?|likes|haven't|hasn't|have no|has no|never)\b)",
    re.IGNORECASE,
)
_NOT_WANTED = re.compile(
    r"\W*(?:he|she|they|we|i|nobody|(?:my|our|the) \w+) (?:really |just )?(?:doesn't|don't|do not|does not|didn't|can't|cannot|hates?|likes|haven't|hasn't|have no|has no) ?(?:really )?(?:like|have|want|stand|eat|drink|get|got|find|need|fancy)?(?: (?:it|them|that|any|enough|any of it|some|the (?:taste|flavour)(?: of it)?))*\W*",
    re.IGNORECASE,
)
"""That somebody does not like a thing, or has none of it, is a reason whatever its words are elsewhere."""
_ASKED_BY = re.compile(
    r"\W*(?:(?:the|my|our) )?(?:wife|husband|missus|partner|girlfriend|boyfriend|other half|mum|dad|family|kids|guests|mates?|friends?|neighbours?|brother|sister|flatmate|she|he|they|everyone)"
    r" (?:says?|wants?|would like|would prefer|prefers?|asks? for|asked for|likes?|fancies|fancy)(?: (?:it|this one|that one|this|them))?(?: to be)? (?P<what>(?!it's|it is|is|was|his|her|their).+)",
    re.IGNORECASE,
)
_SO_THAT = re.compile(r"(?:i|we) (?:can|could|can't|don't|do not|won't|know)\b(?! (?:then|but))", re.IGNORECASE)
"""What is to come of it: "swing tops so I can feel when they're shut"."""
_CLOCK = re.compile(r"\b(timer|alarm|clock)s?\b", re.IGNORECASE)
_IT = re.compile(r"\b(it|that|them|those)\b", re.IGNORECASE)
_HEARSAY = re.compile(r"\b(said|told|says|say|asked|reckons?|thinks?|claims?)\W*$|\b(told|said|asked) (him|her|them|me|us)\b", re.IGNORECASE)


def _words(said: str) -> set[str]:
    return {word.replace("’", "'") for word in WORD.findall(said.lower())}


def _in_doubt(said: str) -> bool:
    return "?" in said or bool(_words(said) & (word_set("no_reason") | some("doubting")))


def _may_be_why(said: str, context: Context, behind: bool) -> bool:
    """Whether words may be a reason: no figure, no question, no condition and nothing in somebody's mouth."""
    words = _words(said)
    if not words or _in_doubt(said) or _HEARSAY.search(said):
        return False
    if behind and _NOT_WANTED.fullmatch(said.replace("’", "'")):
        return True
    if behind and words & word_set("no_reason_behind") and not _SO_THAT.match(said):
        return False
    return not any(item.kind in ("num", "qty", "dur", "clock") and item.said not in ("one", "a", "an", "half") for item in row_of(said, context)[0])


def _pairs(text: str) -> Iterator[tuple[str, str, bool]]:
    """The order, the reason, and whether the reason stands behind: each place where the one may end and the other begin."""
    for cut in _SO.finditer(text):
        yield text[cut.end() :].strip(), text[: cut.start()].strip(), False
    for cut in _WHY.finditer(text):
        yield text[: cut.start()].strip(), text[cut.end() :].strip(), True


def _named(order: str, reason: str) -> str:
    """The order with what the reason names in the place of "it": "can't find the amber malt, swap it for munich"."""
    goods = [word for word in re.finditer(r"[^\W\d_]+", reason) if word.group().lower() in ingredients() | some("nameless") | word_set("grain")]
    runs: list[tuple[int, int]] = []
    for word in goods:
        if runs and not reason[runs[-1][1] : word.start()].strip():
            runs[-1] = (runs[-1][0], word.end())
        else:
            runs.append((word.start(), word.end()))
    if len(runs) != 1:
        return order
    return _IT.sub(reason[slice(*runs[0])], order, count=1)


def _whole(order: str, context: Context, reader: Reader, names: tuple[str, ...]) -> Understanding | None:
    if some("doubting") & {*WORD.findall(order.lower())}:
        return None
    told = reader(order, context)
    if not told.intents or told.unread or not all(each.name.startswith(names) and _of_the_brew(each, context) for each in told.intents):
        return None
    return told


def _of_the_brew(intent: Intent, context: Context) -> bool:
    """Whether what is ordered is of the beer or a clock: "it's late so drop the subject" changes no recipe."""
    if intent.name.startswith("timer."):
        return has_clock(intent, context) and (intent.name != "timer.cancel" or _CLOCK.search(intent.text) is not None)
    if intent.name in ("recipe.drop", "recipe.swap", "recipe.amount"):
        named = str(intent.slots.get("name") or intent.slots.get("old") or "").lower()
        return not named or any(word in ingredients() | some("nameless") | word_set("grain") for word in WORD.findall(named))
    return True


def ordered_for_a_reason(text: str, context: Context, found: Understanding, reader: Reader) -> Understanding | None:
    """What the message orders, read without why; None where nothing is ordered or it was read already."""
    if len(text) > _LONGEST or context.expects is not None or not found.unread:
        return None
    orders = tuple(some("orders_with_reasons"))
    # "Off till Monday so I'm starting a red ale, 11 litres": how much is a part of the order.
    amounts = [each for each in found.intents if context.stage in _BEFORE and each.name in ("reading.volume", "recipe.volume")]
    if not all(each in amounts or each.name.startswith(orders) for each in found.intents):
        return None
    tried = 0
    for order, reason, behind in _pairs(text[:LONGEST_TEXT]):
        if len(WORD.findall(order)) < 2 or len(WORD.findall(reason)) < 2 or not _may_be_why(reason, context, behind):
            continue
        tried += 1
        if tried > _MOST_TRIED:
            break
        told = _whole(order, context, reader, orders)
        if told is None and not behind and (named := _named(order, reason)) != order:
            told = _whole(named, context, reader, ("recipe.swap", "recipe.drop", "recipe.amount"))
        held = [value for each in told.intents for value in each.slots.values()] if told is not None else []
        if any(each.slots["volume"] not in held for each in amounts):
            continue
        if told is not None and len(told.intents) >= len(found.intents):
            return told.model_copy(update={"text": text[:LONGEST_TEXT], "quantities": found.quantities, "unread": ()})
    return _asked_by_another(text, context, found, reader)


def _asked_by_another(text: str, context: Context, found: Understanding, reader: Reader) -> Understanding | None:
    """What somebody at home would like of the recipe: "wife says less bitter"."""
    asked = _ASKED_BY.fullmatch(text.strip(" .!")) if context.stage in ("plan", "prepare") and not found.intents else None
    if asked is None or _in_doubt(asked["what"]):
        return None
    told = _whole(asked["what"], context, reader, ("recipe.bitter", "recipe.strength"))
    return None if told is None else told.model_copy(update={"text": text[:LONGEST_TEXT], "quantities": found.quantities})


def cancelled_with_a_reason(found: list[Placed]) -> list[Placed]:
    """ "Cancel that kettle reminder, my wife's already done it": the reminder is cancelled, and none is asked for."""
    kept: list[Placed] = []
    for place, intent in found:
        before = kept[-1][1] if kept else None
        if before is not None and before.name == "timer.cancel" and intent.name == "unclear.reminder" and intent.text.lower().startswith("reminder"):
            kept[-1] = kept[-1][0], Intent(name="reminder.cancel", slots={"what": before.slots["name"]} if "name" in before.slots else {}, text=f"{before.text} reminder")
        else:
            kept.append((place, intent))
    return kept
