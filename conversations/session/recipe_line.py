"""One ingredient with commas inside, told while a brew is planned: "12 g Fuggle, 5 %, 60 min"."""

from __future__ import annotations

from conversations.intents import Intent, Measured, UnitSystem
from conversations.recipe.marks import marks
from conversations.recipe.reader import read_recipe
from conversations.recipe.words import words_of
from conversations.session.turn import Turn

LONGEST_LINE = 90
_ALLOWED = frozenset({"mass", "name", "share", "time", "sep", "number", "word", "when"})


def told(text: str, turn: Turn) -> Intent | None:
    """The intent of such a line; None where the message is anything else, or holds more than that one ingredient."""
    if "," not in text or len(text) > LONGEST_LINE or "\n" in text or "?" in text:
        return None
    if turn.batch is not None and turn.batch.stage not in ("plan", "prepare"):
        return None
    if not _nothing_else(text, turn.state.units):
        return None
    read = read_recipe(text, turn.state.units)
    if read.ingredients != 1 or read.refused or read.unread or read.extras or read.volume is not None:
        return None
    slots: dict[str, object] = {}
    if read.hops:
        hop = read.hops[0]
        if hop.mass is None or hop.use in ("dry", "first_wort"):
            return None
        slots = {"name": hop.name, "mass": hop.mass}
        if hop.alpha is not None:
            slots["percent"] = Measured(value=hop.alpha, unit="percent")
        if hop.minutes is not None:
            slots["duration_s"] = 60 * hop.minutes
        return Intent(name="recipe.hop", slots=slots, text=text[:60])
    if read.grains:
        if read.grains[0].mass is None:
            return None
        return Intent(name="recipe.grain", slots={"name": read.grains[0].name, "mass": read.grains[0].mass}, text=text[:60])
    if read.yeast is None or read.yeast.mass is None:
        return None
    return Intent(name="recipe.yeast", slots={"name": read.yeast.name, "mass": read.yeast.mass}, text=text[:60])


def _nothing_else(text: str, units: UnitSystem) -> bool:
    """Whether every word of the line belongs to one ingredient: one name, one mass, and words that mean nothing by themselves."""
    found = marks(text, units)
    kinds = [mark.kind for mark in found]
    if kinds.count("mass") != 1 or kinds.count("name") != 1 or not _ALLOWED.issuperset(kinds):
        return False
    passed = words_of("names", "never")
    return all(mark.text.casefold() in passed for mark in found if mark.kind == "word") and found[0].kind in ("mass", "name")
