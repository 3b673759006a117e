"""The watch over the weeks: when it asks, what moves it, what it judges."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from conversations.session.fold import fold
from conversations.session.hours import at_hour
from conversations.session.judgement import judge
from conversations.session.state import State
from tests.conversations.weeks import LISBON, Chat, pitched


def test_first_night_then_daily_then_the_first_gravity() -> None:
    chat = pitched()
    names = [said.partition(":")[0] for said in chat.waits(4.9)]
    assert names == ["First look", "Day 1", "Day 2", "Day 3"]
    assert chat.local("gravity_0") == (1, 15, 20)


@pytest.mark.parametrize(
    ("yeast", "day"), [("kveik yeast", 13), ("dry ale yeast", 15), ("saison yeast", 17), ("lager yeast", 18)]
)
def test_the_yeast_sets_the_pace(yeast: str, day: int) -> None:
    assert pitched(yeast).local("gravity_0") == (1, day, 20)


def test_cold_slows_the_pace_and_warmth_hastens_it() -> None:
    cold, warm = pitched(), pitched()
    cold.says("fermenter is at 16 C")
    warm.says("fermenter is at 26 C")
    # 20 degC is the middle for ale; a factor of two over ten degrees: 5 days become 6.6 and 3.3.
    assert cold.local("gravity_0") == (1, 17, 20)
    assert warm.local("gravity_0") == (1, 13, 20)


def test_a_temperature_that_came_by_itself_answers_the_check_of_its_day() -> None:
    chat = pitched()
    chat.waits(1)
    assert chat.check("temperature_1") is not None
    chat.says("fermenter is at 20 C")
    assert chat.check("temperature_1") is None
    chat.says("undo")
    assert chat.check("temperature_1") is not None


def test_checks_come_at_the_hour_that_was_asked_for_and_not_in_quiet_hours() -> None:
    chat = pitched()
    chat.says("check at 6:30pm")
    assert chat.local("temperature_2") == (1, 12, 18)
    chat.says("quiet from 6pm to 8am", "check at 9pm")
    assert chat.local("temperature_2") == (1, 13, 8)


def test_an_hour_that_the_clocks_skip_is_the_one_that_they_show() -> None:
    # Source: IANA time zone database, Lisbon goes from 00:59 to 02:00 on 29 March 2026.
    state = State(zone="Europe/Lisbon", check_at="01:30", quiet_from="00:00", quiet_to="00:00")
    assert at_hour(date(2026, 3, 29), state).hour == 2


def test_the_next_gravity_follows_the_forecast_and_moves_with_it() -> None:
    chat = pitched()
    chat.waits(4)
    chat.says("gravity 1.030 at 20 C")
    far = chat.local("gravity_1")
    chat.says("no, 1.014")
    near = chat.local("gravity_1")
    assert far > near
    # Never less than two days after the last one: two readings closer than that prove nothing.
    assert near == (1, 16, 20)


def test_an_unanswered_gravity_is_asked_again_three_times_at_most() -> None:
    chat = pitched()
    asked = [said for said in chat.waits(40) if "gravity" in said]
    assert len(asked) == 4
    assert "still no gravity" in asked[1]


def test_a_check_can_be_put_off_and_an_answer_ends_it() -> None:
    chat = pitched()
    chat.waits(5.25)
    chat.says("in 2 hours")
    assert chat.local("gravity_0") == (1, 15, 23)
    chat.says("gravity 1.015 at 20 C")
    assert chat.check("gravity_0") is None


def test_a_bare_number_answers_what_was_asked() -> None:
    chat = pitched()
    chat.waits(0.25)
    assert "21 °C noted" in chat.says("21")
    chat.waits(5)
    assert "1.014 noted" in chat.says("14")


def test_warm_rest_is_said_once() -> None:
    chat = pitched()
    chat.waits(4)
    chat.says("gravity 1.016 at 20 C")
    said = chat.waits(3)
    chat.says("gravity 1.012 at 20 C")
    said += chat.waits(10)
    assert sum("Warm rest" in each for each in said) == 1


def test_a_lager_is_told_to_warm_up_and_ale_temperatures_are_too_warm_for_it() -> None:
    chat = pitched("lager yeast")
    assert "6.0 °C too warm for lager yeast: 9 °C to 14 °C" in chat.says("fermenter is at 20 C")
    chat.waits(1)
    chat.says("fermenter is at 12 C")
    assert any("16 °C" in said for said in chat.waits(12) if "Warm rest" in said)


def test_too_warm_lists_what_a_flat_has_gently_and_to_the_end() -> None:
    chat = pitched()
    answer = chat.says("fermenter is at 27 C")
    assert "5.0 °C too warm" in answer
    assert "wet towel" in answer
    assert "coolest floor" in chat.says("what else")
    assert "That is all that helps" in chat.says("what else")


def test_stable_needs_two_days() -> None:
    chat = pitched()
    chat.waits(7)
    chat.says("gravity 1.011 at 20 C")
    chat.waits(1)
    assert "Stable" not in chat.says("gravity 1.011 at 20 C")
    chat.waits(1.1)
    assert "Stable: 1.011" in chat.says("gravity 1.011 at 20 C")
    assert "two days" in chat.says("why?")


def test_after_two_that_agree_the_next_comes_two_days_after_the_first_of_them() -> None:
    chat = pitched()
    chat.waits(7)
    chat.says("gravity 1.011 at 20 C")
    chat.waits(1)
    first_of_run = chat.local("gravity_1")
    chat.says("gravity 1.011 at 20 C")
    due = chat.local("gravity_2")
    # Two days after the first, at the hour of the checks: a day earlier than two days after the last.
    assert due[:2] == (first_of_run[0], first_of_run[1]), (first_of_run, due)


def test_two_gravities_of_one_hour_tell_of_the_sample_and_not_of_days() -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("gravity 1.018 at 20 C")
    answer = chat.says("gravity 1.012 at 20 C")
    assert "in 0.0 days" not in answer
    assert "Do not bottle" in answer


def test_temperature_correction_is_what_counts() -> None:
    # 1.011 at 30 degC and 1.012 at 20 degC are not the same beer: calc.hydrometer adds 0.002 to the first.
    chat = pitched()
    chat.waits(7)
    chat.says("gravity 1.011 at 30 C")
    chat.waits(2.5)
    assert "Still falling" in chat.says("gravity 1.011 at 20 C")


def test_done_and_going_and_when_ask_and_done_tells() -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("gravity 1.020 at 20 C")
    chat.waits(2)
    chat.says("gravity 1.015 at 20 C")
    assert "Still falling: 0.005 in 2.0 days" in chat.says("is it done?")
    assert "Still falling" in chat.says("is it done")
    assert "1.015 on Saturday 17 January, day 7 now" in chat.says("how is it going")
    assert "It should end at" in chat.says("when will it be finished")
    assert "Noted" in chat.says("done")


def test_a_week_at_an_end_that_a_hot_mash_explains_is_the_end_and_half_the_sugar_never_is() -> None:
    # 1.017 of 1.048 is 64 % attenuated where 72 % are usual; 1.024 is 49 %, and all of it could still ferment in glass.
    for gravity, ends in (("1.017", True), ("1.024", False)):
        chat = pitched()
        for days in (6, 3, 5, 12):
            chat.waits(days)
            spent = judge(chat.batch).gravities
            said = chat.says(f"gravity {gravity} at 20 C")
            assert ("hot mash" in said) == (ends and len(spent) >= 2), said
        assert ("Bottle:" in chat.says("next")) == ends


def test_stuck_names_gentle_things_in_order() -> None:
    chat = pitched()
    chat.waits(6)
    chat.says("gravity 1.024 at 20 C")
    chat.waits(3)
    assert "Stuck at 1.024" in chat.says("gravity 1.024 at 20 C")
    answers = [chat.says("is it stuck"), chat.says("what else"), chat.says("what else")]
    order = [answer.index(word) for answer, word in zip(answers, ("hydrometer", "Swirl", "fresh yeast"), strict=True)]
    assert all(place >= 0 for place in order)
    assert "do not bottle" in answers[0]


@pytest.mark.parametrize(
    ("message", "doubt"),
    [
        ("gravity 1.060 at 20 C", "does not rise"),
        ("gravity 1.031 at 20 C", "does not rise"),
        ("gravity 0.992 at 20 C", "quick"),
    ],
)
def test_suspicious_gravities_are_questioned_and_nothing_is_lost(message: str, doubt: str) -> None:
    chat = pitched()
    chat.waits(2)
    chat.says("gravity 1.024 at 20 C")
    chat.waits(0.25)
    kept = chat.batch.readings
    assert doubt in chat.says(message)
    assert chat.batch.readings == kept
    assert "noted" in chat.says("yes")
    assert len(chat.batch.readings) == len(kept) + 1


def test_more_attenuation_than_yeast_can_do_is_questioned() -> None:
    chat = pitched()
    chat.waits(12)
    assert "usually stops near 80 %" in chat.says("gravity 0.996 at 20 C")


def test_a_gravity_that_stood_and_falls_again_is_not_called_finished() -> None:
    chat = pitched()
    chat.waits(7)
    chat.says("gravity 1.014 at 20 C")
    chat.waits(3)
    chat.says("gravity 1.014 at 20 C")
    chat.waits(2)
    answer = chat.says("gravity 1.010 at 20 C")
    assert "fell again" in answer
    assert "Do not bottle" in answer


def test_readings_told_later_take_their_place() -> None:
    chat = pitched()
    chat.waits(7)
    chat.says("gravity 1.012 at 20 C")
    assert "Thursday 15 January" in chat.says("gravity 1.018 at 20 C on Thursday")
    assert [each.best.magnitude for each in chat.batch.readings if each.kind == "gravity"][1:] == pytest.approx(
        [1.018, 1.012], abs=2e-4
    )
    assert "A later one was higher" in chat.says("gravity 1.008 at 20 C on Thursday")
    assert "is before Stair bitter was begun" in chat.says("gravity 1.012 on 9 January")
    chat.says("no")
    assert "16 January" in chat.says("yesterday's temperature was 21")
    last = [each for each in chat.batch.readings if each.kind == "temperature"][-1]
    assert (last.at.date(), last.stage) == (date(2026, 1, 16), "ferment")


def test_a_reading_of_brew_day_told_later_belongs_to_its_stage() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Late bitter", "1.1 kg pale malt", "grain is in")
    chat.waits(0.05)
    chat.says("bag out", "chilled", "yeast is in")
    chat.waits(2)
    chat.says("temperature was 20 C yesterday")
    assert chat.batch.readings[-1].stage == "ferment"


def test_dry_hops_are_called_counted_and_make_old_gravities_void() -> None:
    chat = pitched()
    chat.says("20 g Cascade dry hop for 3 days")
    chat.waits(6)
    chat.says("gravity 1.012 at 20 C")
    said = chat.waits(2)
    assert any("Dry hops now: 20 g Cascade" in each for each in said)
    chat.says("gravity 1.011 at 20 C")
    chat.says("hops in")
    hop = next(each for each in chat.batch.recipe.hops if each.dry_days)
    assert hop.added_at is not None
    assert "since the dry hops" in chat.says("is it done")
    assert any("take them out" in each for each in chat.waits(3.5))
    assert "Cascade out" in chat.says("hops out")


def test_boil_hops_and_dry_hops_are_not_mixed_up() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Two hop ale", "1.1 kg pale malt", "10 g Fuggle 5% at 60", "20 g Cascade dry hop")
    chat.says("it's boiling", "hops in")
    assert [hop.name for hop in chat.batch.recipe.hops if hop.added_at] == ["Fuggle"]
    assert "no addition left" in chat.says("hops in")


def test_a_check_says_which_batch_and_its_answer_goes_there() -> None:
    chat = pitched(name="Elm ale")
    chat.waits(4)
    chat.says(
        "brew 5 litres of Oak ale", "1.1 kg pale malt", "chilled", "5 litres, gravity 1.050 at 20 C", "yeast is in"
    )
    said = chat.waits(1.3)
    assert any(each.startswith("Elm ale: Day 5") for each in said)
    assert "For Elm ale" in chat.says("gravity 1.012 at 20 C")
    assert chat.batch.name == "Oak ale"


def test_the_fermenter_left_full_and_bottles_untasted_are_mentioned_once_a_week_and_off_by_a_word() -> None:
    chat = pitched()
    said = [each for each in chat.waits(70) if "six weeks" in each]
    assert len(said) == 4
    other = pitched()
    other.waits(43)
    assert "No more nudges" in other.says("quiet")
    assert not any("six weeks" in each for each in other.waits(30))


def test_yeast_near_its_date_is_mentioned() -> None:
    from conversations.intents import Measured
    from conversations.session.seasons import next_nudge
    from conversations.session.state import StockItem

    gram = Measured(value=11, unit="gram")
    item = StockItem(
        key="1",
        kind="yeast",
        name="ale yeast",
        bought=gram,
        left=gram,
        bought_on=date(2026, 1, 1),
        best_before=date(2026, 3, 1),
    )
    state = State(zone="Europe/Lisbon", stock=(item,))
    nudge = next_nudge(state, datetime(2026, 1, 10, 9, tzinfo=LISBON))
    assert nudge is not None
    assert "1 March" in nudge.text
    assert nudge.due.astimezone(LISBON).date() == date(2026, 2, 1)


def test_a_closed_batch_is_left_alone() -> None:
    chat = pitched()
    assert "stays in the diary" in chat.says("poured it away")
    assert not chat.waits(60)
    assert "Stair bitter" in chat.says("diary")


def test_foam_and_no_foam() -> None:
    chat = pitched()
    chat.waits(0.8)
    assert "common" in chat.says("no foam yet")
    chat.waits(2)
    assert "check the lid" in chat.says("still no bubbles", "nothing happening yet")
    assert "begun" in chat.says("it is bubbling")


def test_state_is_the_fold_of_the_events_over_weeks() -> None:
    chat = pitched()
    chat.says("check at 7pm", "20 g Cascade dry hop on day 6 for 2 days")
    chat.waits(5)
    chat.says("gravity 1.014 at 20 C", "no, 1.013", "undo", "gravity 1.013 at 20 C", "hops in")
    chat.waits(4)
    chat.says("gravity 1.011 at 20 C")
    chat.waits(3)
    chat.says("gravity 1.011 at 20 C", "next", "8 500 ml and 3 330 ml", "bottled")
    chat.waits(20)
    chat.says("tasting: toast, 7/10")
    assert chat.batch.tastings
    assert fold(chat.first, chat.events) == chat.state
    assert State.model_validate_json(chat.state.model_dump_json()) == chat.state


def test_one_gravity_off_the_curve_is_named_and_the_forecast_is_as_if_it_had_never_come() -> None:
    with_it, without = pitched(), pitched()
    with_it.waits(4)
    without.waits(4)
    first = "gravity 1.020 at 20 C"
    with_it.says(first)
    without.says(first)
    with_it.waits(1)
    without.waits(1)
    with_it.says("gravity 1.025 at 20 C", "yes")
    with_it.waits(1)
    without.waits(1)
    answer, plain = with_it.says("gravity 1.012 at 20 C"), without.says("gravity 1.012 at 20 C")
    assert "The 1.025 of" in answer
    assert "leaves it out" in answer
    assert "leaves it out" not in plain
    ends = [line for line in plain.splitlines() if line.startswith("It should end")]
    assert ends
    assert ends[0] in answer


def test_the_newest_gravity_is_never_the_one_left_out() -> None:
    chat = pitched()
    chat.waits(4)
    chat.says("gravity 1.016 at 20 C")
    chat.waits(2)
    chat.says("gravity 1.012 at 20 C")
    chat.waits(2)
    answer = chat.says("gravity 1.025 at 20 C", "yes")
    assert "leaves it out" not in answer
    assert "do not lie on one curve" in answer


def test_a_second_batch_of_one_name_is_told_apart_at_once() -> None:
    chat = pitched(name="Stair bitter")
    chat.waits(3)
    answer = chat.says("brew 6 litres of stair bitter")
    assert "You have brewed stair bitter before" in answer
    assert "13 January 2026" in answer


def test_a_gravity_and_a_temperature_due_at_one_minute_are_one_question() -> None:
    # At 27 °C and more the first gravity is due on the third day, as is a temperature.
    chat = pitched()
    chat.waits(1)
    chat.says("28 C")
    said = [each for each in chat.waits(2.5) if "Day 3" in each]
    assert len(said) == 1
    assert "take a gravity" in said[0]
    assert "the fermenter's temperature" in said[0]


def test_no_warm_rest_for_a_beer_that_is_warm_already() -> None:
    chat = pitched()
    assert chat.check("warm_rest") is not None
    chat.waits(1)
    chat.says("24 C")
    assert chat.check("warm_rest") is None
