"""The same recipe typed otherwise reads the same: bullets, capitals, other forms of the units, another copy and paste."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from conversations.recipe.reader import read_recipe
from conversations.recipe.recipe_text import RecipeText
from tests.conversations.test_recipe_texts import TEXTS, grain_name, hop_name

_STARTED = re.compile(r"\s*([-*•|#>\d~]|\[)")


def each_line(change: Callable[[int, str], str]) -> Callable[[str], str]:
    def lines(text: str) -> str:
        return "\n".join(
            change(number, line) if line.strip() and not _STARTED.match(line) else line
            for number, line in enumerate(text.split("\n"))
        )

    return lines


def swap(pattern: str, new: str) -> Callable[[str], str]:
    return lambda text: re.sub(pattern, new, text)


DISGUISES: dict[str, Callable[[str], str]] = {
    "capitals": str.upper,
    "windows line ends": swap(r"\n", "\r\n"),
    "quoted mail": lambda text: "\n".join("> " + line for line in text.split("\n")),
    "bullets": each_line(lambda _, line: "- " + line),
    "numbered": each_line(lambda number, line: f"{number + 1}. {line}"),
    "empty lines": swap(r"\n", "\n\n"),
    "spaces at the end": swap(r"\n", "  \n"),
    "grams": swap(r"(?<=\d) ?g\b(?!/)", " grams"),
    "gr": swap(r"(?<=\d) ?g\b(?!/)", " gr"),
    "kilos": swap(r"(?<=\d) ?kg\b", " kilos"),
    "no spaces": swap(r"(?<=\d) (?=(?:kg|g|min|l|oz|lb|ml)\b)", ""),
    "hard spaces": swap(r"(?<=\d) (?=(?:kg|g|min|%)\b)", "\u00a0"),
    "mins": swap(r"(?<=\d) ?min\b", " mins"),
    "minutes": swap(r"(?<=\d) ?min\b", " minutes"),
    "litres": swap(r"(?<=\d) ?[lL]\b", " litres"),
    "percent": swap(r"(?<=\d) ?%(?!\w)", " percent"),
    "no degree sign": swap(r" ?° ?(?=[CF]\b)", " "),
    "Celsius": swap(r"(?<=\d) ?°C", " Celsius"),
    "knockout": lambda text: re.sub(r"flame[- ]?out", "knockout", text, flags=re.IGNORECASE),
    "AA": swap(r"% alpha\b", "% AA"),
    "a greeting below": lambda text: text + "\n\nCheers, and let me know how it goes!\nBob",
}


def amounts(read: RecipeText) -> list[Any]:
    """Everything that was read, names by our own."""
    grains = sorted((grain_name(g.name), str(g.share), g.mass and round(g.mass.in_unit("gram"), 2)) for g in read.grains)
    hops = [(hop_name(h.name), h.mass and round(h.mass.in_unit("gram"), 2), h.alpha, h.minutes, h.use) for h in read.hops]
    volume = read.volume and round(read.volume.in_unit("litre"), 3)
    mash = read.mash_temperature and round(read.mash_temperature.in_unit("degC"), 2)
    yeast = read.yeast and read.yeast.kind
    return [grains, hops, volume, mash, read.mash_minutes, read.boil_minutes, read.original, yeast]


def same(texts: list[Any], disguise: str) -> list[str]:
    changed = []
    for path in texts:
        text = path.read_text(encoding="utf-8")
        if amounts(read_recipe(DISGUISES[disguise](text))) != amounts(read_recipe(text)):
            changed.append(path.stem)
    return changed


@pytest.mark.slow
@pytest.mark.parametrize("disguise", DISGUISES)
def test_a_text_in_disguise_reads_the_same(disguise: str) -> None:
    assert same(TEXTS[::3], disguise) == []
