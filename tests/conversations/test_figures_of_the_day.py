"""Figures and names of the brew day that are told in unusual ways: each is recorded once, asked about, or answered."""

from __future__ import annotations

import pytest

from conversations.session.state import Hop
from tests.conversations.brew_day import at_stage, minutes, recorded
from tests.conversations.weeks import Chat


def _hop(chat: Chat, name: str) -> Hop:
    return next(hop for hop in chat.batch.recipe.hops if hop.name == name)


def _readings(chat: Chat) -> list[tuple[str, float]]:
    return [(each.kind, each.value.value) for each in chat.batch.readings]


def test_litres_and_stick_that_agree_are_both_kept() -> None:
    chat = at_stage("drain")
    chat.says("pot is 24 cm wide", "6.4 litres in the pot, stick says 14.2 cm")
    assert _readings(chat) == [("volume", 6.4), ("depth", 14.2)]


def test_litres_and_stick_that_do_not_agree_are_asked_about() -> None:
    chat = at_stage("drain")
    chat.says("pot is 24 cm wide")
    assert "Which is right?" in chat.says("7.1 litres in the pot, stick says 14.2 cm")
    assert _readings(chat) == []
    chat.says("7.1 litres")
    assert _readings(chat) == [("volume", 7.1)]


def test_a_stick_in_a_pot_of_unknown_width_tells_no_litres_against_those_told() -> None:
    chat = at_stage("drain")
    assert "go by the litres" in chat.says("7.1 litres in the pot, stick says 14.2 cm")
    assert _readings(chat) == [("volume", 7.1)]


def test_rinse_water_is_no_volume_of_the_pot() -> None:
    chat = at_stage("drain")
    chat.says("rinsed with 1 litre at 75")
    assert _readings(chat) == [("water", 1.0)]


def test_degrees_after_some_minutes_are_one_reading() -> None:
    chat = at_stage("steep")
    chat.says("next", "60 degrees")
    minutes(chat, 10)
    chat.says("down to 45 after ten minutes")
    assert _readings(chat)[-2:] == [("temperature", 60.0), ("temperature", 45.0)]


def test_a_part_of_the_hops() -> None:
    chat = at_stage("boil")
    answer = chat.says("half the hops went in")
    assert _hop(chat, "Fuggle").mass.value == 6
    assert _hop(chat, "Fuggle").added_at is not None
    assert "other 6.0 g Fuggle" in answer


@pytest.mark.parametrize("text", ["half the hops are for the dry hop", "will put half the hops in", "half the hops", "should half the hops go in"])
def test_hops_that_are_only_spoken_of_by_halves(text: str) -> None:
    assert not recorded(at_stage("boil"), text)


def test_the_last_figure_of_a_weighing_counts() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    minutes(chat, 50)
    chat.says("Goldings in, all ten, ehm no, nine grams")
    assert (_hop(chat, "Goldings").mass.value, len(_readings(chat))) == (9, 1)


def test_the_other_hop_was_it() -> None:
    chat = at_stage("boil")
    chat.says("hops in")
    at = _hop(chat, "Fuggle").added_at
    assert "still to come" in chat.says("that was goldings not fuggle")
    assert (_hop(chat, "Goldings").added_at, _hop(chat, "Fuggle").added_at) == (at, None)
    chat.says("undo")
    assert (_hop(chat, "Goldings").added_at, _hop(chat, "Fuggle").added_at) == (None, at)


def test_a_hop_that_is_not_in_was_no_mistake() -> None:
    chat = at_stage("boil")
    assert not recorded(chat, "that was goldings not fuggle")
    assert not recorded(chat, "was that goldings not fuggle?")


@pytest.mark.parametrize("text", ["irish moss in", "half a teaspoon of irish moss in", "added 2 g of yeast nutrient"])
def test_finings_are_a_note_and_no_volume(text: str) -> None:
    chat = at_stage("boil")
    before = _readings(chat)
    assert "Noted" in chat.says(text)
    assert _readings(chat) == before
    assert chat.batch.notes


@pytest.mark.parametrize("text", ["irish moss goes in at 10 minutes", "when does the irish moss go in", "is the irish moss in?"])
def test_finings_that_are_only_spoken_of(text: str) -> None:
    assert not recorded(at_stage("boil"), text)


def test_what_sugar_would_do_is_answered_and_changes_nothing() -> None:
    chat = at_stage("plan")
    assert not recorded(chat, "can I use 100 g of sugar")
    answer = chat.says("can I use 100 g of sugar")
    assert "takes the original gravity from" in answer
    assert "thin" in chat.says("can I use 600 g of sugar")
    chat.says("add 100 g sugar")
    assert any("sugar" in name for name, _ in chat.batch.recipe.grains)
    assert "mash is over" in at_stage("boil").says("can I add 200 g of crystal malt")
