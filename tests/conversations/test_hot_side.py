"""From the mash to the cold bath in more ways of saying: what must not be recorded as something else, and what is answered."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, minutes, recorded


@pytest.mark.parametrize(
    "text",
    [
        "heated two litres in the kettle to 75",
        "ive got two litres heating in the kettle",
        "2 litres in the kettle at 80",
        "kettle has 2 litres at 90 degrees",
        "heating 3 litres in another pan to 77",
        "got 2.5 l of sparge water at 75 in a second pot",
        "sparge water is at 75",
        "sparge water at 76, 3 litres",
        "warmed up 2 litres of water to 75 on the other ring",
        "the water in the kettle is 80 degrees",
        "i have 2 litres at 75 in the kettle ready for rinsing",
        "rinse water is 74",
    ],
)
def test_water_beside_the_mash_is_no_reading_of_it(text: str) -> None:
    chat = at_stage("mash")
    answer = chat.says(text)
    assert not chat.batch.readings
    assert "recorded" in answer
    assert "I did not get" not in answer


@pytest.mark.parametrize("text", ["the little pan is at 80", "other pot is 66", "tea kettle's at 100", "bag rinsed with 2 litres of water at 75", "i'm going to heat 2 litres in the kettle to 75", "need 2 litres in the kettle at 75"])
def test_other_pots_are_not_read_as_the_mash(text: str) -> None:
    assert not recorded(at_stage("mash"), text)


def test_a_figure_behind_the_rinse_is_the_pots() -> None:
    chat = at_stage("drain")
    chat.says("rinsed the bag with a litre, 9 litres now")
    assert [each.best.to("litre").magnitude for each in chat.batch.readings if each.kind == "volume"][-1] == 9


def test_a_kettle_that_is_the_pot_is_read() -> None:
    chat = at_stage("mash")
    chat.says("kettle is at 66")
    chat.says("mash is at 67, sparge water is at 75")
    assert [each.value.value for each in chat.batch.readings] == [66, 67]
    assert "water beside" in chat.says("kettle at 75")
    chat.says("mash is at 75")
    assert chat.batch.readings[-1].value.value == 75


@pytest.mark.parametrize(("text", "verdict"), [("sparge water is at 75", "Right for rinsing"), ("sparge water is at 85", "Too hot to rinse"), ("sparge water is at 60", "A little cool")])
def test_water_to_rinse_with_is_judged(text: str, verdict: str) -> None:
    assert verdict in at_stage("mash").says(text)


@pytest.mark.parametrize(
    ("text", "mass"),
    [
        ("i ran out of fuggles so i put 8 g of goldings in instead", 8),
        ("no fuggles left so i used 8 g goldings instead", 8),
        ("had no fuggles, goldings went in instead", 12),
        ("put goldings in instead of the fuggles", 12),
        ("swapped the fuggles for goldings", 12),
        ("the fuggles had gone off so i used goldings instead", 12),
        ("8 g of goldings went in instead of fuggle", 8),
        ("out of fuggle, threw in 8 g goldings", 8),
    ],
)
def test_another_hop_in_the_place_of_the_planned_one(text: str, mass: float) -> None:
    chat = at_stage("boil")
    answer = chat.says(text)
    first, last = chat.batch.recipe.hops
    assert (first.name, first.mass.value, first.alpha_percent) == ("Goldings", mass, 5)
    assert (first.added_at, last.added_at) == (chat.now, None)
    assert "instead of 12.0 g Fuggle" in answer
    assert "still to come" in answer


def test_another_hop_is_put_in_place_of_one_that_was_ticked() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    at = chat.batch.recipe.hops[0].added_at
    chat.says("ran out of fuggles so i put 9 g of challenger in instead")
    assert (chat.batch.recipe.hops[0].name, chat.batch.recipe.hops[0].alpha_percent, chat.batch.recipe.hops[0].added_at) == ("Challenger", None, at)


@pytest.mark.parametrize("text", ["threw in 9 g of challenger", "challenger in"])
def test_a_hop_that_the_recipe_does_not_have_is_asked_about(text: str) -> None:
    chat = at_stage("boil")
    assert not recorded(chat, text)
    assert "instead of 12.0 g Fuggle?" in chat.says(text)
    chat.says(chat.choices["instead of Fuggle"])
    assert (chat.batch.recipe.hops[0].name, chat.batch.recipe.hops[0].added_at) == ("Challenger", chat.now)


@pytest.mark.parametrize(
    "text",
    [
        "can i put goldings in instead of fuggles",
        "i might use goldings instead of the fuggles",
        "my mate put goldings in instead of fuggles",
        "next time i'll put goldings in instead of fuggles",
        "if i put 8 g of goldings in instead of fuggles",
        "i'm out of fuggles",
    ],
)
def test_another_hop_that_is_only_talked_of_is_not_recorded(text: str) -> None:
    assert not recorded(at_stage("boil"), text)


@pytest.mark.parametrize("text", ["fifteen grams went in not 12", "it was 15 grams not 12", "15 g went in instead of 12", "i put in fifteen not twelve", "actually 15 g went in", "no it was 15 grams that went in"])
@pytest.mark.parametrize("between", [(), ("1.042",), ("98 degrees", "how long left")])
def test_grams_are_put_right_whatever_was_said_between(text: str, between: tuple[str, ...]) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 3)
    chat.says(*between)
    assert "Put right: 15.0 g Fuggle went in" in chat.says(text)
    assert [hop.mass.value for hop in chat.batch.recipe.hops] == [15, 8]


def test_grams_that_were_never_told_are_asked_about() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    assert not recorded(chat, "fifteen grams went in not 10")
    assert "12.0 g Fuggle is in by my notes, not 10.0 g." in chat.says("fifteen grams went in not 10")
    chat.says(chat.choices["yes, put it right"])
    assert chat.batch.recipe.hops[0].mass.value == 15


@pytest.mark.parametrize("text", ["added the 15 g but it was actually goldings", "the 15 g of fuggle went in"])
def test_grams_of_something_else_put_nothing_right(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 10)
    assert not recorded(chat, text)


def test_grams_that_the_recipe_has_otherwise_put_nothing_right() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    assert not recorded(chat, "15 g not 12 is what the recipe says")


@pytest.mark.parametrize("text", ["the boil took 60 minutes", "boil lasted an hour", "the mash took 70 minutes"])
def test_how_long_it_took_changes_no_recipe(text: str) -> None:
    for stage in ("plan", "mash", "boil", "steep", "ferment"):
        chat = at_stage(stage)
        before = chat.batch.recipe
        assert "I did not get" not in chat.says(text)
        assert chat.batch.recipe == before


def test_how_long_it_took_is_held_against_the_clock() -> None:
    chat = at_stage("steep")
    assert "by my clock too" in chat.says("the boil took 60 minutes")
    for text in ("i boiled it for 75 minutes", "boiled for 75 minutes in the end", "the boil took 75 minutes"):
        assert "60 min. Nothing is changed." in chat.says(text)


@pytest.mark.parametrize("text", ["strike water is 70", "strike water's 70", "the strike water is 70 degrees", "strike is at 70", "strike water now 70", "strike water up to 70"])
def test_strike_water_while_it_heats_is_a_reading(text: str) -> None:
    chat = at_stage("heat")
    chat.says(text)
    assert [each.value.value for each in chat.batch.readings] == [70]


@pytest.mark.parametrize("text", ["strike water 70?", "should the strike water be 70", "strike water needs to be 70", "what strike temp for 70", "once the strike water is 70 i'll add the grain", "strike water is nearly 70"])
def test_strike_water_that_is_asked_about_is_none(text: str) -> None:
    assert not recorded(at_stage("heat"), text)
