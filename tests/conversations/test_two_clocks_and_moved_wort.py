"""Two clocks of one message, wort that was moved and how much of it, and small words that only look like figures."""

from __future__ import annotations

import pytest

from conversations.intents import Context, Intent, Measured
from conversations.understanding.another_clock import another_clock
from conversations.understanding.beyond_sentences import read
from conversations.understanding.helped import as_mine
from conversations.understanding.moved_over import moved_over
from conversations.understanding.numbers import numbers_in
from conversations.understanding.rows import Placed, row_of
from conversations.understanding.yes_no import question_behind
from tests.conversations.corpus import NOW, ZONE


def _here(stage: str) -> Context:
    return Context(now=NOW, zone=ZONE, stage=stage)


def _names(found: list[Placed]) -> list[str]:
    return [each.name for _, each in found]


def test_another_clock_beside_a_new_one_lengthens_none() -> None:
    first = Intent(name="timer.start", slots={"name": "mash", "duration_s": 3900.0}, text="timer 65 min for mash")
    bread = Intent(name="timer.extend", slots={"name": "bread", "duration_s": 1500.0}, text="another 25 min for the bread")
    mash = bread.model_copy(update={"slots": {"name": "mash", "duration_s": 1500.0}})
    assert _names(another_clock([(0, first), (4, bread)])) == ["timer.start", "timer.start"]
    assert _names(another_clock([(0, first), (4, mash)])) == ["timer.start", "timer.extend"]
    assert _names(another_clock([(0, bread)])) == ["timer.extend"]


@pytest.mark.parametrize(
    ("text", "clocks"),
    [
        ("timer 60 min mash and 25 min bread", {"mash": 3600.0, "bread": 1500.0}),
        ("start two timers, 60 min for the mash and 12 min for the pizza", {"mash": 3600.0, "pizza": 720.0}),
        ("kindly start one timer of 60 minutes for the mash", {"mash": 3600.0}),
    ],
)
def test_clocks_of_one_message(text: str, clocks: dict[str, float]) -> None:
    found = read(text, _here("mash")).intents
    assert {each.name for each in found} == {"timer.start"}
    assert {str(each.slots["name"]): each.slots["duration_s"] for each in found} == clocks
    assert all(each.slots.keys() == {"name", "duration_s"} for each in found)


def test_one_is_kept_where_it_counts() -> None:
    assert any(item.value == 1 for item in row_of("put one litre in, timer", _here("mash"))[0])
    assert read("my mate uses one timer for ten minutes", _here("mash")).intents == ()


def test_a_pause_of_a_minute_is_no_minute() -> None:
    found = read("pause the timer a min phones goin", _here("boil")).intents
    assert [(each.name, each.slots) for each in found] == [("timer.pause", {})]
    found = read("pause the timer for 5 minutes", _here("boil")).intents
    assert [(each.name, each.slots) for each in found] == [("timer.pause", {"duration_s": 300.0})]


@pytest.mark.parametrize(
    ("told", "text", "names"),
    [
        ("8 litres into the demijohn", "siphoned 8 litres into the demijohn", ["done.transferred", "reading.volume"]),
        ("In the fermenter, 6.4 l", "In the fermenter, 6.4 l", ["done.transferred", "reading.volume"]),
        ("9 litres into the fermenter", "9 litres into the fermenter", ["reading.volume"]),
        ("9 litres", "moved 9 litres", ["reading.volume"]),
    ],
)
def test_wort_that_was_moved(told: str, text: str, names: list[str]) -> None:
    volume = Intent(name="reading.volume", slots={"volume": Measured(value=8, unit="litre")}, text=told)
    assert _names(moved_over([(0, volume)], "transfer", text)) == names
    assert _names(moved_over([(0, volume)], "boil", text)) == ["reading.volume"]


def test_what_stands_before_is_finished_may_be_its_subject() -> None:
    assert question_behind("it is twenty three degrees now and the cooling is finished") is None
    assert question_behind("gravity 1.011, is finished") is not None


@pytest.mark.parametrize(
    ("text", "value"),
    [("won point oh four five", 1.045), ("one point owe four eight", 1.048), ("one pint oh four five", 1.045), ("won oh five oh", 1050.0)],
)
def test_misheard_figures(text: str, value: float) -> None:
    assert [each for _, each in numbers_in(text)] == pytest.approx([value])


def test_won_is_no_figure_elsewhere() -> None:
    assert [each for _, each in numbers_in("rangers won two nil")] == [2.0]


def test_somebody_at_home_who_makes_it_so_much() -> None:
    assert as_mine("the wife makes it one point oh five seven") == "it is one point oh five seven"
    assert as_mine("the wife makes it every Sunday") is None
    assert as_mine("my mum makes it 3 times a week in her kitchen") is None


def test_a_wait_at_the_end_is_no_order_for_now() -> None:
    assert read("turn the gas off when it's done", _here("boil")).intents == ()


def test_that_is_us_names_no_units() -> None:
    assert [each.name for each in read("that's us, heat's off", _here("boil")).intents] == ["done.flame_out"]
    assert [each.name for each in read("US units please", _here("boil")).intents] == ["settings.units"]


def test_a_beer_with_its_litres_is_begun_whatever_the_model_says() -> None:
    found = read("I want to get a stout going ten litres", _here("plan")).intents
    assert [(each.name, each.slots["name"]) for each in found] == [("brew.start", "stout")]


def test_litres_or_degrees_in_the_fermenter_are_asked_about() -> None:
    assert [each.name for each in read("9.4 in the fermenter", _here("transfer")).intents] == ["unclear.number"]
    assert [each.name for each in read("20 in the fermenter", _here("transfer")).intents] == ["reading.temperature"]
