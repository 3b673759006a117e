"""What is told later of a gravity: its sample, the original one, a refractometer with alcohol in the beer; both asked for."""

from __future__ import annotations

import pytest

from conversations.session.state import Reading
from tests.conversations.weeks import Chat, pitched


def _fermenting() -> Chat:
    chat = pitched(original="1.046")
    chat.waits(3)
    chat.says("1.022")
    return chat


def _gravities(chat: Chat) -> list[Reading]:
    return [each for each in chat.batch.readings if each.kind == "gravity"]


@pytest.mark.parametrize(
    "said",
    ["the beer was at 25 degrees when I took that", "it was 25 C when I took the gravity", "it was at 25 when I measured it", "when I took the gravity the beer was at 25 C", "that reading was taken at 25 C", "sample was at 25", "the sample was at 25 C"],
)
def test_the_sample_s_temperature_told_later_corrects_the_gravity(said: str) -> None:
    chat = _fermenting()
    chat.says("19.5 C")
    before = _gravities(chat)
    chat.says(said)
    after = _gravities(chat)
    assert len(after) == len(before)
    # Source: hydrometer tables, 20 C instrument: a sample at 25 C reads 0.001 too low.
    assert float(after[-1].best.magnitude) == pytest.approx(1.023, abs=0.0003)
    assert after[-1].at == before[-1].at
    chat.says("undo")
    assert _gravities(chat) == before


@pytest.mark.parametrize("said", ["the kitchen was 25 degrees when I took that", "remind me when it is at 25 degrees", "was the beer at 25 degrees when I took that?", "what was the temperature when I took that"])
def test_what_is_not_the_sample_s_corrects_nothing(said: str) -> None:
    chat = _fermenting()
    before = chat.batch.readings
    chat.says(said)
    assert chat.batch.readings == before


@pytest.mark.parametrize(
    "said",
    ["original gravity should have been 1.044", "og should have been 1.044", "og was actually 1.044", "change the og to 1.044", "the original gravity was wrong, it should be 1.044", "og was 1.044", "og is 1.044 not 1.046"],
)
def test_the_original_gravity_is_put_right_after_pitching(said: str) -> None:
    chat = _fermenting()
    assert "1.044 instead of 1.046" in chat.says(said)
    # By hand: (44 - 22) / 44 is 50 %; by extract 49.
    assert "49 % attenuated" in chat.says("og and fg please")
    assert [each.value.value for each in _gravities(chat)] == [1.044, 1.022]
    chat.says("undo")
    assert [each.value.value for each in _gravities(chat)] == [1.046, 1.022]


def test_an_original_gravity_that_was_never_told_is_kept_as_of_pitching() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Stair bitter", "1.1 kg pale malt", "10 g Fuggle 5% at 60", "chilled", "transferred")
    chat.waits(0.1)
    chat.says("yeast is in")
    chat.waits(3)
    chat.says("1.022", "og was 1.046")
    first = min(_gravities(chat), key=lambda each: each.at)
    assert (first.value.value, first.stage) == (1.046, "transfer")
    assert "Original 1.046, 1.022" in chat.says("og and fg please")


@pytest.mark.parametrize("said", ["what should the og have been", "og should be 1.044 by the recipe", "gravity should have been 1.020", "should the og have been 1.044?"])
def test_what_was_hoped_for_changes_no_reading(said: str) -> None:
    chat = _fermenting()
    before = _gravities(chat)
    chat.says(said)
    assert _gravities(chat) == before


@pytest.mark.parametrize("asked", ["og and fg please", "what are the original and final gravity", "give me the og and fg", "what were the original and final gravities"])
def test_both_gravities(asked: str) -> None:
    answer = _fermenting().says(asked)
    assert "Original 1.046, 1.022 on" in answer
    assert "not final yet" in answer


@pytest.mark.parametrize("said", ["7 brix", "refractometer says 7 brix", "refractometer reads 7", "7 brix on the refractometer", "7.0 bx", "btw 7 brix at 19 C"])
def test_brix_from_a_fermenter_is_worked_out_with_the_alcohol_in_it(said: str) -> None:
    chat = _fermenting()
    answer = chat.says(said)
    # Source: calc.refractometer.fermenting_gravity, checked in tests/references; straight from Brix it would be 1.028.
    assert "About 1.016 (refractometer, 7.0 Brix" in answer
    newest = _gravities(chat)[-1]
    assert (newest.note, newest.value.value) == ("refractometer, 7.0 Brix", pytest.approx(1.0164, abs=0.0003))
    assert "1.046" in chat.says("why")


def test_brix_of_wort_is_read_as_before_and_too_much_is_refused() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Stair bitter", "1.1 kg pale malt", "chilled", "12 brix")
    # Source: ASBC table 1, 12 degrees Plato is 1.0484.
    assert float(_gravities(chat)[-1].best.magnitude) == pytest.approx(1.0484, abs=0.0002)
    late = _fermenting()
    assert "Nothing is recorded" in late.says("20 brix")
    assert len(_gravities(late)) == 2
