"""Packs that were bought, where the line also says how much of them goes in."""

from __future__ import annotations

from calc.units import quantity
from conversations.recipe.entry import Entry
from conversations.recipe.mark import Mark


def without_packs(entries: list[Entry]) -> list[Entry]:
    """The ingredients of a line without the pack that its additions come out of.

    "one 100 g pack of Fuggle, 30 g at 60 min" uses 30 g; additions that are more than the pack holds leave all as it was.
    """
    kept: list[Entry] = []
    for place, entry in enumerate(entries):
        used = _out_of(entry, entries[place + 1 :])
        if not used:
            kept.append(entry)
        for addition in used:
            if addition.name is None:
                addition.name, addition.share = entry.name, addition.share or entry.share
    return kept


def _out_of(pack: Entry, later: list[Entry]) -> list[Entry]:
    """The additions that come out of the pack; none where it is no pack or they are more than it holds."""
    if pack.kind != "hop" or pack.timed or pack.mass is None or pack.mass.what != "pack" or pack.name is None:
        return []
    used: list[Entry] = []
    for entry in later:
        own = entry.name is not None or bool(entry.words)
        if own and (entry.name is None or entry.name.ours != pack.name.ours):
            break
        if entry.mass is not None and entry.timed:
            used.append(entry)
    held = sum(_grams(entry.mass) for entry in used if entry.mass is not None)
    return used if held <= _grams(pack.mass) * 1.001 else []


def _grams(mass: Mark) -> float:
    return float(quantity(mass.value, mass.unit).to("gram").magnitude)
