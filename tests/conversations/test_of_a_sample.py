"""A gravity sample in its jar is not the pot: what it was cooled to, what it was read at, that it is hot."""

from __future__ import annotations

import pytest

from conversations.intents import Context, Intent
from conversations.understanding.beyond_sentences import read
from tests.conversations.brew_day import at_stage
from tests.conversations.corpus import NOW, ZONE


def _told(text: str, stage: str) -> tuple[Intent, ...]:
    return read(text, Context(now=NOW, zone=ZONE, stage=stage)).intents


def _shown(intents: tuple[Intent, ...]) -> list[tuple[str, float | None]]:
    return [(each.name, getattr(each.slots.get("temperature"), "value", None)) for each in intents]


@pytest.mark.parametrize(
    ("text", "stage", "degrees"),
    [
        ("cooled the sample to 22 and it's 1.041", "boil", 22),
        ("cooled a sample to 22, gravity 1.041", "drain", 22),
        ("sample cooled to 20: 1.041", "boil", 20),
        ("gravity 1.036 but it was at 58 degrees", "drain", 58),
        ("gravity 1.036 but it was 58 degrees", "drain", 58),
        ("gravity 1.012 but it was 25 degrees", "ferment", 25),
        ("1.041, with the sample at 38 degrees", "drain", 38),
    ],
)
def test_what_a_sample_was_read_at_goes_with_its_gravity(text: str, stage: str, degrees: float) -> None:
    assert _shown(_told(text, stage)) == [("reading.gravity", degrees)]


@pytest.mark.parametrize(
    ("text", "stage"),
    [("gravity 1.036 and the mash was at 66 degrees", "drain"), ("gravity 1.036, pot is at 70 degrees", "drain"), ("gravity 1.012, it's 19 degrees", "ferment")],
)
def test_the_degrees_of_the_pot_stay_its_own(text: str, stage: str) -> None:
    assert [each.name for each in _told(text, stage)] == ["reading.gravity", "reading.temperature"]


@pytest.mark.parametrize("text", ["sample's cooled", "the sample has cooled", "cooled the sample down to 20 degrees", "hydrometer jar's cool now"])
def test_a_cooled_sample_ends_no_boil(text: str) -> None:
    chat = at_stage("boil")
    chat.says(text)
    assert chat.batch.stage == "boil"
    assert not any(each.kind == "temperature" for each in chat.batch.readings)


def test_cooled_wort_is_still_cooled() -> None:
    assert [each.name for each in _told("wort's cooled and the sample says 1.041", "boil")] == ["done.chilled", "reading.gravity"]
    assert [each.name for each in _told("cooled the wort", "boil")] == ["done.chilled"]


@pytest.mark.parametrize(
    "text", ["1.040 hot", "gravity 1.040 hot", "1.040, still hot", "1.040 warm sample", "gravity 1.040 but the sample's hot", "1.040 straight from the pot", "hot sample says 1.040"]
)
def test_how_hot_a_hot_sample_is_gets_asked(text: str) -> None:
    chat = at_stage("drain")
    answer = chat.says(text)
    assert "how warm" in answer
    assert "did not get" not in answer
    assert not chat.batch.readings
    chat.says("60")
    (reading,) = chat.batch.readings
    assert reading.value.value == 1.040
    assert 1.05 < float(reading.best.magnitude) < 1.06


@pytest.mark.parametrize("text", ["1.040, hot break is good", "1.040 hot water is ready", "gravity 1.040, not hot", "1.040"])
def test_other_hot_things_make_no_hot_sample(text: str) -> None:
    assert [each.name for each in _told(text, "drain")] == ["reading.gravity"]


def test_beer_from_the_fermenter_may_be_warm_as_the_room_is() -> None:
    assert [each.name for each in _told("1.012, warm in here", "ferment")] == ["reading.gravity"]
    assert [each.name for each in _told("gravity 1.012, it's hot today", "ferment")] == ["reading.gravity"]


def test_what_is_no_answer_drops_the_question() -> None:
    chat = at_stage("drain")
    chat.says("1.040 hot", "9.8 litres")
    assert [each.kind for each in chat.batch.readings] == ["volume"]
    assert chat.state.expects is None
    chat.says("1.040 hot", "the pot is at 70 degrees")
    assert [each.kind for each in chat.batch.readings] == ["volume", "temperature"]
