"""What is told while it ferments: sugar put in, a towel round it, a time put right, days away, what somebody else did, a yeast by its code."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, recorded
from tests.conversations.weeks import Chat


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("put 30 grams of sugar in", ("30 g sugar", "1.5 gravity points")), ("added 30 g sugar to the fermenter", ("30 g sugar", "0.2 % alcohol")), ("chucked in 50g of sugar", ("50 g sugar", "2.5 gravity points")),
        ("fed it 40 g sugar", ("40 g sugar",)), ("stirred in 30g of sugar to wake it up", ("30 g sugar",)), ("100 g honey went in", ("100 g honey", "gravity points")),
    ],
)  # fmt: skip
def test_sugar_in_the_fermenter_is_noted_with_what_it_adds(text: str, words: tuple[str, ...]) -> None:
    chat = at_stage("ferment")
    said = chat.says(text)
    assert all(word in said for word in (*words, "two gravities must agree again", '"undo"'))
    assert "into the fermenter" in chat.batch.notes[-1]
    assert chat.batch.priming.volumes == at_stage("ferment").batch.priming.volumes


@pytest.mark.parametrize("text", ["can i put 30 g of sugar in", "should i add 30 g of sugar", "what if i add 30 g sugar to the fermenter", "what would 30 g of sugar do"])
def test_sugar_that_is_asked_about_stays_out(text: str) -> None:
    chat = at_stage("ferment")
    said = chat.says(text)
    assert said.startswith("You can. It ferments out: 1.5 gravity points")
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["dont put 30 g of sugar in", "put 2 sugars in my tea", "i could put 30 g of sugar in", "bought 30 g of sugar for the cake"])
def test_sugar_that_is_only_spoken_of_is_no_note(text: str) -> None:
    chat = at_stage("ferment")
    chat.says(text)
    assert not any("into the fermenter" in note for note in chat.batch.notes)


def test_sugar_weighed_on_bottling_day_is_for_the_bottles() -> None:
    said = at_stage("bottle").says("put 30 grams of sugar in")
    assert "table sugar noted: 2.0 volumes" in said
    assert "I did not get" not in said


@pytest.mark.parametrize("stage", ["ferment", "bottle"])
@pytest.mark.parametrize(
    "text", ["table sugar or dextrose", "dextrose or white sugar", "is brown sugar ok", "can i use icing sugar", "which sugar", "what sugar do i use", "white or brown sugar", "is dextrose better than table sugar"]
)
def test_which_sugar_is_answered_and_none_is_chosen(stage: str, text: str) -> None:
    chat = at_stage(stage)
    assert chat.says(text).startswith("Either: plain white sugar and dextrose")
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["honey or sugar for priming", "dextrose or white sugar", "table sugar or dextrose"])
def test_a_choice_that_is_asked_for_is_not_made(text: str) -> None:
    chat = at_stage("bottle")
    before = chat.batch.priming
    chat.says(text)
    assert chat.batch.priming == before


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("forgot to say i took the sample yesterday", -1), ("that was yesterday", -1), ("i took that this morning", 0), ("actually that was from last night", -1), ("i measured it yesterday evening", -1),
        ("sorry the reading was taken yesterday", -1), ("by the way i took it two days ago", -2), ("the last one was yesterday", -1),
    ],
)  # fmt: skip
def test_when_a_reading_was_taken_is_put_right(text: str, day: int) -> None:
    chat = at_stage("ferment")
    chat.says("gravity 1.012")
    count = len(chat.batch.readings)
    said = chat.says(text)
    last = next(each for each in chat.batch.readings if each.value.value == 1.012)
    assert said.startswith("Corrected: 1.012 was taken on")
    assert (last.at.date() - chat.now.date()).days == day
    assert len(chat.batch.readings) == count
    assert [each.was.value.value for each in chat.batch.corrections] == [1.012]
    chat.says("undo")
    assert all(each.at == chat.now for each in chat.batch.readings if each.value.value == 1.012)


@pytest.mark.parametrize("text", ["that was nice yesterday", "i took the dog out yesterday", "was that yesterday?", "did i take it yesterday", "it was yesterday we met", "that was yesterday's tea"])
def test_other_yesterdays_move_no_reading(text: str) -> None:
    chat = at_stage("ferment")
    chat.says("gravity 1.012")
    chat.says(text)
    assert next(each for each in chat.batch.readings if each.value.value == 1.012).at == chat.now


def test_a_reading_of_long_ago_is_not_moved_and_none_before_the_brew() -> None:
    chat = at_stage("ferment")
    assert "stays as it is" in chat.says("that was yesterday")
    chat.says("gravity 1.012")
    assert "is before brown ale was begun" in chat.says("i took that three weeks ago")
    assert not recorded(chat, "i took that three weeks ago")


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("wet towel and a fan on it", "Wet cloth"), ("put a wet t shirt round it", "Wet cloth"), ("its in a tub of cold water now", "Wet cloth"), ("got ice packs round it", "Wet cloth"), ("draped a damp cloth over the bucket", "Wet cloth"),
        ("wrapped it in a blanket", "It warms slowly"), ("moved it to the cellar", "Keep it dark and steady there"), ("carried the fermenter down to the garage", "Keep it dark and steady there"),
    ],
)  # fmt: skip
def test_what_is_done_for_its_warmth_is_a_note_and_no_reading(text: str, answer: str) -> None:
    chat = at_stage("ferment")
    readings = chat.batch.readings
    assert answer in chat.says(text)
    assert chat.batch.notes[-1]
    assert chat.batch.readings == readings


@pytest.mark.parametrize("text", ["wet towel on the floor", "i need a wet towel", "next i put a wet towel round it", "should i wrap it in a blanket", "wrapped the dog in a blanket", "moved to a new flat", "fan of the team", "don't put ice packs round it"])
def test_towels_that_are_not_round_it_are_no_note(text: str) -> None:
    assert not recorded(at_stage("ferment"), text)


@pytest.mark.parametrize(
    "text",
    ["off on holiday for a week", "im away for two weeks is that ok", "going away till sunday", "we are on holiday next week", "away for the weekend", "we're off on vacation for ten days", "i am going away for a few days", "can i leave it alone for a week"],
)
@pytest.mark.parametrize(("stage", "answer"), [("ferment", "can wait"), ("condition", "They can wait")])
def test_days_away_say_what_waits_and_record_nothing(stage: str, answer: str, text: str) -> None:
    chat = at_stage(stage)
    if stage == "condition" and text.startswith("can i leave"):
        return
    said = chat.says(text)
    assert answer in said or "Yes: " in said
    assert "I did not get" not in said
    assert not recorded(chat, text)


def test_days_away_name_what_falls_due_and_the_stages_that_cannot_wait() -> None:
    assert "I would call meanwhile: " in at_stage("ferment").says("off on holiday for a week")
    assert "Not in the middle of a brew day" in at_stage("boil").says("off on holiday for a week")
    assert "Pitch the yeast first" in at_stage("pitch").says("off on holiday for a week")
    assert "more than six weeks" in at_stage("ferment").says("off on holiday for 6 weeks")


@pytest.mark.parametrize("text", ["bubbling away for a week", "my uncle is on holiday for a week", "back from holiday"])
def test_other_absences_are_not_the_brewer_s(text: str) -> None:
    assert "can wait" not in at_stage("ferment").says(text)


@pytest.mark.parametrize(("stage", "text"), [("mash", "uncle stirred it"), ("mash", "my dad stirred the mash"), ("boil", "my son put the hops in"), ("boil", "the kids put the hops in the boil")])
def test_what_somebody_helped_with_is_done(stage: str, text: str) -> None:
    chat = at_stage(stage)
    assert recorded(chat, text)
    assert "I did not get" not in chat.says(text)


@pytest.mark.parametrize(("text", "gravity"), [("my mate took the reading, 1.012", 1.012), ("dad took a gravity 1.013", 1.013), ("my wife checked the gravity, 1.014", 1.014)])
def test_a_reading_that_somebody_helped_with_is_of_this_beer(text: str, gravity: float) -> None:
    chat = at_stage("ferment")
    assert "I did not get" not in chat.says(text)
    assert chat.batch.readings[-1].value.value == gravity


@pytest.mark.parametrize(
    "text",
    [
        "my mate took his reading, 1.012", "my mate checked the gravity of his stout, 1.020", "my mate measured 1.012 once", "my dad said stir it", "my dad used to stir it", "did my dad stir the mash", "uncle stirred his tea",
        "dad put the kettle on", "my brother put the bins out", "mum checked the oven 180", "my mate took the bus at 1012", "my wife put the heating on, 23", "my friend put the hops in at 60 in his beer",
    ],
)  # fmt: skip
@pytest.mark.parametrize("stage", ["mash", "ferment"])
def test_what_somebody_did_elsewhere_is_not(stage: str, text: str) -> None:
    assert not recorded(at_stage(stage), text)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("X-12 yeast", "X-12"), ("its the X-12 yeast", "X-12"), ("used K-97B yeast", "K-97B"), ("yeast is A-33", "A-33"), ("using Z-44 ale yeast", "Z-44 ale yeast"), ("lager yeast W-34", "W-34 lager yeast"),
        ("pitched XB-05", "XB-05"), ("pitched the X-12 yeast", "X-12"),
    ],
)  # fmt: skip
def test_a_yeast_by_its_code_is_a_name_and_no_number(text: str, name: str) -> None:
    chat = at_stage("pitch")
    readings = chat.batch.readings
    chat.says(text)
    assert chat.batch.recipe.yeast == name
    assert chat.batch.readings == readings
    assert chat.batch.stage == ("ferment" if text.startswith("pitched") else "pitch")


@pytest.mark.parametrize("text", ["is X-12 a good yeast", "flight X-12", "how much X-12 yeast do i need", "don't use X-12 yeast", "pre-60 yeast", "should I use X-12 yeast", "did I pitch X-12"])
def test_a_code_that_is_asked_about_changes_nothing(text: str) -> None:
    assert not recorded(at_stage("pitch"), text)


@pytest.mark.parametrize(
    "text",
    ["can i pitch at 28", "is it ok to pitch at 28?", "can the yeast go in at 28", "pitch at 28 ok?", "is 28 too hot to pitch", "should i add yeast at 28", "wort is 28 can i pitch"],
)
@pytest.mark.parametrize("stage", ["chill", "pitch"])
def test_pitching_at_a_figure_is_judged(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text)
    assert "too warm" in said.lower()
    assert not any(each.kind == "temperature" for each in chat.batch.readings) or "wort is" in text


@pytest.mark.parametrize("stage", ["plan", "boil", "steep"])
def test_pitching_is_asked_about_before_its_time(stage: str) -> None:
    assert "28 °C is too warm: 22 °C at most" in at_stage(stage).says("can i pitch at 28")


@pytest.mark.parametrize(
    ("text", "name", "litres"),
    [
        ("hii can we start a wheat beer", "wheat beer", None), ("rite lets do a bitter, 9 litres", "bitter", 9), ("hiii can we start a wheat beer, 6 litres", "wheat beer", 6), ("heyy can we brew a stout", "stout", None),
        ("helloo lets do a mild", "mild", None), ("could we start a pale ale please", "pale ale", None), ("shall we do a porter, 6 litres", "porter", 6),
    ],
)  # fmt: skip
def test_a_brew_asked_for_kindly_is_begun(text: str, name: str, litres: float | None) -> None:
    chat = Chat()
    chat.says(text)
    assert chat.batch.name == name
    assert litres is None or chat.batch.recipe.volume.in_unit("litre") == litres


@pytest.mark.parametrize("text", ["lets do the washing up", "can we make pizza", "can we start over", "let's do dinner", "can we do it again", "lets do it", "can we do the shopping list"])
def test_other_things_asked_for_begin_no_brew(text: str) -> None:
    chat = Chat()
    chat.says(text)
    assert not chat.state.batches


@pytest.mark.parametrize("text", ["The Fuggle has 7.2 % alpha acid", "fuggle has 7.2% alpha", "the fuggle is 7.2 alpha", "alpha of the Fuggle is 7.2", "fuggle: alpha acid 7.2 %", "my fuggles are 7.2% alpha"])
@pytest.mark.parametrize("stage", ["plan", "mash"])
def test_the_alpha_of_a_hop_is_told_as_a_sentence(stage: str, text: str) -> None:
    chat = at_stage(stage)
    chat.says(text)
    assert [hop.alpha_percent for hop in chat.batch.recipe.hops if hop.name == "Fuggle"] == [7.2]


@pytest.mark.parametrize("stage", ["transfer", "pitch"])
def test_litres_in_the_fermenter_in_one_breath(stage: str) -> None:
    chat = at_stage(stage)
    assert "5.5 l noted" in chat.says("it's in the fermenter now five and a half litres")


@pytest.mark.parametrize(
    "text",
    ["it looks so lovely in there", "my wife hates the smell haha", "cant wait to taste it", "so excited about this one", "i love watching it", "wow look at it go", "proud of this one"],
)
@pytest.mark.parametrize("stage", ["ferment", "condition"])
def test_pure_talk_is_answered_as_talk_and_kept_nowhere(stage: str, text: str) -> None:
    chat = at_stage(stage)
    said = chat.says(text)
    assert "I did not get" not in said
    assert "I know butter" not in said
    assert not recorded(chat, text)


@pytest.mark.parametrize("text", ["lovely reading of 1,0x2", "gravity haha ten sixteenish lol", "is it lovely to grobble it"])
def test_talk_with_a_figure_or_a_question_is_still_said_not_to_be_understood(text: str) -> None:
    assert "only between us" not in at_stage("ferment").says(text)
