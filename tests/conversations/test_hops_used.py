"""Hops once the boil is over: an addition told later is among them with its time, and all are listed with the dry ones."""

from __future__ import annotations

import pytest

from tests.conversations.brew_day import at_stage, recorded
from tests.conversations.weeks import Chat


def _hops(chat: Chat) -> list[tuple[str, float, float]]:
    return [(hop.name, hop.mass.in_unit("gram"), hop.boil_minutes) for hop in chat.batch.recipe.hops if hop.added_at and not hop.dry_days]


@pytest.mark.parametrize("stage", ["ferment", "bottle", "condition"])
@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("I put 10 g of Fuggle in at flame-out", 0),
        ("threw in 10 g Fuggle at flameout", 0),
        ("10 g of Fuggle went in at the end of the boil", 0),
        ("added 10 g Fuggle with 15 minutes left", 15),
        ("I put 10 g of Fuggle in 20 minutes into the boil", 40),
    ],
)
def test_an_addition_told_after_the_boil_is_among_the_hops(stage: str, text: str, minutes: float) -> None:
    chat = at_stage(stage)
    before, clocks = _hops(chat), {*chat.state.reminders}
    chat.says(text)
    assert chat.batch.stage == stage
    assert _hops(chat) == [*before, ("Fuggle", 10, minutes)]
    assert {*chat.state.reminders} <= clocks
    added = chat.batch.recipe.hops[-1].added_at
    assert added is not None
    assert chat.batch.entered["boil"] < added < chat.batch.entered["ferment"]
    chat.says("undo")
    assert _hops(chat) == before


def test_one_that_is_in_the_recipe_is_ticked_and_not_doubled() -> None:
    chat = at_stage("ferment")
    said = chat.says("added 9 g Goldings with 10 minutes left")
    assert "instead of 8.0 g" in said
    assert _hops(chat) == [("Fuggle", 12, 60), ("Goldings", 9, 10)]


@pytest.mark.parametrize(
    "text",
    ["should I have put 10 g of Fuggle in at flame-out?", "I wish I had put 10 g of Fuggle in at flame-out", "my mate put 10 g of Fuggle in at flame-out", "I forgot to put 10 g of Fuggle in at flame-out", "next time put 10 g of Fuggle in at flame-out"],
)  # fmt: skip
def test_what_did_not_go_in_is_not_among_them(text: str) -> None:
    chat = at_stage("ferment")
    hops = chat.batch.recipe.hops
    chat.says(text)
    assert (chat.batch.recipe.hops, chat.batch.stage) == (hops, "ferment")


@pytest.mark.parametrize("text", ["what hops did I use and when", "what hops did I use", "which hops went in"])
def test_dry_hops_are_among_the_hops_that_were_used(text: str) -> None:
    chat = at_stage("ferment")
    chat.says("15 g Cascade in the fermenter")
    chat.waits(3)
    chat.says("took the hops out")
    assert not recorded(chat, text)
    said = chat.says(text)
    assert "12.0 g Fuggle 60 min before the end of the boil" in said
    assert "15.0 g Cascade from Tuesday 20 January to Friday 23 January" in said
    assert "not told as in: 8.0 g Goldings" in said
