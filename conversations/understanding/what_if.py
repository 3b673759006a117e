"""Changes of a recipe that are only asked about, and removals that would have been read as additions: neither changes anything."""

from __future__ import annotations

import re

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.asked_with_a_figure import with_its_figure
from conversations.understanding.understand import understand

_WHAT_IF = re.compile(
    r"\b(would|could|will) (that|it|this|i) (then |still |just )?(let|allow|make|give|get|bring|help|do|work|be|mean|come|leave|fit|have|need|end)\b",
    re.IGNORECASE,
)
_MAY_I = re.compile(r"\W*((so|and|but|ok|okay|right|hey|hi)\W+)*(can|could|may|should|might) i\b", re.IGNORECASE)
_REMOVES = re.compile(r"\W*((no|please|oh|and|then|so|ok|okay)\W+)*(remove|delete|take out|take off|take away|leave out|get rid of|omit|subtract)\b", re.IGNORECASE)
_ADDS = ("recipe.grain", "recipe.hop", "recipe.yeast", "recipe.dry_hop", "recipe.also", "stock.bought")

_HELD = ("recipe.grain", "recipe.hop", "stock.left")
_HOW_MUCH_FROM = re.compile(r"\bhow (much|many) (beer|lit(re|er)s|pints|bottles|gallons)?\b[^.?!]{0,40}\b(with|from|of|out of) \d", re.IGNORECASE)
_RESHAPES = ("recipe.scale", "recipe.strength", "recipe.bitter", "recipe.late_water", "recipe.colour")


def _brewable(found: Understanding) -> Intent | None:
    """ "What can I brew with 2 kg of pale malt and 30 g of Fuggle": the amounts are asked about, and of no recipe."""
    told = [each for each in found.intents if each.name in _HELD and {"name", "mass"} <= each.slots.keys()]
    others = {each.name for each in found.intents} - {*_HELD, "stock.can_brew", "ask.readings"}
    asked = _HOW_MUCH_FROM.search(found.text) or any(each.name == "stock.can_brew" for each in found.intents)
    if not told or others or not asked:
        return None
    return Intent(name="stock.can_brew", slots={"told": [[each.slots["name"], each.slots["mass"].model_dump()] for each in told]}, text=found.text)


def settled(found: Understanding, context: Context) -> Understanding:
    """What was read, without what was only asked about or would do the opposite of what was said."""
    found = with_its_figure(found, context)
    if not found.intents and (asked := _MAY_I.match(found.text)):
        order = found.text[asked.end() :].strip(" ?!.")
        meant = understand(order, context)
        if meant.intents and not meant.unread and all(each.name in _RESHAPES for each in meant.intents):
            return found.model_copy(update={"intents": (Intent(name="ask.recipe_change", slots={"order": order}, text=found.text),), "unread": ()})
    if not any(each.name.startswith("recipe.") for each in found.intents):
        return found
    if (brewable := _brewable(found)) is not None:
        return found.model_copy(update={"intents": (brewable,), "unread": ()})
    if found.text.rstrip().endswith("?") and {each.name for each in found.intents} == {"recipe.amount"}:
        # "The goldings should be 8 g?" wants to know.
        return found.model_copy(update={"intents": (), "unread": (found.text,)})
    if _WHAT_IF.search(found.text) or (found.taken_for and _MAY_I.match(found.text)):
        only = Intent(name="ask.recipe_change", slots={}, text=found.text)
        return found.model_copy(update={"intents": (only,), "unread": (), "taken_for": ""})
    if _REMOVES.match(found.text) and found.taken_for and not _REMOVES.match(found.taken_for) and any(each.name in _ADDS for each in found.intents):
        return found.model_copy(update={"intents": (), "unread": (found.text,), "taken_for": ""})
    return found
