"""What is asked at the pot next, in several ways of saying: what is in, what comes, what it does to the beer; and what is put right."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, clock, minutes, recorded
from tests.conversations.weeks import Chat

NOT_GOT = "I did not get"
RECIPE = "recipe: Test bitter; 8 litres; 1.7 kg pale malt; 20 g fuggle 5% at 60; dry english ale yeast; mash at 66"


def asked(chat: Chat, text: str) -> str:
    """The answer to a question, which records nothing and is understood."""
    assert not recorded(chat, text)
    answer = chat.says(text)
    assert NOT_GOT not in answer
    return answer


@pytest.mark.parametrize("text", ["what have I put in so far", "what have i added so far", "what's in there already", "what has gone in so far", "what went in already?", "remind me what I've put in so far", "what have I chucked in up to now"])
def test_what_went_in_so_far(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    answer = asked(chat, text)
    assert "1.60 kg pale malt, 150 g brown malt" in answer
    assert f"Hops: 12.0 g Fuggle at {clock(chat)}. Still to come: 8.0 g Goldings." in answer
    chat.says("pause")
    assert "12.0 g Fuggle" in asked(chat, text)
    assert "paused" in asked(chat, text)


def test_what_went_in_counts_later_water_and_extract() -> None:
    chat = at_stage("drain")
    chat.says("10 l", "gravity 1.030", "top up with 1 litre", "add 100 g dried malt extract")
    answer = asked(chat, "what have I put in so far")
    assert "1.0 l added later" in answer
    assert "100 g malt extract" in answer


@pytest.mark.parametrize("text", ["how much water have I got in there altogether", "how much water is in there now", "how much water have i used in total", "what's the total water so far", "how many litres of water are in the mash now"])
def test_how_much_water_in_all(text: str) -> None:
    chat = at_stage("mash")
    planned = chat.batch.mash_water
    assert planned is not None
    chat.says("added 500 ml of boiling water")
    assert asked(chat, text).startswith(f"{planned.in_unit('litre') + 0.5:.1f} l in all.")


@pytest.mark.parametrize("text", ["what temp did i start at", "what was the temperature at the start", "what did the mash start at", "what was it at to begin with", "how warm was it at the start"])
def test_what_it_began_at(text: str) -> None:
    chat = at_stage("heat")
    chat.says("72 C", "grain is in")
    assert "72 °C" in asked(chat, text)
    chat.says("67.5")
    minutes(chat, 20)
    chat.says("66")
    answer = asked(chat, text)
    assert answer.startswith("67.5 °C at ")
    assert "The last: 66 °C" in answer


@pytest.mark.parametrize(("stage", "wants"), [("mash", "For lifting the bag"), ("boil", "Next: 8.0 g Goldings at"), ("chill", "For the transfer")])
@pytest.mark.parametrize("text", ["what's the next thing I'll need ready", "what do i need to get ready next", "anything I should get ready meanwhile", "what will i need next"])
def test_what_to_have_ready(stage: str, wants: str, text: str) -> None:
    chat = at_stage(stage)
    if stage == "boil":
        chat.says("hops in")
    assert wants in asked(chat, text)


@pytest.mark.parametrize("text", ["what do I need to have clean before I turn it off", "what needs to be clean before i turn it off", "what should i sanitise before it's done", "what do i have to clean before the boil ends"])
def test_what_has_to_be_clean_is_of_the_wort_and_not_of_bottles(text: str) -> None:
    answer = asked(at_stage("boil"), text)
    assert "fermenter, lid, airlock" in answer
    assert "ottle" not in answer


def test_the_checklist_is_of_the_day_that_runs() -> None:
    assert "For the mash" in at_stage("heat").says("checklist")
    assert "Bottles rinsed" in at_stage("heat").says("bottling checklist")
    assert "Bottles rinsed" in at_stage("ferment").says("checklist")


@pytest.mark.parametrize("text", ["what time will I be finished tonight do you think", "what time will we finish tonight", "what time do you think i'll be done", "how late will this go on tonight"])
def test_when_the_day_is_done(text: str) -> None:
    assert asked(at_stage("mash"), text).startswith("Done at about ")


@pytest.mark.parametrize("text", ["how do i count the time it was off", "does the time it was off count", "do i have to add the time it was off", "what about the five minutes it was off", "how long was it off the boil"])
def test_the_time_off_the_boil(text: str) -> None:
    chat = at_stage("boil")
    assert "not counted yet" in asked(chat, text)
    chat.says("off the boil")
    minutes(chat, 6)
    assert "6 min so far" in asked(chat, text)
    chat.says("back on the boil")
    assert "counted already" in asked(chat, text)


@pytest.mark.parametrize("text", ["how long do they get", "how long should the hops boil", "how long do these stay in", "how long are they in for"])
def test_how_long_hops_get(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    answer = asked(chat, text)
    assert "12.0 g Fuggle: the whole 60 min" in answer
    assert "8.0 g Goldings: the last 10 min" in answer
    minutes(chat, 54)
    chat.says("goldings in")
    assert "so 6 min instead of 10" in asked(chat, text)


def test_how_long_one_hop_gets() -> None:
    chat = at_stage("boil")
    answer = asked(chat, "how many minutes do the goldings get")
    assert "8.0 g Goldings" in answer
    assert "Fuggle" not in answer


@pytest.mark.parametrize("text", ["did you remind me about the goldings or did I miss it", "did i miss the goldings", "have you called the goldings yet", "did you tell me about the goldings"])
def test_whether_a_call_was_missed(text: str) -> None:
    chat = at_stage("boil")
    chat.says("fuggles in")
    assert asked(chat, text).startswith("Not yet: I call 8.0 g Goldings at ")
    minutes(chat, 52)
    assert "I called it at" in asked(chat, text)
    chat.says("goldings in")
    assert asked(chat, text).startswith("Nothing missed")


@pytest.mark.parametrize("text", ["so what's that cold", "what's that when it's cold", "how much will that be cold", "what would that be at 20 degrees"])
def test_what_a_hot_figure_is_cold(text: str) -> None:
    chat = at_stage("drain")
    chat.says("10 litres")
    assert asked(chat, text).startswith("About 9.8 l cold: 10.0 l were sent")
    chat.says("gravity 1.030 at 50 C")
    assert "cold, from 1.030 read" in asked(chat, text)
    chat.says("gravity 1.036")
    assert "How warm was the sample?" in asked(chat, text)


@pytest.mark.parametrize("text", ["does the extra water mean my beer's going to be weaker", "will the extra water make it weaker", "is my beer going to be weak now", "what does that do to the strength", "does all that water make it weaker"])
def test_whether_water_makes_it_weaker(text: str) -> None:
    chat = at_stage("mash")
    assert "stays at the planned 1.045" in asked(chat, text)
    chat.says("added 1 litre of boiling water")
    thinned = asked(chat, text)
    assert thinned.startswith("A little weaker: about 1.0 l more than planned")
    drained = at_stage("drain")
    drained.says("11.5 l", "gravity 1.028")
    assert asked(drained, text).startswith("Weaker than planned: heading for")


@pytest.mark.parametrize("text", ["did I ruin it", "have i ruined it", "is my beer ruined", "did i mess it up", "can i still save it"])
def test_it_is_hardly_ever_ruined(text: str) -> None:
    chat = at_stage("mash")
    chat.says("61")
    answer = asked(chat, text)
    assert answer.startswith("Most likely not")
    assert "boiling water for 67 °C" in answer
    assert "keep it covered" in asked(at_stage("chill"), text)


@pytest.mark.parametrize("text", ["phew turned it down and blew on it, gone back", "it's gone back down", "foam's settled again", "blew on it and it's gone down", "turned it down and it went back"])
def test_foam_that_went_back(text: str) -> None:
    chat = at_stage("boil")
    assert asked(chat, text).startswith("Well caught. 60 min left")
    chat.says("off the boil")
    assert "back on the boil" in asked(chat, text)


@pytest.mark.parametrize("text", ["how much will be left by the end at this rate", "at this rate what will be left at the end", "how many litres will there be at the end at this rate"])
def test_what_will_be_left(text: str) -> None:
    chat = at_stage("drain")
    chat.says("gravity 1.036", "10 l", "it's boiling")
    minutes(chat, 20)
    answer = asked(chat, text)
    assert "That leaves" in answer


@pytest.mark.parametrize(("text", "to"), [("how much boiling water to get back up to 66?", "66 °C"), ("how much boiling water do i add to get to 65", "65 °C"), ("how do i bring it back up to 66 degrees", "66 °C")])
def test_water_to_a_wanted_temperature_counts_from_the_last_one(text: str, to: str) -> None:
    chat = at_stage("mash")
    chat.says("62")
    answer = asked(chat, text)
    assert answer.startswith("Stir in ")
    assert f"boiling water for {to}" in answer
    chat.says("66")
    assert asked(chat, "how much boiling water to get back up to 66?").startswith("None: it is at 66 °C")


@pytest.mark.parametrize("text", ["what's the temperature likely to be at the end", "how warm will it be by the end", "where will the temperature end up", "how cold will it be at the end of the mash"])
def test_where_the_mash_will_end(text: str) -> None:
    chat = at_stage("mash")
    chat.says("68")
    minutes(chat, 30)
    chat.says("66.5")
    # Three degrees an hour for the half hour that is left.
    assert asked(chat, text).startswith("About 65 °C at the end, in 30 min")


@pytest.mark.parametrize("text", ["can I top it up with water from the tap", "can i top up from the tap", "is tap water ok for topping up", "can I use water straight from the tap to top it up"])
def test_water_from_the_tap(text: str) -> None:
    assert asked(at_stage("drain"), text).startswith("From the tap is fine before the boil")
    assert asked(at_stage("chill"), text).startswith("Not straight from the tap now")


@pytest.mark.parametrize("text", ["wait is it wort or mash at this point, what do I call it", "is this mash or wort", "what do i call it now"])
def test_what_it_is_called(text: str) -> None:
    assert asked(at_stage("mash"), text).startswith("Mash, as long as the grain is in it")
    assert asked(at_stage("boil"), text).startswith("Wort")


@pytest.mark.parametrize("text", ["will it still be strong enough", "how strong is it going to be now", "how strong will it come out then", "what does that do to the strength"])
def test_how_strong_it_will_be_before_anything_has_fermented(text: str) -> None:
    assert asked(at_stage("mash"), text).startswith("It stays at the planned 1.045")
    chat = at_stage("drain")
    chat.says("10 l", "gravity 1.036")
    assert "heading for 8." in asked(chat, text)


@pytest.mark.parametrize("text", ["did I miss anything", "have I forgotten anything", "what have I forgotten", "is there anything I've missed"])
def test_whether_anything_was_missed(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    assert asked(chat, text).startswith("Nothing by my notes.")
    minutes(chat, 52)
    assert asked(chat, text).startswith("8.0 g Goldings, due since")
    assert "Not sent yet: volume and gravity." in asked(at_stage("drain"), text)


@pytest.mark.parametrize("text", ["hob went off for a bit, does that matter", "the gas went out for a while", "power cut out for a few minutes there"])
def test_a_hob_that_was_off_for_a_while_ends_no_boil(text: str) -> None:
    chat = at_stage("boil")
    assert asked(chat, text).startswith("How long was it off?")
    assert chat.batch.stage == "boil"


def test_the_minutes_that_it_was_off_are_counted() -> None:
    chat = at_stage("boil")
    minutes(chat, 20)
    assert "45 min left of the boil" in chat.says("it stopped boiling for 5 minutes, do I add that on")
    assert chat.batch.paused_at is None


def test_whether_it_helped_is_judged_and_not_noted() -> None:
    chat = at_stage("mash")
    chat.says("64")
    for text in ("did that do it", "did that help", "did it work", "is that warm enough yet", "do i need to do anything about it", "shall i leave it"):
        assert "boiling water for 67 °C" in asked(chat, text)


def test_minutes_off_beside_an_empty_gas_bottle_shorten_no_boil() -> None:
    chat = at_stage("boil")
    minutes(chat, 20)
    assert "44 min left of the boil" in chat.says("ran out of gas, swapped the bottle, 4 minutes off")
    assert chat.batch.recipe.boil_minutes == 60
    assert chat.batch.paused_at is None


@pytest.mark.parametrize("text", ["hops are floating on top is that right", "the bag is on the bottom, is that ok"])
def test_a_question_at_the_end_agrees_to_nothing(text: str) -> None:
    assert "no open question" not in at_stage("boil").says(text)


def test_what_has_boiled_off_so_far() -> None:
    chat = at_stage("boil")
    minutes(chat, 20)
    assert asked(chat, "how much has boiled off").startswith("About 500 ml in 20 min")


def test_a_mash_temperature_in_the_other_scale() -> None:
    chat = at_stage("mash")
    chat.says("62")
    assert "boiling water for 66.7 °C" in asked(chat, "how much boiling water to get back up to 152")


@pytest.mark.parametrize(
    ("stage", "text", "answer"),
    [
        ("boil", "foam nearly went over but it's fine now", "Well caught. 60 min left"),
        ("boil", "is the lid supposed to be on", "Off for the boil"),
        ("mash", "is the lid supposed to be on", "On, and the pot wrapped"),
        ("chill", "will tap water do to cool it", "Not in one go"),
        ("chill", "got 2 bags of ice", "Good. Water first"),
        ("boil", "does the spoon need sanitising", "Everything that touches wort after it has cooled."),
        ("boil", "what else do i have to sanitise", "Sanitised, once it cools"),
        ("boil", "phew", "All right."),
        ("mash", "a bit of mash went on the hob", "Only a little less beer."),
        ("mash", "knocked about half a litre on the floor", "Only a little less beer."),
        ("boil", "it's barely boiling", "The top should keep moving"),
        ("chill", "can I leave it overnight to cool", "Yes: lid on tight"),
        ("steep", "how long will it take to cool", "20 to 22 °C"),
        ("chill", "its cooling slow", "20 to 22 °C"),
        ("boil", "do i put the goldings in now", "Next: "),
        ("mash", "will that make it weak", "No. It stays at the planned"),
        ("boil", "am i going to have enough", "1.5 l more in 60 min"),
        ("boil", "ive only got a lid that half covers it is that alright", "Right for the boil"),
        ("mash", "ive only got a lid that half covers it is that alright", "Foil"),
        ("boil", "the window's all steamed up haha", "A boil sends off"),
        ("boil", "steam's everywhere", "A boil sends off"),
        ("chill", "ice is out", "Good. Water first"),
        ("chill", "the ice has all melted", "Cold water does it too"),
        ("boil", "what should it be down to", "8.3 l in the pot when the boil is over"),
        ("chill", "what should it be down to", "Pitch at"),
        ("heat", "how much longer till the water's hot", "About "),
        ("mash", "does half a litre always stay behind in the pot", "I reckon with 300 ml (assumed)"),
        ("boil", "it's foaming over", "Well caught"),
    ],
)
def test_what_is_told_or_asked_in_passing(stage: str, text: str, answer: str) -> None:
    assert asked(at_stage(stage), text).startswith(answer)


@pytest.mark.parametrize("text", ["1.6 kg pale malt is too much", "is 1.6 kg of pale malt too much", "12 g of fuggle at 60 is not enough", "2 kg pale malt looks a bit much", "12 g of fuggle is a lot"])
def test_an_amount_that_is_judged_is_answered_and_not_added(text: str) -> None:
    answer = asked(at_stage("plan"), text)
    assert answer.startswith("With ")
    assert "Nothing is changed" in answer


@pytest.mark.parametrize("text", ["oh hang on the fuggles went in about five minutes ago not just now", "wait no, i put the fuggles in five minutes ago", "sorry, the fuggles went in 5 minutes ago"])
def test_hops_that_went_in_earlier(text: str) -> None:
    chat = at_stage("boil")
    minutes(chat, 8)
    chat.says("fuggles in")
    assert chat.says(text).startswith(f"Put right: 12.0 g Fuggle in at {clock(chat, 5)}")
    assert len([hop for hop in chat.batch.recipe.hops if hop.added_at]) == 1


@pytest.mark.parametrize("text", ["actually I only put 6 in", "only put 6 in", "sorry only 6 went in", "no it was only 6 that went in"])
def test_a_smaller_amount_than_planned(text: str) -> None:
    chat = at_stage("boil")
    assert recorded(chat, text) is False
    assert chat.says(text).startswith("6 of what?")
    chat.says("fuggles in")
    assert chat.says(text).startswith("Put right: 6.0 g Fuggle went in")
    assert chat.batch.recipe.boil_minutes == 60


@pytest.mark.parametrize("text", ["hops in, 12 g of fuggles", "the hops are in, twelve grams of fuggle"])
def test_hops_and_which_they_were_are_one_addition(text: str) -> None:
    chat = at_stage("boil")
    chat.says(text)
    assert [hop.name for hop in chat.batch.recipe.hops if hop.added_at] == ["Fuggle"]
    assert len(chat.batch.recipe.hops) == 2


def test_another_hop_than_the_recipes_is_asked_about() -> None:
    chat = at_stage("boil")
    chat.says("fuggles in")
    minutes(chat, 50)
    assert not recorded(chat, "the last hops are in, ten grams of target")
    assert "Did 10.0 g target go in instead of 8.0 g Goldings?" in chat.says("the last hops are in, ten grams of target")


@pytest.mark.parametrize("text", ["gravity 1.030, but that's hot, about 60 degrees", "1.030 but it was very hot, maybe 60 C"])
def test_a_gravity_of_a_hot_sample_is_put_right(text: str) -> None:
    chat = at_stage("drain")
    answer = chat.says(text)
    assert "corrected, from 1.030 read" in answer
    assert "Hot sample" in answer
    assert [each.kind for each in chat.batch.readings].count("temperature") == 0


def test_a_hot_gravity_beyond_all_sugar_of_the_malt_is_asked_about() -> None:
    chat = at_stage("drain")
    chat.says("10 litres")
    text = "gravity now 1.043, but that's hot, about 80 degrees"
    assert not recorded(chat, text)
    assert "all the sugar of the malt makes" in chat.says(text)
    chat.says("yes")
    assert chat.batch.readings[-1].kind == "gravity"


def test_the_stick_beside_litres_that_do_not_go_with_it() -> None:
    chat = at_stage("drain")
    chat.says("11.5 litres")
    answer = chat.says("dipstick says 14.5 cm")
    assert "That does not go with 11.5 l sent" in answer
    assert "They agree if the pot is 31.8 cm wide inside" in answer
    assert "Add " not in answer
    assert "does not go" not in at_stage("drain").says("dipstick says 14.5 cm")
    alike = at_stage("drain")
    alike.says("10.8 litres")
    assert "does not go" not in alike.says("dipstick says 24 cm")


@pytest.mark.parametrize("text", ["cancel that kettle reminder, my wife's already done it", "cancel the kettle reminder, she's done it", "cancel the kettle reminder, it's been done"])
def test_a_reminder_is_cancelled_with_its_reason(text: str) -> None:
    chat = at_stage("mash")
    chat.says("remind me in 20 minutes to put the kettle on")
    assert chat.says(text) == "Cancelled: put the kettle on."


def test_a_timer_keeps_what_it_is_for() -> None:
    chat = at_stage("mash")
    chat.says("timer 10 minutes to get the ice out the freezer")
    assert minutes(chat, 10)[0] == "Time is up: get the ice out the freezer."
    chat.says("timer 10 minutes to boil the eggs, mash is at 66")
    assert chat.batch.readings[-1].value.value == 66


@pytest.mark.parametrize("text", ["set 2 mash timers", "set two timers", "can you set 3 timers"])
def test_so_many_timers_are_no_minutes(text: str) -> None:
    chat = at_stage("mash")
    assert not recorded(chat, text)
    assert chat.says(text).startswith("How long each?")


@pytest.mark.parametrize(
    ("stage", "text"),
    [
        ("mash", "put an hour on the parking meter"),
        ("mash", "my phone has a reminder at 9"),
        ("mash", "she has a reminder at 9"),
        ("mash", "my oven has a timer for 20 minutes"),
        ("plan", "could you put the cat out instead of the dog"),
        ("plan", "my mate says 1.6 kg pale malt is plenty"),
        ("ferment", "hope it bubbles nice"),
        ("ferment", "hoping it starts bubbling soon"),
        ("boil", "should the goldings have gone in five minutes ago"),
        ("boil", "the hops were in the shop five minutes ago"),
        ("boil", "i only put 6 in the fridge"),
        ("boil", "he only put 6 in"),
        ("boil", "ten grams of target are in the freezer"),
        ("mash", "did you remind me about the dentist"),
        ("mash", "does a litre stay in the bag"),
        ("boil", "the baby's calmed down now"),
        ("boil", "the telly went off for a bit"),
        ("boil", "skip the bus, did dad miss anything"),
        ("mash", "there are 2 bags of ice in the shop"),
    ],
)
def test_what_is_only_spoken_of_records_nothing(stage: str, text: str) -> None:
    chat = at_stage(stage)
    reminders = dict(chat.state.reminders)
    assert not recorded(chat, text)
    chat.says(text)
    assert chat.state.reminders == reminders


def test_how_hot_the_water_should_be_is_of_the_strike_water_unless_it_is_to_rinse() -> None:
    chat = Chat()
    chat.says(RECIPE)
    assert "strike water" in chat.says("how hot should the water be")
    assert "Cold water works too" in chat.says("how hot should the rinse water be")


def test_strike_water_hotter_than_any_mash_is_what_was_read() -> None:
    chat = Chat()
    chat.says("use us units", RECIPE)
    assert "165" in chat.says("strike water 165")
    assert [each.value.value for each in chat.state.batches[-1].readings] == [165]
    assert "for a mash at" in chat.says("strike water for 165 F")


def test_back_to_how_it_was_takes_back_the_last_change() -> None:
    chat = Chat()
    chat.says(RECIPE)
    before = chat.state.batches[-1].recipe
    chat.says("make it stronger")
    assert chat.state.batches[-1].recipe != before
    chat.says("no, back to how it was")
    assert chat.state.batches[-1].recipe == before


@pytest.mark.parametrize("text", ["20 degrees, og 1.052", "og 1.052, 20 C"])
def test_a_cold_temperature_beside_a_gravity_is_the_samples_while_the_pot_is_hot(text: str) -> None:
    chat = at_stage("steep")
    chat.says(text)
    last = chat.state.batches[-1].readings[-1]
    assert (last.kind, last.value.value) == ("gravity", 1.052)
    assert not any(each.kind == "temperature" and each.value.value == 20 for each in chat.state.batches[-1].readings)
