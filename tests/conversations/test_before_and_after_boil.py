"""Litres and gravity of before the boil are not those of the wort that is transferred, pitched and drunk."""

from __future__ import annotations

import pytest

from conversations.session import course, plan
from tests.conversations.brew_day import at_stage, minutes
from tests.conversations.weeks import Chat


def _in_transfer(*after_boil: str) -> Chat:
    """At transfer, with 9.8 l at 1.038 before the boil and what is sent while it cools."""
    chat = at_stage("drain")
    chat.says("9.8 l", "1.038", "next", "it's boiling", "hops in")
    minutes(chat, 60)
    chat.says("flame out", "next", *after_boil, "chilled")
    return chat


def _position(chat: Chat) -> course.Position:
    here = course.position(chat.batch, chat.state.kit, chat.now)
    assert here is not None
    return here


def test_a_gravity_before_the_volume_waits_for_it() -> None:
    chat = _in_transfer()
    answer = chat.says("1.046")
    assert "Send the volume" in answer
    assert "Heading" not in answer
    chat.says("8 litres in the fermenter")
    here = _position(chat)
    assert (here.volume_l, here.gravity) == (pytest.approx(8.0), pytest.approx(1.046, abs=1e-6))


def test_the_order_of_volume_and_gravity_makes_no_difference() -> None:
    first, second, cooling = _in_transfer(), _in_transfer(), _in_transfer("1.046")
    first.says("1.046", "8 litres")
    second.says("8 litres", "1.046")
    cooling.says("8 litres")
    assert _position(first)[:2] == pytest.approx(_position(second)[:2])
    assert _position(cooling)[:2] == pytest.approx(_position(second)[:2])


def test_before_the_boil_a_gravity_still_goes_with_its_litres() -> None:
    chat = _in_transfer()
    chat.says("8 litres")
    here = _position(chat)
    assert 1.044 < here.gravity < 1.048
    assert here.volume_l == pytest.approx(8.0)


def test_a_gravity_in_the_boil_goes_with_what_the_boil_has_left() -> None:
    chat = at_stage("drain")
    chat.says("9.8 l", "1.038", "next", "it's boiling", "hops in")
    minutes(chat, 40)
    before = _position(chat).volume_l
    chat.says(f"gravity {_position(chat).gravity:.3f}")
    assert _position(chat).volume_l == pytest.approx(before, abs=0.05)


def test_no_yeast_and_no_sugar_is_reckoned_for_litres_that_boiled_off() -> None:
    chat = _in_transfer("1.046")
    assert "8.0 l at 1.046" in chat.says("next")
    assert plan.volume_now(chat.batch) is None
    chat.says("7.6 litres in the fermenter")
    now = plan.volume_now(chat.batch)
    assert now is not None
    assert plan.litres(now) == pytest.approx(7.6)


def test_the_strength_is_counted_from_the_gravity_after_the_boil() -> None:
    chat = _in_transfer("1.046")
    chat.says("next", "yeast is in")
    chat.waits(8)
    chat.says("gravity 1.012")
    assert "from 1.046 to 1.012" in chat.says("how strong")


def test_the_gravity_before_the_boil_is_never_taken_for_the_original_one() -> None:
    chat = _in_transfer()
    chat.says("next", "yeast is in")
    chat.waits(8)
    chat.says("gravity 1.012")
    answer = chat.says("how strong")
    assert "1.038" not in answer
    assert "(expected" in answer


def test_the_diary_shows_water_that_went_in() -> None:
    chat = at_stage("drain")
    chat.says("9 l", "1.040", "next", "it's boiling", "added 500 ml water")
    assert "boil: water 500 ml" in chat.says("show me the diary")
    assert "boil: water 500 ml" in chat.says("what did I note today")
