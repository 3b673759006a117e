"""Dry hops: a question is advised, what went in is kept, what is planned is called, and whose hops is asked."""

from __future__ import annotations

import pytest

from conversations.session.state import Hop
from tests.conversations.weeks import Chat, pitched


def _fermenting() -> Chat:
    chat = pitched()
    chat.waits(3)
    chat.says("1.020 at 20 C")
    return chat


def _dry(chat: Chat) -> list[Hop]:
    return [hop for hop in chat.batch.recipe.hops if hop.dry_days]


@pytest.mark.parametrize(
    "asked",
    [
        "can I dry hop it with 10 g", "can I dry hop with 10 g of golding", "should I dry hop 10 g of golding now", "could I add 10 g of golding to the fermenter",
        "is it ok to dry hop with 10 g", "may I chuck 10 g cascade in the fermenter", "would it help to dry hop 10 g of golding", "what if I dry hop 10 g golding",
        "when do I dry hop", "is it time to dry hop yet?", "how many hops for dry hopping", "quick one, can I dry hop now",
    ],
)  # fmt: skip
def test_asked_whether_to_it_is_advised_and_nothing_recorded(asked: str) -> None:
    chat = _fermenting()
    before = chat.batch
    answer = chat.says(asked)
    assert "g a litre" in answer
    assert "wait until about" in answer
    assert chat.batch == before


def test_once_steady_the_advice_is_now_and_the_amount_is_weighed() -> None:
    chat = _fermenting()
    chat.waits(5)
    chat.says("1.011 at 20 C")
    chat.waits(3)
    chat.says("1.011 at 20 C")
    # 30 g in 5 l: 6 g a litre, more than the page's 1 to 4.
    answer = chat.says("can I dry hop with 30 g of golding")
    assert "Yes, now" in answer
    assert "6.0 g a litre: much" in answer


@pytest.mark.parametrize(
    "said",
    [
        "put 10 g of fuggle in the fermenter", "I've put 10 g of fuggle in the fermenter", "10 g fuggle in the fermenter", "added 10 g fuggle to the fermenter",
        "chucked 10g of fuggle in the fermenter", "dry hopped with 10 g fuggle", "10g fuggle gone in", "popped 10 g fuggle in", "btw, dry hopped it with 10 g of fuggle",
    ],
)  # fmt: skip
def test_what_went_in_is_in_since_now(said: str) -> None:
    chat = _fermenting()
    answer = chat.says(said)
    (hop,) = _dry(chat)
    assert (hop.name.lower(), hop.mass.in_unit("gram"), hop.added_at) == ("fuggle", 10.0, chat.now)
    assert "in the fermenter since" in answer
    assert chat.check(f"dry_out_{hop.key}") is not None


def test_a_planned_one_is_ticked_off_and_not_doubled() -> None:
    chat = _fermenting()
    chat.says("20 g Golding dry hop on day 6 for 3 days", "put 18 g of goldings in the fermenter")
    (hop,) = _dry(chat)
    assert (hop.mass.in_unit("gram"), hop.dry_days, hop.added_at) == (18.0, 3.0, chat.now)
    chat.says("put 10 g of fuggle in the fermenter")
    assert [each.name.lower() for each in _dry(chat)] == ["golding", "fuggle"]


def test_what_went_in_yesterday_counts_from_then() -> None:
    chat = _fermenting()
    chat.says("added 20 g golding to the fermenter yesterday at 6pm")
    (hop,) = _dry(chat)
    assert hop.added_at is not None
    assert (chat.now - hop.added_at).days == 0
    assert hop.added_at.hour == 18


@pytest.mark.parametrize(
    "said",
    [
        "my mate puts 10 g of fuggle in the fermenter", "mate said dry hop 15g cascade", "last time I put 10 g of fuggle in the fermenter", "should have put 10 g of fuggle in the fermenter",
        "I wish I had put 10 g of fuggle in the fermenter", "if I put 10 g of fuggle in the fermenter", "nearly put 10 g of fuggle in the fermenter", "didn't put 10 g of fuggle in the fermenter",
        "put 10 g of fuggle in the freezer", "the book says put 10 g of fuggle in the fermenter", "forgot to put 10 g of fuggle in the fermenter", "did I put 10 g of fuggle in the fermenter?",
        "remind me tomorrow to put 10 g of fuggle in the fermenter", "don't dry hop 15g cascade",
    ],
)  # fmt: skip
def test_what_is_only_talked_about_is_not_in(said: str) -> None:
    chat = _fermenting()
    before = chat.batch
    chat.says(said)
    assert chat.batch.recipe == before.recipe
    assert not [event for event in chat.events if event.kind == "note"]


def test_what_the_recipe_says_is_a_plan_at_most() -> None:
    chat = _fermenting()
    chat.says("recipe says dry hop 15g cascade")
    assert [hop.added_at for hop in _dry(chat)] in ([], [None])


@pytest.mark.parametrize(("said", "day"), [("put 10 g of fuggle in the fermenter tomorrow", 4.0), ("dry hop 10 g fuggle in 3 days", 6.0), ("I will put 10 g of fuggle in the fermenter", None)])
def test_what_is_still_to_come_is_planned(said: str, day: float | None) -> None:
    chat = _fermenting()
    chat.says(said)
    (hop,) = _dry(chat)
    assert (hop.added_at, hop.dry_on_day) == (None, day)


@pytest.mark.parametrize(("said", "pressed"), [("dry hop 30g", "30 g Fuggle dry hop"), ("30 g of dry hops", "30 g Fuggle dry hop"), ("dry hopped with 30 g", "put 30 g of Fuggle in the fermenter")])
def test_without_a_name_it_is_asked_of_which_hop(said: str, pressed: str) -> None:
    chat = _fermenting()
    before = chat.batch
    assert "of which hop?" in chat.says(said)
    assert chat.batch == before
    assert chat.choices["Fuggle"] == pressed
    chat.says(pressed)
    assert [hop.name for hop in _dry(chat)] == ["Fuggle"]
