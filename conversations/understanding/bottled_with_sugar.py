"""Bottles and their sugar told in one message: "bottled 8 of 500 and 3 of 330 with 23 g sugar" is a bottling that is done.

The sugar is cut out, and the rest is read as it would be without it; where that does not tell of bottles the message is left.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Context, Intent, Measured, Understanding
from conversations.understanding.asking import asks, has_question_word
from conversations.understanding.bottles_in_plain import NUMBER, PRINTED_ML
from conversations.understanding.words import LONGEST_TEXT

_WITH_BEER = ("ferment", "bottle", "condition")
_SUGARS = {
    "glucose_monohydrate": r"dextrose|glucose|corn sugar|brewing sugar",
    "honey": r"honey",
    "sucrose": r"(?:(?:white|table|plain|granulated|caster|cane|normal|ordinary|household|priming) )?sugar",
}
_ANY = "|".join(f"(?P<{name}>{words})" for name, words in _SUGARS.items())
_EACH = r"(?P<each> (?:in |to |for |into )?(?:each(?: (?:one|bottle))?|per bottle|a bottle|every bottle|apiece))"
_SUGAR = re.compile(
    r"(?:^|(?<![\s,.;:])[\s,.;:]+)(?:(?:and|with|using|plus|on|then|i|we|have|it|them|all|was|were|primed|prime|used|put|put in|added|dissolved|boiled|stirred in|took|the|sugar) )*?"
    rf"(?P<mass>\d{{1,3}}(?:[.,]\d{{1,2}})?) ?(?:g|gr|grams?) (?:of )?(?:{_ANY})\b{_EACH}?"
    r"(?: (?:in|went in|gone in|used|to prime|for priming|in all|altogether|in total|in it|in them|dissolved|as priming|all told))*(?=\s*(?:[,.;:]|and\b|$))",
    re.IGNORECASE,
)
_FILLED = re.compile(r"\b(?:bottled|capped|filled|corked)\b", re.IGNORECASE)
_DONE = re.compile(r"\b(?:bottled|capped|corked)\b", re.IGNORECASE)
_NOT_DONE = re.compile(r"n['’]t\b|\b(?:not|never|if|when|would|should|could|will|might|may|wish|want|last (?:year|time|batch)|mate|friend|his|her|their|he|she|they|tomorrow|going to|yet)\b", re.IGNORECASE)
_OF_OTHERS = re.compile(r"\b(?:last (?:year|time|batch)|mate|mate's|friend|brother|dad|neighbour|he|she|they)\b", re.IGNORECASE)
_PRINTED = re.compile(rf"\b(?P<count>{NUMBER})(?P<of>(?: ?[x×] ?| of | at | ))(?P<size>{PRINTED_ML})(?:s|'s)?\b(?! ?(?:ml|mls|millilit|cl|g\b|gr|gram|l\b|lit|oz|%))", re.IGNORECASE)
"""Sizes that stand on bottles, told without their millilitres."""


def with_millilitres(text: str) -> str:
    """A message that tells of filled bottles, with the millilitres that are left out behind a size.

    >>> with_millilitres("bottled 8 of 500 and 3 330s")
    'bottled 8 of 500 ml and 3 330 ml'
    """
    if _FILLED.search(text) is None:
        return text
    return _PRINTED.sub(lambda found: f"{found['count']}{found['of']}{found['size']} ml", text)


def _bottles(intents: tuple[Intent, ...]) -> float:
    return sum(float(each.slots["count"]) for each in intents if "count" in each.slots)


def bottled_with_sugar(text: str, context: Context, read: Callable[[str, Context], Understanding | None]) -> Understanding | None:
    """The bottles and the sugar that a message tells of; None where it does not tell of both."""
    said = text[:LONGEST_TEXT]
    sugars = list(_SUGAR.finditer(said))
    if context.stage not in _WITH_BEER or len(sugars) != 1 or not _FILLED.search(said) or "?" in said or asks(said) or has_question_word(said):
        return None
    if _OF_OTHERS.search(said):
        # The sugar of another's bottles, or of another time, is not noted here.
        return Understanding(text=said, unread=(said,))
    if _NOT_DONE.search(said):
        return None
    (found,) = sugars
    rest = re.sub(r"\s+", " ", f"{said[: found.start()]} {said[found.end() :]}").strip(" ,.;:")
    rest = re.sub(r"^(?:and|so|then) ", "", rest, flags=re.IGNORECASE)
    told = read(rest, context)
    names = [each.name for each in told.intents] if told is not None else []
    if told is None or told.unread or told.taken_for or not names or any(name not in ("bottle.count", "bottle.unsized", "done.bottled") for name in names):
        return None
    grams = float(found["mass"].replace(",", "."))
    if found["each"]:
        if not (number := _bottles(told.intents)):
            return None
        grams *= number
    sugar = next(name for name in _SUGARS if found[name])
    given = Intent(name="priming.given", slots={"mass": Measured(value=grams, unit="gram"), "sugar": sugar}, text=found.group().strip(" ,.;:"))
    last = told.intents[-1]
    if last.name == "bottle.count" and _DONE.search(said):
        last = last.model_copy(update={"slots": {**last.slots, "done": "yes"}})
    return Understanding(text=said, intents=(*told.intents[:-1], last, given))
