"""Beers whose names end in a number: begun, opened and asked after by it, and never taken for another."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat


def _three() -> Chat:
    chat = Chat()
    chat.says("brew 5 litres of IPA number 3", "brew 4 litres of porter 2", "brew 5 litres of porter 12")
    return chat


def test_the_number_is_part_of_the_name() -> None:
    assert [batch.name for batch in _three().state.batches] == ["IPA number 3", "porter 2", "porter 12"]


@pytest.mark.parametrize(("text", "name"), [("open IPA number 3", "IPA number 3"), ("open ipa no 3", "IPA number 3"), ("open porter 2", "porter 2"), ("switch to porter 12", "porter 12")])
def test_a_beer_is_opened_by_its_number(text: str, name: str) -> None:
    chat = _three()
    chat.says(text)
    assert chat.batch.name == name


@pytest.mark.parametrize("text", ["diary of porter 2", "recipe of porter 2"])
def test_a_beer_is_asked_after_by_its_number(text: str) -> None:
    assert _three().says(text).startswith("porter 2, ")


def test_another_number_opens_no_other_beer() -> None:
    chat = _three()
    assert "No batch is called" in chat.says("open porter 7")
    assert chat.batch.name == "porter 12"
