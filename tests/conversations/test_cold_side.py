"""Told between the yeast and the glass: beer lost, the rest of a sachet, the fermenter moved, a cold night, a day that was forgotten."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import PLANNED, at_stage, recorded
from tests.conversations.weeks import Chat


def fermenting(*said: str) -> Chat:
    """The brown ale ten days on, with what was said since."""
    chat = at_stage("ferment")
    chat.says(*said)
    return chat


def litres(chat: Chat) -> float:
    """The newest volume of the fermenter."""
    return next(each.value.in_unit("litre") for each in reversed(chat.batch.readings) if each.kind == "volume")


def gravities(chat: Chat) -> list[tuple[int, float]]:
    """Day of the month and gravity of what was read in the fermenter."""
    return [(each.at.astimezone(chat.now.tzinfo).day, each.value.value) for each in chat.batch.readings if each.kind == "gravity" and each.stage == "ferment"]


@pytest.mark.parametrize(
    ("text", "gone"),
    [
        ("I spilled about half a litre when I took the tap off", 0.5), ("spilt about 300 ml opening the tap", 0.3), ("half a litre went on the floor", 0.5),
        ("I dropped about a litre on the floor", 1.0), ("about half a litre leaked out of the tap", 0.5), ("the tap dripped overnight, about half a litre gone", 0.5),
        ("poured half a litre away by mistake", 0.5), ("lost 200 ml to the carpet", 0.2), ("took a 100 ml sample", 0.1), ("took out half a litre for a friend", 0.5), ("I drank 200 ml of it", 0.2),
    ],
)  # fmt: skip
def test_beer_that_is_lost_is_taken_off_what_is_in_the_fermenter(text: str, gone: float) -> None:
    chat = fermenting()
    before = litres(chat)
    said = chat.says(text)
    assert litres(chat) == pytest.approx(before - gone)
    assert "less:" in said
    assert "sugar for the bottles goes by it" in said
    chat.says("undo")
    assert litres(chat) == before


def test_the_sugar_of_the_bottles_goes_by_what_is_left() -> None:
    def sugar(chat: Chat) -> float:
        return float(chat.says("how much sugar").split()[1])

    whole, less = fermenting("gravity 1.011"), fermenting("gravity 1.011", "spilled 1.6 litres on the floor")
    assert sugar(less) == pytest.approx(sugar(whole) * 6.0 / 7.6, rel=0.03)


def test_beer_lost_without_litres_is_asked_for_once() -> None:
    chat = fermenting()
    assert "How much is left in the fermenter?" in chat.says("spilled some on the floor")
    chat.says("7 l")
    assert litres(chat) == 7


def test_more_lost_than_there_was_records_nothing() -> None:
    chat = fermenting()
    assert "Nothing is recorded" in chat.says("spilled 10 litres")
    assert litres(chat) == 7.6


@pytest.mark.parametrize(
    "text",
    [
        "don't spill half a litre", "nearly spilled half a litre", "I hope I don't lose half a litre", "what if I lose half a litre", "did I lose half a litre", "I spilled half a litre of milk",
        "spilled half a litre of sanitiser", "my mate spilled half a litre of his", "last time I spilled half a litre", "I'll lose about half a litre to the yeast", "we usually lose half a litre", "is the tap leaking",
    ],
)  # fmt: skip
def test_what_is_not_lost_stays(text: str) -> None:
    assert not recorded(fermenting(), text)


def test_a_little_tipped_out_does_not_close_the_batch() -> None:
    chat = fermenting()
    chat.says("tipped a bit out")
    assert not chat.batch.closed


@pytest.mark.parametrize("text", ["the tap is leaking", "the tap's dripping a bit", "my bucket is leaking at the tap"])
def test_a_tap_that_leaks_is_helped_first(text: str) -> None:
    chat = fermenting()
    assert "tap is above the beer" in chat.says(text)
    assert not recorded(chat, text)


def pitched_with(*said: str) -> Chat:
    """The brown ale with an 11 g sachet, yeast going in with what is said."""
    chat = Chat()
    chat.says(*PLANNED, "11 g sachet of ale yeast", "next", "next", "grain is in", "bag out", "next", "10 l", "it's boiling", "hops in", "flame out", "next", "chilled", "7.6 l", "gravity 1.045", "transferred")
    chat.says(*said)
    return chat


@pytest.mark.parametrize("text", ["pitched 4 g of the yeast", "sprinkled 4 grams in"])
def test_what_was_pitched_and_what_stays_of_the_sachet(text: str) -> None:
    chat = pitched_with(text)
    assert chat.batch.yeast_pitched is not None
    assert chat.batch.yeast_pitched.in_unit("gram") == 4
    assert chat.batch.recipe.yeast_mass is not None
    assert chat.batch.recipe.yeast_mass.in_unit("gram") == 11
    assert not [each for each in chat.batch.readings if each.kind == "mass"]
    for asked in ("how much yeast did I have left over", "how much of the sachet is left", "can I keep the rest of the sachet", "is there any yeast left", "will the rest of the yeast keep"):
        assert chat.says(asked).startswith("7.0 g: 4.0 g of 11.0 g went in.")
        assert not recorded(chat, asked)


def test_the_rest_of_a_sachet_where_nothing_was_weighed_is_reckoned() -> None:
    said = pitched_with("yeast is in").says("how much yeast did I have left over")
    assert said.startswith("About 6.4 g: 4.6 g of 11.0 g is what this beer needs")


@pytest.mark.parametrize(
    "text", ["threw the rest of the sachet away", "binned the rest of the sachet", "I chucked the rest of the yeast", "the rest of the sachet's gone in the bin", "got rid of the rest of the sachet", "I've thrown the other half of the sachet away"]
)
def test_the_rest_thrown_away_is_off_the_shelf(text: str) -> None:
    chat = pitched_with("bought 1 sachets of ale yeast for 4", "pitched 4 g of the yeast")
    assert chat.state.stock[0].left.value > 0
    assert "none left" in chat.says(text)
    assert chat.state.stock[0].left.value == 0
    assert "Noted: nothing of it is left" in pitched_with("yeast is in").says(text)


@pytest.mark.parametrize(
    "text", ["don't throw the rest of the sachet away", "should I throw the rest of the sachet away", "I'll throw the rest of the sachet away", "my wife nearly threw the rest of the sachet away", "threw the rest of the sandwich away"]
)
def test_a_rest_that_is_still_there_stays(text: str) -> None:
    assert not recorded(pitched_with("yeast is in"), text)


@pytest.mark.parametrize(
    "text",
    [
        "moved it into the hall cupboard", "put it in the airing cupboard", "moved it under the stairs", "carried it down to the cellar", "the bucket stands in the hall now", "it's in the hall cupboard now", "it's now under the stairs",
        "I've moved the fermenter to the spare bedroom", "the fermenter's in the bathroom now", "moved the bucket off the floor",
    ],
)  # fmt: skip
def test_where_it_was_moved_is_a_note(text: str) -> None:
    chat = fermenting()
    said = chat.says(text)
    assert "18 °C to 22 °C there" in said
    assert len(chat.batch.notes) == 1


def test_a_fridge_stops_what_is_not_finished() -> None:
    assert "A fridge stops the yeast" in fermenting().says("put it in the fridge")
    chat = at_stage("ferment")
    chat.says("gravity 1.011")
    chat.waits(3)
    assert "A fridge stops" not in chat.says("gravity 1.011", "put it in the fridge")


@pytest.mark.parametrize(
    "text",
    [
        "I'll move it to the hall cupboard", "might move it into the bathroom", "don't move it to the garage", "we moved house", "moved my bike into the hall", "my wife wants it moved into the garage", "put the kettle in the kitchen",
        "I'm in the kitchen now", "the dog is in the bathroom now", "the hops are in the fridge now", "they're in the cupboard now", "moved it to tomorrow", "it'll be in the cellar now",
    ],
)  # fmt: skip
def test_what_was_not_moved_is_no_note(text: str) -> None:
    assert not recorded(fermenting(), text)


@pytest.mark.parametrize(
    ("text", "degrees"), [("it got down to 14 last night, heating was off", 14), ("it dropped to 15 overnight", 15), ("overnight it dropped to 15, the heating packed up", 15), ("the beer got down to 14 yesterday", 14), ("it went up to 25 yesterday", 25)]
)
def test_a_night_that_is_over_is_a_reading_of_then(text: str, degrees: float) -> None:
    chat = fermenting()
    said = chat.says(text)
    reading = next(each for each in chat.batch.readings if each.kind == "temperature" and each.stage == "ferment" and each.value.value == degrees)
    assert reading.at < chat.now
    assert "What does it read now?" in said
    assert "°C noted" in chat.says("19")


@pytest.mark.parametrize("text", ["it'll get down to 14 tonight", "it'll be 14 tonight", "it'd be 1.014 by now I suppose", "it might drop to 14 tonight", "does it matter if it drops to 14 overnight", "it gets down to 14 at night", "the temperature outside dropped to 4 last night", "I got down to 80 kilos last night", "heating was off"])
def test_a_night_to_come_or_elsewhere_is_no_reading(text: str) -> None:
    assert not recorded(fermenting(), text)


@pytest.mark.parametrize("text", ["it dropped to 1.014 overnight", "it got down to 1.014 last night"])
def test_a_gravity_of_last_night_is_no_temperature(text: str) -> None:
    chat = fermenting()
    chat.says(text)
    assert [value for _, value in gravities(chat)] == [1.014]


@pytest.mark.parametrize(
    "text", ["and the day before it was 1.014, I forgot to tell you", "the day before that it was 1.014", "1.014 the day before", "and the day before 1.014", "I forgot to say, the day before it was 1.014"]
)
def test_the_day_before_counts_from_what_was_spoken_of(text: str) -> None:
    chat = fermenting("1.012 on Sunday")
    (sunday, _), *_ = gravities(chat)
    chat.says(text)
    assert gravities(chat) == [(sunday - 1, 1.014), (sunday, 1.012)]
    chat = fermenting("1.012")
    chat.says(text)
    assert gravities(chat) == [(chat.now.day - 1, 1.014), (chat.now.day, 1.012)]


@pytest.mark.parametrize("text", ["the day before I bottled it was 1.014", "it was 1.014 the day before my birthday", "it should be 1.014 the day before", "was it 1.014 the day before", "the day before brewing it was 14 degrees"])
def test_the_day_before_something_else_is_no_reading(text: str) -> None:
    assert not recorded(fermenting("1.012"), text)


@pytest.mark.parametrize(
    "text", ["never mind the saturday one", "cancel the one on saturday", "forget saturday's reminder", "cancel saturday's reminder", "cancel the reminder on saturday", "forget about the saturday one", "I don't need the saturday one any more"]
)
def test_the_reminder_of_a_day_is_cancelled(text: str) -> None:
    chat = fermenting("remind me on saturday at 10 to clean bottles", "remind me on sunday at 10 to call mum")
    assert "Cancelled: clean bottles" in chat.says(text)
    assert [each.name for each in chat.state.reminders.values() if each.kind == "reminder"] == ["call mum"]


def test_of_two_on_a_day_it_is_asked_which_and_of_none_what_there_is() -> None:
    chat = fermenting("remind me on saturday at 10 to clean bottles", "remind me on saturday at 12 to call mum")
    assert "Which one?" in chat.says("never mind the saturday one")
    assert "Nothing that you asked for is set for Friday" in chat.says("never mind the friday one")
    assert len([each for each in chat.state.reminders.values() if each.kind == "reminder"]) == 2


@pytest.mark.parametrize("text", ["still 19", "the strip's at 19"])
def test_a_fermenter_is_not_said_back_as_a_mash(text: str) -> None:
    chat = fermenting("19 C")
    assert "mash" not in chat.says(text)
