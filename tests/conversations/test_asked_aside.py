"""Questions beside the brew: sums with their own numbers, clocks side by side, what a word stands for."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat


def test_water_to_a_gravity_from_numbers_that_were_given() -> None:
    # Extract stays: 8 l times 60 points are 10 l times 48 points, within what the points leave out.
    assert Chat().says("how much water to get 8 litres of 1.060 down to 1.048").startswith("Add 2.0 l water")


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        # BIPM SI brochure and NIST SP 811: imperial gallon 4.54609 l, US gallon 3.785412 l, inch 2.54 cm.
        ("convert 5 gallons to litres", "5 imperial gallons = 22.73 litres."),
        ("convert 10 cm to inches", "10 centimetres = 3.937 inches."),
        ("152 F in C", "152 °F = 66.67 °C."),
    ],
)
def test_conversions_say_which_unit_was_taken(asked: str, answer: str) -> None:
    assert Chat().says(asked) == answer


def test_us_gallons_for_somebody_with_us_units() -> None:
    chat = Chat()
    chat.says("us units")
    assert chat.says("convert 5 gallons to litres") == "5 US gallons = 18.93 litres."


def test_two_clocks_in_one_message_and_another() -> None:
    chat = Chat()
    chat.says("set a timer for 25 minutes for the potatoes and another for 8 minutes for the eggs")
    assert {timer.name: timer.duration_s for timer in chat.state.timers} == {"potatoes": 1500, "eggs": 480}


def test_cancel_finds_a_reminder_by_its_word() -> None:
    chat = Chat()
    chat.says("remind me in 3 hours to check the fridge")
    assert chat.says("cancel the fridge") == "Cancelled: check the fridge."
    assert not chat.state.reminders
    assert chat.says("cancel the fridge") == "No such timer or reminder is set."


def test_the_first_sign_of_money_says_what_is_counted_in_and_another_one_asks() -> None:
    chat = Chat()
    chat.says("bought 5 kg pale malt for 9.50")
    assert "£2.40" in chat.says("bought 500 g crystal malt for £2.40")
    assert chat.state.currency == "GBP"
    assert "I count in GBP" in chat.says("bought 100 g Fuggle for $6")


def test_a_word_of_a_reminder_names_it_and_no_other_thing_is_stopped() -> None:
    chat = Chat()
    chat.says("remind me in 3 hours to water the tomatoes")
    assert "Cancelled" not in chat.says("stop the cushions")
    assert chat.state.reminders
    assert chat.says("stop the tomatoes") == "Cancelled: water the tomatoes."
