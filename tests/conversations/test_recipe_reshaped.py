"""Recipes changed by proportion, in pieces, and fitted to a pot in a person's own words."""

from __future__ import annotations

import pytest

from calc.units import quantity
from calc.yeast import viability
from conversations.session import fit, plan
from conversations.session.predictions import predict
from conversations.session.state import Recipe
from conversations.session.yeast_in_hand import in_hand
from tests.conversations.test_kit_told_otherwise import Chat as Talk

RECIPE = "recipe: 1.2 kg pale malt, 100 g crystal, 12 g Fuggle 5% at 60, 5 g Fuggle 5 % at 10, 5 g Goldings 5% flame-out, dry English yeast, 8 litres"


class Chat(Talk):
    @property
    def recipe(self) -> Recipe:
        return self.state.batches[-1].recipe

    def grams(self) -> dict[str, float]:
        return {name: round(mass.in_unit("gram"), 1) for name, mass in self.recipe.grains}

    def hops(self) -> list[float]:
        return [round(hop.mass.in_unit("gram"), 1) for hop in self.recipe.hops]

    def litres(self) -> float:
        return plan.litres(plan.batch_volume(self.recipe))


@pytest.mark.parametrize(
    ("text", "litres", "pale", "fuggle"),
    [
        ("half the batch", 4.0, 600.0, 6.0),
        ("halve it", 4.0, 600.0, 6.0),
        ("cut it in half", 4.0, 600.0, 6.0),
        ("double the batch", 16.0, 2400.0, 24.0),
        ("cut the batch by a quarter", 6.0, 900.0, 9.0),
        ("more like 10 litres", 10.0, 1500.0, 15.0),
        ("call it 6 litres", 6.0, 900.0, 9.0),
        ("5 litres instead", 5.0, 750.0, 7.5),
    ],
)
def test_the_batch_in_proportion(text: str, litres: float, pale: float, fuggle: float) -> None:
    chat = Chat(RECIPE, text)
    assert chat.litres() == pytest.approx(litres)
    assert chat.grams()["pale malt"] == pytest.approx(pale)
    assert chat.hops()[0] == pytest.approx(fuggle)


@pytest.mark.parametrize(
    ("text", "grams", "hops"),
    [
        ("double the hops", {"pale malt": 1200, "crystal": 100}, [24, 10, 10]),
        ("half the Fuggle", {"pale malt": 1200, "crystal": 100}, [6, 2.5, 5]),
        ("cut the hops by a third", {"pale malt": 1200, "crystal": 100}, [8, 3.3, 3.3]),
        ("more hops", {"pale malt": 1200, "crystal": 100}, [15, 6.2, 6.2]),
        ("twice as much crystal", {"pale malt": 1200, "crystal": 200}, [12, 5, 5]),
        ("half as much crystal", {"pale malt": 1200, "crystal": 50}, [12, 5, 5]),
        ("remove the flame-out hops", {"pale malt": 1200, "crystal": 100}, [12, 5]),
        ("drop the 10 minute addition", {"pale malt": 1200, "crystal": 100}, [12, 5]),
        ("leave out the late hops", {"pale malt": 1200, "crystal": 100}, [12]),
    ],
)
def test_one_ingredient_in_proportion(text: str, grams: dict[str, float], hops: list[float]) -> None:
    chat = Chat(RECIPE, text)
    assert chat.litres() == pytest.approx(8)
    assert chat.grams() == pytest.approx(grams)
    assert chat.hops() == pytest.approx(hops, abs=0.06)
    chat.says("undo")
    assert chat.hops() == [12, 5, 5]


@pytest.mark.parametrize("text", ["replace half of the pale malt with munich", "swap 600 g of the pale malt for munich"])
def test_a_part_of_a_malt_is_swapped_for_the_same_extract(text: str) -> None:
    chat = Chat(RECIPE)
    before = predict(chat.recipe, chat.kit).original
    chat.says(text)
    assert chat.grams()["pale malt"] == pytest.approx(600)
    assert "munich" in chat.grams()
    assert float(predict(chat.recipe, chat.kit).original.magnitude) == pytest.approx(float(before.magnitude), abs=1e-4)


@pytest.mark.parametrize(("text", "sign"), [("make it darker", 1), ("make it paler", -1)])
def test_darker_and_paler_keep_the_strength_and_say_what_is_in_it(text: str, sign: int) -> None:
    chat = Chat(RECIPE)
    before = predict(chat.recipe, chat.kit)
    said = chat.says(text)
    after = predict(chat.recipe, chat.kit)
    assert sign * float((after.colour - before.colour).magnitude) > 0
    assert float(after.original.magnitude) == pytest.approx(float(before.original.magnitude), abs=5e-4)
    assert f"{chat.grams()['crystal']:.0f} g crystal" in said


POT = ("pot is 24 cm across and 22 cm high", RECIPE)


@pytest.mark.parametrize("text", ["the first one", "top up later", "I'll top up later", "boil stronger and top up", "1"])
def test_water_that_joins_later_taken_in_other_words(text: str) -> None:
    chat = Chat(*POT)
    chat.says("plan")
    chat.says(text)
    assert chat.recipe.late_water is not None
    assert fit.mash_fits(chat.recipe, chat.kit)
    assert fit.boil_fits(chat.recipe, chat.kit)
    assert chat.litres() == pytest.approx(8)
    chat.says("no top-up after all")
    assert chat.recipe.late_water is None


@pytest.mark.parametrize("text", ["the second one", "make it smaller", "make it fit my pot", "2"])
def test_a_smaller_batch_taken_in_other_words(text: str) -> None:
    chat = Chat(*POT)
    chat.says("plan")
    chat.says(text)
    assert chat.litres() < 8
    assert fit.mash_fits(chat.recipe, chat.kit)
    assert fit.boil_fits(chat.recipe, chat.kit)


def test_a_rinse_where_only_the_mash_is_too_much() -> None:
    chat = Chat("pot holds 12.5 litres", "recipe: 2.6 kg pale malt, 15 g Fuggle 5% at 60, dry English yeast, 8 litres")
    assert "rinse the bag" in chat.says("plan")
    chat.says("I'll rinse the bag then")
    assert chat.recipe.rinse_water is not None
    assert fit.mash_fits(chat.recipe, chat.kit)
    tight = Chat(*POT)
    assert "does not help" in tight.says("I'll rinse the bag then")
    assert tight.recipe.rinse_water is None


def test_a_way_out_of_a_pot_that_fits_changes_nothing() -> None:
    chat = Chat("pot holds 20 litres", RECIPE)
    assert "fits" in chat.says("make it smaller")
    assert chat.litres() == pytest.approx(8)
    assert "How much does the pot hold" in Chat(RECIPE).says("make it fit")


def test_a_second_message_of_a_recipe_joins_the_first() -> None:
    chat = Chat("Bitter, 8 litres\n1.6 kg pale malt\n100 g crystal")
    assert "Joined" in chat.says("12 g Fuggle 5% at 60\n10 g Goldings 5 % at 10\ndry English yeast")
    assert chat.grams() == {"pale malt": 1600, "crystal": 100}
    assert chat.hops() == [12, 10]
    chat.says("150 g crystal\n50 g wheat malt")
    assert chat.grams() == {"pale malt": 1600, "crystal": 150, "wheat malt": 50}
    assert chat.hops() == [12, 10]
    chat.says("Porter\n10 litres\n2 kg pale malt\n200 g brown malt\n15 g Fuggle 60 min")
    assert chat.grams() == {"pale malt": 2000, "brown malt": 200}
    assert chat.state.batches[-1].name == "Porter"
    assert len(chat.state.batches) == 1


def test_amounts_that_were_asked_for_come_bare_and_in_order() -> None:
    chat = Chat()
    assert "How much pale malt, crystal, Fuggle?" in chat.says("recipe:\n8 litres\npale malt\ncrystal\nFuggle 5% at 60")
    assert "How much crystal, Fuggle?" in chat.says("1.5 kg")
    chat.says("100 g and 12 g")
    assert chat.grams() == {"pale malt": 1500, "crystal": 100}
    assert chat.hops() == [12]
    assert not chat.state.batches[-1].readings


def test_a_size_that_was_not_told_is_said_to_be_taken() -> None:
    chat = Chat("brew 8 litres of mild")
    assert "No size given" in chat.says("recipe: 1.6 kg pale malt, 12 g Fuggle 5% at 60")
    said = chat.says("recipe: 1.6 kg pale malt, 12 g Fuggle 5% at 60, 0 litres")
    assert "0 litres" in said.partition("Fuggle")[2]
    assert "left out" in said


def test_yeast_is_counted_for_the_gravity_of_the_plan() -> None:
    chat = Chat("recipe: 2.6 kg pale malt, 15 g Fuggle 5% at 60, dry English yeast, 8 litres")
    shown = float(plan.original_gravity(chat.recipe, chat.kit).magnitude)
    assert f"{shown:.3f}" in chat.says("plan")
    assert f"{shown:.3f}" in chat.says("how much yeast do I need")


def test_more_grain_than_a_beer_can_have_is_said_plainly() -> None:
    chat = Chat("recipe: 31 kg pale malt, 12 g Fuggle 5% at 60, 8 litres")
    assert "31.00 kg of grain for 8.0 l" in chat.says("plan")


def test_salts_in_a_recipe_are_no_malt() -> None:
    chat = Chat("recipe:\n2 kg pale malt\n4 g calcium chloride\n3 g calcium sulphate\n1 g magnesium sulphate\n12 g Fuggle 5% at 60\n8 litres")
    assert chat.grams() == {"pale malt": 2000}
    assert len(chat.recipe.also) == 3


@pytest.mark.parametrize(
    "text",
    [
        "half an hour left",
        "double check that",
        "half the batch is bottled",
        "how much is half the batch",
        "I have half the Fuggle left",
        "half the hops are in the freezer",
        "more hops than last time",
        "last time I doubled the hops",
        "I might double the hops",
        "too dark in here",
        "double the yeast",
        "what if I double the batch",
        "don't halve it",
        "should I double the hops?",
        "rinse the fermenter",
        "the second one is in the fridge",
    ],
)
def test_what_changes_no_recipe(text: str) -> None:
    chat = Chat(RECIPE)
    before = chat.recipe
    chat.says(text)
    assert chat.recipe == before


def test_the_water_is_told_in_depths_of_this_pot() -> None:
    chat = Chat("pot is 30 cm across and 28 cm high", RECIPE)
    litres = fit.volumes(chat.recipe, chat.kit).mash_water
    depth = float(plan.depth_of_volume(quantity(litres, "litre"), chat.kit).to("centimetre").magnitude)
    assert depth == pytest.approx(litres * 1000 / (3.14159265 * 15**2), abs=0.01)
    assert f"cold {depth:.1f} cm" in chat.says("water")


@pytest.mark.parametrize(
    ("text", "minutes", "first_wort"),
    [
        ("five grams at flame-out", 0, False),
        ("5g at the end", 0, False),
        ("another 5 g when the heat goes off", 0, False),
        ("5 g Goldings first wort", 60, True),
        ("5 g Goldings halfway", 30, False),
    ],
)
def test_a_hop_dictated_in_words_is_an_addition_and_moves_no_stage(text: str, minutes: float, first_wort: bool) -> None:
    chat = Chat("brew 8 litres of brown ale", "1.6 kg pale malt", "12 g Fuggle 5% at 60")
    chat.says(text)
    batch = chat.state.batches[-1]
    assert batch.stage == "plan"
    assert not batch.readings
    assert chat.hops() == [12, 5]
    assert (chat.recipe.hops[-1].boil_minutes, chat.recipe.hops[-1].first_wort) == (minutes, first_wort)
    assert chat.recipe.hops[-1].name == ("Goldings" if "Goldings" in text else "Fuggle")
    assert "g F" in chat.says("undo") or first_wort or minutes == 30


def test_a_bare_volume_in_the_plan_is_no_reading_of_the_pot() -> None:
    chat = Chat("brew 8 litres of brown ale", "1.6 kg pale malt")
    assert "size of the batch" in chat.says("8 litres")
    assert "Make it 5.0 l?" in chat.says("5 litres")
    assert not chat.state.batches[-1].readings
    assert chat.litres() == pytest.approx(8)
    chat.says("make it 5.0 l")
    assert chat.litres() == pytest.approx(5)


def test_a_gallon_of_a_metric_brewer_says_which() -> None:
    assert "1 imperial gallon)" in Chat().says("brew 1 gallon of porter")


def test_one_of_our_recipes_by_its_place() -> None:
    chat = Chat()
    listed = chat.says("what recipes do you have")
    chat.says("brew the second one")
    assert chat.state.batches[-1].name in listed.split(";")[1]


def test_a_sachet_in_the_plan_is_the_yeast_of_the_beer() -> None:
    chat = Chat("brew 8 litres of brown ale", "1.6 kg pale malt", "one sachet of ale yeast")
    assert chat.recipe.yeast == "ale yeast"
    assert not chat.state.stock


def test_a_grist_in_percent_on_one_line_with_weighed_hops() -> None:
    chat = Chat("recipe for 10 l: 80% pale malt, 15% munich and 5% crystal, 20 g Saaz 3.5% 60 min, OG 1.048")
    whole = sum(chat.grams().values())
    assert {name: round(mass / whole, 3) for name, mass in chat.grams().items()} == {"pale malt": 0.8, "munich": 0.15, "crystal": 0.05}
    assert chat.litres() == pytest.approx(10)
    assert (chat.hops(), chat.recipe.hops[0].alpha_percent) == ([20], 3.5)
    assert float(predict(chat.recipe, chat.kit).original.magnitude) == pytest.approx(1.048, abs=5e-4)


def test_hops_of_no_variety_are_hops_and_no_yeast() -> None:
    chat = Chat()
    assert "alpha" in chat.says("recipe: 8 litres, 2 kg pale malt, 20 g hops, yeast").lower()
    assert chat.hops() == [20]
    assert chat.recipe.yeast_mass is None
    chat.says("the hops are 6 %")
    assert chat.recipe.hops[0].alpha_percent == 6
    total = Chat("recipe: 8 litres, 2 kg pale malt, 20 g Fuggle 5% at 60, total 20 g hops")
    assert total.hops() == [20]


def test_for_a_gallon_is_the_size() -> None:
    assert Chat("stout\ndry stout for a gallon (US)\n1.5 lb pale malt\n.5 oz Goldings 60").litres() == pytest.approx(3.785, abs=0.01)
    assert Chat("recipe:\nBitter, makes a gallon\n800 g pale malt\n10 g Fuggle 5% at 60").litres() == pytest.approx(4.546, abs=0.01)
    each = Chat("recipe:\n10 litres\n200 g pale malt for a litre\n1 g Fuggle 5% for a litre at 60")
    assert each.litres() == pytest.approx(10)


@pytest.mark.parametrize(
    ("text", "years"),
    [("my sachet is two years old", 2.0), ("the sachet is best before November 2027", 0.98), ("the yeast expired in March 2024", 4.65), ("my yeast is three years old", 3.0)],
)
def test_an_old_sachet_is_weighed_by_its_age(text: str, years: float) -> None:
    chat = Chat("pot holds 20 litres", "recipe: 1.6 kg pale malt, 12 g Fuggle 5% at 60, dry English yeast, 8 litres", "the sachet holds 4.2 g")
    assert "11 g" not in chat.says(text)
    hand = in_hand(chat.recipe, chat.state.stock, chat.now.date())
    assert hand is not None
    assert hand.grams == pytest.approx(4.2)
    assert hand.viable == pytest.approx(float(viability(quantity(years, "year")).to("dimensionless").magnitude), abs=0.005)
    fresh = Chat("recipe: 1.6 kg pale malt, 12 g Fuggle 5% at 60, dry English yeast, 8 litres", "the sachet holds 4.2 g")
    assert hand.viable < in_hand(fresh.recipe, fresh.state.stock, fresh.now.date()).viable  # type: ignore[union-attr]


def test_yeast_bought_with_its_date_keeps_its_name() -> None:
    chat = Chat("bought 11 g dry yeast, best before March 2027")
    assert [(item.kind, item.name) for item in chat.state.stock] == [("yeast", "dry yeast")]
    assert chat.state.stock[0].best_before is not None


def test_salts_may_be_left_out() -> None:
    assert "leave them out" in Chat(RECIPE).says("I don't want salts")
