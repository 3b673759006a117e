""" "22 now, can I pitch" is answered by the yeast's range, and a prediction tells of the alpha acids that it assumed."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat


def _chilling(yeast: str = "dry English ale yeast") -> Chat:
    chat = Chat()
    chat.says("brew 5 litres of Stair bitter", "1.1 kg pale malt", f"use {yeast}", "flame out", "next")
    assert chat.batch.stage == "chill"
    return chat


@pytest.mark.parametrize(
    ("asked", "answer"),
    [
        # Source of the range: calc.yeast, 17 to 22 degrees for English ale.
        ("22 now can i pitch", "Yes: 22 °C"), ("it's at 20, can I pitch now?", "Yes: 20 °C"), ("25 C can I pitch", "No, 25 °C is too warm"), ("30 now should I pitch", "No, 30 °C"),
        ("23, can I pitch", "Nearly: 23 °C"), ("15 now may I add the yeast", "You can: 15 °C is below"), ("is it cool enough to pitch", "Send the wort's temperature"),
        ("when can I pitch", "Send the wort's temperature"), ("quick one: can I pitch yet", "Send the wort's temperature"),
    ],
)  # fmt: skip
def test_whether_it_is_cool_enough(asked: str, answer: str) -> None:
    chat = _chilling()
    before = chat.batch
    assert answer in chat.says(asked)
    assert chat.batch == before


def test_the_last_temperature_counts_while_it_is_fresh() -> None:
    chat = _chilling()
    chat.says("21 C")
    assert "Yes: 21 °C" in chat.says("can I pitch")
    chat.waits(0.2)
    assert "Send the wort's temperature" in chat.says("can I pitch")


def test_a_lager_wants_it_colder() -> None:
    assert "No, 20 °C is too warm" in _chilling("dry lager yeast").says("20 now can I pitch")


def test_what_was_done_is_no_question() -> None:
    chat = _chilling()
    chat.says("pitched")
    assert chat.batch.stage == "ferment"


def test_an_assumed_alpha_is_told_with_the_prediction() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Stair bitter", "1.1 kg pale malt", "10 g Fuggle at 60", "20 g Cascade dry hop")
    # Source: data/hops.toml, Fuggle 4 to 5 %.
    assert "IBU (alpha assumed: Fuggle 4.5 %)" in chat.says("plan")
    chat.says("fuggle is 5 %")
    assert "assumed" not in chat.says("plan").splitlines()[0]
