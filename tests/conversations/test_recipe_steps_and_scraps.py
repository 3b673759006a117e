"""Steps counted from the one before, larder and shop beside an amount, scribbled amounts: what each line comes to."""

from __future__ import annotations

import pytest

from conversations.recipe.reader import read_recipe


@pytest.mark.parametrize(
    ("text", "hops", "boil"),
    [
        (
            "Bring to the boil. Add 15 g Perle 7 %. Forty minutes later add 8 g Saaz 3 %, and ten minutes after that turn off the gas.",
            [("Perle", 15, 50), ("Saaz", 8, 10)],
            50,
        ),
        (
            "15 g Perle at the start of the boil. Half an hour later 10 g Saaz. Turn the hob off after another 10 minutes.",
            [("Perle", 15, 40), ("Saaz", 10, 10)],
            40,
        ),
        (
            "2 kg pale malt with fifteen minutes left 10 g of saaz with five minutes left 8 g of saaz",
            [("saaz", 10, 15), ("saaz", 8, 5)],
            None,
        ),
        ("at the start 12 g challenger for sixty minutes 10 g of cascade for ten minutes", [("challenger", 12, 60), ("cascade", 10, 10)], None),
        ("Fuggle 20 g (have 100 g) 60 min", [("Fuggle", 20, 60)], None),
        ("Perle 7.1%: 15@60, 10@10", [("Perle", 15, 60), ("Perle", 10, 10)], None),
        ("boil 60 min. No, make that 75.", [], 75),
    ],
)
def test_each_hop_has_its_own_time(text: str, hops: list[tuple[str, float, float]], boil: float | None) -> None:
    read = read_recipe(text)
    assert [(hop.name, hop.mass.value if hop.mass else None, hop.minutes) for hop in read.hops] == hops
    assert read.boil_minutes == boil


@pytest.mark.parametrize(
    ("text", "grains"),
    [
        ("pale malt 3 kg (I have 2.5 kg left so will buy more)", [("pale malt", 3000)]),
        ("have 1 kg wheat malt - use 0.5 kg", [("wheat malt", 500)]),
        ("crystal malt 250 g - 2.50 for 500 g", [("crystal malt", 250)]),
        ("3k pale, 250 munich, 80 crystal", [("pale", 3000), ("munich", 250), ("crystal", 80)]),
        ("three and a half kilos of pale malt, 5 % of it lost", [("pale malt", 3500)]),
    ],
)
def test_each_malt_has_what_goes_into_the_beer(text: str, grains: list[tuple[str, float]]) -> None:
    assert [(grain.name, grain.mass.in_unit("gram") if grain.mass else None) for grain in read_recipe(text).grains] == grains
