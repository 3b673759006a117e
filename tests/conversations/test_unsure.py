"""What is only hoped, thought, reckoned or somebody else's is not recorded; what stands beside it is."""

from __future__ import annotations

import pytest

from conversations.intents import Context, Intent, Measured
from conversations.understanding.beyond_sentences import read
from tests.conversations.brew_day import at_stage
from tests.conversations.corpus import NOW, ZONE

_RECORDS = ("reading.", "done.", "bottle.", "recipe.")


def _kept(text: str, stage: str, last: Intent | None = None) -> list[Intent]:
    found = read(text, Context(now=NOW, zone=ZONE, stage=stage, last=last)).intents
    return [each for each in found if each.name.startswith(_RECORDS)]


@pytest.mark.parametrize(
    ("text", "stage"),
    [
        ("yeast is in I think you did it", "pitch"),
        ("yeast is in I think", "pitch"),
        ("I think the yeast is in", "pitch"),
        ("hops are in I guess", "boil"),
        ("sixty six degrees I hope", "mash"),
        ("I hope it's 66 degrees", "mash"),
        ("he gushed over the new baby", "boil"),
        ("she gushed over our new pot", "condition"),
        ("so whats that make it, about 8 litres", "drain"),
        ("what does that come to, 8 litres", "drain"),
        ("what's that, 66 degrees", "mash"),
        ("Only 9 litres", "plan"),
        ("there's only 9 litres", "plan"),
    ],
)
def test_nothing_is_kept_of_what_is_only_thought(text: str, stage: str) -> None:
    assert _kept(text, stage) == []


@pytest.mark.parametrize(
    ("text", "stage", "name"),
    [
        ("yeast is in, I think we should clean up", "pitch", "done.pitched"),
        ("yeast is in I think we're done", "pitch", "done.pitched"),
        ("yeast is in, I did it myself", "pitch", "done.pitched"),
        ("66 degrees, I hope that's right", "mash", "reading.temperature"),
        ("it's 66 I think", "mash", "reading.temperature"),
        ("what's next, 66 degrees", "mash", "reading.temperature"),
        ("stick says 14 cm, what does that make it", "drain", "reading.depth"),
        ("only 9 litres in the pot", "drain", "reading.volume"),
        ("one gushed", "condition", "bottle.found"),
    ],
)
def test_what_is_sure_is_kept(text: str, stage: str, name: str) -> None:
    assert [each.name for each in _kept(text, stage)] == [name]


@pytest.mark.parametrize(
    ("text", "gravity"),
    [("same again this morning, ten twelve", 1.012), ("same as yesterday, 1.018", 1.018), ("same again, 1.020", 1.020), ("same again this morning", 1.020)],
)
def test_the_same_again_is_one_reading(text: str, gravity: float) -> None:
    last = Intent(name="reading.gravity", slots={"gravity": Measured(value=1.020, unit="dimensionless")})
    (kept,) = _kept(text, "ferment", last)
    assert kept.slots["gravity"].value == gravity


def test_the_brewer_is_told_that_it_was_not_taken() -> None:
    chat = at_stage("mash")
    assert "did not get" in chat.says("sixty six degrees I hope")
    assert not chat.batch.readings
