"""What was told wrong on the brew day and is put right: amounts, the sample of a gravity, hops that are in."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.conversations.brew_day import at_stage, clock, grain, minutes


@pytest.mark.parametrize("stage", ["plan", "heat", "mash", "drain"])
@pytest.mark.parametrize(
    "text",
    [
        "it's only 1.5 kg of pale malt, I misread the bag",
        "I only put in 1.5 kg of pale malt",
        "sorry, 1.5 kg pale malt",
        "I misread the bag, it's 1.5 kg pale malt",
    ],
)
def test_an_amount_that_was_told_wrong_is_replaced(stage: str, text: str) -> None:
    chat = at_stage(stage)
    if "put in" in text and stage in ("plan", "heat"):
        return
    answer = chat.says(text)
    assert grain(chat) == {"pale malt": 1500, "brown malt": 150}
    assert answer.startswith("1.50 kg pale malt instead of 1.60 kg.")
    assert "I did not get" not in answer
    chat.says("undo")
    assert grain(chat) == {"pale malt": 1600, "brown malt": 150}


@pytest.mark.parametrize(
    ("text", "malt"),
    [
        ("pale malt is only 1.5 kg", "pale malt"),
        ("I only put in 1.5 kg", "pale malt"),
        ("I actually used 1.5 kg of pale malt not 1.6", "pale malt"),
        ("it was 1.5 kg of pale malt not 1.6 kg", "pale malt"),
        ("the bag was only 1.5 kg", "pale malt"),
        ("turns out there's only 1.5 kg of pale malt", "pale malt"),
        ("make the pale malt 1.5 kg", "pale malt"),
        ("it's only 140 g of brown malt", "brown malt"),
        ("there was only 140 g of brown malt in it", "brown malt"),
    ],
)
def test_ways_of_saying_what_is_in_the_mash(text: str, malt: str) -> None:
    chat = at_stage("mash")
    chat.says(text)
    assert grain(chat) == {"pale malt": 1600, "brown malt": 150} | {malt: 1500 if malt == "pale malt" else 140}


@pytest.mark.parametrize(
    "text",
    [
        "I only have 1.5 kg of pale malt",
        "should it be 1.5 kg of pale malt",
        "is 1.5 kg of pale malt enough",
        "next time only 1.5 kg of pale malt",
        "my mate only uses 1.5 kg of pale malt",
        "what if it's only 1.5 kg of pale malt",
        "what if I only put in 1.5 kg",
        "there's only 1.5 kg of pale malt left in the shop",
    ],
)
def test_what_is_only_talked_about_changes_no_amount(text: str) -> None:
    chat = at_stage("mash")
    chat.says(text)
    assert grain(chat) == {"pale malt": 1600, "brown malt": 150}


def test_the_same_malt_again_is_asked_about() -> None:
    chat = at_stage("mash")
    assert "instead of it, or as well? Nothing is changed yet." in chat.says("1.5 kg pale malt")
    instead, more = chat.choices["instead"], chat.choices["as well"]
    assert grain(chat) == {"pale malt": 1600, "brown malt": 150}
    chat.says(instead)
    assert grain(chat) == {"pale malt": 1500, "brown malt": 150}
    chat.says("undo", more)
    assert [mass.in_unit("gram") for name, mass in chat.batch.recipe.grains if name == "pale malt"] == [1600, 1500]


def test_what_is_in_the_recipe_already_is_not_put_in_twice() -> None:
    chat = at_stage("plan")
    assert "already" in chat.says("1.6 kg pale malt")
    assert "already" in chat.says("12 g Fuggle at 60")
    assert len(chat.batch.recipe.hops) == 2
    chat.says("12 g Fuggle at 30", "add 200 g pale malt")
    assert len(chat.batch.recipe.hops) == 3
    assert len(chat.batch.recipe.grains) == 3


@pytest.mark.parametrize(
    "text",
    [
        "the sample was at 64 degrees",
        "sample temp 64",
        "it was at 64 degrees",
        "that was at 64 C",
        "it was a hot sample, 64 degrees",
        "I took it at 64 degrees",
        "sample was 64 C when I read it",
        "it was 64 degrees in the jar",
    ],
)
def test_the_temperature_of_a_sample_belongs_to_the_gravity_that_waits(text: str) -> None:
    chat = at_stage("drain")
    assert 'Say "yes" to keep it' in chat.says("gravity 1.012")
    assert "1.029 corrected, from 1.012 read." in chat.says(text)
    (reading,) = chat.batch.readings
    assert reading.kind == "gravity"


def test_a_gravity_is_held_against_the_plan_as_it_is_at_its_temperature() -> None:
    chat = at_stage("drain")
    assert "Nothing is recorded yet" not in chat.says("gravity 1.012 at 64 C")
    assert "Nothing is recorded yet" in chat.says("gravity 1.012")


@pytest.mark.parametrize("text", ["the sample was at 64 degrees", "sample temp 64"])
def test_a_sample_without_a_gravity_is_no_temperature_of_the_mash(text: str) -> None:
    chat = at_stage("mash")
    chat.says(text)
    assert chat.batch.readings == ()


def test_a_later_temperature_is_not_taken_for_the_sample() -> None:
    chat = at_stage("mash")
    chat.says("gravity 1.040")
    minutes(chat, 10)
    chat.says("it's at 66 degrees")
    assert [reading.kind for reading in chat.batch.readings] == ["gravity", "temperature"]


@pytest.mark.parametrize(
    "text",
    [
        "actually the hop addition went in 3 minutes ago",
        "sorry the hops went in 3 minutes ago",
        "they went in three minutes ago",
        "that was 3 minutes ago",
        "I actually threw the hops in 3 minutes ago",
        "I added the fuggle 3 minutes ago actually",
        "hops were in 3 min ago not now",
        "the hops went in 3 minutes ago",
    ],
)
def test_the_time_of_hops_that_are_in_is_put_right(text: str) -> None:
    chat = at_stage("boil")
    minutes(chat, 5)
    chat.says("hops in")
    minutes(chat, 1)
    chat.says(text)
    fuggle, goldings = chat.batch.recipe.hops
    assert fuggle.added_at == chat.now - timedelta(minutes=3)
    assert goldings.added_at is None
    assert chat.batch.notes == ()
    chat.says("undo")
    assert chat.batch.recipe.hops[0].added_at == chat.now - timedelta(minutes=1)


def test_a_time_told_of_the_addition_that_was_called_ticks_that_one() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 52)
    chat.says("actually the hops went in 1 minute ago")
    fuggle, goldings = chat.batch.recipe.hops
    assert fuggle.added_at == chat.now - timedelta(minutes=52)
    assert goldings.added_at == chat.now - timedelta(minutes=1)


@pytest.mark.parametrize(
    "text",
    [
        "did the hops go in 3 minutes ago",
        "remind me to add hops in 3 minutes",
        "hops go in in 3 minutes",
        "I'll put the hops in in 5 minutes",
        "should I skip the 10 minute hops",
        "can I leave out the fuggles",
        "what if I only put in 10 grams",
        "I only have 10 grams",
        "will the hops be 10 minutes late",
        "are the hops 10 minutes late",
        "if the hops are 5 minutes late what happens",
        "I could skip the 10 minute hops",
        "I'd rather not skip the 10 minute hops",
        "don't skip the 10 minute hops",
        "I would only put in 10 grams",
        "can I only put in 10 grams",
        "they were 10 minutes late",
        "sorry I was 10 minutes late",
        "that was 3 minutes ago",
    ],
)
def test_hops_that_are_only_talked_about_are_not_in(text: str) -> None:
    chat = at_stage("boil")
    chat.says(text)
    assert [(hop.mass.in_unit("gram"), hop.added_at, hop.skipped) for hop in chat.batch.recipe.hops] == [(12, None, False), (8, None, False)]
    assert chat.batch.notes == ()


def test_hops_in_a_second_time_asks_whether_the_next_went_in_early() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 3)
    assert "Nothing is recorded" in chat.says("hops in")
    assert chat.batch.recipe.hops[1].added_at is None
    chat.says(next(iter(chat.choices.values())))
    assert chat.batch.recipe.hops[1].added_at == chat.now


def test_hops_told_with_their_amount_go_in_with_that_amount() -> None:
    chat = at_stage("boil")
    assert chat.says("threw in the 12 grams just now").startswith("12.0 g Fuggle in at")
    chat.says("undo")
    assert "instead of 12.0 g" in chat.says("added 10 g fuggle")
    assert chat.batch.recipe.hops[0].mass.in_unit("gram") == 10
    chat.says("undo", "hops in")
    assert "10.0 g Fuggle went in" in chat.says("i only put in 10 grams")
    assert chat.batch.recipe.hops[0].mass.in_unit("gram") == 10
    assert chat.batch.recipe.hops[0].added_at is not None


def test_hops_that_were_late_are_noted_as_late() -> None:
    chat = at_stage("boil")
    minutes(chat, 20)
    assert "10 min late" in chat.says("hops were 10 minutes late")
    assert chat.batch.recipe.hops[0].added_at == chat.now - timedelta(minutes=10)
    assert f"not {clock(chat, 10)}" in chat.says("I added the hops 5 minutes late")
    assert "Nothing is recorded" in chat.says("hops were 40 minutes late")


@pytest.mark.parametrize("text", ["skip the 10 minute hops", "leave the goldings out", "I won't add the 10 minute hops", "skip the goldings"])
def test_an_addition_is_left_out_by_its_time_or_name(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in", text)
    assert chat.batch.recipe.hops[1].skipped
    assert not [line for line in minutes(chat, 55) if "Goldings" in line]


def test_which_of_several_is_left_out() -> None:
    chat = at_stage("boil")
    assert chat.says("skip the hops").startswith("Which one?")
    assert not any(hop.skipped for hop in chat.batch.recipe.hops)
    chat.says("skip the last hops")
    assert [hop.skipped for hop in chat.batch.recipe.hops] == [False, True]
    chat.says("undo", "skip the next hops")
    assert [hop.skipped for hop in chat.batch.recipe.hops] == [True, False]


def test_that_was_so_long_ago_goes_back_only_to_what_was_just_told() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 12)
    assert "Nothing is recorded" in chat.says("that was 3 minutes ago")


def test_hops_named_while_they_wait_are_not_planned_a_second_time() -> None:
    chat = at_stage("boil")
    assert "Did 12.0 g Fuggle go in?" in chat.says("12 g fuggle")
    assert len(chat.batch.recipe.hops) == 2
    chat.says(chat.choices["it went in"])
    assert chat.batch.recipe.hops[0].added_at == chat.now


def test_hops_that_went_in_with_the_boil() -> None:
    chat = at_stage("boil")
    minutes(chat, 4)
    chat.says("hops went in at the start")
    assert chat.batch.recipe.hops[0].added_at == chat.batch.boil_started
    assert "1.60 kg pale malt" in chat.says("what did I put in")


@pytest.mark.parametrize("text", ["6 grams in, 6 to go", "added the 12 g but it was actually goldings"])
def test_an_amount_of_no_addition_that_waits_is_asked_about(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 10)
    assert "Nothing is recorded" in chat.says(text)
    assert chat.batch.recipe.hops[1].added_at is None


@pytest.mark.parametrize("text", ["the fuggle was 15 g not 12", "make it 15 g of fuggle at 60"])
def test_the_amount_of_hops_that_are_in_is_put_right(text: str) -> None:
    chat = at_stage("boil")
    chat.says("hops in", text)
    assert [hop.mass.in_unit("gram") for hop in chat.batch.recipe.hops] == [15, 8]


@pytest.mark.parametrize("text", ["it should be 15 g of fuggle", "should I move the last hops to 5 minutes", "move the sofa to 5"])
def test_wishes_change_no_hops(text: str) -> None:
    chat = at_stage("boil")
    before = chat.batch.recipe
    chat.says(text)
    assert chat.batch.recipe == before


def test_an_addition_is_moved_and_called_then() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 10)
    assert f"at {clock(chat, -45)}, not at 10 min" in chat.says("move the last hops to 5 minutes")
    assert "Hops now: 8.0 g Goldings. Mind the foam." not in minutes(chat, 44)
    assert "Hops now: 8.0 g Goldings. Mind the foam." in minutes(chat, 1.5)
    other = at_stage("boil")
    other.says("hops in", "last hops at flameout instead")
    assert other.batch.recipe.hops[1].boil_minutes == 0
    assert not [line for line in minutes(other, 58) if "Goldings" in line]


@pytest.mark.parametrize("stage", ["plan", "heat", "mash"])
def test_no_hops_are_in_before_there_is_wort(stage: str) -> None:
    chat = at_stage(stage)
    assert "Nothing is recorded" in chat.says("hops in")
    assert chat.batch.recipe.hops[0].added_at is None


@pytest.mark.parametrize(
    "text",
    [
        "sorry, read that wrong, thermometer says 65.8",
        "oops I misread that, mash is at 65.8",
        "my mistake, thermometer says 65.8",
        "that was wrong, mash is 65.8",
        "sorry, my fault, mash is at 65.8",
        "misread it, 65.8",
    ],
)
def test_a_reading_that_was_misread_is_put_right(text: str) -> None:
    chat = at_stage("mash")
    chat.says("66.5")
    answer = chat.says(text)
    assert [(each.kind, each.value.value) for each in chat.batch.readings] == [("temperature", 65.8)]
    assert "did not get" not in answer
    assert "corrected, was 66.5" in chat.says("show me the diary")


@pytest.mark.parametrize(
    "text",
    [
        "sorry, was busy, thermometer says 65.8",
        "I misread the recipe, mash is at 65.8",
        "you read that wrong, mash is at 65.8",
        "did I read that wrong, thermometer says 65.8",
        "took the lid off, mash is at 65.8",
    ],
)
def test_a_later_reading_takes_nothing_back(text: str) -> None:
    chat = at_stage("mash")
    chat.says("66.5", text)
    assert [each.value.value for each in chat.batch.readings] == [66.5, 65.8]


def test_a_slip_goes_back_to_a_reading_of_its_kind_only() -> None:
    chat = at_stage("drain")
    chat.says("9.8 l", "gravity 1.040 at 40 C", "misread it, gravity was 1.045")
    assert [each.value.value for each in chat.batch.readings] == [9.8, 1.045]
    assert float(chat.batch.readings[-1].best.magnitude) == pytest.approx(1.051, abs=0.001)
    chat.says("misread that, pot is at 70 degrees")
    assert [each.kind for each in chat.batch.readings] == ["volume", "gravity", "temperature"]
