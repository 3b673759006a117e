"""More ways to write a recipe down, each of which was once read wrongly without a word about it."""

from __future__ import annotations

from time import perf_counter

import pytest

from calc.fermentables import find_fermentable
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


def test_a_malt_in_the_beers_name_shifts_no_amount() -> None:
    text = "For Hazel Brown I take 2 kg of mild malt, 180 g of brown malt and 90 g of crystal"
    assert grains(text) == {"mild malt": 2000, "brown malt": 180, "crystal": 90}
    assert read_recipe(text).name == "Hazel Brown"


def test_a_sugar_with_a_time_is_no_hop() -> None:
    text = "60 min: 20 g Fuggle 5%\nWith 10 minutes left add 150 g sugar and 10 g Goldings"
    assert grains(text) == {"sugar": 150}
    assert [row[:2] for row in hops(text)] == [("Fuggle", 20), ("Goldings", 10)]


def test_a_stand_after_the_flame_is_a_steep_whatever_its_minutes() -> None:
    assert hops("FO 20 g Mosaic 11.5 % (stand 20 min at 80 °C)") == [("Mosaic", 20, 0)]
    assert hops("20 g Mosaic at flame-out, 30 min") == [("Mosaic", 20, 0)]
    assert hops("20 g Mosaic when the heat goes off") == [("Mosaic", 20, 0)]


@pytest.mark.parametrize(
    "text",
    ["40 g sugar for priming", "Priming: 40 g sugar", "40 g sugar, to prime the bottles", "Carbonation: 6 g/L sugar"],
)
def test_priming_sugar_is_not_fermented_with_the_beer(text: str) -> None:
    read = read_recipe("2 kg pale malt\n" + text)
    assert [g.name for g in read.grains] == ["pale malt"]
    assert read.extras[0][0] == "sugar for priming"


def test_sugar_of_the_boil_stays_beside_priming_sugar() -> None:
    assert grains("100 g sugar in the boil, prime with 40 g sugar") == {"sugar": 100}
    assert grains("2 kg pale malt, 150 g sugar, then ferment and prime the bottles") == {
        "pale malt": 2000,
        "sugar": 150,
    }


def test_grams_for_a_litre_are_asked_about() -> None:
    assert hops("Dry hop: 3 g/L Citra") == [("Citra", None, 0)]


def test_amounts_of_another_batch_are_listed_and_not_taken() -> None:
    read = read_recipe("12 g Galena 13 % 60 min\nLast time 15 g of Galena was too much.")
    assert len(read.hops) == 1
    assert read.unread == ("Last time 15 g of Galena was too much.",)
    assert hops("20 g Fuggle 60 min (last time 25 g)") == [("Fuggle", 20, 60)]


def test_short_and_unknown_names_are_not_pale_malt() -> None:
    (choc,) = read_recipe("60g choc malt").grains
    malt = find_fermentable(choc.name)
    assert malt is not None
    assert malt.name == "chocolate malt"
    read = read_recipe("50 g blorb malt\n2 kg XO\n3kg MO")
    assert [(g.name, g.known) for g in read.grains] == [("blorb malt", False), ("XO", False), ("maris otter", True)]


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("lager yeast 2 x 11.5 g", 23),
        ("lager yeast, 2 sachets of 11.5 g", 23),
        ("two packets of eleven grams of lager yeast", 22),
        ("lager yeast 1 x 11 g", 11),
        ("lager yeast 2 sachets (11.5 g)", None),
    ],
)
def test_several_sachets_are_counted_and_a_doubtful_count_is_left_open(text: str, grams: float | None) -> None:
    yeast = read_recipe(text).yeast
    assert yeast is not None
    assert (yeast.mass and yeast.mass.in_unit("gram")) == grams


def test_alpha_before_the_name_belongs_to_the_name_behind_it() -> None:
    read = read_recipe("13.5% alpha Magnum, 9 g, 60 min\n9 g Perle 7% alpha 20 min 20 g Saaz 4% 10 min")
    assert [(h.name, h.alpha) for h in read.hops] == [("Magnum", 13.5), ("Perle", 7), ("Saaz", 4)]


def test_a_label_gives_its_time_only_where_none_is_told() -> None:
    assert hops("Aroma: 28 g Saaz 5% for 5 minutes") == [("Saaz", 28, 5)]
    assert hops("Bittering: 28 g Saaz 5% for 45 minutes") == [("Saaz", 28, 45)]
    assert hops("Aroma: 28 g Saaz 5%") == [("Saaz", 28, 0)]


def test_steeped_grain_is_kept_and_its_water_is_no_batch() -> None:
    text = "Steep 250 g crystal malt, 200 g amber malt in 3 litres at 70 C for 30 minutes"
    assert grains(text) == {"crystal malt": 250, "amber malt": 200}
    assert read_recipe(text).volume is None


@pytest.mark.parametrize(
    "text",
    [
        "type,name,amount,unit,alpha,minutes\ngrain,pale malt,2300,g,,\nhop,Perle,9,g,7.5,60\nyeast,English ale,11,g,,",
        "kg\t%\tmalt\n2.3\t100\tpale malt\n\ng\thop\talpha\tmin\n9\tPerle\t7.5%\t60",
        "Malt        kg\nPale malt   2.3\n\nHop     g   AA   min\nPerle   9   7.5  60",
        "| Malt | Weight (kg) |\n|---|---|\n| Pale malt | 2,3 |\n\nPerle 7.5 % 9 g 60 min",
    ],
)
def test_tables_with_their_units_in_the_heading(text: str) -> None:
    read = read_recipe(text)
    assert grains(text) == {"pale malt": 2300}
    assert [(h.name, h.mass and h.mass.in_unit("gram"), h.alpha, h.minutes) for h in read.hops] == [
        ("Perle", pytest.approx(9), 7.5, 60)
    ]


def test_a_table_without_any_unit_is_listed_as_not_read() -> None:
    read = read_recipe("name,amount\npale malt,2300")
    assert not read.grains
    assert read.unread == ("pale malt,2300",)


def test_the_main_rest_of_several() -> None:
    for text in (
        "Mash 50 C 15 min, 66 C 45 min, 76 C 10 min",
        "Mash schedule\n50 C for 15 min\n66 C for 45 min\n76 C for 10 min",
    ):
        read = read_recipe(text)
        assert read.mash_temperature is not None
        assert (read.mash_temperature.value, read.mash_minutes) == (66, 45)
    read = read_recipe("Mash at 67 C for an hour, rinse at 70 C and boil for 90 minutes")
    assert read.mash_temperature is not None
    assert (read.mash_temperature.value, read.mash_minutes, read.boil_minutes) == (67, 60, 90)
    assert read_recipe("mash sixty six for sixty").mash_minutes == 60


@pytest.mark.parametrize(
    ("text", "original", "final"),
    [
        ("OG 1.058 FG 1.020 ABV 5.0%", 1.058, 1.020),
        ("Expected: 1.049 -> 1.010, 5.1 %", 1.049, 1.010),
        ("It came out at 1.051 for me", 1.051, None),
    ],
)
def test_gravities_beside_other_numbers(text: str, original: float, final: float | None) -> None:
    read = read_recipe("2 kg pale malt\n" + text)
    assert (read.original, read.final) == (original, final)


@pytest.mark.parametrize(
    ("text", "name", "litres"),
    [
        ("Quay Pale / 12 L / 60 min boil", "Quay Pale", 12),
        ("okay new recipe called Quay Pale, 6 litres", "Quay Pale", 6),
        ("No-mash Amber (23 L)", "No-mash Amber", 23),
        ("Hi all, this makes 9 litres", "", 9),
    ],
)
def test_names_and_sizes_of_first_lines(text: str, name: str, litres: float) -> None:
    read = read_recipe(text + "\n2 kg pale malt")
    assert read.name == name
    assert read.volume is not None
    assert read.volume.in_unit("litre") == litres


def test_an_amount_that_may_be_two_is_asked_about() -> None:
    for text in ("pale malt 1 kg and 250 g crystal malt", "Pale malt 2 x 1 kg and 250 g crystal malt"):
        assert all(grain.mass is None for grain in read_recipe(text).grains)


@pytest.mark.parametrize("bit", ["1/", "\u00a31 ", "~~", "or 1 g ", "half at 1 and ", "@1/", "never "])
def test_a_line_without_end_does_not_keep_the_reader(bit: str) -> None:
    # One line of 12 000 letters, the most that a message may have; a careless pattern took 9 s for the first of these.
    began = perf_counter()
    read_recipe((bit * 12000)[:12000])
    assert perf_counter() - began < 5
