"""One thing found in a line of a recipe."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Mark:
    """One thing found in a line; ``kind`` is name, mass, share, time, days, when, volume, temperature, gravity,
    key, number, word or sep."""

    kind: str
    start: int
    end: int
    text: str = ""
    value: float = 0.0
    unit: str = ""
    what: str = ""
    """Of a name: grain, hop, yeast or extra. Of a key: mash, hold, boil, other. Of a when: its meaning."""
    ours: str = ""
    """Of a name: what the data files call it."""
    rest: Mark | None = None
    """Of a mass that ran into another: the other one."""
