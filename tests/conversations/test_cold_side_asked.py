"""Asked between the yeast and the glass: how low, how strong, last time, one by one, in other units, the move, the bottles; all of it records nothing."""

from __future__ import annotations

import pytest

from conversations.session.events import Heard
from conversations.session.step import step
from tests.conversations.brew_day import at_stage, recorded
from tests.conversations.weeks import Chat, pitched


def fermenting(*said: str) -> Chat:
    """The brown ale ten days on, with what was said since."""
    chat = at_stage("ferment")
    chat.says(*said)
    return chat


def answered(chat: Chat, text: str) -> str:
    """The answer to what records nothing."""
    assert not recorded(chat, text)
    return chat.says(text)


@pytest.mark.parametrize(
    "text",
    [
        "what should it be down to", "what should it be reading by now", "where should it be by now", "how low should it go", "what should it have got down to by now", "how far down should it be now", "what does it need to get to",
        "what's it supposed to be down to", "what's it meant to be by now", "what ought it be at by now", "what am I hoping it gets down to", "what should the gravity get down to", "how low will it go", "what gravity should it be at by now",
    ],
)  # fmt: skip
def test_how_low_it_should_be_is_told_of_the_end_and_of_now(text: str) -> None:
    assert answered(fermenting(), text).startswith("1.009 to 1.012 when it is done, from 1.045")
    chat = pitched()
    chat.waits(2)
    chat.says("1.030")
    chat.waits(2)
    said = answered(chat, text)
    assert said.startswith("About 1.0")
    assert "by now" in said
    assert "It should end at" in said


@pytest.mark.parametrize(("stage", "words"), [("chill", "18 °C to 22 °C"), ("mash", "67 °C"), ("boil", "in the pot when the boil is over"), ("condition", "It ended at 1.011")])
def test_what_it_should_be_down_to_goes_by_the_stage(stage: str, words: str) -> None:
    assert words in answered(at_stage(stage), "what should it be down to")


@pytest.mark.parametrize(
    "text", ["what does that do to the strength", "what does this do to the abv", "how does that affect the alcohol", "does that make it stronger", "will that make it weaker", "what's that going to do to the strength", "is that going to make it any weaker"]
)
def test_what_it_does_to_the_strength_is_of_what_was_spoken_of(text: str) -> None:
    assert "% when it has finished" in answered(fermenting(), text)
    assert answered(fermenting("gravity 1.020"), text).startswith("3.3 % alcohol by volume")
    chat = fermenting("gravity 1.020", "can I put 100 g of sugar in")
    assert "about 0.7 % alcohol" in answered(chat, text)


def test_how_strong_it_will_be_needs_no_second_gravity() -> None:
    assert "as usual for ale yeast" in answered(pitched(), "how strong will it be")
    assert "two gravities" in Chat().says("how strong will it be")


def test_what_it_was_last_time_is_the_one_before_the_new_one() -> None:
    chat = pitched()
    chat.waits(3)
    chat.says("1.020")
    chat.waits(2)
    assert answered(chat, "what was it last time").startswith("1.020")
    chat.says("1.012")
    for text in ("what was it last time", "what did it read last time", "what did I get last time", "what was the one before"):
        assert answered(chat, text).startswith("1.020: gravity on Tuesday 13 January")
    assert answered(chat, "what was it on tuesday").startswith("1.020")
    assert "None of Wednesday 14 January" in answered(chat, "what was it on wednesday")


@pytest.mark.parametrize(
    "text", ["what did the gravity do over the week, list them for me", "list the gravities", "show me all the gravity readings", "what have the gravities been so far", "how has the gravity come down", "read me out the gravities"]
)
def test_all_gravities_are_listed_in_order(text: str) -> None:
    chat = pitched()
    chat.waits(3)
    chat.says("1.020", "and the day before it was 1.030")
    said = answered(chat, text).splitlines()
    assert said[:3] == ["Sat 10 Jan: 1.048", "Mon 12 Jan: 1.030", "Tue 13 Jan: 1.020"]


@pytest.mark.parametrize(("text", "words"), [("what's that in plato", "5.1 °P is 1.020"), ("whats that in plato", "5.1 °P"), ("and in plato", "5.1 °P"), ("what's that in fahrenheit", "19 °C = 66.2 °F"), ("how many gallons is that", "gallon")])
def test_what_that_is_in_other_units(text: str, words: str) -> None:
    assert words in answered(fermenting("19 C", "1.020"), text)


def test_without_a_figure_it_is_asked_of_which() -> None:
    assert "Of which figure?" in Chat().says("what's that in plato")


@pytest.mark.parametrize("text", ["can i move it to the bathroom, it's colder in there", "the bathroom's colder, can I move it there", "should I move it somewhere colder", "shall I move the bucket, it's too warm here"])
def test_a_move_is_answered_by_what_it_reads(text: str) -> None:
    assert answered(fermenting("25 C"), text).startswith("Yes, move it: 25 °C is too warm")
    assert answered(fermenting("20 C"), text).startswith("No need: 20 °C is right")
    assert answered(fermenting("15 C"), text).startswith("Better not: it is at 15 °C already")
    assert "send what the fermenter reads now" in answered(fermenting(), text)


@pytest.mark.parametrize("text", ["is it ok to move it", "can I carry it upstairs", "would it hurt to move it to the garage", "would the bathroom be better", "I want to move it, is that ok", "can I shift the fermenter, I need the table"])
def test_any_other_move_is_allowed_gently(text: str) -> None:
    assert answered(fermenting("20 C"), text).startswith(("You can move it", "No need", "Yes"))


@pytest.mark.parametrize("text", ["can I chuck in a bit of brown sugar, say 100 g", "can I put 100 g of brown sugar in", "ok to add some sugar, about 100 g", "would it help if I added a bit of sugar, like 100 g"])
def test_sugar_in_other_words_is_told_what_it_does(text: str) -> None:
    points = "4.9 gravity points and about 0.6 %" if "brown" in text else "5.1 gravity points and about 0.7 %"
    assert points in answered(fermenting(), text)


def test_sugar_without_an_amount_is_told_by_the_litre() -> None:
    assert "each 10 g in a litre" in answered(fermenting(), "can I add a bit of sugar")


@pytest.mark.parametrize("text", ["anything I need to buy before bottling day", "what do I need for bottling", "have I got everything for bottling", "what do I need to buy for bottling", "shopping list for bottling", "have I got enough sugar and caps for bottling"])
def test_what_bottling_day_wants(text: str) -> None:
    said = answered(fermenting("gravity 1.011", "bought 1 kg table sugar for 1", "bought 10 crown caps for 1"), text)
    assert "table sugar, in stock" in said
    assert "16 of 500 ml" in said
    assert "Crown caps: 18 with two spare (10 in stock, 8 to buy)" in said


@pytest.mark.parametrize(
    "text",
    [
        "I've got 12 swing tops and a load of screw top lemonade bottles, ok?", "can I use screw top bottles", "are lemonade bottles ok", "are glass screw top bottles safe", "is a twist off bottle ok for beer", "can I bottle in screw cap bottles",
        "would screw top lemonade bottles be alright",
    ],
)  # fmt: skip
@pytest.mark.parametrize("stage", ["ferment", "bottle"])
def test_screw_tops_are_told_apart_and_cautioned(stage: str, text: str) -> None:
    said = answered(at_stage(stage), text)
    assert "Glass with a screw or twist-off cap: no" in said
    assert "can burst" in said


@pytest.mark.parametrize("text", ["I've got 12 swing tops", "I have 12 plastic bottles", "we've got 18 brown beer bottles"])
def test_bottles_counted_while_a_gravity_is_waited_for_are_no_gravity(text: str) -> None:
    chat = fermenting()
    chat.says(text)
    assert not [each for each in chat.batch.readings if each.stage == "ferment"]


@pytest.mark.parametrize("text", ["should I give it a shake to wake the yeast up", "should I stir it to get it going", "can I rouse the yeast", "does shaking it help", "should I give the bucket a swirl"])
def test_yeast_is_not_shaken_awake(text: str) -> None:
    assert "air makes beer stale" in answered(fermenting(), text)


def tasting() -> Chat:
    """Asked how it looks, two weeks in the bottle."""
    chat = at_stage("condition")
    chat.says("tasting")
    return chat


@pytest.mark.parametrize(
    "text",
    [
        "should I give it a shake to wake the yeast up", "how much sugar did I put in", "what's next", "whats the abv", "how strong is it", "when can I drink the rest", "why is it so cloudy", "does it matter that it's cloudy", "do I need to chill them",
        "did I tell you it was 1.014 yesterday", "can I use screw top bottles for the rest", "hello", "how many bottles are there", "what was the og", "is it ok to drink it now", "how long should they stand", "was 1.012 when I bottled it",
        "where do I keep them", "can you remind me tomorrow to chill two", "no wait, what's the date", "18 degrees", "set a timer for 10 minutes", "one bottle gushed", "brew 9 litres of stout", "bought 1 kg pale malt for 3", "note: label looks nice",
    ],
)  # fmt: skip
def test_an_open_question_of_a_note_takes_no_other_matter(text: str) -> None:
    chat = tasting()
    chat.says(text)
    assert not any(note.appearance for batch in chat.state.batches for note in batch.tastings)


@pytest.mark.parametrize(
    "text",
    [
        "clear, good foam", "is a bit hazy", "could be clearer", "what a lovely colour", "how lovely, clear as glass", "would be better with more foam", "should be darker", "cloudy", "clear as a bell", "clear", "does the job", "can't see through it",
        "same as last time", "fine", "flat", "copper, thin head", "stopped fizzing quickly", "not bad", "what a head", "as dark as it should be", "will do, brown",
    ],
)  # fmt: skip
def test_what_is_said_of_the_beer_is_its_answer(text: str) -> None:
    chat = tasting()
    before = len(chat.batch.readings)
    chat.says(text)
    assert chat.batch.tastings[-1].appearance == text
    assert len(chat.batch.readings) == before


@pytest.mark.parametrize("text", ["never mind", "not now", "forget it", "later", "another time"])
def test_a_note_that_is_not_wanted_ends(text: str) -> None:
    chat = tasting()
    assert "when you pour one" in chat.says(text)
    assert not chat.batch.tastings[-1].appearance
    assert chat.state.expects is None


def test_a_check_that_nobody_heard_is_not_due_for_days() -> None:
    chat = pitched()
    # The messenger was off: nothing has fired for five days.
    chat.now = chat.now.replace(day=chat.now.day + 5)
    for asked in ("what's next", "what have I got to do today", "how is it going", "reminders"):
        said = "\n".join(reply.text for reply in step(chat.state, Heard(text=asked), chat.now).replies)
        assert "Saturday 10 January" not in said.replace("Day 0", "")
        assert "First look" not in said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("hydrometer broke, what now", "Not in the beer?"), ("hydrometer broke in the bucket", "Pour the batch away"), ("dropped the hydrometer in the bucket", "Whole? Leave it"), ("I forgot to put the airlock on", "Put it on now"),
        ("do the bottles need to be brown", "Brown is best"), ("green bottles ok?", "Brown is best"), ("how do I clean the bottles", "brush out any film"), ("can I use the dishwasher", "does not reach inside"),
        ("a teaspoon per bottle ok?", "Better not by spoon"), ("can I skip the sugar", "nearly flat"), ("forgot to take a reading yesterday", "a missed one is missed"), ("is that dropping fast enough", "Day 10"), ("what day am I on", "Day 10"),
        ("I need the bucket for another brew, how soon can I bottle", "Not known: no gravity"), ("have I got enough bottles", "16 of 500 ml"), ("I'm away till thursday", "It can wait"),
    ],
)  # fmt: skip
def test_what_else_is_asked_in_the_weeks(text: str, words: str) -> None:
    assert words in answered(fermenting(), text)


@pytest.mark.parametrize("text", ["same again but stronger", "same again but hoppier"])
@pytest.mark.parametrize("stage", ["ferment", "condition"])
def test_another_brew_is_no_reading(stage: str, text: str) -> None:
    chat = at_stage(stage)
    chat.says("gravity 1.013") if stage == "ferment" else None
    before = len(chat.batch.readings)
    chat.says(text)
    assert len(chat.batch.readings) == before


def test_less_fizz_is_told_by_its_sugar() -> None:
    assert "1.8 volumes" in fermenting("gravity 1.011").says("I want it less fizzy")
