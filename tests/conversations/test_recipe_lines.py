"""Short recipes by the class of what once went wrong in them (fixtures/recipes/lines.toml)."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from conversations.intents import Measured
from conversations.recipe.reader import read_recipe
from conversations.recipe.recipe_text import RecipeText

PAGE = Path(__file__).parents[2] / "fixtures" / "recipes" / "lines.toml"
LINES: list[dict[str, Any]] = tomllib.loads(PAGE.read_text(encoding="utf-8"))["line"]


def grams(mass: Measured | None) -> float | str:
    return "ask" if mass is None else pytest.approx(mass.in_unit("gram"), rel=5e-3)


def told(read: RecipeText, part: str) -> Any:
    match part:
        case "grains":
            names = [grain.name.lower() for grain in read.grains]
            assert len(names) == len(set(names)), "a malt is there twice"
            return {grain.name.lower(): grams(grain.mass) for grain in read.grains}
        case "hops":
            return [
                [hop.name.lower(), grams(hop.mass), hop.alpha or 0, _when(hop.minutes) if hop.use in ("boil", "steep") else hop.use]
                for hop in read.hops
            ]
        case "volume":
            return "ask" if read.volume is None else pytest.approx(read.volume.in_unit("litre"), abs=0.006)
        case "mash":
            return [_when(read.mash_temperature and read.mash_temperature.value), _when(read.mash_minutes)]
        case "rests":
            return [[heat.value, _when(minutes)] for heat, minutes in read.rests]
        case "yeast_grams":
            return grams(read.yeast.mass if read.yeast else None)
        case "extras":
            return [[name, grams(mass)] for name, mass in read.extras]
        case "boil":
            return read.boil_minutes
        case "gravities":
            return [read.original or "ask", read.final or "ask"]
        case "name":
            return read.name
        case "yeast":
            return read.yeast.kind if read.yeast else "none"
        case "gallon":
            return read.unsure_gallon
    return bool(read.unread)


def _when(minutes: float | None) -> float | str:
    return "ask" if minutes is None else minutes


@pytest.mark.parametrize("line", LINES, ids=lambda line: f"{line['class'][:18]}: {line['text'][:40]}")
def test_every_amount_is_right_or_asked_about(line: dict[str, Any]) -> None:
    read = read_recipe(line["text"])
    for part in line.keys() - {"class", "text"}:
        assert told(read, part) == line[part], part


def test_there_are_nine_lines_of_each_class() -> None:
    classes = [line["class"] for line in LINES]
    assert min(classes.count(each) for each in set(classes)) >= 9
