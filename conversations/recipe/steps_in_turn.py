"""Steps of the boil that are counted from the one before: "20 minutes later add 10 g Cascade", "5 minutes after that turn the hob off"."""

from __future__ import annotations

import re

from conversations.recipe.marks import items_of

_LONGEST = 3000
_SENTENCE = re.compile(r"(?<=[\w)%])([.!]\s+)(?=[A-Z\d])|(?<=[\w)%])((?:,|;)\s(?:and\s|then\s){0,2})(?=(?:[\w-]+\s){1,4}?(?:later|after (?:that|this))\b)")
_CLAUSE = re.compile(r"[,;]\s(?:and\s|then\s){0,2}$")
_LENGTH = r"(?P<length>(?:\d{1,3}|an?|half an|a quarter of an|(?:[a-z]+(?: and a half)?))(?:[ -][a-z]+)?\s?(?:minutes?|mins?|hours?))"
_LATER = re.compile(rf"^\s*(?:(?:and|then)\s)?(?:{_LENGTH}\s(?:later|after (?:that|this)|further on|more)|(?:after|wait|give it) another\s(?P<again>\d{{1,3}}\s?(?:minutes?|mins?)))\b[,:]?\s*", re.IGNORECASE)
_AFTER = re.compile(r"^\s*after (?P<length>\d{1,3}\s?(?:minutes?|mins?))(?:\s(?:of\s)?(?:the\s)?boil(?:ing)?)?\b(?!\s(?:of|more|to|from|the))[,:]?\s*", re.IGNORECASE)
_BOILS = re.compile(r"\b(?:bring|brought|bringing)\s(?:(?:it|that|this|all|them|everything|the\s\w+)\s)?(?:back\s|up\s)?to\s(?:the|a)\sboil\b|\b(?:when|once|as soon as)\s(?:it|the wort)\s(?:boils|comes to the boil|starts boiling)\b|\b(?:at|from)\sthe\s(?:start|beginning)\sof\sthe\sboil\b", re.IGNORECASE)
_MASHES = re.compile(r"\b(?:mash|rest|lid on|sparge|rinse)\w*", re.IGNORECASE)
_ENDS = re.compile(r"^(?:(?:you\s)?(?:turn|switch)(?:\s(?:the|it))?(?:\s\w+)?\soff\b|(?:(?:the\s)?(?:heat|gas|hob|flame|stove|fire|burner)\s(?:goes\s|is\s)?(?:turned\s)?off)\b|kill\sthe|cut\sthe\s(?:heat|gas)|flame[- ]?out\b|take\s(?:it|the\spot)\soff\b)", re.IGNORECASE)
_ENDS_AFTER = re.compile(r"\bafter (?P<another>another|a further)\s(?P<length>\d{1,3}\s?(?:minutes?|mins?))\b", re.IGNORECASE)
_TIMED = re.compile(r"\bmin(?:ute)?s?\b|\bhours?\b|['’′](?:\s|$)|@|\b(?:start of|beginning of|flame|dry|first wort)\b", re.IGNORECASE)
_ADDS = re.compile(r"\b(?:add|put|throw|tip|stir|drop)\w*\b[^.]{0,60}?\b\d", re.IGNORECASE)
_WORTH = re.compile(r"\b(?:later|after that|after this|another|turn|switch|further on)\b", re.IGNORECASE)
_MOST = 300.0


def in_turn(rows: list[str]) -> list[str]:
    """The rows with such steps counted from the start of the boil, and the boil as long as its last step says.

    >>> in_turn(["Bring to the boil and add 12 g Perle. 20 minutes later add 8 g Saaz. 10 minutes after that turn the hob off."])
    ['Bring to the boil and add 12 g Perle at the start of the boil. After 20 minutes add 8 g Saaz. Boil 30 minutes. Turn the hob off.']
    """
    if not any(_WORTH.search(row) for row in rows if len(row) <= _LONGEST):
        return rows
    steps = _Steps()
    return [steps.row(row) if len(row) <= _LONGEST else row for row in rows]


class _Steps:
    """Goes through the sentences and keeps how long it has boiled."""

    def __init__(self) -> None:
        self.boiled: float | None = None
        """Minutes since the boil began; None before it."""
        self.began = False
        """The last sentence brought it to the boil."""

    def row(self, row: str) -> str:
        told, begun = "", 0
        for stop in _SENTENCE.finditer(row):
            told = self._joined(told, self._sentence(row[begun : stop.start()]))
            told, begun = told + stop[0], stop.end()
        return self._joined(told, self._sentence(row[begun:]))

    def _joined(self, told: str, sentence: str) -> str:
        """A clause that was written out is a sentence of its own: "8 g Saaz, and ten minutes after that ..."."""
        clause = _CLAUSE.search(told)
        if clause is not None and sentence.startswith(("After ", "Boil ")):
            return f"{told[: clause.start()]}. {sentence}"
        return told + sentence

    def _sentence(self, sentence: str) -> str:
        boils = _BOILS.search(sentence) is not None
        if boils:
            self.boiled = 0.0
        elif self.boiled is None or _MASHES.search(sentence):
            self.boiled = None
            return sentence
        later, after = _LATER.match(sentence), _AFTER.match(sentence)
        told = later or after
        ends = _ENDS_AFTER.search(sentence) if told is None and _ENDS.match(sentence) else None
        if ends is not None and (minutes := _minutes(ends["length"])) is not None:
            length, self.boiled = self.boiled + minutes, None
            return f"Boil {length:g} minutes. {sentence[: ends.start()].rstrip()}{sentence[ends.end() :]}"
        if told is None:
            first, self.began = boils or self.began, boils and not _ADDS.search(sentence)
            if first and self.boiled == 0 and _ADDS.search(sentence) and not _TIMED.search(sentence):
                bare = sentence.rstrip(" .!")
                return f"{bare} at the start of the boil{sentence[len(bare) :]}"
            return sentence
        self.began = False
        minutes = _minutes(told["length"] or told.groupdict().get("again") or "")
        if minutes is None:
            return sentence
        self.boiled = self.boiled + minutes if later else minutes
        if self.boiled > _MOST:
            return sentence
        rest = sentence[told.end() :]
        if _ENDS.match(rest):
            length, self.boiled = self.boiled, None
            return f"Boil {length:g} minutes. {rest[:1].upper()}{rest[1:]}"
        return f"After {self.boiled:g} minutes {rest}"


def _minutes(length: str) -> float | None:
    found = [item for item in items_of(length, "metric") if item.kind == "dur"]
    return found[0].value / 60 if len(found) == 1 else None
