"""Messages that ask for pictures, pages, labels and data."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversations.session.events import Event, Heard, Reply
from conversations.session.fold import EMPTY, fold
from conversations.session.kept import kept
from conversations.session.state import State
from conversations.session.step import step

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
DAY = (
    "brew 8 litres of Mill Lane stout", "1.5 kg pale malt", "14 g Fuggle 4.8% at 60", "next", "next", "grain is in", "66 degrees",
    "bag out", "next", "it's boiling", "hops in", "flame out", "next", "chilled", "gravity 1.045 at 20 C", "transferred",
    "yeast is in", "gravity 1.012 at 20 C",
)  # fmt: skip


def after(*texts: str) -> tuple[State, list[Event], Reply]:
    state, now, events, reply = EMPTY, NOW, [], Reply(text="")
    for text in texts:
        outcome = step(state, Heard(text=text), now)
        # A gravity minutes after pitching would be questioned.
        state, now = outcome.state, now + (timedelta(days=6) if text == "yeast is in" else timedelta(minutes=10))
        events += outcome.events
        reply = outcome.replies[0] if outcome.replies else Reply(text="")
    return state, events, reply


@pytest.mark.parametrize(
    ("asked", "kinds", "number"),
    [
        ("show me the gravity", ["gravity_chart"], "1.012, from 1.045."),
        ("chart", ["gravity_chart"], "1.012"),
        ("gravity chart of the stout", ["gravity_chart"], "1.012"),
        ("picture of the mash", ["mash_chart"], "66 °C last, 67 °C wanted."),
        ("picture of the boil", ["boil_chart"], "60 min boil, 1 addition, 1 in."),
        ("how did the day go", ["day_chart"], ""),
        ("what colour is it", ["colour_chart"], "EBC"),
        ("batch card", ["batch_card"], "B1B"),
        ("export this batch", ["batch_html", "batch_pdf"], "3 readings"),
        ("labels", ["labels"], "12 labels"),
        ("print 30 labels", ["labels"], "30 labels"),
        ("send me everything", ["data_json", "data_csv", "reminders_ics"], "1 batch, 3 readings"),
        ("export my reminders", ["reminders_ics"], "reminders"),
    ],
)
def test_asked_for_and_sent_with_words_that_stand_for_it(asked: str, kinds: list[str], number: str) -> None:
    _, _, reply = after(*DAY, asked)
    assert [each.kind for each in reply.attachments] == kinds
    assert number in reply.text
    assert reply.text.count("\n") <= 2
    assert all(each.alt.endswith(".") and len(each.alt) < 200 for each in reply.attachments)


def test_asking_changes_nothing_in_the_diary() -> None:
    _, events, _ = after(*DAY, "show me the gravity")
    assert [each.kind for each in events][-2:] == ["heard", "said"]


def test_palette_can_be_asked_for() -> None:
    assert after(*DAY, "chart in dark")[2].attachments[0].options == {"theme": "night"}


@pytest.mark.parametrize(
    ("asked", "tells"),
    [
        ("show me the gravity", "gravity 1.012"),
        ("picture of the mash", "66.5 C"),
        ("picture of the boil", "12 g Fuggle"),
        ("show me the colour", "pale malt"),
        ("plan against actual", '"next"'),
        ("print 9000 labels", "print 12 labels"),
        ("gravity chart of the porter", "No batch is called porter."),
    ],
)
def test_nothing_to_send_says_what_to_do(asked: str, tells: str) -> None:
    _, _, reply = after("new batch called plain ale", asked)
    assert tells in reply.text
    assert reply.attachments == ()


@pytest.mark.parametrize("asked", ["chart", "batch card", "export this batch", "labels"])
def test_without_a_batch(asked: str) -> None:
    assert "no batch yet" in after(asked)[2].text


def test_short_code_brings_up_its_batch() -> None:
    state, _, reply = after(*DAY, "brew 5 litres of plain ale", "b1b")
    assert state.current == 1
    assert reply.text.startswith("Mill Lane stout: fermenting. 1.012 last.")
    assert "No batch of yours has the code B1C" in after(*DAY, "B1C")[2].text


LINES = st.sampled_from([*DAY, "undo", "undo", "undo", "no, 1.050", "note: x", "timer 5 minutes", "pause", "new batch"])


@settings(max_examples=60, deadline=None)
@given(st.lists(LINES, max_size=30))
def test_events_that_stand_make_the_same_batches(texts: list[str]) -> None:
    state, events, _ = after(*texts)
    again = fold(EMPTY, kept(events))
    assert again.batches == state.batches
    assert again.kit == state.kit
    assert again.timers == state.timers
    assert again.reminders == state.reminders
