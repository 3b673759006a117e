"""Water that is heated beside the mash, in a kettle or another pan: its litres and degrees are not the pot's."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.understanding.rows import Placed

_RINSE = r"\b(sparge|sparging|rinse|rinsing|(rinsed|sparged) (\w+ ){0,2}with)\b"
_OTHER = r"\b(another|other|second|2nd|separate|spare|smaller|small|little|different) (pot|pan|saucepan|kettle|ring|hob|burner|vessel)('s)?\b|\b(saucepan|tea kettle|electric kettle)\b"
_HEATED = r"(heat(ed|ing)|boil(ed|ing)|warm(ed|ing)|hot|water)"
_KETTLE = rf"\b{_HEATED}\b.*\bkettle\b|\bkettle\b.*\b{_HEATED}\b"
_ALWAYS = re.compile(rf"{_RINSE}|{_OTHER}", re.IGNORECASE)
_IN_THE_MASH = re.compile(rf"{_RINSE}|{_OTHER}|{_KETTLE}", re.IGNORECASE)
_POT = re.compile(r"\b(mash|wort|grain|strike|bag is|runnings)\b(?! water)", re.IGNORECASE)
_PIECES = re.compile(r"[.;,!?]\s|\b(?:and|but|then)\b", re.IGNORECASE)
_ONLY_FIGURE = re.compile(r"\W*(it'?s |its |now |at |about |is )*[\d.,]+ ?\w*( \w+)?\W*", re.IGNORECASE)
_WATER = re.compile(r"\bwater\b", re.IGNORECASE)
_STAGES = {"heat": _ALWAYS, "mash": _IN_THE_MASH, "drain": _IN_THE_MASH}
"""Before the mash the kettle may be the pot itself."""
_FIGURES = {"reading.volume": "volume", "reading.temperature": "temperature"}


def water_beside(found: list[Placed], stage: str | None, text: str) -> list[Placed]:
    """The intents of a message with what is told of water beside the pot as that, and not as a reading.

    >>> from conversations.intents import Measured
    >>> told = [(0, Intent(name="reading.temperature", slots={"temperature": Measured(value=75, unit="degC")}, text="sparge water at 75"))]
    >>> [each.name for _, each in water_beside(told, "mash", "sparge water at 75")]
    ['unclear.water']
    """
    pattern = _STAGES.get(stage or "")
    if pattern is None or pattern.search(text) is None or not any(each.name in _FIGURES for _, each in found):
        return found
    pieces = _pieces(text, pattern)
    mine = [pair for pair in found if pair[1].name in _FIGURES and _stands_beside(pair[1], text, pieces)]
    if not mine:
        return found
    slots = {_FIGURES[each.name]: each.slots[_FIGURES[each.name]] for _, each in mine} | ({"rinse": True} if re.search(_RINSE, text, re.IGNORECASE) else {})
    place = mine[0][0]
    told = Intent(name="unclear.water", slots=slots, text=text)
    # "heated two litres in the kettle": what was heated is that water.
    kept = [pair for pair in found if pair not in mine and pair[1].name not in ("done.heated", "unclear.water", "unclear.heating")]
    return sorted([*kept, (place, told)], key=lambda pair: pair[0])


def _pieces(text: str, pattern: re.Pattern[str]) -> list[tuple[int, bool]]:
    """Where each piece of a message ends, and whether it speaks of water beside; a figure alone belongs to what stands before it."""
    ends = [*(cut.start() for cut in _PIECES.finditer(text)), len(text)]
    found: list[tuple[int, bool]] = []
    start, before = 0, False
    for end in ends:
        piece = text[start:end]
        told = pattern.search(piece) is not None and not _POT.search(piece)
        found.append((end, told or (before and _ONLY_FIGURE.fullmatch(piece) is not None)))
        before = found[-1][1] and (before or _WATER.search(piece) is not None)
        start = end
    return found


def _stands_beside(intent: Intent, text: str, pieces: list[tuple[int, bool]]) -> bool:
    at = max(text.find(intent.text), 0)
    return next(told for end, told in pieces if at < end or end == len(text))


def says_only_where(piece: str, stage: str | None) -> bool:
    """Whether a piece that was left unread tells of such water only."""
    pattern = _STAGES.get(stage or "")
    return pattern is not None and pattern.search(piece) is not None
