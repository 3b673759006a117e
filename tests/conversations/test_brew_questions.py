"""What is asked on the brew day and answered from the batch; what is only told in passing and kept as a note."""

from __future__ import annotations

import pytest

from conversations.session.predictions import predict
from tests.conversations.brew_day import at_stage, clock, minutes, recorded


def answers(stage: str, text: str) -> str:
    """The answer to a question, which must record nothing."""
    chat = at_stage(stage)
    assert not recorded(chat, text)
    return chat.says(text)


@pytest.mark.parametrize("text", ["how much should I have before the boil", "what's the pre-boil volume", "how much wort do I need before the boil", "how many litres should be in the pot at the start of the boil"])
def test_the_volume_before_the_boil(text: str) -> None:
    assert answers("mash", text).startswith("9.8 l before the boil")


@pytest.mark.parametrize("text", ["how much is this going to boil off", "how much will I lose in the boil", "how much will boil away"])
def test_what_the_boil_takes(text: str) -> None:
    # 1.5 l an hour, the kit's own, for the 60 minutes of the recipe and the 20 that are left of it.
    assert answers("mash", text).startswith("1.5 l in 60 min, at 1.5 l an hour (assumed).")
    chat = at_stage("boil")
    minutes(chat, 40)
    assert chat.says(text).startswith("500 ml more in 20 min")


@pytest.mark.parametrize("text", ["what bitterness does that make", "how bitter will it be", "what's the ibu"])
def test_bitterness_is_told_with_a_judgement(text: str) -> None:
    chat = at_stage("mash")
    wanted = predict(chat.batch.recipe, chat.state.kit)
    answer = answers("mash", text)
    assert answer.startswith(f"About {wanted.bitterness:.0f} IBU at {float(wanted.original.magnitude):.3f}: balanced.")
    assert "12.0 g Fuggle" in answer


@pytest.mark.parametrize(("text", "begins"), [("will it be too bitter", "No. About"), ("does it get too bitter", "No. About"), ("will it be bitter enough", "Yes. About")])
def test_too_bitter_or_not_is_answered_first(text: str, begins: str) -> None:
    for stage in ("plan", "mash", "boil"):
        assert answers(stage, text).startswith(begins)


def test_is_that_too_low_goes_back_to_what_was_said() -> None:
    chat = at_stage("boil")
    chat.says("what bitterness does that make")
    assert chat.says("is that too low?").startswith("No. About")
    mash = at_stage("mash")
    mash.says("64")
    assert "boiling water for 67 °C" in mash.says("is that too low?")


def test_late_hops_count_less_in_the_bitterness() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    early = chat.says("how bitter will it be")
    other = at_stage("boil")
    minutes(other, 30)
    other.says("hops in")
    late = other.says("how bitter will it be")
    assert int(late.split()[1]) < int(early.split()[1])


@pytest.mark.parametrize("text", ["hops are actually 4.5 percent", "the hops are 4.5%", "alpha is actually 4.5", "the packet says 4.5 percent alpha"])
def test_alpha_told_of_the_hops_asks_where_there_are_several(text: str) -> None:
    chat = at_stage("boil")
    assert "Fuggle or Goldings" in chat.says(text)
    chat.says(chat.choices["Fuggle"])
    assert [hop.alpha_percent for hop in chat.batch.recipe.hops] == [4.5, 5]


def test_alpha_is_put_right_for_hops_that_are_in_and_bitterness_follows() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    assert "IBU instead of" in chat.says("fuggles are only 4.5 percent not 5")
    assert chat.batch.recipe.hops[0].alpha_percent == 4.5


@pytest.mark.parametrize("text", ["is my fuggle 4.5 percent", "are the hops 4.5 percent", "this beer is only 4.5 percent", "hops are actually lovely"])
def test_no_alpha_is_made_of_other_talk(text: str) -> None:
    assert not recorded(at_stage("boil"), text)


def test_what_waits_comes_before_what_the_stage_asks_for() -> None:
    chat = at_stage("boil")
    minutes(chat, 4)
    assert f"12.0 g Fuggle, due since {clock(chat, 4)}" in chat.says("what do I do next")
    chat.says("hops in")
    assert "due since" not in chat.says("what do I do next")
    chat.says("it's gone off the boil")
    assert 'Say "back on the boil"' in chat.says("what do I do next")


def test_what_was_done_is_not_asked_for_again() -> None:
    chat = at_stage("mash")
    assert "Send the mash temperature" in chat.says("what do I do next")
    minutes(chat, 30)
    assert chat.says("what do I do next").startswith("Mash: Mid-mash stir")
    chat.says("66")
    assert chat.says("what do I do next").startswith("Mash: Lid on, leave it alone.")
    minutes(chat, 31)
    assert chat.says("what do I do next").startswith("Mash time is up")


def test_grain_in_a_second_time_does_not_wind_the_mash_back() -> None:
    chat = at_stage("mash")
    minutes(chat, 20)
    assert not recorded(chat, "the great is in")
    assert "40 min left of the mash" in chat.says("the grain is in")
    assert at_stage("heat").says("the great is in").startswith("Mash.")


def test_have_you_got_that_says_what_was_recorded_last() -> None:
    chat = at_stage("mash")
    chat.says("66")
    assert chat.says("have you got that").startswith("The last thing recorded: temperature 66 °C.")
    assert chat.says("did you write that down").startswith("The last thing recorded: temperature 66 °C.")
    drain = at_stage("drain")
    drain.says("gravity 1.012")
    assert drain.says("have you got that").startswith("Not yet")
    drain.says("yes")
    assert drain.batch.readings[-1].kind == "gravity"


@pytest.mark.parametrize("text", ["should I top it up", "should I boil longer", "should I just leave it", "should I add extract", "which one should I do", "should I worry"])
def test_should_i_is_answered_by_the_ways_on(text: str) -> None:
    chat = at_stage("drain")
    assert "Heading off plan" in chat.says("8.5 l", "gravity 1.035 at 20 C")
    assert not recorded(chat, text)
    answer = chat.says(text)
    assert "dried malt extract" in answer
    assert "Drain the bag" not in answer
    assert any(says.startswith("add ") for says in chat.choices.values())


def test_topping_up_is_advised_by_what_is_known() -> None:
    assert answers("mash", "should I top it up").startswith("Not in the mash. 9.8 l")
    assert "9.8 l before the boil" in answers("drain", "should I top it up")
    assert "send the stick or volume" in answers("boil", "should I top it up")


def test_boiling_water_that_went_into_the_boil_is_water_of_the_wort() -> None:
    chat = at_stage("boil")
    assert chat.says("topped up with 300 ml of boiling water").startswith("300 ml water in")
    assert [(reading.kind, reading.value.value) for reading in chat.batch.readings][-1] == ("water", 300)
    assert "mash" not in chat.says("poured in half a litre from the kettle")
    for text in ("topped up with 300 ml of boiling water?", "should I top up with 300 ml of boiling water", "topped up my tea with boiling water"):
        assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["what temp do I pitch at", "how cold before pitching", "what temperature should it be to pitch the yeast"])
def test_the_temperature_to_pitch_at(text: str) -> None:
    assert answers("mash", text).startswith("Pitch at 18 °C to 22 °C")
    assert answers("steep", text).startswith("Pitch at 18 °C to 22 °C")


@pytest.mark.parametrize("text", ["when do the hops go in", "what hops next", "when's the next hop addition", "do I need to add any more hops"])
def test_when_the_hops_go_in(text: str) -> None:
    assert "12.0 g Fuggle when the boil begins" in answers("mash", text)
    chat = at_stage("boil")
    chat.says("hops in")
    assert chat.says(text).splitlines() == [f"Next: 8.0 g Goldings in 50 min, at {clock(chat, -50)}.", f"In: 12.0 g Fuggle at {clock(chat)}."]


@pytest.mark.parametrize("text", ["did I add the hops", "have the hops gone in", "when did I add the hops"])
def test_whether_the_hops_are_in(text: str) -> None:
    assert answers("boil", text).startswith("None are in by my notes.")
    chat = at_stage("boil")
    chat.says("hops in")
    assert chat.says(text).startswith(f"In: 12.0 g Fuggle at {clock(chat)}.")


def test_a_longer_mash_or_boil_is_advised_and_not_made() -> None:
    assert "75 instead of 60 min" in answers("mash", "can i mash for 75 minutes instead")
    chat = at_stage("boil")
    assert "About 250 ml more boils off" in chat.says("can I boil for 70 instead of 60")
    more, leave = chat.choices["boil 70 min"], chat.choices["leave it"]
    assert not recorded(chat, leave)
    assert chat.says("no leave it at 60").startswith("The boil stays at 60 min.")
    chat.says(more)
    assert chat.batch.recipe.boil_minutes == 70


def test_a_mash_that_feels_cool_is_measured_first() -> None:
    chat = at_stage("mash")
    assert "What is the mash temperature now?" in chat.says("that feels a bit cool, should I heat it?")
    assert "boiling water for 67 °C" in chat.says("64")
    assert "boiling water for 67 °C" in chat.says("should I heat it?")


def test_a_mash_that_cools_at_the_end() -> None:
    assert answers("mash", "is it okay if the temp drops to 62 at the end").startswith("That is fine.")
    assert answers("mash", "what happens if it cools down to 58").startswith("Not for long")
    assert recorded(at_stage("mash"), "the temp dropped to 62")


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("mash", "put the gas on low for two minutes"),
        ("mash", "gave it two minutes on low"),
        ("mash", "lid is on and wrapped in a towel"),
        ("mash", "wrapped the pot in a duvet"),
        ("mash", "got the hops out, 12 grams weighed"),
        ("mash", "weighed out the hops"),
        ("mash", "ph 5.4"),
        ("boil", "sanitised the fermenter"),
        ("boil", "I've sanitised the bucket and the siphon"),
    ],
)
def test_what_is_told_in_passing_is_a_note(stage: str, text: str) -> None:
    chat = at_stage(stage)
    before = chat.batch
    answer = chat.says(text)
    assert "Noted" in answer
    assert "I did not get" not in answer
    assert len(chat.batch.notes) == 1
    assert chat.batch.model_copy(update={"notes": (), "notes_at": ()}) == before


@pytest.mark.parametrize(
    "text",
    [
        "should the lid be on",
        "is the lid on",
        "do I wrap it in a towel",
        "I'll wrap it in a towel later",
        "I need to sanitise the fermenter",
        "do I need to sanitise the fermenter",
        "haven't sanitised the fermenter",
        "need to weigh the hops",
        "are the hops weighed",
        "what should the ph be",
        "ph 54",
        "I need 9 litres of water",
        "should I put in 9 litres",
        "I want to put in 9 litres of water",
        "you said 9 litres of water",
        "put 9 litres of water on for the pasta",
        "he put in 9 litres of water",
        "did you write that down",
        "66 at 10",
    ],
)
def test_what_is_asked_or_still_to_come_is_no_note(text: str) -> None:
    assert not recorded(at_stage("mash"), text)


@pytest.mark.parametrize("text", ["I put in 9 litres of water not what you said", "I put 9 litres in", "mashed in with 9 litres", "I used 9 litres of water instead of 10.7"])
def test_the_water_that_really_went_in(text: str) -> None:
    chat = at_stage("mash")
    assert "Top up with 1.7 l then." in chat.says(text)
    assert chat.batch.mash_water is not None
    assert chat.batch.mash_water.in_unit("litre") == 9
    heat = at_stage("heat")
    heat.says(text.replace("mashed in with", "I put in"), "grain is in")
    assert heat.batch.mash_water is not None
    assert heat.batch.mash_water.in_unit("litre") == 9


def test_leaving_the_house_depends_on_what_is_hot() -> None:
    assert answers("boil", "is it ok if I leave the house").startswith("No:")
    assert "60 min left of the mash" in answers("mash", "can I pop out for an hour")


def test_how_to_cool_it_and_where_the_strike_is() -> None:
    assert "cold water" in answers("boil", "how do I cool it")
    assert "strike water" in answers("boil", "where do I find the strike temp")


def test_a_clock_that_is_named_by_its_alone() -> None:
    chat = at_stage("mash")
    assert chat.says("extend its timer by a quarter of an hour").startswith("75 min left: Mash time is up")
    chat.says("set a pasta timer for 10 minutes")
    assert "90 min left" in chat.says("the mash could do with a bit longer, extend its timer by a quarter of an hour")


@pytest.mark.parametrize("text", ["rinsed with a litre", "poured another litre through the bag", "rinsed the bag with 1 litre of hot water"])
def test_water_through_the_bag_is_water_of_the_wort(text: str) -> None:
    chat = at_stage("drain")
    chat.says(text)
    assert [(reading.kind, reading.value.in_unit("litre")) for reading in chat.batch.readings] == [("water", 1)]


def test_strike_water_that_is_too_hot_is_held_against_the_strike_and_not_the_mash() -> None:
    chat = at_stage("heat")
    assert "760 ml cold water before the grain" in chat.says("it's 74 now, too hot")
    assert "What is the temperature of the water now?" in chat.says("should I add some cold water")
    chat.says("74")
    assert "760 ml cold water before the grain" in chat.says("should I add some cold water")


def test_how_long_to_heat_and_to_cool() -> None:
    assert answers("heat", "how long will it take to heat up").startswith("About 32 min: 10.7 l from 15 °C to 70.1 °C")
    assert "to 100 °C" in answers("drain", "how long till it boils")
    chat = at_stage("steep")
    chat.says("next", "65")
    minutes(chat, 10)
    chat.says("45")
    assert chat.says("how much longer").startswith("About 35 min more to 20 °C.")


@pytest.mark.parametrize(("text", "answer"), [("can I pitch at 25", "Too warm"), ("is 24 cold enough", "Too warm"), ("is 20 ok", "Yes: pitch at"), ("is 15 ok", "A little cold")])
def test_a_temperature_that_is_asked_about_is_no_reading(text: str, answer: str) -> None:
    chat = at_stage("steep")
    chat.says("next")
    assert not recorded(chat, text)
    assert chat.says(text).startswith(answer)


def test_what_is_in_the_pot_by_the_last_volume() -> None:
    assert answers("boil", "how much is left in the pot").startswith("9.8 l counted cold, measured at ")
    assert "I do not know yet" in answers("mash", "how much is left in the pot")


@pytest.mark.parametrize("text", ["I forgot the brown malt", "left out the brown malt", "I've weighed the grain, 1.6 kg pale", "can I take the bag out early", "how do I know it's done", "do I need to stir"])
def test_such_talk_of_the_mash_changes_no_recipe(text: str) -> None:
    chat = at_stage("mash")
    before = chat.batch.recipe
    answer = chat.says(text)
    assert chat.batch.recipe == before
    assert "krausen" not in answer
    assert "I did not get" not in answer
