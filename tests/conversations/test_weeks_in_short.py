"""Said in short in the weeks: a bottle that was tried, a figure that was no reading, sugar by the litre, calories."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, recorded
from tests.conversations.weeks import pitched, steady


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("tried the first small one, hardly any fizz", "Too early or too cold"),
        ("first one hardly fizzy", "Too early or too cold"),
        ("opened a small one, perfect fizz", "Good. Leave the rest"),
        ("had the first one tonight and it gushed everywhere", "Over-carbonated"),
        ("cracked one open - way too fizzy", "More gas than wanted"),
        ("tried a big one, too fizzy", "More gas than wanted"),
    ],
)
def test_a_bottle_that_was_tried_is_noted_as_it_was(text: str, answer: str) -> None:
    chat = at_stage("condition")
    said = chat.says(text)
    assert answer in said
    assert "I did not get" not in said
    assert chat.batch.notes[-1] == f"bottle check: {text}"


@pytest.mark.parametrize("text", ["should the first one have hardly any fizz?", "my mate tried one, hardly any fizz"])
def test_what_was_not_tried_is_not_noted(text: str) -> None:
    chat = at_stage("condition")
    before = chat.batch.notes
    chat.says(text)
    assert chat.batch.notes == before


@pytest.mark.parametrize("text", ["the fizz is much too lively for me", "the beer is hardly fizzy", "it's not nicely fizzy"])
def test_the_contrary_is_never_taken_for_fine(text: str) -> None:
    chat = at_stage("condition")
    assert "Good. Leave the rest" not in chat.says(text)


def test_a_figure_that_was_no_reading_is_taken_out() -> None:
    chat = pitched()
    chat.waits(3)
    chat.says("1.020 at 20 C", "that 1.020 wasn't a reading, scrap it")
    assert [each.value.value for each in chat.batch.readings if each.kind == "gravity"] == [1.048]
    assert "Dropped" in chat.says("1.100", "that 1.100 wasn't a reading, scrap it")
    assert [each.value.value for each in chat.batch.readings if each.kind == "gravity"] == [1.048]


def test_a_figure_that_is_not_there_takes_nothing_out() -> None:
    chat = steady()
    before = chat.batch.readings
    assert "No such reading" in chat.says("that 1.100 wasn't a reading, scrap it")
    assert chat.batch.readings == before


@pytest.mark.parametrize("text", ["prime with 5 g a litre", "prime with 5 g of sugar per litre", "prime at 5 g/l"])
def test_sugar_by_the_litre_is_kept_as_its_volumes(text: str) -> None:
    chat = steady()
    said = chat.says(text)
    assert said.startswith("5 g a litre make 2.2 volumes.")
    # Five litres at five grams.
    assert "Sugar: 25 g table sugar for 5.0 l" in said
    assert "Sugar: 25 g" in chat.says("how much sugar")


def test_far_too_much_by_the_litre_is_not_kept() -> None:
    chat = steady()
    assert not recorded(chat, "prime with 20 g a litre")
    assert "Nothing is kept" in chat.says("prime with 20 g a litre")


def test_sugar_by_the_litre_that_is_asked_about_is_not_kept() -> None:
    chat = steady()
    before = chat.batch.priming
    assert "2.4 is planned" in chat.says("how much sugar at 5 g per litre")
    assert chat.batch.priming == before


def test_calories_are_of_the_filled_sizes_with_their_source() -> None:
    chat = steady()
    assert "calories" not in chat.says("8 of 500 and 3 of 330")
    said = chat.says("how many calories in a bottle")
    # 1.048 to 1.011: 18.9 g alcohol at 29 kJ and 21 g extract at 17 kJ in half a litre, 950 kJ.
    assert "500 ml about 220 kcal" in said
    assert "330 ml about 150 kcal" in said
    assert "EU 1169/2011" in said


def test_calories_want_gravities() -> None:
    chat = pitched(original="1.048")
    assert "takes an original gravity" in chat.says("how many calories in a bottle")


@pytest.mark.parametrize("text", ["1.012 ok now?", "is 1.012 ok", "1.012 done?"])
def test_a_gravity_that_is_only_asked_about_is_said_not_to_be_noted(text: str) -> None:
    chat = pitched()
    chat.waits(10)
    before = len(chat.state.batches[-1].readings)
    assert "1.012 is not noted" in chat.says(text)
    assert len(chat.state.batches[-1].readings) == before
    chat.says("gravity 1.012")
    assert "not noted" not in chat.says(text)
