"""What cannot be is not taken: hot grain, warm ice, a pot put into itself."""

import pytest

from conversations.understanding.beyond_sentences import read
from conversations.understanding.likeness import NEUTRAL


def names(stage: str, text: str) -> list[str]:
    return [intent.name for intent in read(text, NEUTRAL.model_copy(update={"stage": stage})).intents]


@pytest.mark.parametrize(
    "text",
    ["put the chiller coil in the pot to sterilise", "the immersion chiller is in the wort to sanitise it", "stuck the coil in the kettle"],
)
def test_a_coil_that_is_made_clean_in_the_boil_chills_nothing(text: str) -> None:
    assert "done.chilling" not in names("boil", text)


@pytest.mark.parametrize("text", ["put the pot in the sink", "pot's in the snow now", "the pot is in the ice bath"])
def test_a_pot_in_a_bath_is_chilled(text: str) -> None:
    assert names("chill", text) == ["done.chilling"]


def test_ice_water_is_cold_and_grain_no_warmer_than_a_room() -> None:
    assert "kit.thermometer_ice" not in names("chill", "pot is in the sink with ice, reading 82")
    assert names("plan", "thermometer reads 1 degree in ice water") == ["kit.thermometer_ice"]
    assert "kit.grain_temperature" not in names("heat", "grain in, looks like porridge. 66.4c")
    assert names("plan", "grain is at 14 degrees") == ["kit.grain_temperature"]


@pytest.mark.parametrize("stage", ["ferment", "bottle"])
def test_bottles_of_two_sizes_in_one_breath_are_both_counted(stage: str) -> None:
    (told,) = read("bottled 9 500ml and 2 330", NEUTRAL.model_copy(update={"stage": stage})).intents
    assert (told.name, told.slots["count"], told.slots["count_two"]) == ("bottle.count", 9, 2)
    assert (told.slots["volume"].value, told.slots["volume_two"].value) == (500, 330)


def test_ounces_of_bottles_are_of_volume_and_grams_behind_hops_are_theirs() -> None:
    bottles = read("24 bottles 12 oz", NEUTRAL.model_copy(update={"stage": "bottle", "units": "us"})).intents
    assert [(each.name, each.slots["volume"].unit) for each in bottles] == [("bottle.count", "fluid_ounce")]
    hops = read("boiling, fuggles in 15g", NEUTRAL.model_copy(update={"stage": "boil"})).intents
    assert [each.name for each in hops] == ["done.boiling", "done.hops"]
    assert hops[1].slots["mass"].value == 15
