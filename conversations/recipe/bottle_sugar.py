"""Which sugar of a recipe's line goes into the bottles and not into the pot."""

from __future__ import annotations

import re
from bisect import bisect_right

from calc.fermentables import find_fermentable
from conversations.recipe.entry import Entry
from conversations.recipe.mark import Mark

_PRIMING = re.compile(
    r"\b(?:prim(?:e|es|ed|ing)\b|(?:to|for|at|when|before)\s+(?:I\s+|you\s+|we\s+)?bottl\w*|carbonat\w*|bottling\b|bottled\b|bottle(?:\s+(?:it|them|this|the|beer)){0,2}\s+with\b|bottles?\s*:|"
    r"(?:in|to|into|for)\s+(?:each|every|the|a)\s+bottles?\b|(?:per|each|every) bottle\b|volumes?\s+(?:of\s+)?co2)",
    re.IGNORECASE,
)
_FOR_PRIMING = re.compile(
    r"^\s*(?:(?:(?:is|are|used)\s+)?(?:for|to|as|at)\s+(?:the\s+)?(?:prim|carbon|bottl)|(?:priming|bottling|bottles|carbonation)\s*(?:$|,))", re.IGNORECASE
)
_VOLUMES = re.compile(r"\bvolumes?\s+(?:of\s+)?co2", re.IGNORECASE)
_LABEL = re.compile(r"\s*(?:for\s+)?(?:prim|carbonat|bottling|bottles?\s*:)", re.IGNORECASE)


class BottleSugar:
    """What one line says about priming, read once for all its ingredients."""

    def __init__(self, line: str, found: list[Mark]) -> None:
        """``found`` are the marks of the line."""
        self._line = line
        self._said = _PRIMING.search(line) is not None
        self._all = self._said and (
            (_VOLUMES.search(line) is not None and not any(m.what == "boil" for m in found)) or _LABEL.match(line) is not None
        )
        self._begins = [0, *(m.start for m in found if m.kind == "sep")]
        self._saying: dict[int, bool] = {}

    def holds(self, entry: Entry) -> bool:
        """Whether a sugar goes into the bottles, by its own piece of the line or by the label in front of the line."""
        at = entry.name or entry.mass
        if not self._said or at is None or entry.kind != "grain":
            return False
        malt = find_fermentable(at.text.strip()) or find_fermentable(at.ours)
        if malt is None or malt.mashed:
            return False
        own = {bisect_right(self._begins, m.start) - 1 for m in (entry.name, entry.mass) if m is not None}
        if self._all or any(self._piece_says(number) for number in own):
            return True
        after = max(own) + 1
        return after < len(self._begins) and _FOR_PRIMING.match(self._line[self._begins[after] + 1 : self._end(after)]) is not None

    def _end(self, number: int) -> int:
        return self._begins[number + 1] if number + 1 < len(self._begins) else len(self._line)

    def _piece_says(self, number: int) -> bool:
        if number not in self._saying:
            self._saying[number] = _PRIMING.search(self._line[self._begins[number] : self._end(number)]) is not None
        return self._saying[number]
