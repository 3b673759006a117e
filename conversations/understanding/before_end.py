""" "ten minutes before the end": so long before what runs is over, as the time of a reminder."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from conversations.understanding.words import Item

_LONGEST_WORDS = 7
_STAGE = r"(?P<stage>mash|boil|steep|whirlpool|rest|chill|timer|clock|countdown)"
_OF = rf"( (of|to|on|in) (the |my |this )?{_STAGE}( timer| clock)?)?"
_OVER = r"( is|'s|’s)? ?(ends?|done|over|finished|finishes|stops|up|runs out|goes off|ready)"
_ENDS = re.compile(
    rf"(the |its |it's |it’s )?(very )?(end|finish){_OF}|(the |my )?(?P<named>mash|boil|steep|whirlpool|rest|timer|clock|countdown)( timer| clock)?({_OVER}|'s end| end)"
    rf"|((it|that|time)( is|'s|’s)? ?)?(done|over|finished|ready|ends|finishes|stops|up)|(?P<flame>the flame[- ]?out|flame[- ]?out)",
    re.IGNORECASE,
)
_CALLED = {"whirlpool": "steep", "rest": "mash", "clock": "", "timer": "", "countdown": ""}


def before_end(items: list[Item], i: int) -> Iterator[tuple[int, dict[str, Any], float]]:
    """Where a duration begins "10 minutes before the mash ends": how long, and before what; "" is what runs now."""
    if items[i].kind != "dur" or i + 2 >= len(items) or items[i + 1].word != "before":
        return
    best: tuple[int, str] | None = None
    for j in range(i + 3, min(i + 3 + _LONGEST_WORDS, len(items) + 1)):
        said = " ".join(item.raw or item.word for item in items[i + 2 : j])
        if (found := _ENDS.fullmatch(said)) is not None:
            named = (found["stage"] or found["named"] or "").lower()
            best = j, "boil" if found["flame"] else _CALLED.get(named, named)
    if best is not None and (best[0] >= len(items) or items[best[0]].word not in ("of", "in", "on")):
        # "before the end of the match" is about something else.
        yield best[0], {"duration_s": items[i].value, "before": best[1]}, 1.1
