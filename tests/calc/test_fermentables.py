from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.fermentables import Fermentable, fermentable_or_default, find_fermentable, known_fermentables
from calc.tables import read_table


@pytest.mark.parametrize("entry", known_fermentables(), ids=lambda entry: entry.name)
def test_every_line_of_the_data_makes_sense(entry: Fermentable) -> None:
    for low, high in (entry.extract_dry, entry.moisture, entry.colour_ebc):
        assert 0 <= low <= high
    assert entry.extract_dry[1] <= 1
    assert entry.moisture[1] < 0.5
    assert entry.kind in {"malt", "adjunct", "sugar", "extract"}
    assert entry.source in {"range", "memory", "definition", "practice"}
    assert 0.5 < entry.extract_fraction <= 1
    assert 0 <= entry.extract_uncertainty < 0.1
    assert find_fermentable(entry.name) == entry


def test_no_two_lines_share_a_name() -> None:
    rows = read_table("fermentables")["fermentable"]
    names = [name for row in rows for name in (row["name"], *row["aliases"])]
    assert len(names) == len(set(names))


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Pale Malt", "pale malt"),
        ("crushed pale malt", "pale malt"),
        ("malt, pale", "pale malt"),
        ("Maris Otter", "pale malt"),
        ("lager malt", "pilsner malt"),
        ("pale crystal", "light crystal malt"),
        ("dark-crystal malt", "dark crystal malt"),
        ("caramel", "crystal malt"),
        ("rolled oats", "flaked oats"),
        ("sugar", "table sugar"),
        ("soft brown sugar", "brown sugar"),
        ("DME", "dried malt extract"),
        ("pale liquid malt extract", "liquid malt extract"),
        ("pale wheat malt", "wheat malt"),
    ],
)
def test_names_as_people_write_them(written: str, name: str) -> None:
    found = find_fermentable(written)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("written", ["", "hops", "hearthside no. 3 malt", "peas"])
def test_unknown_names_fall_back(written: str) -> None:
    assert find_fermentable(written) is None
    assert fermentable_or_default(written).name == "pale malt"


@given(st.text(max_size=40))
def test_any_text_gives_something(written: str) -> None:
    assert fermentable_or_default(written).extract_fraction > 0
