"""A figure that was sent and was no reading: "that 1.100 wasn't a reading, scrap it"."""

from __future__ import annotations

import re
from collections.abc import Callable

from conversations.intents import Context, Intent, Understanding
from conversations.understanding.words import LONGEST_TEXT

_FIGURE = r"(?P<figure>[01][.,]\d{2,4}|1\d{3}|\d{1,3}(?:[.,]\d)?(?: ?(?:°? ?[cf]|degrees|l|litres?|g))?)"
_NONE = re.compile(
    rf"\W*(?:(?:no|oh|sorry|oops|wait|hang on|actually)\W+)*(?:that|the|my)(?: last)?(?: {_FIGURE})?(?: reading| gravity| one)? (?:wasn'?t|wasnt|was not|isn'?t|isnt|is not|was never|was no|is no) (?:(?:a|an|my|the|meant as a|really a|actually a|real|proper|meant to be a) )*(?:reading|gravity|gravity reading|measurement|one of mine)"
    r"(?:[\s,.;:-]+(?:so |please |can you |just |and )*(?:scrap|delete|forget|ignore|remove|drop|bin|ditch|lose|take|cancel)(?: (?:it|that|out|off|away|that out|it out|please|one))*)?\W*",
    re.IGNORECASE,
)


def no_reading(text: str, context: Context, understand: Callable[[str, Context], Understanding]) -> Understanding | None:
    """What a message takes back as no reading; None where it takes nothing back so."""
    said = text[:LONGEST_TEXT]
    found = None if "?" in said else _NONE.fullmatch(said.replace("’", "'"))
    if found is None:
        return None
    if context.expects == "yes_no":
        # It was asked about, and is not recorded.
        return Understanding(text=said, intents=(Intent(name="no", text=said),))
    told = understand(f"scrap the {found['figure']}" if found["figure"] else "delete the last reading", context)
    if told.unread or [each.name for each in told.intents] != ["weeks.take_out"]:
        return None
    return Understanding(text=said, intents=told.intents)
