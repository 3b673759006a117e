"""Bottling: refused while gravity falls, the override that is recorded, priming, bottles, conditioning."""

from __future__ import annotations

import re

import pytest

from tests.conversations.weeks import Chat, lots, pitched


def finished(original: str = "1.048") -> Chat:
    """A batch that has stood at 1.011 for three days, never warmer than 20 degC."""
    chat = pitched(original=original)
    chat.says("fermenter is at 20 C")
    chat.waits(8)
    chat.says("gravity 1.011 at 20 C")
    chat.waits(3)
    chat.says("gravity 1.011 at 20 C")
    return chat


@pytest.mark.parametrize("message", ["next", "bottle", "skip", "bottled", "let's bottle it", "start bottling"])
def test_no_way_on_from_an_unfinished_beer(message: str) -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("gravity 1.020 at 20 C")
    answer = chat.says(message)
    assert "Do not bottle" in answer
    assert re.search(r"could reach \d+\.\d bar in a warm room", answer)
    assert (chat.batch.stage, chat.batch.bottles) == ("ferment", ())


def test_no_way_on_without_any_gravity() -> None:
    chat = pitched()
    chat.waits(20)
    assert "nobody knows" in chat.says("next")
    assert chat.batch.stage == "ferment"


def test_gravity_that_falls_again_on_bottling_day_stops_the_bottling() -> None:
    chat = finished()
    assert "Bottle" in chat.says("next")
    chat.waits(0.5)
    chat.says("gravity 1.008 at 20 C")
    assert "Do not bottle" in chat.says("bottled")
    assert chat.batch.stage == "bottle"


@pytest.mark.parametrize(
    "messages",
    [
        ("bottle anyway",),
        ("I accept the risk",),
        ("bottle it anyway", "yes"),
        ("bottle anyway", "ok"),
        ("next", "yes"),
    ],
)
def test_half_an_override_is_none(messages: tuple[str, ...]) -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("gravity 1.020 at 20 C")
    chat.says(*messages)
    assert (chat.batch.stage, chat.batch.risk_accepted) == ("ferment", "")


@pytest.mark.parametrize(
    "sentence",
    ["bottle anyway, I accept the risk", "I accept the risk, bottle anyway", "Bottle it anyway I accept the risk"],
)
def test_the_whole_sentence_goes_on_and_is_kept_word_for_word(sentence: str) -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("gravity 1.020 at 20 C")
    answer = chat.says(sentence)
    assert "against advice" in answer
    assert "goggles" in answer
    assert (chat.batch.stage, chat.batch.risk_accepted) == ("bottle", sentence)
    assert f'bottled against advice: "{sentence}"' in chat.says("diary")
    assert "Sugar: none" in chat.says("how much sugar")
    chat.says("undo")
    assert (chat.batch.stage, chat.batch.risk_accepted) == ("ferment", "")


def test_an_override_of_finished_beer_records_no_risk() -> None:
    chat = finished()
    chat.says("bottle anyway, I accept the risk")
    assert (chat.batch.stage, chat.batch.risk_accepted) == ("bottle", "")


def test_bottles_filled_against_advice_are_watched_from_the_second_day() -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("gravity 1.020 at 20 C", "bottle anyway, I accept the risk", "bottled")
    assert "goggles" in chat.waits(2.5)[0]
    assert "chill all bottles now" in chat.says("it gushed")


def grams(answer: str) -> float:
    return float(re.search(r"Sugar: ([\d.]+) g", answer)[1])  # type: ignore[index]


def test_sugar_for_the_batch_and_for_each_bottle() -> None:
    # Source: stoichiometry C12H22O11 + H2O -> 4 C2H5OH + 4 CO2 (IUPAC molar masses 342.30 and 44.01 g/mol); CO2 left at
    # 20 degC 0.86 volumes (usual handbook table); 1.977 g/l to a volume: 5 l x (2.4 - 0.86) x 1.977 / 0.5143 = 29.6 g.
    chat = finished()
    chat.says("next")
    answer = chat.says("how much sugar")
    assert grams(answer) == pytest.approx(29.6, rel=0.03)
    half, third = (float(each) for each in re.findall(r"([\d.]+) g in (?:500|330) ml", answer))
    assert half == pytest.approx(2.96, rel=0.03)
    assert third == pytest.approx(2.96 * 330 / 500, rel=0.03)


def test_the_warmest_since_it_died_down_counts_and_not_the_first_days() -> None:
    chat = pitched()
    chat.says("fermenter is at 26 C")
    chat.waits(8)
    chat.says("gravity 1.011 at 20 C", "fermenter is at 19 C")
    chat.waits(3)
    chat.says("gravity 1.011 at 20 C", "fermenter is at 10 C", "next")
    cool = grams(chat.says("how much sugar"))
    assert "at 19 °C (the warmest reading since it died down)" in chat.says("why?")
    warm = grams(chat.says("warmest 28 C"))
    assert warm > cool
    assert "28 °C (as you said)" in chat.says("why?")


def test_mixed_bottles_are_counted_together_and_added_to() -> None:
    chat = finished()
    chat.says("next")
    assert "6 of 500 ml and 5 of 330 ml, 4.7 l" in chat.says("6 500 ml and 5 330 ml")
    assert "6 of 500 ml and 6 of 330 ml, 5.0 l" in chat.says("1 more 330 ml bottle")
    assert [lot.count for lot in chat.batch.bottles] == [6, 6]
    # A size that is told again stands instead of itself; the others are full all the same.
    assert "8 of 500 ml and 6 of 330 ml, 6.0 l" in chat.says("8 bottles of 500 ml")
    assert "8 of 500 ml and 2 of 330 ml, 4.7 l" in chat.says("sorry 2 of 330 ml")
    answer = chat.says("bottled")
    assert "Bottled: 8 of 500 ml and 2 of 330 ml" in answer
    assert "Ready about" in answer


def test_a_second_size_told_while_filling_does_not_lose_the_first() -> None:
    chat = finished()
    chat.says("next", "6 of 500 ml")
    assert "6 of 500 ml and 5 of 330 ml, 4.7 l" in chat.says("5 of 330 ml")
    # Of what is told in one message all is told.
    assert "8 of 500 ml and 2 of 330 ml, 4.7 l" in chat.says("8 500 ml and 2 330 ml")
    chat.says("undo", "undo", "undo", "10 of 330 ml", "no i mean 10 of 500 ml")
    assert lots(chat) == [(10, 500.0)]


def test_bottles_told_as_filled_go_by_the_guard_like_bottled() -> None:
    chat = pitched()
    chat.waits(5)
    chat.says("gravity 1.020 at 20 C")
    for message in ("bottled 10 of 500 ml", "filled 8 500 ml bottles"):
        assert "Do not bottle" in chat.says(message)
        assert (chat.batch.stage, chat.batch.bottles) == ("ferment", ())
    assert "Not yet: gravity is not proven steady" in chat.says("10 of 500 ml")
    ready = finished()
    assert ready.says("bottled 9 of 500 ml and 1 of 330 ml").startswith("Bottled: 9 of 500 ml and 1 of 330 ml")
    assert (ready.batch.stage, lots(ready)) == ("condition", [(9, 500.0), (1, 330.0)])


def test_more_bottles_than_beer_do_not_get_more_sugar() -> None:
    # Twice the bottles with twice the sugar in the same beer is how glass bursts.
    chat = finished()
    chat.says("next")
    answer = chat.says("20 500 ml")
    assert grams(answer) == pytest.approx(29.6, rel=0.03)
    assert "the sugar is for the batch" in answer


@pytest.mark.parametrize(
    ("message", "share"),
    # Source: stoichiometry for dextrose, C6H12O6.H2O 198.17 g/mol giving 2 CO2: 0.444 against 0.514; honey and dry
    # malt extract: common practice, no source.
    [("prime with dextrose", 0.5143 / 0.4442), ("prime with honey", 1.38), ("prime with dry malt extract", 1.4)],
)
def test_sugar_kinds(message: str, share: float) -> None:
    chat = finished()
    chat.says("next")
    plain = grams(chat.says("how much sugar"))
    assert grams(chat.says(message)) / plain == pytest.approx(share, rel=0.05)


def test_bottles_that_are_not_made_for_it() -> None:
    chat = finished()
    chat.says("next")
    assert "Never prime" in chat.says("growlers")
    assert "Caution" in chat.says("how much sugar")
    assert "trusted with 3.3 volumes" in chat.says("swing tops")
    assert "Caution" not in chat.says("how much sugar").replace("Caution: bottles burst", "")
    assert "only 2.6 volumes" in chat.says("prime to 2.8 volumes", "thin glass")


def test_absurd_numbers_are_asked_again() -> None:
    chat = finished()
    chat.says("next")
    assert "12 volumes?" in chat.says("prime to 12 volumes")
    assert "9000 bottles?" in chat.says("9000 500 ml")
    assert chat.batch.bottles == ()
    assert chat.batch.priming.volumes == 2.4


def test_checklist_names_what_touches_the_beer() -> None:
    chat = finished()
    chat.says("next")
    answer = chat.says("checklist")
    assert "tube" in answer
    assert "sanitised" in answer


def test_check_bottle_chill_and_taste_and_a_cool_room_takes_longer() -> None:
    chat = finished()
    chat.says("next", "10 500 ml", "bottled")
    said = chat.waits(15)
    assert [text.split()[0] for text in said] == ["A", "Chill", "Ready:"]
    cool = finished()
    cool.says("next", "10 500 ml", "bottled")
    cool.waits(3)
    assert "a week longer" in cool.says("bottles are at 14 C")
    assert not any("Ready" in text for text in cool.waits(15))
    assert any("Ready" in text for text in cool.waits(5))


def test_strong_beer_waits_longer() -> None:
    chat = finished(original="1.070")
    chat.says("next", "10 500 ml", "bottled")
    assert not any("Ready" in text for text in chat.waits(20))


@pytest.mark.parametrize(
    ("message", "word"), [("flat", "another week"), ("nice hiss", "Good"), ("a bottle burst", "box")]
)
def test_what_a_bottle_was_like(message: str, word: str) -> None:
    chat = finished()
    chat.says("next", "10 500 ml", "bottled")
    chat.waits(7.5)
    assert word in chat.says(message)
    assert f"bottle check: {message.removeprefix('a ')}" in chat.says("diary")


def test_bottling_words_without_a_batch_say_what_is_missing() -> None:
    chat = Chat()
    for message in ("bottle", "bottle anyway, I accept the risk", "10 500 ml", "swing tops", "tasting", "hops out"):
        assert chat.says(message)
    assert not chat.state.batches


def test_one_label_a_bottle_and_when_the_bottles_are_ready() -> None:
    chat = finished()
    chat.says("next", "7 500 ml and 3 330 ml", "bottled")
    assert chat.says("labels").startswith("10 labels")
    assert chat.says("print 4 labels").startswith("4 labels")
    waiting = chat.says("when is it ready")
    assert "ready about" in waiting
    assert "in 14 days" in waiting
    chat.waits(15)
    assert 'say "tasting"' in chat.says("is it ready yet")


BOTTLE_IT = ["bottle it?", "bottle it", "bottle them?", "so bottle it now?", "shall we bottle it", "do i bottle it now", "just bottle it?", "bottle tomorrow?", "bottling?", "should i bottle it or wait"]


@pytest.mark.parametrize("text", BOTTLE_IT)
def test_bottle_it_asks_and_moves_nothing(text: str) -> None:
    chat = finished()
    assert chat.says(text).startswith("Stable: 1.011")
    assert chat.batch.stage == "ferment"
    chat.says("start bottling", "10 500 ml")
    assert 'Say "bottled" when all are filled and closed.' in chat.says(text)
    assert chat.batch.stage == "bottle"
    # "next" would say that it is done.
    assert "next" not in chat.choices.values()


@pytest.mark.parametrize("text", ["let's bottle it", "start bottling", "bottle", "bottling day"])
def test_an_order_to_bottle_still_begins_it(text: str) -> None:
    chat = finished()
    chat.says(text)
    assert chat.batch.stage == "bottle"


@pytest.mark.parametrize("text", ["bottled it", "bottled", "they are all bottled"])
def test_bottled_is_still_told(text: str) -> None:
    chat = finished()
    chat.says("next", "10 500 ml", text)
    assert chat.batch.stage == "condition"


@pytest.mark.parametrize(("said", "millilitres"), [("500", 500), ("half a litre", 500), ("0.5", 500), ("330s", 330), ("the 750 ones", 750)])
def test_the_size_of_bottles_that_was_asked_for_is_taken(said: str, millilitres: float) -> None:
    chat = finished()
    assert "which size" in chat.says("bottled 9")
    chat.says(said)
    assert [(lot.count, lot.size.in_unit("millilitre")) for lot in chat.state.batches[-1].bottles] == [(9, pytest.approx(millilitres))]
    assert chat.state.batches[-1].stage == "condition"


def test_another_message_than_a_size_is_what_it_is() -> None:
    chat = finished()
    chat.says("bottled 9", "gravity 1.011 at 20 C")
    assert not chat.state.batches[-1].bottles
    assert "not told as bottled yet" in chat.says("opened one, it's flat")


def test_honey_that_was_used_and_never_bought_primed_the_bottles() -> None:
    chat = finished()
    chat.says("prime with honey")
    assert "30 g honey noted" in chat.says("used 30 g of honey")
    assert any("30 g honey" in note for note in chat.state.batches[-1].notes)
    chat.says("bought 500 g honey for 5.00")
    assert "470 g honey left" in chat.says("used 30 g of honey")
