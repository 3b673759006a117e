"""What is told of a gravity sample in its jar, which is not the pot: its temperature, that it was cooled, that it is hot."""

from __future__ import annotations

import re

from conversations.intents import Intent, Measured
from conversations.understanding.rows import Placed

_HOT_WORT = frozenset({"mash", "drain", "top_up", "boil", "steep", "chill"})
_COLD_BEER = frozenset({"ferment", "bottle", "condition"})
_SAMPLE = re.compile(r"\bsample\b", re.IGNORECASE)
_PLACES = re.compile(r"mash|wort|pot|pan|kettle|fermenter|bucket|room|water|beer|thermometer|temp", re.IGNORECASE)
_JAR = r"(samples?|(hydrometer|test|trial|sample) (jar|tube|glass))"
_JAR_COOLED = re.compile(
    rf"\b(cooled|cooling|chilled|let) (down )?((the|my|a|this|that|its|our) )?{_JAR}\b|\b{_JAR}((['’]?s| is| has| was)?( now| been| finally)*) (cooled|chilled|cool|cold)\b",
    re.IGNORECASE,
)
_POT_COOLED = re.compile(r"\b(wort|pot|batch|kettle|brew|everything|all of it)((['’]?s| is| has| was)?( now| been)*) (cooled|chilled|cool|cold)\b|\b(cooled|chilled) (the|my) (wort|pot|batch|kettle|brew)\b", re.IGNORECASE)
_READ_AT = re.compile(
    rf"\b(but|though|although|only|however|mind( you)?|and),? ((it|that|this|which|they)(['’]?s| was| is| were)|(the |my )?{_JAR}(['’]?s| was| is)|(taken|read|measured))"
    r"( (still|read|taken|measured|about|around|roughly|only|already|at|warm|hot|very|too|quite|really|pretty|bit|a bit|something like|like|maybe|say|probably|straight from the pot|steaming)\b[,:–-]*)* (?=\d|[a-z]+ degrees)",
    re.IGNORECASE,
)
"""How somebody goes on from a gravity to what it was read at; "and it is" may go on to the pot."""
_HOW_HOT = r"((still|very|too|quite|rather|pretty|really|a bit|bit|a little|piping|straight|steaming|bloody|damn|absolutely|while|when|but|though|read|taken|measured|it['’]?s|it is|it was|was|is|and|that['’]?s|that was|(the |a )?sample(['’]s| is| was)?) ?)*"
_HOT_BEHIND = re.compile(rf"\W{{0,3}}{_HOW_HOT}(?P<hot>hot|scalding|boiling|steaming|warm|lukewarm|straight (from|out of) the (pot|boil|kettle|mash))\b(?! (?!(at|about|around|roughly|maybe|like|say) \d|sample\b)\w+)(\W*$| (at|about|around|roughly|maybe|like|say) \d| sample\b|\W*[,.;!])", re.IGNORECASE)
_HOT_SAMPLE = re.compile(r"\b(hot|warm|uncooled) (sample|reading|gravity)\b|\bsample (is |was |['’]s )?(still |too |very )*(hot|warm)\b", re.IGNORECASE)
_NOT_HOT = re.compile(r"\b(not|no longer|isn['’]?t|wasn['’]?t|never|nothing) (\w+ )?(hot|warm)\b", re.IGNORECASE)


def of_a_sample(found: list[Placed], clause: list[int], stage: str | None, text: str) -> list[Placed]:
    """The intents of a message with what belongs to the sample taken from the pot."""
    cooled = any(each.name == "done.chilled" for _, each in found) and _JAR_COOLED.search(text) is not None and not _POT_COOLED.search(text)
    if cooled:
        found = [pair if pair[1].name != "done.chilled" else (pair[0], Intent(name="unclear.sample", text=pair[1].text)) for pair in found]
    found = _with_its_temperature(found, clause, cooled or _READ_AT.search(text) is not None)
    if stage in _HOT_WORT | _COLD_BEER:
        # The mash is not what a sample in its jar is.
        name = "unclear.sample" if stage in _HOT_WORT else "edit.sample"
        found = [(place, each.model_copy(update={"name": name}) if each.name == "reading.temperature" and _SAMPLE.search(each.text) else each) for place, each in found]
    if any(each.name.startswith("reading.gravity") or (each.name == "unclear.sample" and each.slots) for _, each in found):
        found = [pair for pair in found if pair[1].name != "unclear.sample" or pair[1].slots]
    return [(place, _read_hot(each, stage, text)) for place, each in found]


def _with_its_temperature(found: list[Placed], clause: list[int], said_of_it: bool) -> list[Placed]:
    """ "it's come out at 1.041, with the sample at 38 degrees": one reading of gravity and what it was taken at.

    So is a temperature in the same clause that is said of nothing else, or one that is told of the reading ("but it was at 58").
    """
    kept: list[Placed] = []
    for place, intent in found:
        before = kept[-1][1] if kept else None
        beside = before is not None and (said_of_it or clause[kept[-1][0]] == clause[place])
        its_own = "sample" in intent.text.lower() or (beside and not _PLACES.search(intent.text))
        if before is not None and intent.name == "reading.temperature" and "at" not in intent.slots and _lacks_one(before) and its_own:
            kept[-1] = kept[-1][0], _joined(before, intent.slots["temperature"], f"{before.text}, {intent.text}")
            continue
        if before is not None and before.name == "reading.temperature" and "sample" in before.text.lower() and _lacks_one(intent):
            kept[-1] = kept[-1][0], _joined(intent, before.slots["temperature"], f"{before.text}, {intent.text}")
            continue
        kept.append((place, intent))
    return kept


def _lacks_one(intent: Intent) -> bool:
    return intent.name == "reading.gravity" and "temperature" not in intent.slots


def _joined(gravity: Intent, temperature: Measured, text: str) -> Intent:
    return gravity.model_copy(update={"slots": {**gravity.slots, "temperature": temperature}, "text": text})


def _read_hot(intent: Intent, stage: str | None, text: str) -> Intent:
    """ "1.040 hot": no gravity can be taken from it before somebody says how hot."""
    if not _lacks_one(intent) or "by" in intent.slots or not said_hot(intent, text) or _NOT_HOT.search(text):
        return intent
    warm_only = stage in _COLD_BEER and not re.search(r"\b(hot|scalding|boiling|steaming)\b", text, re.IGNORECASE)
    return intent if warm_only else intent.model_copy(update={"name": "unclear.hot_sample"})


def said_hot(intent: Intent, text: str) -> bool:
    """Whether a gravity is told to be of a hot sample.

    >>> gravity = Intent(name="reading.gravity", text="1.040")
    >>> [said_hot(gravity, text) for text in ("1.040 hot", "1.040, still warm", "1.040, hot break is good", "1.040 hot water is ready")]
    [True, True, False, False]
    """
    at = text.find(intent.text)
    behind = text[at + len(intent.text) :] if at >= 0 else ""
    return _HOT_SAMPLE.search(text) is not None or _HOT_BEHIND.match(behind) is not None or _HOT_BEHIND.search(intent.text) is not None


def says_only_hot(piece: str) -> bool:
    """Whether a piece that was left unread says no more than that the sample was hot."""
    return _HOT_BEHIND.fullmatch(piece) is not None or _HOT_BEHIND.fullmatch(f", {piece}") is not None
