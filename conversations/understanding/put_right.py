"""Words that put right what was told before ("actually", "only", "I misread the bag"), or say that it is more of it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from conversations.intents import Intent, Measured
from conversations.understanding.of_a_sample import says_only_hot
from conversations.understanding.off_and_on import says_only_on
from conversations.understanding.poured_in import of_the_kettle
from conversations.understanding.water_beside import says_only_where

_CORRECTS = re.compile(
    r"\b(only|actually|really|in fact|in reality|mis-?(read|weighed|heard|typed|took)|mistake|my bad|wrong(ly)?|meant|turns out|turned out|correction|sorry|oops"
    r"|whoops|after all|rather than|instead|not \d|not (just |right )?now|weighs? (in )?at|(just|re-?)checked|(just|re-?)weighed|is short|came up short|ran out)\b",
    re.IGNORECASE,
)
_MORE = re.compile(r"\b(another|add|adding|more|extra(?! pale)|plus|also|as well|too|further|additional|on top|second (lot|bag|packet)|chuck in|throw in)\b", re.IGNORECASE)
_NO_MORE = re.compile(r"\b(no|not|nothing|any) more\b", re.IGNORECASE)
_IN_HAND = re.compile(r"\b((only|just) (have|got)|have (got )?only|(have|has|is|'s|are) .*\bleft|next (time|batch|brew))\b", re.IGNORECASE)
"""What there is, or is to be another time, is nothing that went in."""
_AMOUNTS = ("recipe.grain", "recipe.hop", "done.hops")
_EXCUSE = re.compile(
    r"\W*((sorry|oops|and|but|because|cos|as|so)\W+)?"
    r"((i|we) (had |have )?(mis-?(read|weighed|took|heard)|read|got|mixed up|weighed)( it| that)?( wrong(ly)?)?( the (bag|packet|label|scales?|display|list|recipe|box|jug))?( wrong(ly)?)?"
    r"|((the|my) )?scales? (was|were|are|is) (wrong|off|out|not zeroed|not tared)|wrong (bag|packet|scales?|label)|my (mistake|bad|fault)"
    r"|(i )?forgot to (tare|zero)( it| the scales?)?|that (was|is) wrong|i (was|got it) wrong|the bag (was|is) (short|smaller|not full)|that('s| is| was) all (i|we|there) (had|was|have))\W*",
    re.IGNORECASE,
)


def marked(found: list[tuple[int, Intent]], text: str) -> list[tuple[int, Intent]]:
    """Amounts and additions with "corrects" or "more" under ``told`` where the message says so; the session knows what there is already."""
    if not any(intent.name in _AMOUNTS for _, intent in found):
        return found
    more = _MORE.search(_NO_MORE.sub(" ", text)) is not None
    corrects = _CORRECTS.search(text) is not None and not _IN_HAND.search(text)
    # A list, since what is put right or more of it is no other meaning to the model, and no figure.
    slots = {"told": ["more"]} if more else {"told": ["corrects"]} if corrects else {}
    return [(place, intent.model_copy(update={"slots": {**intent.slots, **slots}}) if _amount(intent) else intent) for place, intent in found]


def _amount(intent: Intent) -> bool:
    return intent.name in _AMOUNTS and bool({"mass", "at"} & intent.slots.keys())


_SEEN_TO = re.compile(
    r"\W*((because|cos|cause|as|since|and|so)\W+)?(i|we|he|she|they|it|that|someone|somebody|(my |the |our )?\w[\w-]*)(['’](s|ve)|s| is| has| have| was)? ?(already |just |all |now )*(been )?(done|did|sorted|seen to|dealt with|finished|handled|over|taken care of|no longer needed)( it| that| them)?( already| now| for me| earlier| just now)?\W*",
    re.IGNORECASE,
)
"""Why a reminder is cancelled."""
_MISREAD = re.compile(
    r"\W*((oh|ah|oops|whoops|sorry|no|wait|hang on|hold on|damn|and|but)\W+)*"
    r"(?P<slip>((i|we)('ve|’ve|ve| have| had)? )?(just |must have )?(mis-?read|misheard|mistyped|mis-?took|read|got|typed|wrote|took)( it| that| this| the (thermometer|hydrometer|stick|scale|dial|display|number|figure)| my (thermometer|hydrometer|stick))?( (all )?wrong(ly)?| (the )?(wrong way (up|round)|upside down|back to front|from the wrong (side|end|line)|off the wrong (side|scale|line)))?"
    r"|(my )?(mistake|fault|slip|error|wrong)|my bad|(typo|slip of the (thumb|finger|tongue))|that (was|is|one was|reading was) (wrong|rubbish|a mistake|a slip|off)|i was wrong|wrong (number|figure|reading))"
    r"(\W+(sorry|oops|silly me|again))*\W*",
    re.IGNORECASE,
)
"""A slip that the brewer owns up to; what was only read or typed, and not wrongly, is none."""
_WRONGLY = re.compile(r"\b(upside down|back to front|mis\w+|mis-\w+|wrong(ly)?|mistake|bad|fault|slip|error|typo|rubbish|off)\b", re.IGNORECASE)


def put_right(found: list[tuple[int, Intent]], unread: tuple[str, ...], last: Intent | None) -> tuple[list[tuple[int, Intent]], tuple[str, ...]]:
    """ "sorry, read that wrong, thermometer says 65.8": the reading before it is put right, and the slip is no piece unread."""
    slips = [piece for piece in unread if _MISREAD.fullmatch(piece) and _WRONGLY.search(piece)]
    if not slips or len(found) != 1 or last is None or last.name != found[0][1].name or not last.name.startswith("reading."):
        return found, unread
    place, told = found[0]
    key = last.name.partition(".")[2]
    if told.slots.keys() != {key} or "at" in last.slots:
        return found, unread
    value = Measured.model_validate(told.slots[key])
    right = Intent(name="correct", slots={"value": value.value, "unit": value.unit}, text=told.text)
    return [(place, right)], tuple(piece for piece in unread if piece not in slips)


def excused(found: Sequence[tuple[int, Intent]], unread: tuple[str, ...], stage: str = "none") -> tuple[str, ...]:
    """The pieces that were not read, without what only says why something is put right, or where water stands beside the pot."""
    if any(intent.name == "unclear.water" for _, intent in found):
        unread = tuple(piece for piece in unread if not says_only_where(piece, stage))
    if any(intent.name == "done.water_added" for _, intent in found):
        unread = tuple(piece for piece in unread if not of_the_kettle(piece))
    if any(intent.name == "unclear.hot_sample" or (intent.name == "reading.gravity" and "temperature" in intent.slots) for _, intent in found):
        unread = tuple(piece for piece in unread if not says_only_hot(piece))
    if found and all(intent.name in ("timer.cancel", "reminder.cancel") for _, intent in found):
        unread = tuple(piece for piece in unread if not _SEEN_TO.fullmatch(piece))
    if any(intent.slots.get("over") for _, intent in found):
        unread = tuple(piece for piece in unread if not says_only_on(piece))
    if not any(intent.slots.get("told") == ["corrects"] or intent.name in ("done.put_in", "recipe.amount", "correct") for _, intent in found):
        return unread
    return tuple(piece for piece in unread if not _EXCUSE.fullmatch(piece))
