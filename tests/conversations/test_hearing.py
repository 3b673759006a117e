"""From ways of hearing a note to what is done with it, without any sound."""

from datetime import UTC, datetime, timedelta

import pytest

from conversations.hearing import Alternative, Verdict, settle
from conversations.session.events import Heard, Reply
from conversations.session.fold import EMPTY
from conversations.session.state import State
from conversations.session.step import step

NOW = datetime(2026, 3, 14, 10, 0, tzinfo=UTC)


def chat(*messages: str) -> State:
    state = EMPTY
    for minute, text in enumerate(messages):
        state = step(state, Heard(text=text), NOW + timedelta(minutes=minute)).state
    return state


MASHING = chat("brew 8 litres of brown ale", "1.6 kg pale malt", "next", "next", "grain is in")


def heard(state: State, *ways: tuple[str, float]) -> Verdict:
    return settle([Alternative(*way) for way in ways], state, NOW + timedelta(minutes=30))


def said(state: State, message: Heard) -> tuple[State, Reply]:
    outcome = step(state, message, NOW + timedelta(minutes=30))
    return outcome.state, outcome.replies[0]


def test_one_clear_meaning_is_taken() -> None:
    verdict = heard(MASHING, ("sixty seven degrees", 0.99), ("sixty seven a degrees", 0.01))
    assert (verdict.decision, verdict.text) == ("accept", "sixty seven degrees")


def test_the_stage_decides_between_two_that_sound_alike() -> None:
    """A mash at 17 degrees is a slip of the ear: 67 is taken although it was heard as less likely."""
    verdict = heard(MASHING, ("seventeen degrees", 0.55), ("sixty seven degrees", 0.45))
    assert verdict.decision in ("accept", "ask")
    assert "sixty seven degrees" in (verdict.text, *verdict.choices[:1])


def test_two_that_both_can_be_are_asked_about_with_two_buttons() -> None:
    verdict = heard(MASHING, ("gravity ten fifty seven", 0.5), ("gravity ten forty seven", 0.5))
    assert verdict.decision == "ask"
    state, reply = said(MASHING, Heard(text="", spoken=True, perhaps=verdict.choices))
    assert {choice.label for choice in reply.choices} == {"1.057 gravity", "1.047 gravity"}
    assert "Nothing is recorded yet" in reply.text
    assert state.batches[-1].readings == MASHING.batches[-1].readings
    state, reply = said(state, Heard(text=reply.choices[1].says))
    assert len(state.batches[-1].readings) == 1


def test_one_that_is_unsure_can_be_agreed_to_or_dropped() -> None:
    state, reply = said(MASHING, Heard(text="", spoken=True, perhaps=("sixty six degrees",)))
    assert [choice.label for choice in reply.choices] == ["66 °C temperature", "no"]
    yes, _ = said(state, Heard(text="yes"))
    no, answer = said(state, Heard(text="no"))
    assert yes.batches[-1].readings[-1].value.value == 66
    assert not no.batches[-1].readings
    assert "nothing recorded" in answer.text.lower()


@pytest.mark.parametrize(
    "ways", [(), (("the lazy cat", 1.0),), (("sixty seven degrees and the lazy cat", 0.9),), (("sixty degrees", 0.1),)]
)
def test_what_is_not_understood_whole_is_not_taken(ways: tuple[tuple[str, float], ...]) -> None:
    assert heard(MASHING, *ways).decision != "accept"


def test_a_wording_of_no_known_shape_is_taken_where_people_say_what_it_means() -> None:
    at = NOW + timedelta(minutes=30)
    assert settle([Alternative("water is at fifty five", 0.99, like=False)], MASHING, at).decision == "accept"
    assert settle([Alternative("go for ten litres", 0.99, like=False)], MASHING, at).decision == "ask"


def test_what_the_ear_itself_doubts_is_not_taken() -> None:
    at = NOW + timedelta(minutes=30)
    assert settle([Alternative("sixty seven degrees", 0.0)], MASHING, at).decision == "reject"


def test_what_was_heard_is_said_back_with_the_number_first_and_can_be_undone() -> None:
    state, reply = said(MASHING, Heard(text="sixty seven degrees", spoken=True))
    assert reply.text.startswith("67 °C")
    assert "undo" in [choice.says for choice in reply.choices]
    state, _ = said(state, Heard(text="undo"))
    assert not state.batches[-1].readings
    _, reply = said(MASHING, Heard(text="set a timer for ten minutes", spoken=True))
    assert reply.text.startswith("10 min")


def test_typed_messages_are_not_said_back() -> None:
    assert "heard" not in said(MASHING, Heard(text="sixty seven degrees"))[1].text


def test_a_gravity_sounds_as_the_person_likes_it_and_speaking_is_a_setting() -> None:
    state, reply = said(MASHING, Heard(text="gravity 1.057"))
    assert "10 57" in reply.spoken
    state, _ = said(state, Heard(text="say gravities digit by digit"))
    _, reply = said(state, Heard(text="gravity 1.057"))
    assert "1 point oh 5 7" in reply.spoken
    for wish, kept in (("speak reminders", "reminders"), ("speak everything", "all"), ("be quiet", "off")):
        state, _ = said(state, Heard(text=wish))
        assert state.speech == kept
