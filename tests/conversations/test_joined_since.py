"""Live corrections carry on: what joins the wort after a reading counts in all that is said later."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat

RECIPE = "recipe: Test bitter; 8 litres; 1.7 kg pale malt; 20 g fuggle 5% at 60; 10 g fuggle 5% at 10; dry english ale yeast; mash at 66"


def chilled() -> Chat:
    """Seven litres at 1.050, cold, before the transfer."""
    chat = Chat()
    chat.says("bought 2 kg pale malt for 4.00", RECIPE, "grain is in", "bag out", "9.9 l, 1.037 at 20 C", "it's boiling", "hops in")
    chat.waits(60 / 1440)
    chat.says("flame out", "chilled", "7.0 l", "1.050 at 20 C")
    return chat


def test_water_after_the_gravity_counts_in_the_original_gravity() -> None:
    chat = chilled()
    # Source: 7.0 l hold 50 points each, 350 in 7.9 l are 44.3.
    assert "7.9 l at 1.044" in chat.says("dilute with 900 ml")
    assert "7.9 l at 1.044" in chat.says("transferred")
    assert "1.044" in chat.says("what was the original gravity") + chat.says("yeast is in", "what was the original gravity")
    # Source: 1.7 kg of 2 kg at 4.00, over 7.9 l.
    assert "€0.43 a litre" in chat.says("cost")
    chat.waits(10)
    # Source: 131.25 * (1.0443 - 1.011) = 4.4 %.
    assert "4.4 %" in chat.says("gravity 1.011")


def test_malt_extract_after_the_gravity_counts_too() -> None:
    chat = chilled()
    heading = chat.says("add 100 g dried malt extract")
    said = chat.says("transferred")
    # Source: 100 g of extract bring about 37 points into 7 l: 1.055 or so.
    assert "1.055" in heading
    assert "1.055" in said


@pytest.mark.parametrize("said", ["ok add 100 g of sugar", "added 100 g of sugar", "100 g of sugar in", "put 100 g sugar in"])
def test_sugar_that_the_recipe_did_not_have_joins_what_was_measured(said: str) -> None:
    chat = chilled()
    # Source: a pound of sucrose gives 46 points in a US gallon (brewing handbooks; J. Palmer, How to Brew): 100 g bring
    # 38.4 into 7.06 l, and 350 are there: 1.0550.
    assert "1.055" in chat.says(said)
    assert "1.055" in chat.says("transferred")


def test_a_sugar_that_joined_is_drawn_and_shown_under_its_own_name() -> None:
    chat = Chat()
    chat.says("bought 1 kg sugar for 2.00", "bought 500 g dried malt extract for 5.00", RECIPE, "grain is in", "bag out", "9.9 l, 1.034 at 20 C", "added 150 g of sugar")
    left = {item.name: item.left.in_unit("gram") for item in chat.state.stock}
    assert left["sugar"] == pytest.approx(850)
    assert left["dried malt extract"] == pytest.approx(500)
    assert "150 g sugar" in chat.says("what have I put in so far")
    chat.says("undo")
    assert {item.name: item.left.in_unit("gram") for item in chat.state.stock}["sugar"] == pytest.approx(1000)


def test_the_sugar_of_the_recipe_is_not_counted_twice() -> None:
    chat = Chat()
    chat.says(f"{RECIPE}; 150 g sugar", "grain is in", "bag out", "9.9 l, 1.034 at 20 C")
    before = chat.state.batches[-1].recipe.grains
    chat.says("150 g of sugar in")
    assert chat.state.batches[-1].recipe.grains == before
    assert not any(each.kind == "extract" for each in chat.state.batches[-1].readings)
    # Source: 9.71 l cold hold 34 points each and 8.0 l are left of it; 150 g of sucrose at 384 a kilogram and litre bring 57.6
    # (J. Palmer, How to Brew: 46 points of a pound in a US gallon): 387.7 in 8.3 l with what stays in the pot.
    assert "1.047" in chat.says("it's boiling", "plan")


def test_a_gravity_read_after_the_water_is_as_it_is_read() -> None:
    chat = chilled()
    chat.says("dilute with 900 ml", "transferred", "7.8 l", "1.045 at 20 C", "yeast is in")
    assert "1.045" in chat.says("what was the original gravity")


def test_water_poured_into_the_mash_is_expected_out_of_the_bag() -> None:
    chat = Chat()
    chat.says(RECIPE, "grain is in", "62 C", "stirred in 1.4 litres of boiling water")
    # Source: 10.65 l + 1.4 l, less half a litre a kilo.
    assert "Expect 11.2 l" in chat.says("bag out")


def late() -> Chat:
    """The bittering hops twenty minutes late."""
    chat = Chat()
    chat.says("bought 100 g fuggle 5% for 4", RECIPE, "grain is in", "bag out", "9.9 l, 1.037 at 20 C", "it's boiling")
    chat.waits(20 / 1440)
    return chat


def test_lateness_says_the_same_as_the_bitterness_after_it() -> None:
    chat = late()
    # Source: the table's factor of time, (1 - exp(-0.04 * 40)) / (1 - exp(-0.04 * 60)) = 0.878.
    said = chat.says("hops in")
    assert "about 12 % less bitter" in said
    assert "2.8 g" in said


def test_more_hops_at_the_pot() -> None:
    chat = late()
    chat.says("hops in")
    said = chat.says("add 2.8 g more fuggle")
    assert "40 min of boil to go" in said
    assert "36 IBU" in said
    # 20 g of the recipe and 2.8 g more.
    assert chat.state.stock[0].left.in_unit("gram") == pytest.approx(77.2)
    assert "added_at" in str(chat.batch.recipe.hops[-1])
    chat.says("undo")
    assert chat.state.stock[0].left.in_unit("gram") == pytest.approx(80)


def test_volume_and_gravity_together_say_one_way_on() -> None:
    chat = Chat()
    chat.says(RECIPE, "grain is in", "bag out")
    said = chat.says("9.6 l, 1.030 at 20 C")
    assert "water to reach" not in said
    assert "Top up with" in said


def test_longer_boil_says_what_top_up_it_counts_with() -> None:
    chat = Chat()
    chat.says(RECIPE, "grain is in", "bag out", "9.0 l, 1.033 at 20 C")
    assert "of top-up" in chat.says("boil 20 minutes longer")


def test_flame_out_that_is_overdue_is_said_so() -> None:
    chat = late()
    chat.waits(50 / 1440)
    said = chat.says("what time is flame out")
    assert "Flame-out was due at 16:00, 10 min ago" in said


def test_the_plan_counts_what_joined_on_the_day() -> None:
    chat = Chat()
    chat.says(RECIPE, "grain is in", "bag out", "9.6 l, 1.030 at 20 C")
    assert "1.044, 4.1 %" in chat.says("add 240 g dried malt extract")
    said = chat.says("plan")
    # The same as the heading: the recipe alone would say 1.033 and 3.1 %.
    assert said.startswith("1.044 to")
    assert "4.1 % alcohol" in said


def test_an_original_gravity_that_nobody_measured_is_the_one_of_the_readings() -> None:
    chat = Chat()
    chat.says(RECIPE, "grain is in", "bag out", "9.6 l, 1.030 at 20 C", "leave it", "it's boiling")
    chat.waits(60 / 1440)
    chat.says("flame out", "chilled", "8.0 l", "transferred", "yeast is in")
    # Source: 9.42 l cold at 1.030 hold 283 points; 8.3 l of it are in the pot at the end: 34, not the 42 of the recipe.
    assert chat.batch.expected_original == pytest.approx(1.034, abs=0.0006)
