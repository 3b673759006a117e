"""What is asked and told in passing from the mash to the cold bath, in more ways of saying."""

from __future__ import annotations

import pytest

from conversations.session.day import stage_key
from tests.conversations.brew_day import at_stage, minutes, recorded
from tests.conversations.weeks import Chat

NOT_GOT = "I did not get"


def answered(stage: str, text: str) -> str:
    """The answer to a question, which records nothing and is understood."""
    chat = at_stage(stage)
    assert not recorded(chat, text)
    answer = chat.says(text)
    assert NOT_GOT not in answer
    return answer


@pytest.mark.parametrize("text", ["whats it meant to be at", "what's it supposed to be at", "what should it be at", "where should it be", "what am i aiming for again", "what was the target", "whats the mash temp meant to be"])
def test_the_mash_temperature_that_is_wanted(text: str) -> None:
    assert answered("mash", text).startswith("67 °C in the mash.")
    assert "gives 67 °C in the mash" in answered("heat", text)


@pytest.mark.parametrize("text", ["how much does it drop normally with a blanket", "how much does it normally lose", "how much heat will it lose in an hour", "how fast does the mash cool down", "how much does it cool down with a towel round it", "does it lose much heat", "how many degrees does it usually drop"])
def test_how_far_a_mash_cools(text: str) -> None:
    assert answered("mash", text).startswith("Usually 1 to 3 °C")


def test_how_far_this_mash_cools_is_told_by_its_own_readings() -> None:
    chat = at_stage("mash")
    chat.says("68")
    minutes(chat, 30)
    chat.says("66.5")
    assert "This one: 3.0 °C an hour so far" in chat.says("how much does it drop normally")


@pytest.mark.parametrize("text", ["chucked in half a litre of boiling water", "added 500 ml of boiling water", "poured in half a litre from the kettle", "topped the mash up with half a litre of hot water", "put another half litre of boiling water in", "stirred in 500 ml of cold water"])
def test_water_into_the_mash_is_counted(text: str) -> None:
    chat = at_stage("mash")
    before = len(chat.batch.readings)
    answer = chat.says(text)
    assert answer.startswith("500 ml ")
    assert chat.batch.mash_water is not None
    first = chat.batch.mash_water.value
    chat.says(text)
    assert chat.batch.mash_water.value == pytest.approx(first + 0.5)
    assert len(chat.batch.readings) == before


@pytest.mark.parametrize("text", ["i'll add half a litre of boiling water", "should i add half a litre of boiling water", "i need to add half a litre of boiling water", "about to pour in a litre of boiling water", "he added a litre of boiling water last time", "chucked in half a litre of milk"])
def test_water_that_is_only_talked_of_is_not_counted(text: str) -> None:
    assert not recorded(at_stage("mash"), text)


@pytest.mark.parametrize("stage", ["mash", "drain"])
@pytest.mark.parametrize("text", ["what temp should the sparge water be", "how hot should the rinse water be", "what temperature for sparging", "how warm does the sparge water need to be", "what temp do i rinse at"])
def test_how_hot_to_rinse(stage: str, text: str) -> None:
    assert answered(stage, text).startswith("70 to 77 °C")


@pytest.mark.parametrize("text", ["can i leave it another 15 min while we have lunch", "is it ok if i leave it another quarter of an hour", "will it hurt to leave it 15 minutes longer", "ok to leave it another 15 minutes", "can it sit another 15 minutes", "can it wait 15 minutes"])
def test_longer_in_the_mash_is_asked_and_nothing_is_set(text: str) -> None:
    assert answered("mash", text).startswith("You can: 75 instead of 60 min.")


@pytest.mark.parametrize("text", ["how hard should it be boiling", "how vigorous should the boil be", "how fast should it boil", "should it be bubbling like mad", "how strong a boil do i need", "is a gentle boil enough"])
def test_how_hard_it_boils(text: str) -> None:
    assert answered("boil", text).startswith("The top should keep moving")


@pytest.mark.parametrize("text", ["the timer went, done that", "the timer just went, did it", "that was the timer, done", "alarm went off, sorted"])
def test_the_timer_went_and_it_is_done(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 50)
    chat.says(text)
    assert chat.batch.recipe.hops[1].added_at == chat.now
    minutes(chat, 10)
    chat.says(text)
    assert chat.batch.stage == "steep"


@pytest.mark.parametrize("text", ["the timer went", "timer's gone off", "the alarm went off", "what was that alarm for"])
def test_the_timer_alone_says_what_it_was_for(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 50)
    assert not recorded(chat, text)
    assert "Hops now: 8.0 g Goldings" in chat.says(text)
    chat.says(chat.choices["done"])
    assert chat.batch.recipe.hops[1].added_at == chat.now
    assert "None of my clocks" in at_stage("mash").says(text)


@pytest.mark.parametrize("text", ["whirlpooled for five mins", "gave it a whirlpool", "stirred it into a whirlpool for 2 minutes", "whirlpool done", "spun it round for a minute"])
def test_a_whirlpool_is_noted_and_sets_no_clock(text: str) -> None:
    chat = at_stage("steep")
    assert chat.says(text).startswith("Noted: whirlpooled.")
    assert not chat.state.timers


@pytest.mark.parametrize("text", ["is that ok", "is that normal", "is that alright", "is this fine", "will that do", "is that alright or should i worry"])
def test_is_that_ok_is_judged_by_what_was_told_last(text: str) -> None:
    mash = at_stage("mash")
    mash.says("64")
    assert "boiling water for 67 °C" in mash.says(text)
    drain = at_stage("drain")
    drain.says("8.9 litres")
    assert "Add 1.1 l water" in drain.says(text)
    steep = at_stage("steep")
    steep.says("24 degrees")
    assert "Not yet: I asked about it" in steep.says(text)


@pytest.mark.parametrize("text", ["why do we mash at that temperature", "why 67", "why is it 67 degrees", "why does it have to be 67", "why that temperature"])
def test_why_that_temperature(text: str) -> None:
    assert "enzymes" in answered("mash", text)


@pytest.mark.parametrize("text", ["does it matter if i go over 70", "what happens if it goes over 70", "is it bad if it goes above 70", "will it ruin it if it hits 75", "can it go over 70"])
def test_over_seventy(text: str) -> None:
    assert "above 77 the enzymes die" in answered("mash", text)


@pytest.mark.parametrize("text", ["bag out, is squeezing bad", "bag is out, does squeezing matter", "bag out is it ok to squeeze", "bag's out should i squeeze it", "bag out can i squeeze it"])
def test_a_question_beside_what_is_done_has_its_answer(text: str) -> None:
    chat = at_stage("mash")
    answer = chat.says(text)
    assert (chat.batch.stage, chat.batch.squeezed) == ("drain", None)
    assert "Yes, squeeze it" in answer
    assert NOT_GOT not in answer


@pytest.mark.parametrize("text", ["forgot the 10 minute hops!! only just chucked them in now", "forgot the goldings, just threw them in", "forgot the late hops, they've just gone in", "i forgot to add the goldings but they're in now"])
def test_forgotten_hops_that_are_in_now(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 54)
    answer = chat.says(text)
    assert chat.batch.recipe.hops[1].added_at == chat.now
    assert "min late" in answer
    assert NOT_GOT not in answer


@pytest.mark.parametrize("text", ["they're in now", "kids are late, they're in now", "forgot the kids' lunch, they're in now", "chucked them in the bath", "forgot the goldings"])
def test_other_things_that_are_in_tick_no_hops(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 54)
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["knocked the gas off by accident for 3 minutes, back on now", "turned the hob off by mistake for 3 minutes, it's on again", "the gas was off for 3 minutes, back on", "gas got knocked off for 3 minutes, relit it", "somebody switched the hob off for 3 minutes, it's back on", "power cut for 3 minutes, back now"])
def test_off_by_accident_and_on_again_moves_the_calls(text: str) -> None:
    chat = at_stage("boil")
    chat.says("1.045")
    minutes(chat, 10)
    end = chat.state.reminders[stage_key(chat.batch.id, "flame_out")].due
    readings = chat.batch.readings
    chat.says(text)
    assert (chat.state.reminders[stage_key(chat.batch.id, "flame_out")].due - end).total_seconds() == 180
    assert (chat.batch.stage, chat.batch.paused_at, chat.batch.readings) == ("boil", None, readings)


@pytest.mark.parametrize("text", ["it's on again", "its back on", "the match is on again", "football's back on", "i'll turn the gas off for 3 minutes", "the radio was off for 3 minutes", "the neighbours had a power cut for 3 minutes"])
def test_what_is_on_again_measures_nothing_and_goes_no_stage_back(text: str) -> None:
    chat = at_stage("boil")
    chat.says("1.045")
    minutes(chat, 10)
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["how much am i losing an hour", "how much is boiling off an hour", "how much do i lose per hour", "how many litres an hour am i losing", "what am i losing an hour", "how much evaporates in an hour"])
def test_what_boils_off_in_an_hour(text: str) -> None:
    assert "1.5 l an hour (assumed)" in answered("boil", text)


def _stir_called(chat: Chat) -> bool:
    return stage_key(chat.batch.id, "mash_stir") in chat.state.reminders


@pytest.mark.parametrize("text", ["gave it a stir", "stirred it round", "had a stir", "mid mash stir done", "stirred the mash and put the lid back on", "i've stirred it, 65 degrees"])
def test_a_stir_that_was_given_is_not_called_again(text: str) -> None:
    chat = at_stage("mash")
    minutes(chat, 5)
    chat.says(text)
    assert _stir_called(chat)
    minutes(chat, 20)
    chat.says(text)
    assert not _stir_called(chat)
    assert not any("Mid-mash stir" in said for said in minutes(chat, 10))


@pytest.mark.parametrize("text", ["need to stir it", "should i stir it", "haven't stirred it yet", "don't forget to stir"])
def test_a_stir_to_come_is_still_called(text: str) -> None:
    chat = at_stage("mash")
    minutes(chat, 25)
    chat.says(text)
    assert _stir_called(chat)


def test_a_stir_after_the_mash_takes_no_bag_out() -> None:
    chat = at_stage("mash")
    minutes(chat, 61)
    chat.says("gave it a stir")
    assert chat.batch.stage == "mash"


@pytest.mark.parametrize("text", ["how long till the hops", "how long until i put the hops in", "how many minutes till the next hops", "how long before the goldings go in", "time till hops", "hops when"])
def test_how_long_until_the_hops(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    assert chat.says(text).startswith("Next: 8.0 g Goldings in 50 min")


@pytest.mark.parametrize("text", ["leave out the brown malt he doesn't like it", "leave out the brown malt my husband can't stand it", "drop the brown malt we haven't got any", "no brown malt she hates it", "skip the brown malt, he doesn't like it", "leave the brown malt out i don't have it"])
def test_left_out_for_what_somebody_does_not_like(text: str) -> None:
    chat = at_stage("plan")
    assert NOT_GOT not in chat.says(text)
    assert [name for name, _ in chat.batch.recipe.grains] == ["pale malt"]


@pytest.mark.parametrize("text", ["pot is in the cold bath", "the pot's in the cold bath", "pot is in the sink", "the pot is in the bath with cold water", "moved it to the cold bath", "pot's sitting in cold water"])
def test_the_pot_in_its_bath_is_chilled(text: str) -> None:
    chat = at_stage("steep")
    chat.says(text)
    assert chat.batch.stage == "chill"
