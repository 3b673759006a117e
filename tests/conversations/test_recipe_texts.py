"""The recipe texts of fixtures/recipes: every amount right, or asked about. The texts were there before the reader."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from calc.fermentables import find_fermentable
from calc.hops import find_hop
from calc.units import quantity
from conversations.recipe.reader import read_recipe
from conversations.recipe.recipe_text import RecipeText

TEXTS = sorted((Path(__file__).parents[2] / "fixtures" / "recipes").glob("*.txt"))


def grams(read: Any) -> Any:
    return "ask" if read is None else read.in_unit("gram")


def grain_name(name: str) -> str:
    found = find_fermentable(name)
    return found.name if found else name


def hop_name(name: str) -> str:
    found = find_hop(name)
    return found.name if found else name


def asked(read: RecipeText) -> set[str]:
    """What the reply has to ask about, or to mark as assumed."""
    found = set()
    if read.volume is None:
        found.add("volume")
    if read.unsure_gallon:
        found.add("gallon")
    if any(part.mass is None and getattr(part, "share", None) is None for part in (*read.grains, *read.hops)):
        found.add("amounts")
    if any(hop.alpha is None for hop in read.hops):
        found.add("alpha")
    return found


def test_there_are_two_hundred_texts() -> None:
    assert len(TEXTS) == 200


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.stem)
def test_every_amount_is_right_or_asked_about(path: Path) -> None:
    expected = tomllib.loads(path.with_suffix(".toml").read_text(encoding="utf-8"))
    read = read_recipe(path.read_text(encoding="utf-8"))
    got_grains = [
        [grain_name(g.name), f"{g.share:g}%" if g.mass is None and g.share is not None else grams(g.mass)]
        for g in read.grains
    ]
    wanted_grains = [[grain_name(name), amount] for name, amount in expected["grains"]]
    assert [name for name, _ in got_grains] == [name for name, _ in wanted_grains]
    for (name, got), (_, wanted) in zip(got_grains, wanted_grains, strict=True):
        assert got == (wanted if isinstance(wanted, str) else pytest.approx(wanted, rel=2e-3)), name
    got_hops = [
        [
            hop_name(h.name),
            grams(h.mass),
            h.alpha or 0,
            ("ask" if h.minutes is None else h.minutes) if h.use in ("boil", "steep") else h.use.replace("_", " "),
        ]
        for h in read.hops
    ]
    wanted_hops = [[hop_name(row[0]), *row[1:]] for row in expected["hops"]]
    assert [row[0] for row in got_hops] == [row[0] for row in wanted_hops]
    for hop, wanted_hop in zip(got_hops, wanted_hops, strict=True):
        wanted_mass = wanted_hop[1] if isinstance(wanted_hop[1], str) else pytest.approx(wanted_hop[1], rel=2e-3)
        assert hop[1:] == [wanted_mass, *wanted_hop[2:]], hop[0]
    if expected["volume"] == "ask":
        assert read.volume is None
    else:
        value, unit = expected["volume"]
        assert read.volume is not None
        assert read.volume.in_unit("litre") == pytest.approx(quantity(value, unit).to("litre").magnitude, rel=1e-3)
    assert asked(read) == set(expected.get("asked", ())), "asked"
    if "mash" in expected:
        value, unit, minutes = expected["mash"]
        assert read.mash_temperature is not None
        assert (read.mash_temperature.value, read.mash_temperature.unit) == (value, unit)
        assert (read.mash_minutes or 0) == minutes
    else:
        assert read.mash_temperature is None
    assert read.boil_minutes == expected.get("boil"), "boil"
    assert read.original == expected.get("og")
    assert read.final == expected.get("fg")
    assert (read.yeast.kind if read.yeast else None) == expected.get("yeast"), "yeast"
    yeast_grams = read.yeast.mass.in_unit("gram") if read.yeast and read.yeast.mass else None
    assert yeast_grams == (pytest.approx(expected["yeast_grams"]) if "yeast_grams" in expected else None)
    assert len(read.refused) == expected.get("refused", 0), read.refused
    if "name" in expected:
        assert read.name == expected["name"]
