"""Where somebody lives as a time zone: "Chicago", "New York", "Scotland", from data/places.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

from conversations.understanding.words import Item

_COUNTRIES = frozenset({"australia", "usa", "us", "america", "canada", "brazil", "mexico", "russia", "uk"})
_LONGEST = 4
"""Words of the longest name of a place."""


@cache
def places() -> dict[str, str]:
    """Place in small letters to the name of its time zone."""
    page = files("conversations.understanding").joinpath("data", "places.toml")
    rows: dict[str, list[str]] = tomllib.loads(page.read_text(encoding="utf-8"))["zones"]
    return {place: zone for zone, named in rows.items() for place in named}


def place_at(items: list[Item], i: int) -> Iterator[tuple[int, str, float]]:
    """The place that begins at item i as it was written, the longest name first: its end and its time zone."""
    for j in range(min(i + _LONGEST, len(items)), i, -1):
        said = " ".join(item.raw.lower() for item in items[i:j])
        if all(item.kind == "word" for item in items[i:j]) and said in places():
            # "Melbourne, Australia": the country behind it says nothing new.
            behind = j + 1 if j < len(items) and items[j].raw == "," else j
            country = behind < len(items) and items[behind].kind == "word" and items[behind].raw.lower() in _COUNTRIES | set(places())
            yield (behind + 1 if country else j), places()[said], 1.0
            return
