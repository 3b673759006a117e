"""An addition of the boil that is told when the boil is over: "I put 10 g of Fuggle in at flame-out" while it ferments.

It puts the fire out no second time, and is no dry hop. Without its moment or its amount it stays what it was taken for.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.asking import asks, has_question_word
from conversations.understanding.words import LONGEST_TEXT

_STAGES = ("transfer", "pitch", "ferment", "bottle", "condition")
_MOMENT = re.compile(
    r"(?:(?<![\s,])[\s,]+)?\b(?:(?P<end>(?:at|after|on|right at|just after) (?:the )?(?:flame[- ]?out|knock[- ]?out|end of (?:the )?boil|end of it|very end)|when (?:the )?(?:flame|heat|hob|gas) went (?:off|out))"
    r"|(?P<start>(?:at|from) (?:the )?(?:start|beginning) of (?:the )?boil|when it (?:came to (?:the|a) boil|started (?:to boil|boiling))|for the (?:whole|full) boil)"
    r"|(?P<gone>\d{1,2}) ?(?:min|mins|minutes) into (?:the )?boil"
    r"|(?:(?:with|at|for) )?(?P<left>\d{1,2}) ?(?:min|mins|minutes) (?:before (?:the )?(?:end|flame[- ]?out|end of (?:the )?boil)|from the end|to go|left|left in (?:the )?boil|of (?:the )?boil)"
    r"|(?:at|for) (?P<at>\d{1,2}) ?(?:min|mins|minutes)(?: (?:of|in) (?:the )?boil)?)\b(?: of the boil)?",
    re.IGNORECASE,
)
_NOT_TOLD = re.compile(
    r"n['’]t\b|\b(?:didnt|not|never|no|if|when|would|should|could|will|might|may|next|last|his|her|their|wish|want|meant|forgot|almost|nearly|mate|friend|timer|remind|instead|recipe|says)\b",
    re.IGNORECASE,
)


def hops_after_boil(text: str, context: Context, understand: Callable[[str, Context], Understanding]) -> Understanding | None:
    """The addition that a message tells of; None where it tells of none in such a way."""
    said = text[:LONGEST_TEXT]
    if context.stage not in _STAGES or "?" in said or asks(said) or has_question_word(_MOMENT.sub("", said)):
        return None
    found = list(_MOMENT.finditer(said))
    if len(found) != 1:
        return None
    (moment,) = found
    rest = re.sub(r"\s+", " ", f"{said[: moment.start()]} {said[moment.end() :]}").strip(" ,.!")
    if _NOT_TOLD.search(rest):
        return None
    # Hops that went in are read where hops go in.
    told = understand(rest, context.model_copy(update={"stage": "ferment"}))
    if told.unread or [each.name for each in told.intents] != ["done.hops"] or not {"mass", "name"} <= told.intents[0].slots.keys():
        return None
    kind = "end" if moment["end"] else "start" if moment["start"] else "gone" if moment["gone"] else "left"
    slots = {"mass": told.intents[0].slots["mass"], "name": told.intents[0].slots["name"], "moment": kind}
    if kind in ("gone", "left"):
        slots["minutes"] = float(moment["gone"] or moment["left"] or moment["at"])
    return Understanding(text=said, intents=(Intent(name="hops.after_boil", slots=slots, text=said),))
