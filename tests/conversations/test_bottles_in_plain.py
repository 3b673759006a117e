"""Bottles told in plain speech: their size among other words, one that is chipped, one that is half full, more than there is beer; and what is only expected."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat, lots, pitched, steady


def _volumes(chat: Chat) -> list[float]:
    return [each.value.value for each in chat.batch.readings if each.kind == "volume"]


@pytest.mark.parametrize(
    "said",
    [
        "when should i see bubbles", "when will i see bubbles", "when do i see krausen", "will i see foam tomorrow", "should there be foam on top", "what day should i see bubbles",
        "how long till i see bubbles", "how soon should there be bubbles", "where should i see bubbles", "there should be bubbles by now", "so when should i see foam",
    ],
)  # fmt: skip
def test_what_is_only_expected_was_not_seen(said: str) -> None:
    chat = pitched()
    before = chat.batch
    assert "it has begun" not in chat.says(said)
    assert chat.batch == before


@pytest.mark.parametrize("said", ["when should i see bubbles", "how long till i see bubbles", "when does it start bubbling"])
def test_when_bubbles_are_to_be_seen_is_answered(said: str) -> None:
    assert "6 to 36 hours" in pitched().says(said)


@pytest.mark.parametrize("said", ["i see bubbles", "when i got home there was foam on top", "bubbling like mad this morning"])
def test_what_was_seen_is_still_told(said: str) -> None:
    assert "it has begun" in pitched().says(said)


@pytest.mark.parametrize(
    "said",
    [
        "got 17 bottles, brown ones, half litre", "17 bottles, brown, half litre ones", "i have 17 brown bottles, 500 ml", "got 17 bottles, brown ones, 500 ml each", "we've got 17 bottles, all brown, half litre each",
        "17 bottles, clean ones, half a litre", "got 17 bottles here, brown glass, half litre", "17 bottles, they are brown, half litre", "seventeen bottles, the old ones, 500 ml", "ok got 17 empty bottles, 50 cl",
    ],
)  # fmt: skip
def test_the_size_of_bottles_is_no_volume_of_beer(said: str) -> None:
    chat = steady()
    volumes = _volumes(chat)
    assert "did not get" not in chat.says(said)
    assert (lots(chat), _volumes(chat)) == ([(17, 500.0)], volumes)


def test_bottles_of_a_kind_keep_it() -> None:
    chat = steady()
    chat.says("9 bottles, swing tops, 500 ml")
    assert [(lot.count, lot.type) for lot in chat.batch.bottles] == [(9, "swing_top")]


@pytest.mark.parametrize(
    "said",
    [
        "i need 17 bottles, brown ones, half litre", "neighbour has 17 bottles, brown ones, half litre", "should i get 17 bottles, brown ones, half litre", "got 17 bottles, brown ones, half litre?",
        "i want 17 bottles, brown ones, half litre", "could get 17 bottles, brown ones, half litre",
    ],
)  # fmt: skip
def test_bottles_that_nobody_has_are_not_counted(said: str) -> None:
    chat = steady()
    before = chat.batch, chat.state.kit
    chat.says(said)
    assert (chat.batch, chat.state.kit) == before


@pytest.mark.parametrize(
    "said",
    [
        "11 of 500 ml but one's chipped on the lip so ten", "11 of 500 ml, one is chipped so 10", "11 x 500 ml but one broke so 10", "11 bottles of 500 ml, one is cracked, so only 10", "11 of 500 ml minus one chipped",
        "11 500 ml bottles but one is chipped", "11 of 500 ml but one's chipped so that makes ten", "11 of 500 ml less one that broke", "11 of 500 ml but dropped one, so ten left", "eleven of half a litre but one's broken",
    ],
)  # fmt: skip
def test_the_one_that_is_chipped_is_not_counted(said: str) -> None:
    chat = steady()
    assert "did not get" not in chat.says(said)
    assert lots(chat) == [(10, 500.0)]


@pytest.mark.parametrize("said", ["11 of 500 ml but one's chipped so 8", "11 of 500 ml but one's chipped?", "would it be 11 of 500 ml but one's chipped", "my mate had 11 of 500 ml but one's chipped"])
def test_what_does_not_agree_or_is_asked_counts_none(said: str) -> None:
    chat = steady()
    chat.says(said)
    assert lots(chat) == []


@pytest.mark.parametrize(
    ("said", "part"),
    [
        ("bottled, 10 full ones and one half full", True), ("bottled 10 full ones and one half full", True), ("bottled, 10 full and a half one", True), ("all bottled, ten full and one half full", True),
        ("bottled, 10 bottles and a bit", True), ("bottled, filled 10 and a half", True), ("done bottling, 10 full ones and one half full", True), ("bottled, 10 whole ones and a bit in the last", True),
        ("bottled it, 10 full ones", False), ("bottled, only filled 10", False), ("bottled, ended up with 10", False),
    ],
)  # fmt: skip
def test_the_full_ones_are_counted(said: str, part: bool) -> None:
    chat = steady()
    chat.says("17 of 500 ml")
    heard = chat.says(said)
    assert (lots(chat), chat.batch.stage, "part full" in heard) == ([(10, 500.0)], "condition", part)


@pytest.mark.parametrize("said", ["should i have bottled, 10 full ones and one half full", "last year i bottled, 10 full ones and one half full", "my brother bottled 10 full ones and one half full", "when bottled, 10 full ones"])
def test_full_ones_of_another_time_are_not_counted(said: str) -> None:
    chat = steady()
    chat.says("17 of 500 ml")
    chat.says(said)
    assert (lots(chat), chat.batch.stage) == ([(17, 500.0)], "bottle")


def test_more_bottles_than_beer_are_asked_about() -> None:
    # By hand: 17 half litres are 8.5 l, and 5.0 l were measured; a quarter more and a bottle are 6.75 l.
    chat = steady()
    chat.says("17 of 500 ml")
    heard = chat.says("bottled")
    assert "8.5 l, but there are 5.0 l (as measured). How many are full?" in heard
    assert chat.batch.stage == "bottle"
    chat.says("bottled 10")
    assert (lots(chat), chat.batch.stage) == ([(10, 500.0)], "condition")


def test_who_says_again_that_all_are_full_is_believed() -> None:
    chat = steady()
    chat.says("17 of 500 ml", "bottled", "bottled 17")
    assert (lots(chat), chat.batch.stage) == ([(17, 500.0)], "condition")


def test_a_count_near_the_beer_is_not_asked_about() -> None:
    chat = steady()
    chat.says("11 of 500 ml", "bottled")
    assert (lots(chat), chat.batch.stage) == ([(11, 500.0)], "condition")


@pytest.mark.parametrize("said", ["no 9 of 500 ml i mean", "no, i meant 9 of 500 ml", "sorry, 9 x 500 ml i mean"])
def test_the_words_that_were_asked_for_may_stand_in_a_sentence(said: str) -> None:
    chat = steady()
    chat.says("9 bottles")
    chat.says(said)
    assert lots(chat) == [(9, 500.0)]


def test_a_volume_by_itself_is_forgotten_where_it_was_the_last() -> None:
    chat = steady()
    volumes = _volumes(chat)
    # At bottling half a litre is no volume of a beer of five: it is asked about, and nothing is taken back for it.
    assert "500 ml? The beer was 5.0 l" in chat.says("500 ml")
    assert _volumes(chat) == volumes
    chat.says("no 9 of 500 ml i mean, forget the 500 ml on its own")
    assert (_volumes(chat), lots(chat)) == (volumes, [(9, 500.0)])
    chat = steady()
    chat.says("500 ml", "yes")
    assert _volumes(chat) != volumes
    chat.says("no 9 of 500 ml i mean, forget the 500 ml on its own")
    assert (_volumes(chat), lots(chat)) == (volumes, [(9, 500.0)])


def test_how_many_are_full_may_stand_behind_bottled() -> None:
    chat = steady()
    chat.says("17 of 500 ml")
    assert "How many" not in chat.says("bottled, 10 500s")
    assert (lots(chat), chat.batch.stage) == ([(10, 500.0)], "condition")
