"""The clock of the boil: off the boil and back on it, paused and asked after by its name, changed while it runs."""

from __future__ import annotations

import pytest

from conversations.session.stage_clocks import stage_of
from tests.conversations.brew_day import at_stage, clock, minutes, recorded

OFF = (
    "gone off the boil for a couple of minutes, gas ran out",
    "it's gone off the boil",
    "it's stopped boiling, the gas ran out",
    "the gas went out",
    "the flame blew out",
    "we've lost the boil",
    "the boil has died down",
    "I ran out of gas",
    "took it off the heat for 3 minutes",
    "turned the gas off for 2 minutes",
    "the power went out",
)


@pytest.mark.parametrize("text", OFF)
def test_off_the_boil_holds_the_clock_and_leaves_the_recipe(text: str) -> None:
    chat = at_stage("boil")
    minutes(chat, 20)
    answer = chat.says(text)
    assert answer.startswith("Boil clock held")
    assert chat.batch.paused_at is not None
    assert (chat.batch.stage, chat.batch.recipe.boil_minutes) == ("boil", 60)
    chat.says("undo")
    assert chat.batch.paused_at is None


@pytest.mark.parametrize("text", ["back on the boil", "it's boiling again", "it's come back to the boil", "the boil is back", "resume", "resume the boil timer"])
def test_back_on_the_boil_moves_the_calls_by_what_was_lost(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 20)
    chat.says("it's gone off the boil")
    minutes(chat, 7)
    assert f"40 min left of the boil, until {clock(chat, -40)}" in chat.says(text)
    said = minutes(chat, 41)
    assert ["Goldings" in line for line in said].count(True) == 2
    assert "Flame-out" in said[-1]
    assert "40 min" not in chat.says("how long left on the boil")


def test_time_off_the_boil_counts_from_when_it_went_off() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 20)
    assert "42 min left of the boil, paused" in chat.says("it was off the boil for 2 minutes")
    assert "42 min left" in chat.says("back on the boil")


def test_a_call_that_fell_due_while_it_was_held_keeps_its_place_in_the_boil() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 48)
    chat.says("off the boil")
    assert not [line for line in minutes(chat, 12) if line]
    chat.says("back on the boil")
    assert not [line for line in minutes(chat, 1.5) if "Hops now" in line]
    assert [line for line in minutes(chat, 1) if "Hops now" in line]


@pytest.mark.parametrize(
    "text",
    [
        "don't let it go off the boil",
        "will it go off the boil",
        "is it off the boil",
        "if it goes off the boil",
        "what if the gas runs out",
        "the potatoes are off the boil",
        "take it off the boil",
        "bring it off the boil in 5 minutes",
        "back on the boil in 5 minutes",
        "tell me if it's off the boil",
        "it nearly boiled over!",
        "almost had a boil over",
        "turned it down a bit",
        "had to turn the gas down",
        "should I turn it down",
        "did it boil over",
        "will it boil over",
        "the milk boiled over",
        "my neighbour ran out of gas",
        "we might run out of gas",
        "do I boil it for a couple of minutes",
        "how long has it been off the boil",
        "maybe boil another 10 minutes",
        "they say ph should be 5.4",
    ],
)
def test_what_is_asked_feared_or_near_holds_no_clock(text: str) -> None:
    assert not recorded(at_stage("boil"), text)


def test_foam_gets_its_caution_and_the_clock_runs_on() -> None:
    chat = at_stage("boil")
    assert "it can boil over as foam forms" in chat.says("it nearly boiled over!")
    assert "60 min left of the boil" in chat.says("turned it down a bit")
    assert "wort is gone" in chat.says("it boiled over")
    assert chat.batch.notes == ("boiled over",)


@pytest.mark.parametrize("text", ["pause the boil timer", "pause the boil timer had to turn the gas down", "pause the boil", "pause"])
def test_the_boil_is_paused_by_its_name(text: str) -> None:
    chat = at_stage("boil")
    chat.says(text)
    assert chat.batch.paused_at is not None
    minutes(chat, 3)
    assert chat.says("how long left on the boil") == "60 min left of the boil, paused."


@pytest.mark.parametrize("text", ["how long left on the boil", "how long left on the boil timer", "how much longer has the boil got", "what's left on the boil"])
def test_the_clock_of_the_boil_is_found_by_its_name(text: str) -> None:
    chat = at_stage("boil")
    assert chat.says(text) == f"60 min left of the boil, until {clock(chat, -60)}."
    assert "has not begun" in at_stage("mash").says(text)
    assert "is over" in at_stage("steep").says(text)


def test_a_kitchen_timer_of_that_name_goes_first() -> None:
    chat = at_stage("boil")
    chat.says("set a boil timer for 5 minutes")
    assert "Time is up: boil" in chat.says("how long left on the boil")
    assert "boil paused" in chat.says("pause the boil timer")
    assert chat.batch.paused_at is None


def test_the_end_of_the_stage_is_what_how_much_longer_is_answered_with() -> None:
    chat = at_stage("mash")
    minutes(chat, 35)
    assert chat.says("how much longer").splitlines()[0] == f"25 min left of the mash, until {clock(chat, -25)}."


def test_an_addition_told_while_it_boils_is_called() -> None:
    chat = at_stage("boil")
    chat.says("hops in", "add 5 g of fuggle at 20 minutes")
    said = minutes(chat, 41)
    assert "Hops now: 5.0 g Fuggle. Mind the foam." in said
    chat.says("hops in", "undo", "add 3 g of goldings at 30 minutes")
    assert "Hops now: 3.0 g Goldings. Mind the foam." in minutes(chat, 0.1)


def test_the_boil_made_longer_or_shorter_while_it_runs_moves_its_calls() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 10)
    assert f"flame-out at {clock(chat, -60)}" in chat.says("boil for 70 minutes")
    assert [line for line in minutes(chat, 50.5) if "Hops now" in line]
    assert "already" in chat.says("boil for 20 minutes")
    assert chat.batch.recipe.boil_minutes == 70


def test_the_name_of_a_clock() -> None:
    assert [stage_of(name) for name in ("the boil", "boil clock", "mash timer", "pasta")] == ["boil", "boil", "mash", ""]


@pytest.mark.parametrize("stage", ["heat", "mash", "drain"])
@pytest.mark.parametrize("text", ["hob off", "I've turned the heat off", "killed the gas", "turned the heat on", "turned the heat up", "it's coming to the boil", "nearly boiling"])
def test_the_hob_before_the_boil_is_no_flame_out(stage: str, text: str) -> None:
    chat = at_stage(stage)
    before = chat.batch
    answer = chat.says(text)
    assert chat.batch.stage == stage
    assert chat.batch.boil_started is None
    assert chat.batch.recipe == before.recipe
    assert "Flame-out" not in answer


def test_a_boil_that_is_over_is_no_hop_that_is_in() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 60)
    chat.says("the boil is finished")
    assert chat.batch.stage == "steep"
    assert chat.batch.recipe.hops[1].added_at is None


def test_the_length_of_a_stage_is_its_own_clock() -> None:
    chat = at_stage("mash")
    chat.says("set the mash to 70 minutes")
    assert (chat.batch.recipe.mash_minutes, chat.state.timers) == (70, ())
    assert chat.says("how long left on the mash") == f"70 min left of the mash, until {clock(chat, -70)}."
    chat.says("set a mash timer for 20 minutes")
    assert len(chat.state.timers) == 1


@pytest.mark.parametrize(("stage", "text"), [("boil", "actually it started boiling 10 minutes ago"), ("boil", "the boil started ten minutes ago"), ("drain", "the boil started ten minutes ago")])
def test_the_start_of_the_boil_is_put_right(stage: str, text: str) -> None:
    chat = at_stage(stage)
    answer = chat.says(text)
    assert f"Boiling since {clock(chat, 10)}. 50 min left of the boil, until {clock(chat, -50)}." in answer
    assert "Flame-out" in minutes(chat, 51)[-1]


def test_a_boil_that_began_too_long_ago_is_not_taken() -> None:
    chat = at_stage("boil")
    began = chat.batch.boil_started
    chat.says("the boil started 2 hours ago")
    assert chat.batch.boil_started == began


@pytest.mark.parametrize("text", ["boil for another 15", "boil another quarter of an hour", "boil it 15 more minutes"])
def test_another_quarter_of_an_hour_is_no_boil_of_that_length(text: str) -> None:
    chat = at_stage("boil")
    minutes(chat, 10)
    chat.says(text)
    assert chat.batch.recipe.boil_minutes == 75
    assert "65 min left" in chat.says("how long left on the boil")


@pytest.mark.parametrize("text", ["I'll leave it another 15 minutes", "mash for another 15 minutes"])
def test_a_mash_that_is_left_longer(text: str) -> None:
    chat = at_stage("mash")
    chat.says(text)
    assert chat.says("how long left on the mash").startswith("75 min left of the mash")
    for asked in ("should I leave it another 15 minutes", "can I mash for another 15 minutes"):
        assert not recorded(chat, asked)


def test_another_ten_minutes_is_no_length_of_a_boil_that_is_planned() -> None:
    chat = at_stage("mash")
    chat.says("boil it another 10 minutes")
    assert chat.batch.recipe.boil_minutes == 60


@pytest.mark.parametrize(
    ("text", "off_s"),
    [
        ("gas went out, off the boil four or five minutes, sorted now", 270),
        ("gas went out, off the boil for 5 minutes, back on now", 300),
        ("it was off the boil for 4 minutes, it's boiling again", 240),
        ("lost the boil for about 3 minutes, going again", 180),
    ],
)
def test_off_the_boil_and_on_again_in_one_message(text: str, off_s: float) -> None:
    chat = at_stage("boil")
    minutes(chat, 15)
    end = chat.state.reminders[f"{chat.batch.id}:flame_out"].due
    answer = chat.says(text)
    assert chat.batch.paused_at is None
    assert "did not get" not in answer
    assert (chat.state.reminders[f"{chat.batch.id}:flame_out"].due - end).total_seconds() == pytest.approx(off_s, abs=1)


@pytest.mark.parametrize(
    "text", ["gas went out but it will be back on soon", "gas ran out, not sorted yet", "gas went out, trying to get it going again", "off the boil for 5 minutes"]
)
def test_what_is_not_on_again_stays_held(text: str) -> None:
    chat = at_stage("boil")
    minutes(chat, 15)
    chat.says(text)
    assert chat.batch.paused_at is not None
    if "5" in text:
        assert "back on the boil" in chat.says("sorted now")


def test_how_long_it_was_off_is_asked() -> None:
    chat = at_stage("boil")
    minutes(chat, 15)
    end = chat.state.reminders[f"{chat.batch.id}:flame_out"].due
    assert "How long" in chat.says("gas ran out, sorted now")
    assert chat.state.reminders[f"{chat.batch.id}:flame_out"].due == end
    chat.says("off the boil for 2 minutes, back on now")
    assert (chat.state.reminders[f"{chat.batch.id}:flame_out"].due - end).total_seconds() == pytest.approx(120, abs=1)
