"""What people at the pot said that went wrong once: a reading beside "back", a longer mash, foam, a splash, gas again."""

from __future__ import annotations

import pytest

from conversations.intents import Context
from conversations.understanding.answers import find_answer
from conversations.understanding.beyond_sentences import read
from tests.conversations.corpus import NOW, ZONE


def names(text: str, stage: str) -> list[str]:
    return [each.name for each in read(text, Context(now=NOW, zone=ZONE, stage=stage)).intents]


@pytest.mark.parametrize(
    ("stage", "text", "means"),
    [
        ("mash", "back. temp 64.5, stirred it too", ["reading.temperature", "done.stirred"]),
        ("mash", "back in a sec", []),
        ("mash", "back", ["stage.back"]),
        ("mash", "go back", ["stage.back"]),
        ("mash", "actually make it an 80 minute mash", ["recipe.mash"]),
        ("boil", "it's climbing up the sides!", ["look.foam"]),
        ("boil", "new bottle on and it's bubbling again", ["done.back_on_boil"]),
        ("boil", "chucked 90 g of dark brown sugar in", ["recipe.grain"]),
        ("boil", "how long will it take to cool to 20", []),
        ("ferment", "1.011, 19 degrees, clear as a bell", ["reading.gravity", "reading.temperature"]),
        ("ferment", "sample jar holds 180 ml", []),
        ("heat", "why 67 and not 65", ["ask.why_mash"]),
        ("pitch", "have I put the yeast in", []),
    ],
)
def test_is_read_as_meant(stage: str, text: str, means: list[str]) -> None:
    assert names(text, stage) == means


@pytest.mark.parametrize("text", ["got a splash on my wrist, it's stinging", "burned my finger on the pot", "steam got my face"])
def test_a_burn_is_answered_first(text: str) -> None:
    answer = find_answer(text, "boil")
    assert answer is not None
    assert "cool running water" in answer.text
