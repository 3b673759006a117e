"""Times of hops that hang on the length of the boil."""

from __future__ import annotations

from conversations.recipe.recipe_text import ReadHop


def timed(hop: ReadHop, when: str, length: float) -> ReadHop:
    """The hop with a time that hangs on the length of the boil: from its start, halfway, so long after the start."""
    minutes = hop.minutes
    if minutes is None and (when == "start" or hop.use == "first_wort"):
        minutes = length
    elif minutes is None and when == "half":
        minutes = length / 2
    elif minutes is not None and when == "after":
        minutes = length - minutes if 0 <= minutes <= length else None
    use = "steep" if minutes == 0 and hop.use == "boil" else hop.use
    return hop.model_copy(update={"minutes": minutes, "use": use})
