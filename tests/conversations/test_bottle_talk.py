"""Bottles without a size, two sizes in one breath, how many are needed, the sugar that was weighed; "set a timer" without a time."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat, lots, pitched, steady


@pytest.mark.parametrize("said", ["bottled 13", "13 bottles", "bottled 13 today", "capped 13", "13 bottles filled", "ended up with 13 bottles"])
def test_without_a_size_it_is_asked(said: str) -> None:
    chat = steady()
    readings = chat.batch.readings
    assert "13 bottles of which size?" in chat.says(said)
    assert (chat.batch.readings, lots(chat), chat.batch.stage) == (readings, [], "bottle")
    chat.says(chat.choices["330 ml"])
    assert lots(chat) == [(13, 330.0)]


def test_the_one_size_in_the_cupboard_is_meant() -> None:
    chat = steady("ferment")
    chat.says("I have 20 bottles of 500 ml", "next", "bottled 13")
    assert (lots(chat), chat.batch.stage) == ([(13, 500.0)], "condition")


def test_bottled_too_early_is_still_refused() -> None:
    chat = pitched()
    chat.waits(3)
    chat.says("1.022 at 20 C", "I have 20 bottles of 500 ml")
    assert "Do not bottle" in chat.says("bottled 13")
    assert (chat.batch.stage, lots(chat)) == ("ferment", [])


@pytest.mark.parametrize("said", ["she bottled 13 last year", "did I bottle 13?", "should I bottle 13", "my mate bottled 13", "13 bottles broke"])
def test_bottles_that_are_only_talked_about_are_not_counted(said: str) -> None:
    chat = steady()
    before = chat.batch
    chat.says(said)
    assert chat.batch == before


@pytest.mark.parametrize("said", ["14 half litre bottles and a couple of 330s", "14 x 500 and 2 x 330", "14 500 ml bottles and two 330s"])
def test_two_sizes_in_one_breath(said: str) -> None:
    chat = steady()
    assert "did not get" not in chat.says(said)
    assert lots(chat) == [(14, 500.0), (2, 330.0)]
    before = pitched()
    before.says(said)
    assert sorted((count, size.in_unit("millilitre")) for count, size in before.state.kit.bottles) == [(2, 330.0), (14, 500.0)]


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        # By hand: 5 l in half litres are 10; 5 / 0.33 is 15.2.
        ("how many bottles do I need", "10 of 500 ml or 16 of 330 ml for 5.0 l"), ("how many bottles will this fill", "10 of 500 ml"), ("how many 330s do I need", "16 of 330 ml for 5.0 l"),
        ("how many bottles for 8 litres", "16 of 500 ml or 25 of 330 ml for 8.0 l"), ("how many bottles should I clean", "10 of 500 ml"),
    ],
)  # fmt: skip
def test_how_many_bottles(asked: str, answer: str) -> None:
    chat = steady("ferment")
    before = chat.state.kit, chat.batch
    assert answer in chat.says(asked)
    assert (chat.state.kit, chat.batch) == before


def test_whether_there_are_enough() -> None:
    chat = steady("ferment")
    chat.says("I have 8 bottles of 500 ml")
    assert "You have 8 of 500 ml: not enough, 4.0 l in all." in chat.says("how many bottles do I need")


@pytest.mark.parametrize("said", ["white sugar, 30 grams dissolved in 100 ml water", "table sugar, 30 g in 200 ml of water", "dissolved 30 g of sugar in 100 ml of water", "used 30 g table sugar to prime", "30 g of sugar"])
def test_the_sugar_that_was_weighed_is_no_reading_and_is_weighed_up(said: str) -> None:
    chat = steady()
    readings = chat.batch.readings
    answer = chat.says(said)
    # By hand: 30 g of sucrose give 30 x 0.5143 = 15.4 g CO2, 3.1 g/l or 1.6 volumes, and 0.85 are in the beer at 20 C.
    assert "30 g table sugar noted: 2.4 volumes in 5.0 l" in answer
    assert chat.batch.readings == readings


def test_far_too_much_sugar_is_said_so() -> None:
    chat = steady()
    assert "That is much: 29 g gives 2.4 volumes" in chat.says("dissolved 80 g of sugar in 100 ml of water")
    assert "That is little" in chat.says("dissolved 8 g of sugar in 100 ml of water")


@pytest.mark.parametrize("said", ["set a timer", "start a timer please", "timer", "I need a timer"])
def test_a_timer_without_a_time_is_asked_for(said: str) -> None:
    chat = Chat()
    assert "How long?" in chat.says(said)
    assert not chat.state.timers
    chat.says("10 minutes")
    assert [timer.duration_s for timer in chat.state.timers] == [600.0]


@pytest.mark.parametrize("said", ["remind me", "set a reminder"])
def test_a_reminder_without_a_time_is_asked_for(said: str) -> None:
    chat = Chat()
    assert "When?" in chat.says(said)
    chat.says("in 20 minutes")
    assert len([each for each in chat.state.reminders.values() if each.kind == "reminder"]) == 1


@pytest.mark.parametrize("said", ["I weigh 80 kilos", "the dog weighs 12 kg", "my weight is 80 kg", "it is about twenty miles from here"])
def test_a_body_is_no_pot(said: str) -> None:
    chat = Chat()
    answer = chat.says(said)
    assert "pot" not in answer
    assert (chat.state.kit, chat.state.batches) == (chat.first.kit, ())


def test_sugar_that_is_told_again_stands_instead_of_the_first() -> None:
    chat = pitched()
    chat.waits(8)
    chat.says("gravity 1.011 at 20 C")
    chat.waits(3)
    chat.says("gravity 1.011 at 20 C", "next", "26 g of sugar for priming")
    assert "instead of 26 g table sugar" in chat.says("actually it was 25 g of sugar")
    assert chat.batch.notes[-1] == "priming sugar: 25 g table sugar, instead of 26 g table sugar"
    assert "instead" not in chat.says("25 g of sugar for priming")


@pytest.mark.parametrize(
    ("text", "litres"),
    [
        ("9 500s and 2 330s how much sugar each", "5.2 l"), ("9 500s and 2 330s, how much sugar each?", "5.2 l"), ("how much sugar for 9 500 ml bottles and 2 330 ml bottles", "5.2 l"),
        ("nine 500s and two 330s how much sugar in each", "5.2 l"), ("i have 10 half litre bottles and 4 330s how much sugar do i need", "6.3 l"), ("how much sugar in 10 500s and 4 330s", "6.3 l"),
        ("sugar for 10 x 500 and 4 x 330", "6.3 l"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("stage", ["ferment", "bottle"])
def test_sugar_for_bottles_of_two_sizes_is_told_for_each_and_none_is_counted(stage: str, text: str, litres: str) -> None:
    chat = steady(stage)
    chat.says("6 of 750 ml")
    before = lots(chat)
    said = chat.says(text)
    assert f"table sugar for {litres}" in said
    assert "g in 500 ml" in said
    assert "g in 330 ml" in said
    assert "750" not in said
    assert "I did not get" not in said
    assert lots(chat) == before


@pytest.mark.parametrize(("text", "litres"), [("12 500s how much sugar each", "6.0 l"), ("how much sugar for 14 half litre bottles", "7.0 l"), ("how much sugar for 12 bottles of 500 ml", "6.0 l")])
def test_sugar_for_so_many_of_one_size_is_for_all_of_them(text: str, litres: str) -> None:
    chat = steady()
    assert f"table sugar for {litres}" in chat.says(text)
    assert lots(chat) == []


@pytest.mark.parametrize(
    ("text", "count", "millilitres"),
    [
        ("twenty four twelve ounce bottles", 24, 355), ("24 12 ounce bottles", 24, 355), ("24 twelve-ounce bottles", 24, 355), ("got twenty four twelve ounce bottles filled", 24, 355),
        ("two dozen twelve ounce bottles", 24, 355), ("six twenty two ounce bottles", 6, 651), ("twelve 12 oz bottles", 12, 355), ("thirty twelve fluid ounce bottles", 30, 355),
    ],
)  # fmt: skip
def test_bottles_of_ounces_are_counted(text: str, count: int, millilitres: float) -> None:
    chat = steady()
    chat.says("us units", text)
    assert [(number, round(size)) for number, size in lots(chat)] == [(count, millilitres)]


@pytest.mark.parametrize("text", ["twenty two ounce bottles", "24 bottles of 12", "twelve ounces of sugar"])
def test_ounces_without_a_count_count_nothing(text: str) -> None:
    chat = steady()
    chat.says(text)
    assert lots(chat) == []
