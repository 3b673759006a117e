"""A second of the same with its words left out: "a timer for 20 minutes for the fish and one for 5 minutes for the peas".

The words are put back and the message must then be read whole, every part as the same; a second whose first was not read,
as it is asked or only wished for, is none either.
"""

from __future__ import annotations

import re

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.rows import row_of
from conversations.understanding.understand import understand
from conversations.understanding.words import LONGEST_TEXT

_LONGEST = 240
_LISTED = ("timer.start", "recipe.grain", "recipe.hop", "bottle.count")
_LINK = r"(?:,? (?:and|plus)(?: then| also)?|,? then|,)"
_ANOTHER_CLOCK = re.compile(rf"(?<=\w){_LINK} (?:another(?: one)?|one|a second(?: one)?) (?=for\b|of\b|called\b)", re.IGNORECASE)
_CLOCK = re.compile(r"\b(timer|alarm)s?\b", re.IGNORECASE)
_ONE_CLOCK = re.compile(r"(?:^\W*|(?<=set )|(?<=me )|(?<=need )|(?<=want )|(?<=start )|(?<=[,:] )|(?<=please ))(?:one|1) (?=(?!and\b|hour|minute)(?:[\w.]+ ){0,3}(?:timer|alarm)\b)", re.IGNORECASE)
_SO_LONG_A_ONE = re.compile(rf"(?<=\w){_LINK} (?:a|an|another) (?P<length>[\w.]+(?:[ -](?:and a half )?(?:min|mins|minute|minutes|hour|hours|second|seconds|sec|secs))) (?:one|timer|alarm) (?=for\b|of\b|called\b|on\b)", re.IGNORECASE)
_SO_MANY_CLOCKS = re.compile(r"\b(?P<count>two|three|four|2|3|4) (?:timers|alarms)(?:\W+for)?\W+(?P<lengths>\w+(?:(?:[ ,]+| and )+\w+){1,4}?) (?P<unit>min|mins|minutes)\b", re.IGNORECASE)
_COUNTS = {"two": 2, "three": 3, "four": 4}
_THEN = re.compile(r"(?<=\w),? (?:and then|then|plus|followed by) (?=\d|(?:a|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty)\b)", re.IGNORECASE)
_BOTTLES = re.compile(rf"\bbottles of (?P<first>[^,]+?)(?P<link>{_LINK}) (?P<count>[\w-]+) of (?P<second>[\w .-]+?)(?P<end>[.!]?)$", re.IGNORECASE)
_APART = re.compile(r"[,.;!?]|\b(?:and|then|plus)\b", re.IGNORECASE)
_LINKED = re.compile(r"(\b(and|then|plus)\W*)+$", re.IGNORECASE)
_LEADS_TO = re.compile(r"^\s*(?:for|as for) the (?:hops|malts?|grain|bottles)\W+", re.IGNORECASE)


def _unit(text: str, context: Context) -> str:
    """The unit of the only volume in a text, as it was said."""
    spans = [span for span in row_of(text, context)[1] if span.unit != "dimensionless"]
    return spans[0].text.split()[-1] if len(spans) == 1 and " " in spans[0].text else ""


def _put_back(text: str, context: Context) -> str:
    """The message with the words of the first put into the second, or as it was."""
    if (found := _SO_MANY_CLOCKS.search(text)) is not None:
        # "three timers, five ten and fifteen minutes": a run of as many figures as there are clocks.
        lengths = [each for each in re.findall(r"\w+", found["lengths"]) if each.lower() != "and"]
        if len(lengths) == _COUNTS.get(found["count"].lower(), int(found["count"]) if found["count"].isdigit() else 0):
            return f"{text[: found.start()]}timers for {', '.join(lengths[:-1])} and {lengths[-1]} {found['unit']}{text[found.end() :]}"
    if _CLOCK.search(text) and (found := _SO_LONG_A_ONE.search(text)) is not None and _CLOCK.search(text[: found.start()]):
        return _SO_LONG_A_ONE.sub(r". Set a \g<length> timer ", _ONE_CLOCK.sub("a ", text, count=1))
    if _CLOCK.search(text) and (found := _ANOTHER_CLOCK.search(text)) is not None and _CLOCK.search(text[: found.start()]):
        return _ANOTHER_CLOCK.sub(". Set a timer ", _ONE_CLOCK.sub("a ", text, count=1))
    if (found := _BOTTLES.search(text)) is not None:
        second, unit = found["second"], _unit(found["first"], context)
        volumes = [span for span in row_of(second, context)[1] if span.unit != "dimensionless"]
        if unit and not volumes:
            second = f"{second} {unit}"
        return f"{text[: found.start('link')]}. {found['count']} bottles of {second}"
    if _THEN.search(text):
        return _THEN.sub(". ", _LEADS_TO.sub("", text))
    return text


def _figures(found: Understanding) -> int:
    return sum(len({*each.slots} - {"name", "told"}) for each in found.intents)


def second_of_the_same(text: str, found: Understanding, context: Context) -> Understanding | None:
    """The message read with the words put back, where that reads all of it and more than before; None elsewhere."""
    if len(text) > _LONGEST or context.expects is not None:
        return None
    whole = _put_back(text, context)
    if whole == text:
        return None
    told = understand(whole, context)
    names = {each.name for each in told.intents}
    if told.unread or len(told.intents) < 2 or len(names) != 1 or not names <= {*_LISTED}:
        return None
    more = _figures(told) - _figures(found)
    if more < 0 or (more == 0 and not _ONE_CLOCK.search(text) and {each.name for each in found.intents} != {*names, "ask.next"}):
        # "and then" asks for the next step only where nothing more is told.
        return None
    return told.model_copy(update={"text": text[:LONGEST_TEXT], "quantities": found.quantities})


def _orphan(intent: Intent, found: Understanding, context: Context) -> bool:
    """Whether an intent is linked to a piece with a figure that was not read, and has no words of its own."""
    begin = found.text.find(intent.text)
    ahead = found.text[: max(0, begin)]
    linked = _LINKED.search(ahead)
    before = ahead[: linked.start()].rstrip(" ,") if linked else ""
    if intent.name not in _LISTED or begin < 0:
        return False
    for piece in found.unread:
        if any(each is not intent and each.name == intent.name and each.text in piece for each in found.intents):
            # The first was read, though a word beside it was not.
            continue
        whole = piece.rstrip(" ,")
        inside = intent.name == "timer.start" and intent.text in piece and not _CLOCK.search(found.text)
        begun = re.match(r"(and|plus|then)\b", intent.text, re.IGNORECASE) is not None and ahead.rstrip(" ,").endswith(whole)
        # "do I need one timer for ten and another for twenty": what stands in the breath before it was not read.
        joined = ahead.rstrip(" ,") if re.match(r"(and|plus|then)\b", intent.text, re.IGNORECASE) else before
        breath = _APART.split(joined)[-1]
        asked = piece in breath and not any(each.text in breath for each in found.intents if each is not intent)
        if asked and row_of(breath, context)[1]:
            return True
        if (inside or begun or (before and before.endswith(whole))) and row_of(piece, context)[1]:
            return True
    return False


def without_orphans(found: Understanding, context: Context) -> Understanding:
    """What was read without seconds whose first was not read: "I need 12 bottles of 500 ml and 3 of 330" counts none."""
    if not found.unread or not found.intents:
        return found
    kept = tuple(each for each in found.intents if not _orphan(each, found, context))
    if len(kept) == len(found.intents):
        return found
    lost = tuple(each.text for each in found.intents if each not in kept and all(each.text not in piece for piece in found.unread))
    return found.model_copy(update={"intents": kept, "unread": (*found.unread, *lost)})
