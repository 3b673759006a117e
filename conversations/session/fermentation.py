"""The tables of the weeks after pitching (`fermentation.toml`, `remedies.toml`), read once."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any

from calc.yeast import yeast_types
from conversations.recipe import words
from conversations.session.state import Recipe

DEFAULT_TYPE = "ale"


@lru_cache(maxsize=8)
def page(name: str) -> dict[str, Any]:
    """A data page of this package, such as ``fermentation``."""
    return tomllib.loads(files("conversations.session").joinpath(f"{name}.toml").read_text(encoding="utf-8"))


def table(name: str) -> dict[str, Any]:
    """One table of `fermentation.toml`."""
    found: dict[str, Any] = page("fermentation")[name]
    return found


def yeast_type(recipe: Recipe) -> str:
    """The type of calc's table that the recipe's yeast is taken for; ale where nothing is said.

    >>> yeast_type(Recipe(yeast="dry lager yeast"))
    'lager'
    """
    kind = recipe.yeast_type or words.yeast_type(recipe.yeast)
    return kind if kind in yeast_types() else DEFAULT_TYPE


def type_words(style: str) -> str:
    """A yeast type as it is said: ``english_ale`` is "english ale"."""
    return style.replace("_", " ")


def pace(style: str) -> dict[str, float]:
    """Days for a yeast type at the middle of its range."""
    found: dict[str, float] = table("pace")[style]
    return found
