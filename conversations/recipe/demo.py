"""The invented recipes that ship with Potside."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import NamedTuple


class DemoRecipe(NamedTuple):
    """A recipe's name, a few words about it, and its text as a person would paste it."""

    name: str
    words: str
    text: str


@cache
def demo_recipes() -> tuple[DemoRecipe, ...]:
    """All of data/demo_recipes.toml, in its order."""
    page = files("conversations.recipe").joinpath("data", "demo_recipes.toml").read_text(encoding="utf-8")
    return tuple(DemoRecipe(row["name"], row["words"], row["text"].strip()) for row in tomllib.loads(page)["recipe"])


def find_demo(name: str) -> DemoRecipe | None:
    """The one whose name is said, or a word of it that no other has; None where none is meant.

    >>> find_demo("the Coalhole porter").name, find_demo("stout")
    ('Coalhole Porter', None)
    """
    said = set(name.casefold().split()) - {"the", "a", "your", "recipe", "beer"}
    for recipe in demo_recipes():
        own = recipe.name.casefold().split()
        # "stout" alone is somebody's own stout; the place in the name is ours.
        if own[0] in said or said == set(own):
            return recipe
    return None
