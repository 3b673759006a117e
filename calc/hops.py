"""Hop varieties and the alpha acids that they usually have, looked up by name in data/hops.toml."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from calc.tables import read_table
from calc.units import Quantity, quantity


@dataclass(frozen=True)
class HopVariety:
    """One variety; ``alpha_percent`` is the low and high end of what packets state, from memory."""

    name: str
    alpha_percent: tuple[float, float]
    keeping: str
    """Class of :func:`calc.hop_ageing.aged_alpha_acids`: good, fair, average or poor."""

    @property
    def usual_alpha(self) -> Quantity:
        """Middle of the range, percent."""
        return quantity(sum(self.alpha_percent) / 2, "percent")


def _words(name: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[^\W\d_]+", name.casefold().replace("'", "")))


@cache
def hop_names() -> Mapping[tuple[str, ...], HopVariety]:
    """Every name and alias, as words in lower case, with its variety.

    >>> hop_names()[("northern", "brewer")].name
    'Northern Brewer'
    """
    index: dict[tuple[str, ...], HopVariety] = {}
    for row in read_table("hops")["hop"]:
        low, high = row["alpha"]
        variety = HopVariety(row["name"], (float(low), float(high)), row["keeping"])
        for name in (row["name"], *row["aliases"]):
            index[_words(name)] = variety
    return MappingProxyType(index)


@cache
def find_hop(name: str) -> HopVariety | None:
    """Look a variety up; None where none fits. The known name with the most words in ``name`` wins.

    >>> find_hop("East Kent Goldings leaf").name, find_hop("hallertau blanc").name, find_hop("nettles")
    ('East Kent Goldings', 'Hallertau Blanc', None)
    """
    present = set(_words(name))
    fitting = [words for words in hop_names() if present.issuperset(words)]
    return hop_names()[max(fitting, key=lambda words: (len(words), len("".join(words))))] if fitting else None


def usual_alpha(name: str) -> Quantity:
    """Alpha acids, percent, to assume for a hop whose packet was not read out.

    The middle of the variety's range, or of ``fallback_alpha`` of the data file where the variety is unknown.
    Errors: a harvest differs by a fifth either way. Source: From memory.

    >>> print(usual_alpha("Fuggle"), usual_alpha("hedge hop"))
    4.5 percent 5.0 percent
    """
    variety = find_hop(name)
    if variety is not None:
        return variety.usual_alpha
    low, high = read_table("hops")["fallback_alpha"]
    return quantity((low + high) / 2, "percent")
