"""Generic malts, adjuncts, sugars and malt extracts, looked up by name in data/fermentables.toml."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from calc.tables import read_table

MASHED_KINDS = frozenset({"malt", "adjunct"})


@dataclass(frozen=True)
class Fermentable:
    """One kind of malt, adjunct, sugar or malt extract; pairs are the low and the high end of a range."""

    name: str
    kind: str
    extract_dry: tuple[float, float]
    """Extract as a fraction of the dry substance."""
    moisture: tuple[float, float]
    """Water as a fraction of the weight as sold."""
    colour_ebc: tuple[float, float]
    source: str
    fermentable: float | None = None
    """Share of its extract that yeast can use where that does not hang on the mash: sugars; None for the rest."""

    @property
    def mashed(self) -> bool:
        """Whether its extract has to be won in the mash; otherwise it dissolves whole."""
        return self.kind in MASHED_KINDS

    @property
    def extract_fraction(self) -> float:
        """Extract in a gram as sold, at the middle of both ranges."""
        return sum(self.extract_dry) / 2 * (1 - sum(self.moisture) / 2)

    @property
    def extract_uncertainty(self) -> float:
        """Standard uncertainty of :attr:`extract_fraction`.

        Both ranges are taken as rectangular. Source: JCGM 100:2008 (GUM), 4.3.7.
        """
        dry_u = (self.extract_dry[1] - self.extract_dry[0]) / 2 / 3**0.5
        wet_u = (self.moisture[1] - self.moisture[0]) / 2 / 3**0.5
        dry, wet = sum(self.extract_dry) / 2, sum(self.moisture) / 2
        return float((((1 - wet) * dry_u) ** 2 + (dry * wet_u) ** 2) ** 0.5)


def _words(name: str) -> tuple[str, ...]:
    return tuple(re.findall(r"[a-z0-9]+", name.casefold()))


@cache
def _by_words() -> Mapping[tuple[str, ...], Fermentable]:
    index: dict[tuple[str, ...], Fermentable] = {}
    for row in read_table("fermentables")["fermentable"]:
        entry = Fermentable(
            name=row["name"],
            kind=row["kind"],
            extract_dry=tuple(row["extract_dry"]),
            moisture=tuple(row["moisture"]),
            colour_ebc=tuple(row["colour_ebc"]),
            source=row["source"],
            fermentable=row.get("fermentable", 1.0 if row["kind"] == "sugar" else None),
        )
        for name in (row["name"], *row["aliases"]):
            index[_words(name)] = entry
    return index


def fermentable_names() -> Mapping[tuple[str, ...], Fermentable]:
    """Every name and alias, as words in lower case, with its entry.

    >>> fermentable_names()[("white", "sugar")].name
    'table sugar'
    """
    return _by_words()


def known_fermentables() -> tuple[Fermentable, ...]:
    """Everything in the data file, each once, in its order.

    >>> known_fermentables()[0].name
    'pale malt'
    """
    return tuple(dict.fromkeys(_by_words().values()))


@cache
def find_fermentable(name: str) -> Fermentable | None:
    """Look a name up; None where nothing in the data file fits.

    Case, hyphens and the order of words do not matter, and words that say nothing to us are passed over:
    the known name with the most words in common wins, all of its words being in ``name``. The bare word
    "malt" fits only where it is the whole name.

    >>> find_fermentable("Crushed dark-crystal malt").name
    'dark crystal malt'
    >>> find_fermentable("malted unobtainium") is None
    True
    """
    wanted = _words(name)
    index = _by_words()
    if wanted in index:
        return index[wanted]
    present = set(wanted)
    fitting = [words for words in index if words != ("malt",) and present.issuperset(words)]
    return index[max(fitting, key=lambda words: (len(words), len("".join(words))))] if fitting else None


def fermentable_or_default(name: str) -> Fermentable:
    """Look a name up, and take pale malt (the data file's ``fallback``) where nothing fits.

    An unknown name in a grain bill is nearly always a base malt under its maker's name, and kilned malts
    differ by a few per cent; ask :func:`find_fermentable` first where the brewer should be told.

    >>> fermentable_or_default("malted unobtainium").name
    'pale malt'
    """
    return find_fermentable(name) or _by_words()[_words(read_table("fermentables")["fallback"])]
