"""Faults found while planning and on the morning of the day: what was recorded wrongly, passed in silence or not understood."""

from __future__ import annotations

import pytest

from conversations.intents import Context, Measured
from conversations.understanding.answers import find_answer
from conversations.understanding.beyond_sentences import read
from tests.conversations.brew_day import at_stage
from tests.conversations.corpus import NOW
from tests.conversations.test_plan_slips import batch, grist, talk

TARN = ("brew 5 litres of Tarn", "1 kg pale malt", "300 g brown malt", "100 g crystal 60", "8 g Challenger 6.1% at 60", "5 g goldings at 10")


def names(text: str, stage: str | None = "plan") -> list[str]:
    return [each.name for each in read(text, Context(now=NOW, stage=stage)).intents]


@pytest.mark.parametrize(
    "line",
    ["the Challenger went in at the boil", "Challenger in at the boil", "Challenger went in at flameout", "hops went in at 60 and at flameout", "the hops went in at the boil and the rest at flame-out"],
)
def test_when_hops_go_in_begins_no_boil_while_planning(line: str) -> None:
    state, said = talk(*TARN, line)
    assert batch(state).stage == "plan"
    assert batch(state).boil_started is None
    assert not any(hop.added_at for hop in batch(state).recipe.hops)
    assert "boil started" not in said[-1]


@pytest.mark.parametrize("line", ["it's boiling, the Challenger is in", "hops in, it's at the boil"])
def test_a_boil_that_is_told_beside_its_hops_begins(line: str) -> None:
    assert "done.boiling" in names(line)


@pytest.mark.parametrize("stage", [None, "plan", "mash", "boil", "transfer", "pitch", "ferment"])
@pytest.mark.parametrize(
    "line", ["pitched the yeast at 19, og 1.048", "pitched at 19 og 1.048", "pitched yeast 19 og 1048", "yeast in at 19, 1.048"]
)
def test_the_degrees_of_pitching_are_no_gravity_in_any_stage(line: str, stage: str | None) -> None:
    told = {each.name: each.slots for each in read(line, Context(now=NOW, stage=stage)).intents}
    assert told.keys() == {"done.pitched", "reading.temperature", "reading.gravity"}
    assert told["reading.temperature"]["temperature"] == Measured(value=19.0, unit="degC")
    assert told["reading.gravity"]["gravity"] == Measured(value=1.048, unit="dimensionless")


def test_pitched_yeast_with_its_weight_and_warmth_is_no_hop() -> None:
    assert names("pitched 11 grams at 19") == ["done.pitched", "reading.mass", "reading.temperature"]


@pytest.mark.parametrize("line", ["yeast is in at 19:30", "pitched 11 g", "did I pitch at 19"])
def test_a_time_or_a_weight_is_no_temperature(line: str) -> None:
    assert "reading.temperature" not in names(line, "pitch")


def test_stock_takes_the_alpha_acids_that_the_recipe_was_told() -> None:
    state, said = talk(*TARN, "I have 50 g of Challenger in stock")
    assert state.stock[-1].alpha_percent == 6.1
    assert "6.1" in said[-1]
    state, _ = talk("bought 100 g Challenger 7.2%", *TARN, "I have 50 g of Challenger in stock")
    assert state.stock[-1].alpha_percent == 7.2
    state, _ = talk(*TARN, "I have 50 g of Fuggle in stock")
    assert state.stock[-1].alpha_percent is None


@pytest.mark.parametrize(
    ("line", "brown"),
    [("no, 200 g brown malt", 200), ("no, brown malt 160 g", 160), ("no it was 200 g of brown malt", 200), ("oh no, 0.25 kg brown malt please", 250)],
)
def test_no_before_an_ingredient_puts_it_right(line: str, brown: int) -> None:
    state, _ = talk(*TARN, line)
    assert grist(state) == {"pale malt": 1000, "brown malt": brown, "crystal 60": 100}


def test_both_halves_of_a_correction_are_read() -> None:
    state, said = talk(*TARN, "no, 200 g brown malt please, and take out the malt")
    assert grist(state)["brown malt"] == 200
    assert "which" in said[-1]
    assert "did not get" not in said[-1]
    state, _ = talk(*TARN, "no, 12 g Challenger at 60, and drop the brown malt")
    assert "brown malt" not in grist(state)
    assert batch(state).recipe.hops[0].mass.value == 12


@pytest.mark.parametrize("line", ["no 500 g bags left", "no brown malt", "no more brown malt"])
def test_no_alone_puts_no_amount_right(line: str) -> None:
    assert "recipe.amount" not in names(line)


@pytest.mark.parametrize("line", ["remove the crystal 60", "take out the crystal 60", "take the crystal 60 out", "no crystal 60", "drop the crystal 60 please"])
def test_a_malt_is_taken_out_by_its_colour(line: str) -> None:
    state, _ = talk(*TARN, "100 g crystal 150", line)
    assert grist(state) == {"pale malt": 1000, "brown malt": 300, "crystal 150": 100}


@pytest.mark.parametrize(
    ("line", "grams"),
    [("the crystal 60 was 150 g, not 100", 150), ("make the crystal 60 200 g", 200), ("the crystal 60 should be 80 g", 80)],
)
def test_a_malt_that_is_named_by_its_colour_is_changed(line: str, grams: int) -> None:
    state, _ = talk(*TARN, line)
    assert grist(state)["crystal 60"] == grams


@pytest.mark.parametrize(
    "line", ["the goldings was 8 g, not 5", "goldings is 8 g not 5 g", "the goldings should be 8 g, not 5", "goldings were 8g not 5", "goldings should have been 8 g, not 5"]
)
def test_an_amount_told_wrong_is_put_right_while_planning(line: str) -> None:
    state, _ = talk(*TARN, line)
    assert [(hop.name, hop.mass.value) for hop in batch(state).recipe.hops] == [("Challenger", 8.0), ("goldings", 8.0)]


SMALL = ("pot holds 6 litres", "pot is 20 cm across", "brew 8 litres of Tarn", "2.2 kg pale malt")


def test_next_says_once_that_the_plan_does_not_fit_the_pot_and_obeys() -> None:
    state, said = talk(*SMALL, "next", "next")
    assert said[-2].startswith("Mind: grain and water take 12.6 l, the pot holds 6.0 l.")
    assert "Mind:" not in said[-1]
    assert batch(state).stage == "heat"


@pytest.mark.parametrize("lines", [("pot holds 20 litres", *SMALL[2:]), SMALL[2:], ("pot holds 6 litres", "brew 3 litres of Tarn"), ("pot holds 6 litres", "brew 2 litres of Tarn", "450 g pale malt")])
def test_next_is_silent_where_it_fits_or_nothing_is_known(lines: tuple[str, ...]) -> None:
    state, said = talk(*lines, "next")
    assert "Mind:" not in said[-1]
    assert batch(state).stage == "prepare"


def test_a_full_pot_that_cannot_be_stirred_says_why() -> None:
    _, said = talk("pot holds 13 litres", *SMALL[2:], "next")
    assert "too full to stir" in said[-1]


def test_a_depth_over_the_rim_is_not_shown_as_possible() -> None:
    _, said = talk(*SMALL, "next", "next", "how deep is 8 litres", "how many litres is 30 cm", "water")
    for line in said[-4:]:
        assert "over the rim of your pot, which is 19.1 cm high" in line
    assert "on the stick" not in "".join(said[-4:])


def test_a_stick_over_the_rim_is_asked_about() -> None:
    state, said = talk(*SMALL, "next", "next", "stick 30 cm")
    assert "over the rim" in said[-1]
    assert not batch(state).readings
    state, said = talk(*SMALL, "next", "next", "stick 18 cm")
    assert said[-1].startswith("5.7 l at 18.0 cm")
    # Where the width is only assumed, so is the rim.
    state, _ = talk("pot holds 6 litres", *SMALL[2:], "next", "next", "stick 30 cm")
    assert batch(state).readings


@pytest.mark.parametrize("line", ["how long will it take to heat the water on my hob", "how long to heat the water", "how long does the strike water take to get hot"])
def test_how_long_the_water_takes_is_not_the_whole_day(line: str) -> None:
    _, said = talk("brew 4 litres of Tarn", "1 kg pale malt", line)
    assert said[-1].startswith("About 19 min: 6.3 l from 15 °C to 69.9 °C")
    assert "did not get" not in said[-1]


def test_how_long_it_takes_stays_the_whole_day() -> None:
    assert names("how long will it take") == ["timeline.show"]


DAY = ("brew 4 litres of Tarn", "1 kg pale malt", "8 g Fuggle 5% at 60", "next", "next", "grain is in", "66 C", "bag out", "5.6 l gravity 1.040 at 20 C")


@pytest.mark.parametrize("line", ["how did I do compared with the plan", "how close did we get to the plan", "how did the day go"])
def test_the_day_is_held_against_its_plan_in_words(line: str) -> None:
    _, said = talk(*DAY, line)
    assert "Mash: 67 °C planned, 66 °C read." in said[-1]
    assert "Wort: 4.0 l at 1.050 planned, heading for 4.0 l at 1.051." in said[-1]


def test_the_plan_of_the_first_batch_is_not_what_that_batch_taught() -> None:
    made = ("it's boiling", "flame out", "chilled", "4.1 l gravity 1.056 at 20 C", "transferred", "yeast is in")
    state, said = talk(*DAY, *made, "how did I do compared with the plan")
    assert "efficiency" in state.kit.learned
    assert "Wort: 4.0 l at 1.050 planned, 4.1 l at 1.056 read." in said[-1]


def test_nothing_learned_yet_says_when_and_what_is_counted_with() -> None:
    _, said = talk(*DAY, "what have you learned")
    assert said[-1].startswith("Nothing yet: I learn from a batch once its yeast is in. Until then I count with what is usual: boil-off 1.50 l an hour,")
    assert "efficiency 72.0 %" in said[-1]


@pytest.mark.parametrize("line", ["putting the water on now", "I've just put the water on", "the water is on the hob", "water on", "heating the water now", "started heating the water"])
def test_water_that_goes_on_the_hob_begins_the_heating(line: str) -> None:
    state, said = talk("brew 4 litres of Tarn", "1 kg pale malt", line)
    assert batch(state).stage == "heat"
    assert "About 19 min: 6.3 l" in said[-1]


def test_water_that_went_on_earlier_is_checked_earlier() -> None:
    state, _ = talk("brew 4 litres of Tarn", "1 kg pale malt", "put the water on 10 minutes ago")
    assert state.clock is not None
    assert (state.clock - batch(state).entered["heat"]).total_seconds() == 600


@pytest.mark.parametrize(
    "line",
    ["should I put the water on now", "when do I put the water on", "putting the water on later", "putting the water on tomorrow", "I'll put the water on in a bit", "about to put the water on",
     "the water isn't on yet", "not putting the water on yet", "putting the kettle on for tea", "is the water on", "putting the water on at 9:30", "I want to put the water on at 10:00", "keep the water on the hob"],
)
def test_water_that_is_only_spoken_of_begins_nothing(line: str) -> None:
    state, _ = talk("brew 4 litres of Tarn", "1 kg pale malt", line)
    assert batch(state).stage == "plan"


@pytest.mark.parametrize("stage", ["heat", "mash", "drain"])
@pytest.mark.parametrize("line", ["the bag is too heavy to lift", "I can't lift the bag", "is the bag too heavy to lift", "help the bag is too heavy"])
def test_a_bag_that_is_too_heavy_gets_its_caution(line: str, stage: str) -> None:
    answer = find_answer(line, stage)
    assert answer is not None
    assert "Hob off" in answer.text
    assert "not lift it alone" in answer.text
    assert "scalds" in (answer.caution or "")


@pytest.mark.parametrize(
    ("line", "word"),
    [("can I ferment in a plastic bucket", "food-grade"), ("is a plastic bucket ok as a fermenter", "food-grade"), ("can I add cocoa nibs", "5 to 10 g a litre"), ("when do I add cacao nibs", "5 to 10 g a litre"), ("how heavy will the bag be", "twice the dry grain")],
)
def test_what_may_be_used_is_answered(line: str, word: str) -> None:
    _, said = talk("brew 4 litres of Tarn", "1 kg pale malt", "grain is in", line)
    assert word in said[-1]
    assert "did not get" not in said[-1]


@pytest.mark.parametrize("line", ["200 g chocolate malt", "the bucket is full", "the fermenter is at 19"])
def test_other_talk_of_chocolate_and_buckets_is_not_answered_by_them(line: str) -> None:
    _, said = talk("brew 4 litres of Tarn", "1 kg pale malt", line)
    assert "food-grade" not in said[-1]
    assert "5 to 10 g a litre" not in said[-1]


BOILING = ("brew 4 litres of Tarn", "1 kg pale malt", "8 g Fuggle 5% at 60", "10 g ekg at flameout", "grain is in", "bag out", "boiling")


@pytest.mark.parametrize("line", ["10g ekg in flame out", "10 g ekg in, flame out", "ekg in flame out"])
def test_hops_in_and_flame_out_in_one_breath_are_both_done(line: str) -> None:
    state, _ = talk(*BOILING, "hops in", line)
    assert batch(state).stage == "steep"
    assert all(hop.added_at for hop in batch(state).recipe.hops)
    assert len(batch(state).recipe.hops) == 2


@pytest.mark.parametrize("line", ["10 g ekg at flame out", "add 10 g ekg at flame out", "then add another 10 g ekg at flame-out", "add 10 g ekg, flame out", "add 10 g ekg at the boil"])
def test_a_hop_that_is_to_go_in_at_flame_out_ends_no_boil(line: str) -> None:
    state, _ = talk(*BOILING[:3], *BOILING[4:], line)
    assert batch(state).stage == "boil"
    assert "at the boil" in line or batch(state).recipe.hops[-1].boil_minutes == 0


def test_short_words_at_the_boil_are_understood() -> None:
    _, said = talk(*BOILING, "foam!!", "gone off the boil", "back on")
    assert "Turn the hob down" in said[-3]
    assert said[-1].startswith("The boil goes on")
    state, _ = talk(*BOILING[:4], "nxt")
    assert batch(state).stage == "prepare"


def test_a_hop_told_for_flame_out_while_planning_begins_no_steep() -> None:
    state, _ = talk(*BOILING[:3], "add 10 g ekg, flame out")
    assert batch(state).stage == "plan"
    assert [(hop.name, hop.boil_minutes) for hop in batch(state).recipe.hops] == [("Fuggle", 60), ("ekg", 0)]


MASHED = ("brew 6 litres of Tarn", "1.4 kg pale malt", "8 g Fuggle 5% at 60", "grain is in", "66 C")


@pytest.mark.parametrize("line", ["added half litre boiling", "added 500 ml", "added 500ml cold", "added 0.5 litres of water"])
def test_water_that_went_into_the_mash_is_not_all_that_is_in_it(line: str) -> None:
    before, _ = talk(*MASHED)
    state, said = talk(*MASHED, line)
    assert not any(each.kind == "volume" for each in batch(state).readings)
    was, now = (batch(each).mash_water for each in (before, state))
    assert was is not None
    assert now is not None
    assert round(now.in_unit("litre") - was.in_unit("litre"), 3) == 0.5
    assert "noted" in said[-1]


@pytest.mark.parametrize("line", ["top up half a litre", "top up 0.5 l"])
def test_top_up_without_with_is_water_that_joins(line: str) -> None:
    state, said = talk(*MASHED, "bag out", "7.1 l", line)
    assert [each.kind for each in batch(state).readings][-1] == "water"
    assert "7.6 l" in said[-1] or "500 ml water in" in said[-1]


def test_a_volume_far_below_the_last_one_is_asked_about() -> None:
    state, said = talk(*MASHED, "bag out", "7.1 l", "500 ml")
    assert [each.value.value for each in batch(state).readings if each.kind == "volume"] == [7.1]
    assert "There were 7.1 l. Is it what went in?" in said[-1]
    state, _ = talk(*MASHED, "bag out", "7.1 l", "6.2 l")
    assert [each.value.value for each in batch(state).readings if each.kind == "volume"] == [7.1, 6.2]


@pytest.mark.parametrize("line", ["into bucket 5.6", "in the fermenter 5.6", "its in the fermenter, 5.6"])
def test_litres_in_the_fermenter_are_no_degrees(line: str) -> None:
    found = read(line, Context(now=NOW, stage="chill"))
    assert [each.name for each in found.intents] == ["done.transferred", "reading.volume"]
    assert not found.unread


def test_degrees_in_the_cold_bath_stay_degrees() -> None:
    assert names("in the bucket 38", "chill")[-1] == "reading.temperature"


def test_an_order_to_top_up_in_the_mash_records_nothing_and_says_so() -> None:
    before, _ = talk(*MASHED)
    state, said = talk(*MASHED, "top up with 1 litre")
    assert batch(state).mash_water == batch(before).mash_water
    assert "Nothing is recorded" in said[-1]


def test_an_amount_that_is_only_asked_about_changes_nothing() -> None:
    chat = at_stage("plan")
    before = chat.state.batches[-1].recipe
    chat.says("the goldings should be 8.5 g?")
    assert chat.state.batches[-1].recipe == before
    chat.says("the goldings should be 8.5 g")
    assert chat.state.batches[-1].recipe != before


def test_what_is_not_wanted_in_the_recipe_turns_no_voice_off() -> None:
    names = [each.name for each in read("take the crystal out, dont want it", Context(now=NOW, stage="plan")).intents]
    assert names == ["recipe.drop"]
    assert [each.name for each in read("i don't want to hear you", Context(now=NOW, stage="plan")).intents] == ["settings.speech"]
