"""A figure that is put right in any words, where nothing else is said."""

from __future__ import annotations

import pytest

from conversations.intents import Context, Intent, Measured
from conversations.understanding.beyond_sentences import read
from conversations.understanding.owned_up import owned_up
from tests.conversations.corpus import NOW, ZONE

VOLUME = Intent(name="reading.volume", slots={"volume": Measured(value=13.9, unit="litre")})
WARMTH = Intent(name="reading.temperature", slots={"temperature": Measured(value=56, unit="degC")})


def _here(last: Intent | None, stage: str = "drain") -> Context:
    return Context(now=NOW, zone=ZONE, stage=stage, last=last)


@pytest.mark.parametrize(
    ("last", "text", "value"),
    [
        (VOLUME, "hang on a sec, 13.1", 13.1),
        (VOLUME, "it's no 13.9 it's 13.1", 13.1),
        (VOLUME, "not thirteen point nine sorry thirteen point one", 13.1),
        (VOLUME, "13.1*", 13.1),
        (VOLUME, "no, that was wrong, 13.1", 13.1),
        (VOLUME, "excuse me, 13.1 litres, I have made a mistake", 13.1),
        (WARMTH, "got my numbers mixed up, 65", 65),
        (WARMTH, "that was the wrong way round, 65", 65),
        (WARMTH, "sorry pal 65", 65),
    ],
)
def test_a_slip_that_is_owned_up_to_puts_the_last_reading_right(last: Intent, text: str, value: float) -> None:
    found = read(text, _here(last, "mash" if last is WARMTH else "drain"))
    assert [each.name for each in found.intents] == ["correct"]
    assert found.intents[0].slots["value"] == pytest.approx(value)
    assert not found.unread


@pytest.mark.parametrize(
    ("last", "text"),
    [
        (None, "hang on a sec, 13.1"),
        (Intent(name="timer.start", slots={"duration_s": 600.0}), "hang on a sec, 13.1"),
        (VOLUME, "it's 13.1"),
        (VOLUME, "hang on 5 minutes"),
        (VOLUME, "hang on a minute"),
        (VOLUME, "sorry, 13.1 degrees"),
        (VOLUME, "hang on, 130"),
        (VOLUME, "no it's not 13.1"),
        (VOLUME, "was it wrong, 13.1?"),
        (VOLUME, "sorry, 13.1 is what my mate got"),
        (WARMTH, "sorry for the wait, 65"),
    ],
)
def test_anything_else_is_left_to_the_sentences(last: Intent | None, text: str) -> None:
    assert owned_up(text, _here(last)) is None


def test_what_a_figure_is_not_puts_nothing_right() -> None:
    assert read("no it's not 65", _here(WARMTH, "mash")).intents == ()
