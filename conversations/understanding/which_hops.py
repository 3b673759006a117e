"""Hops that went in and, in the same message, which and how much they were."""

from __future__ import annotations

import re

from conversations.intents import Intent
from conversations.understanding.numbers import ONES, TENS
from conversations.understanding.rows import Placed

_NUMBER_WORDS = frozenset((*ONES, *TENS))
_THE_HOPS = frozenset({"", "hop", "hops", "last hops", "first hops", "next hops", "last ones", "late hops"})
_BOILING = ("boil", "steep")
_BEFORE_ANY_BOIL = (None, "plan", "prepare", "heat", "mash")
_WHEN = re.compile(r"(and )?(the )?(rest |others? |last ones )?(in |into )?(at |in |for |from |until |before |after |into )?(the )?(very )?(start of |beginning of |end of )?(the )?(boil|flame[ -]?out)", re.IGNORECASE)
_ITS_TIME = re.compile(r"\b(at|in|for|from|until|before|after|into|of) (the )?(start of (the )?|beginning of (the )?|end of (the )?)?(boil|flame[ -]?out)\b", re.IGNORECASE)
_IN_NOW = re.compile(r"\bin\b[,.;]? (and |now )?(flame[ -]?out)\W*$", re.IGNORECASE)
_ORDERED = re.compile(r"\W*(add|put|use|make|move|want|then|plus|another)\b", re.IGNORECASE)
_IT_IS = re.compile(r"\b(it|its|it['’]s|is|we['’]?re|pot|wort|now|just|finally) (now |just )?(at|on) (the |a )?(rolling )?boil\b", re.IGNORECASE)


def begins_with_figure(intent: Intent) -> bool:
    """Whether nothing was said before the figure, in digits or in words."""
    return re.match(r"\d", intent.text) is not None or re.split(r"[\s-]", intent.text.lower())[0] in _NUMBER_WORDS


def in_and_which(found: list[Placed], stage: str | None, text: str) -> list[Placed]:
    """ "The last hops are in, ten grams of target": which they were, and no addition that is still to come."""
    found = _in_at_the_end(_to_go_in_at_its_end(_told_of_a_time(found, stage, text), text), stage)
    if stage not in _BOILING or sorted(each.name for _, each in found) != ["done.hops", "recipe.hop"]:
        return found
    told, which = (next(pair for pair in found if pair[1].name == name) for name in ("done.hops", "recipe.hop"))
    called, name = str(told[1].slots.get("name", "")).lower(), str(which[1].slots.get("name", "")).lower()
    same = called in _THE_HOPS or called.removesuffix("s") == name.removesuffix("s")
    if not same or {"mass", "share"} & told[1].slots.keys() or "duration_s" in which[1].slots or not begins_with_figure(which[1]):
        return found
    slots = {**told[1].slots, "mass": which[1].slots["mass"], "name": which[1].slots["name"]}
    return [(told[0], told[1].model_copy(update={"slots": slots, "text": f"{told[1].text}, {which[1].text}"}))]


def _in_at_the_end(found: list[Placed], stage: str | None) -> list[Placed]:
    """ "10 g ekg in flame out" while it boils: they are in and the hob is off, which no line of a recipe says."""
    kept: list[Placed] = []
    for place, intent in found:
        if stage == "boil" and intent.name == "recipe.hop" and _IN_NOW.search(intent.text) is not None and not _ORDERED.match(intent.text):
            slots = {key: value for key, value in intent.slots.items() if key in ("mass", "name")}
            kept += [(place, intent.model_copy(update={"name": "done.hops", "slots": slots})), (place, Intent(name="done.flame_out", text="flame out"))]
        else:
            kept.append((place, intent))
    return kept


def _to_go_in_at_its_end(found: list[Placed], text: str) -> list[Placed]:
    """ "Add 10 g ekg at flame out" says when they are to go in; the boil goes on, and no other one begins "at the boil"."""
    kept: list[Placed] = []
    for place, intent in found:
        line = kept[-1][1] if kept and kept[-1][1].name == "recipe.hop" and "duration_s" not in kept[-1][1].slots else None
        timed = intent.name in ("done.flame_out", "done.boiling") and _WHEN.fullmatch(intent.text.strip()) is not None
        if line is None or not timed:
            kept.append((place, intent))
            continue
        said = re.search(rf"\b(at|for|to)( the)? ?{re.escape(intent.text.strip().removeprefix('at ').removeprefix('the '))}", text, re.IGNORECASE)
        if said is None and not _ORDERED.match(line.text):
            kept.append((place, intent))
            continue
        slots = {**line.slots, "duration_s": 0.0} if intent.name == "done.flame_out" else line.slots
        kept[-1] = kept[-1][0], line.model_copy(update={"slots": slots, "text": f"{line.text.removesuffix(' at')} at {intent.text.strip().removeprefix('at ')}"})
    return kept


def _told_of_a_time(found: list[Placed], stage: str | None, text: str) -> list[Placed]:
    """ "The Fuggle went in at the boil", told before anything boils: it says when the hops go in, and no boil begins."""
    of_hops = any(each.name == "done.hops" for _, each in found) or re.search(r"\bhops?\b", text, re.IGNORECASE) is not None
    if stage not in _BEFORE_ANY_BOIL or not of_hops or _ITS_TIME.search(text) is None or _IT_IS.search(text) is not None:
        return found
    return [pair for pair in found if pair[1].name not in ("done.boiling", "done.flame_out") or not _WHEN.fullmatch(pair[1].text.strip())]


def late_but_in(found: list[Placed]) -> list[Placed]:
    """ "Forgot the 10 minute hops, only just chucked them in": the forgotten ones are in now."""
    forgotten = next((each for _, each in found if each.name == "unclear.forgot"), None)
    if forgotten is None or all(each.name != "done.hops" for _, each in found):
        return found
    told = {key: forgotten.slots[key] for key in ("name", "duration_s") if key in forgotten.slots}
    return [(place, each.model_copy(update={"slots": {**told, **each.slots}}) if each.name == "done.hops" else each) for place, each in found if each is not forgotten]


def of_hops(before: Intent, intent: Intent) -> Intent | None:
    """Hops that went in and so much of them, where it was not told."""
    bare = intent.name == "reading.mass" and begins_with_figure(intent)
    if not bare or before.name != "done.hops" or {"mass", "share"} & before.slots.keys():
        return None
    return before.model_copy(update={"slots": {**before.slots, "mass": intent.slots["mass"]}})
