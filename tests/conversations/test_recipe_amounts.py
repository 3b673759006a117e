"""Single amounts changed by message, unknown malts, and recipe lines that come when the beer is made."""

from __future__ import annotations

import pytest

from conversations.intents import Measured
from conversations.session import plan
from conversations.session.fermentation import yeast_type
from conversations.session.judgement import judge
from conversations.session.predictions import predict
from conversations.session.state import Recipe
from tests.conversations.test_recipe_session import Chat


def brewing(*more: str) -> Chat:
    chat = Chat()
    for text in ("brew 8 litres of test ale", "1.5 kg pale malt", "15 g Goldings 5% at 60", "5 g Goldings at 5", *more):
        chat.says(text)
    return chat


def hops(chat: Chat) -> list[tuple[float, float | None, float]]:
    return [(hop.mass.in_unit("gram"), hop.alpha_percent, hop.boil_minutes) for hop in chat.recipe.hops]


@pytest.mark.parametrize(
    "text", ["12 g instead of 15 g", "12 g Goldings instead of 15 g", "make the Goldings at 60 12 g", "12 g of Goldings instead of 15 g"]
)
def test_an_amount_that_is_changed_keeps_the_time_and_the_alpha_acids(text: str) -> None:
    chat = brewing()
    chat.says(text)
    assert hops(chat) == [(12.0, 5.0, 60.0), (5.0, 5.0, 5.0)]


def test_a_second_addition_of_a_variety_has_the_alpha_acids_of_the_first() -> None:
    assert [alpha for _, alpha, _ in hops(brewing())] == [5.0, 5.0]


def test_an_amount_that_may_be_of_several_is_asked_about() -> None:
    chat = brewing()
    before = chat.recipe
    assert "of which?" in chat.says("make the Goldings 20 g")
    assert chat.recipe == before
    assert "Nothing in the recipe is 99 g" in chat.says("12 g instead of 99 g")
    assert chat.recipe == before


def test_grain_is_changed_and_not_added() -> None:
    chat = brewing()
    chat.says("change the pale malt to 1.2 kg")
    assert chat.grams() == {"pale malt": 1200.0}
    chat.says("1.1 kg pale malt instead of 1.2 kg")
    assert chat.grams() == {"pale malt": 1100.0}


def test_an_unknown_malt_is_asked_about_and_shown_in_the_plan_until_it_is_told() -> None:
    chat = brewing()
    assert 'What is it like? "banana malt is like crystal malt"' in chat.says("200 g banana malt")
    assert "Counted as pale malt: banana malt" in chat.says("plan")
    pale = float(predict(chat.recipe, chat.state.kit).colour.magnitude)
    chat.says("banana malt is like chocolate malt")
    assert "Counted as pale malt" not in chat.says("plan")
    assert float(predict(chat.recipe, chat.state.kit).colour.magnitude) > 3 * pale
    assert "banana malt" in chat.says("what's the recipe")


@pytest.mark.parametrize("text", ["1 kg pale malt", "12 g Fuggle 5% at 60", "300 g honey", "batch size 20 litres", "the recipe is for 20 litres"])
def test_a_recipe_line_after_pitching_is_a_note(text: str) -> None:
    chat = brewing("yeast is in")
    before = chat.recipe
    assert "is made, so its recipe stays" in chat.says(text)
    assert chat.recipe == before
    assert chat.state.batches[-1].notes


def test_one_reader_of_yeast_types_with_all_words() -> None:
    told = {"dry farmhouse yeast": "saison", "weissbier yeast": "wheat", "trappist ale yeast": "belgian_ale", "pils yeast": "lager"}
    assert {name: yeast_type(Recipe(yeast=name)) for name in told} == told
    # What the recipe's reader settled holds for the weeks, too.
    assert yeast_type(Recipe(yeast="packet from a friend", yeast_type="saison")) == "saison"


def test_another_yeast_is_another_type_and_its_mass_is_in_hand() -> None:
    chat = brewing("English ale yeast")
    chat.says("7 g dry lager yeast")
    assert yeast_type(chat.recipe) == "lager"
    assert chat.recipe.yeast_mass == Measured(value=7.0, unit="gram")


def test_the_forecast_starts_from_what_this_kit_gives_and_later_learning_does_not_move_it() -> None:
    chat = brewing("pot loses 0.5 litres", "yeast is in")
    batch = chat.state.batches[-1]
    original = judge(batch).original
    assert original is not None
    assert float(original.magnitude) == pytest.approx(float(plan.original_gravity(batch.recipe, chat.state.kit).magnitude), abs=1e-4)
    better = chat.state.kit.model_copy(update={"efficiency": 0.6})
    assert float(plan.original_gravity(batch.recipe, better).magnitude) < float(original.magnitude) - 0.004
    assert judge(batch).original == original


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("12 g Fuggle, 5 %, 30 min", ("Fuggle", 12.0, 5.0, 30.0)),
        ("Goldings, 8 g, 15 min", ("Goldings", 8.0, None, 15.0)),
        ("Goldings, 5.2 %, 8 g, 5 min", ("Goldings", 8.0, 5.2, 5.0)),
        ("5 g Goldings, flame out", ("Goldings", 5.0, None, 0.0)),
    ],
)
def test_one_ingredient_with_commas_keeps_all_of_its_line(text: str, kept: tuple[str, float, float | None, float]) -> None:
    chat = Chat()
    chat.says("brew 8 litres of test ale")
    chat.says(text)
    hop = chat.recipe.hops[0]
    assert (hop.name, hop.mass.in_unit("gram"), hop.alpha_percent, hop.boil_minutes) == kept
    assert not chat.state.batches[-1].readings


def test_the_recipe_is_read_back_with_mash_boil_and_alpha_acids() -> None:
    chat = brewing("12 g Fuggle, 4.5 %, 30 min", "mash at 66 for 75 minutes")
    said = chat.says("what's the recipe")
    assert "12.0 g Fuggle 4.5 % 30 min" in said
    assert "Mash 75 min at 66 °C; boil 60 min" in said


def test_priming_sugar_of_a_recipe_is_told_and_grows_with_the_batch() -> None:
    chat = Chat()
    said = chat.says("recipe: 8 litres / 1.5 kg pale malt / prime with 5 g dextrose per litre / 4 g sugar in each bottle")
    assert "Also: 40 g dextrose for priming, 4.0 g sugar for priming, in each bottle." in said
    chat.says("make it 4 litres")
    assert "Also: 20 g dextrose for priming, 4.0 g sugar for priming, in each bottle." in chat.says("what's the recipe")
    assert list(chat.grams()) == ["pale malt"]
