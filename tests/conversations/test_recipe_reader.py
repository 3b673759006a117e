"""More ways to write a recipe down, each of which was once read wrongly without a word about it."""

from __future__ import annotations

import pytest

from conversations.recipe.reader import read_recipe


def grains(text: str) -> dict[str, float | None]:
    return {g.name.lower(): g.mass and round(g.mass.in_unit("gram")) for g in read_recipe(text).grains}


def hops(text: str) -> list[tuple[str, float | None, float | None]]:
    return [(h.name, h.mass and round(h.mass.in_unit("gram"), 1), h.minutes) for h in read_recipe(text).hops]


def test_one_amount_in_two_units_is_one_amount() -> None:
    assert grains("10 lbs (4.54 kg) 2-row") == {"pale malt": 4536}
    assert grains("2.3kg/5lb pale malt") == {"pale malt": 2300}
    assert hops("1 oz (28 g) Centennial (10% AA) at 10 min") == [("Centennial", 28.3, 10)]
    read = read_recipe("5 gal / 19 L\n10 lb pale malt")
    assert read.volume is not None
    assert (read.volume.value, read.volume.unit, read.unsure_gallon) == (19, "litre", False)


def test_a_label_before_its_line_is_no_ingredient() -> None:
    text = "Malt: 3 kg lager malt, 300 g munich malt\nHops: 25 g Hallertauer Mittelfrüh 4,2% (60 min), 10g (15 min)"
    assert grains(text) == {"lager malt": 3000, "munich malt": 300}
    assert hops(text) == [("Hallertauer Mittelfrüh", 25, 60), ("Hallertauer Mittelfrüh", 10, 15)]


def test_an_amount_stays_in_its_piece_of_the_line() -> None:
    assert grains("6-row 2 kg, sugar 300 g") == {"pale malt": 2000, "sugar": 300}
    assert grains("Grains:\nNordhafener, 250 g\n1 kg pale malt") == {"nordhafener": 250, "pale malt": 1000}


def test_sentences_of_a_letter_are_read_each_for_itself() -> None:
    text = (
        "I had 3 kg of pale malt and 400 g of Munich left. Hops were Perle, 20 g for an hour and then Saaz, 15 g for ten "
        "minutes. Made about 14 litres."
    )
    assert grains(text) == {"pale malt": 3000, "munich": 400}
    assert hops(text) == [("Perle", 20, 60), ("Saaz", 15, 10)]


def test_times_in_front_and_hops_that_share() -> None:
    assert hops("60 minutes: 25 g Fuggle, 10 minutes: 15 g Goldings") == [("Fuggle", 25, 60), ("Goldings", 15, 10)]
    assert hops("12 g each of Fuggle and Goldings at 60 min") == [("Fuggle", 12, 60), ("Goldings", 12, 60)]
    assert hops("12 g Fuggle 15") == [("Fuggle", 12, 15)]
    assert hops("20 g Saaz whirlpool 20 min") == [("Saaz", 20, 0)]


def test_what_is_not_certain_is_not_made_up() -> None:
    assert hops("15-20 g Goldings, 60 min") == [("Goldings", None, 60)]
    read = read_recipe("pale 80, crystal 15, challenger 15 g 60 min, 1/2 l of starter")
    assert not read.grains
    assert read.unread


def test_water_and_spoons_are_no_batch() -> None:
    read = read_recipe("Water ............ 25 l\nFinished beer .... 18 l\n1 tsp irish moss 15 min\nPale malt ... 3 kg")
    assert read.volume is not None
    assert read.volume.value == 18
    assert read.extras[0][0] == "irish moss"
    assert grains("1/2 pint honey\n1 kg pale malt") == {"pale malt": 1000}
    assert "1/2 pint honey" in read_recipe("1/2 pint honey\n1 kg pale malt").unread


@pytest.mark.parametrize(
    ("text", "name", "grams"),
    [
        ("Amber dry malt extract 500 g", "dry malt extract", 500),
        ("Crystal 60L: 0.4 kg", "crystal 60l", 400),
        ("10 oz crystal 60L", "crystal 60l", 283),
        ("approx. 150g of crystal", "crystal", 150),
        ("~2kg pale malt (crushed)", "pale malt", 2000),
    ],
)
def test_names_with_trimmings(text: str, name: str, grams: float) -> None:
    assert grains(text) == {name: grams}
