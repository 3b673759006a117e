"""The gravities that a line of a recipe tells, before or behind the word for them, and its efficiency."""

from __future__ import annotations

import re
from itertools import pairwise

from conversations.recipe.mark import Mark

_CUE = re.compile(
    r"\b(?P<which>o\.?g\.?|f\.?g\.?|original gravity|original wort|starting gravity|start gravity|final gravity|finishing gravity|"
    r"(?:came|comes) out(?: at)?|(?:started|starts|starting) at|(?:finished|finishes|finishing|ended|ends|ending)(?: up)?(?: at)?)(?!\w)",
    re.IGNORECASE,
)
_FROM_TO = re.compile(r"\b(1[.,]\d{3})\s*(?:[-=]+>|→|[-–—]|to|down to)\s*((?:1|0)[.,]\d{3})\b", re.IGNORECASE)
_EFFICIENCY = re.compile(
    r"efficiency\D{0,12}(?P<a>\d{2})(?:\.\d+)?\s*%|(?P<b>\d{2})(?:\.\d+)?\s*% *(?:brewhouse |mash )?efficiency",
    re.IGNORECASE,
)
_NOUN = re.compile(r"[of]\.?g\.?|.* (?:gravity|wort)", re.IGNORECASE)
_LINKS = re.compile(r"\b(?:should|ought to|will|would|to|be|is|was|about|around|roughly|come out|at|of) ", re.IGNORECASE)
"""Words that join a gravity to its figure and say nothing else."""
_NEAR = 12
"""Letters that may lie between the word and its figure."""
_BESIDE = 2


def gravities(line: str, found: list[Mark]) -> dict[str, float]:
    """``original``, ``final`` and ``efficiency`` as far as the line tells them."""
    told: dict[str, float] = {}
    figures = [m for m in found if m.kind == "gravity"]
    cues = list(_CUE.finditer(line))
    # "1.050 OG, 1.012 FG": the figure stands before its word where one stands before the first word.
    before = bool(figures and cues) and _NOUN.fullmatch(cues[0]["which"]) is not None and 0 <= cues[0].start() - figures[0].end <= _BESIDE
    for cue in cues:
        key = "final" if cue["which"].casefold().startswith(("f", "end")) else "original"
        if before:
            figure = next((m for m in reversed(figures) if 0 <= cue.start() - m.end <= _BESIDE), None)
        else:
            figure = next((m for m in figures if m.start >= cue.end() and len(_LINKS.sub("", line[cue.end() : m.start])) <= _NEAR), None)
        if figure is not None:
            told.setdefault(key, _of(figure))
    drop = _FROM_TO.search(line)
    if drop and (high := _decimal(drop[1])) > (low := _decimal(drop[2])):
        told.setdefault("original", high)
        told.setdefault("final", low)
    for volume, figure in pairwise([m for m in found if m.kind != "word"]):
        # "18 litres at 1.048"
        if volume.kind == "volume" and figure.kind == "gravity" and line[volume.end : figure.start].strip().casefold() == "at":
            told.setdefault("original", _of(figure))
    efficiency = _EFFICIENCY.search(line)
    if efficiency:
        told["efficiency"] = float(efficiency["a"] or efficiency["b"])
    return told


def _of(mark: Mark) -> float:
    """A gravity as it would be written: one told in degrees Plato is no finer than its degrees."""
    return mark.value if mark.text[:2] in ("1.", "1,") else round(mark.value, 3)


def _decimal(written: str) -> float:
    return float(written.replace(",", "."))
