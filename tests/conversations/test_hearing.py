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


PLANNING = chat("brew 8 litres of brown ale", "1.6 kg pale malt", "18 g Bramling Cross at 60 min")


def test_what_is_understood_whole_counts_more_than_what_sounds_the_same() -> None:
    """ "Time table" in two words was asked about beside "timetable": an ear cannot tell them apart."""
    verdict = heard(PLANNING, ("show me the time table for the day", 0.9), ("show me the timetable for the day", 0.1))
    assert (verdict.decision, verdict.text) == ("accept", "show me the timetable for the day")


def test_words_that_two_ears_wrote_alike_are_taken_though_nobody_expected_them() -> None:
    unlike = [Alternative("the foam is going down over there", 0.8, like=False), Alternative("the foam's gone down again", 0.2)]
    apart = [Alternative("the foam's gone down again", 0.55, like=False), Alternative("the farm is gone", 0.45, like=False)]
    agreed = [apart[0]._replace(agreed=True), apart[1]]
    state = chat("brew 8 litres of brown ale", "1.6 kg pale malt", "next", "next", "grain is in", "next", "next", "it boils")
    assert state.batches[-1].stage == "boil"
    now = NOW + timedelta(minutes=30)
    assert settle(unlike[:1], state, now).decision != "accept"
    assert settle(agreed, state, now, 0.5)[:2] == ("accept", "the foam's gone down again")


def test_a_hop_that_nobody_knows_is_more_likely_a_slip_of_the_ear() -> None:
    """ "Bramling Cross" was heard as "brewing cross", which sounds as well and is in no recipe."""
    verdict = heard(PLANNING, ("make it nine grams of brewing cross", 0.8), ("make it nine grams of bramling cross", 0.2))
    assert "bramling cross" in (verdict.text, *verdict.choices)[verdict.decision == "ask"]


def test_a_name_of_the_persons_own_is_asked_about_unless_people_say_it_here() -> None:
    """Any word could be a name: "rename this kit to summer house" was kept as "simmer house"."""
    name = [Alternative("rename this kit to simmer house", 1.0, like=False, agreed=True)]
    assert settle(name, PLANNING, NOW + timedelta(minutes=30), 0.5).decision == "ask"


def test_nobody_asks_whether_yeast_may_go_in_at_96_degrees() -> None:
    verdict = heard(chat("brew 8 litres of brown ale"), ("can I pitch at ninety six", 0.6), ("can I pitch at twenty six", 0.4))
    assert "can I pitch at twenty six" in (verdict.text, *verdict.choices)[: 1 + (verdict.decision == "ask")]


def test_what_is_told_of_the_pot_is_taken_word_for_word() -> None:
    opened = [Alternative("i opened the goldings on tuesday", 1.0, like=False)]
    assert settle(opened, PLANNING, NOW + timedelta(minutes=30)).decision == "accept"


def test_opening_a_window_opens_no_batch() -> None:
    """Everyday talk that both ears heard word for word: it is read as the batch "window it is hot"."""
    window = [Alternative("open the window it is hot in here", 1.0, like=False, agreed=True)]
    assert settle(window, MASHING, NOW + timedelta(minutes=30), 0.5).decision == "ask"
    ale = [Alternative("open the brown ale", 1.0, like=False, agreed=True)]
    assert settle(ale, MASHING, NOW + timedelta(minutes=30), 0.5).decision == "accept"


def test_a_number_is_taken_only_where_nothing_behind_it_was_left_out() -> None:
    """ "Till four in the afternoon" lost its end and was kept as four in the morning."""
    cut = [Alternative("quiet hours from eight in the morning till four in after", 1.0, like=False)]
    whole = [Alternative("and the pot's nine and a half inches deep", 1.0, like=False)]
    assert settle(cut, PLANNING, NOW + timedelta(minutes=30)).decision == "ask"
    assert settle(whole, PLANNING, NOW + timedelta(minutes=30)).decision == "accept"
