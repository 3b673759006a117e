"""The word lists of data/words.toml, and the names of ingredients in one index."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from calc.fermentables import fermentable_names, find_fermentable
from calc.hops import find_hop, hop_names


@cache
def recipe_words() -> Mapping[str, Any]:
    """All of data/words.toml."""
    return tomllib.loads(files("conversations.recipe").joinpath("data", "words.toml").read_text(encoding="utf-8"))


@cache
def words_of(part: str, name: str) -> frozenset[str]:
    """One list of data/words.toml as a set; an empty ``part`` is the top of the file."""
    table = recipe_words()[part] if part else recipe_words()
    return frozenset(table[name])


@cache
def ingredient_names() -> Mapping[tuple[str, ...], tuple[str, str]]:
    """Words of a name to its kind (grain, hop or extra) and our name for it."""
    index: dict[tuple[str, ...], tuple[str, str]] = {}
    for name in words_of("names", "extras"):
        index[tuple(name.split())] = ("extra", name)
    for words, grain in fermentable_names().items():
        # "2 row" is written with a figure, which is no word: see marks.py.
        index[tuple("two" if word == "2" else word for word in words)] = ("grain", grain.name)
        if words[-1:] == ("malt",) and len(words) > 1:
            # "malt pilsner": the order of many languages.
            index.setdefault(("malt", *words[:-1]), ("grain", grain.name))
    for words, hop in hop_names().items():
        index[words] = ("hop", hop.name)
    index[("tworow",)] = index[("sixrow",)] = ("grain", "pale malt")
    return index


@cache
def begins_a_name() -> frozenset[str]:
    """The first words of the names of ingredients."""
    return frozenset(words[0] for words in ingredient_names())


PASSED_OVER = frozenset({"the", "a", "an", "it", "my"})
"""Words that may lie inside a phrase without being part of it."""


@cache
def when_phrases() -> Mapping[str, list[tuple[tuple[str, ...], str]]]:
    """Phrases of when hops go in and what they mean, longest first, under the word that each begins with."""
    found = [
        (tuple(word for word in phrase.replace("-", " ").split() if word not in PASSED_OVER), meaning)
        for meaning, phrases in recipe_words()["when"].items()
        for phrase in phrases
    ]
    begun: dict[str, list[tuple[tuple[str, ...], str]]] = {}
    for words, meaning in sorted(set(found), key=lambda pair: (-len(pair[0]), pair)):
        begun.setdefault(words[0], []).append((words, meaning))
    return begun


_DAY = re.compile(r"(?<=dry hop|ry hops|hopping) +(?:(?:on|from|at) +)?(?:day +\d+|(?:for +)?\d+ +days?)$")
"""When the hops under a heading go in, or how long they stay."""


@cache
def keys() -> Mapping[str, str]:
    """Word to the thing that it turns the line to: mash, hold, boil or other."""
    return {word: key for key, words in recipe_words()["keys"].items() for word in words}


@cache
def heading(line: str) -> str | None:
    """The part of the recipe that a line opens, where it is a heading and nothing else."""
    plain = _DAY.sub("", line.casefold().strip(" \t#*=-_:.()[]|>~"))
    return next((part for part, lines in recipe_words()["headings"].items() if plain in lines), None)


def yeast_type(name: str) -> str:
    """The type of calc/data/yeasts.toml that a yeast's name tells of; ale where it tells nothing.

    >>> yeast_type("dry English-style ale yeast"), yeast_type("German lager yeast"), yeast_type("whatever is there")
    ('english_ale', 'lager', 'ale')
    """
    present = set(re.findall(r"[^\W\d_]+", name.casefold()))
    types = recipe_words()["yeast"]["type"]
    return next((row["type"] for row in types if present.intersection(row["words"])), "ale")


def known_grain(name: str) -> bool:
    """Whether a grain, sugar or extract of that name is in the data."""
    return find_fermentable(name) is not None


def same_hop(one: str, other: str) -> bool:
    """Whether two names mean one variety."""
    first, second = find_hop(one), find_hop(other)
    return one.casefold() == other.casefold() if first is None or second is None else first.name == second.name


def known_hop(name: str) -> bool:
    """Whether a hop variety of that name is in the data."""
    return find_hop(name) is not None
