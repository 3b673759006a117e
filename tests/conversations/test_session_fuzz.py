"""Any sequence of intents, messages, reminders and pauses leaves a legal state that its events give again."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from conversations.intents import Context, Intent
from conversations.session.events import Due, Event, Heard
from conversations.session.fold import EMPTY, fold
from conversations.session.outcome import Outcome
from conversations.session.stages import stages
from conversations.session.state import State
from conversations.session.step import handle, step
from conversations.session.turn import Turn
from conversations.understanding.understand import list_intents, understand

START = datetime(2026, 10, 24, 20, 0, tzinfo=UTC)


@cache
def known_intents() -> tuple[Intent, ...]:
    """What the language reads in one example of everything it knows, at several stages of the day."""
    found: dict[str, Intent] = {}
    for stage in (None, "plan", "mash", "boil", "ferment"):
        for _, example in list_intents():
            for intent in understand(example, Context(now=START, stage=stage)).intents:
                found.setdefault(intent.model_dump_json(), intent)
    return tuple(found.values())


NUMBERS = st.one_of(
    st.sampled_from([0.0, -1.0, 1e-9, 1.0, 1.05, 0.9, 1.2, 20.0, 67.0, 100.0, 1000.0, 1e6, 1e12]),
    st.floats(-1e4, 1e4, allow_nan=False),
)
WORDS = st.one_of(st.sampled_from(["", "ale", "Fuggle", "<b>", "\u202e", "x" * 300]), st.text(max_size=20))

FREE = {"name", "what", "text", "zone", "grain", "hop", "yeast", "query"}
"""Slots that the language fills with the person's own words; the others only hold what it knows."""


@st.composite
def intents(draw: st.DrawFn) -> Intent:
    """A known intent, its slots as in the example or with a number, word or unit that nobody expects."""
    intent = draw(st.sampled_from(known_intents()))
    slots: dict[str, Any] = dict(intent.slots)
    for name, value in intent.slots.items():
        if draw(st.booleans()):
            continue
        plain = value.model_dump() if hasattr(value, "model_dump") else value
        if isinstance(plain, dict) and set(plain) == {"value", "unit"}:
            slots[name] = {**plain, "value": draw(NUMBERS)}
        elif isinstance(plain, float):
            slots[name] = draw(NUMBERS)
        elif isinstance(plain, str) and name in FREE:
            slots[name] = draw(WORDS)
    return intent.model_copy(update={"slots": Intent.model_validate({"name": intent.name, "slots": slots}).slots})


class Evening(RuleBasedStateMachine):
    """One chat in which anything may come next."""

    def __init__(self) -> None:
        super().__init__()
        self.state: State = EMPTY
        self.events: list[Event] = []
        self.now = START

    def took(self, outcome: Outcome) -> None:
        self.state = outcome.state
        self.events += outcome.events
        for reply in outcome.replies:
            assert reply.text or reply.attachments
            assert len(reply.text) < 8000
            for choice in reply.choices:
                assert choice.label.strip()
                assert choice.says.strip()

    @rule(intent=intents())
    def does(self, intent: Intent) -> None:
        turn = Turn(self.state, self.now)
        handle(turn, intent)
        self.took(turn.outcome())

    @rule(text=st.one_of(st.sampled_from([example for _, example in list_intents()]), st.text(max_size=60)))
    def says(self, text: str) -> None:
        self.took(step(self.state, Heard(text=text), self.now))

    @rule(text=st.sampled_from(["brew 5 litres of ale", "next", "it's boiling", "hops in", "undo", "no, 1.052", "yes",
                                "no", "12 g Fuggle 5% at 60", "1.2 kg pale malt", "gravity 1.050", "yeast is in",
                                "bottle", "diary", "why?"]))  # fmt: skip
    def brews(self, text: str) -> None:
        self.took(step(self.state, Heard(text=text), self.now))

    @rule(minutes=st.sampled_from([0.0, 1.0, 20.0, 300.0, 1440.0, 20000.0, -180.0]))
    def waits(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)

    @precondition(lambda self: self.state.reminders)
    @rule(data=st.data())
    def falls_due(self, data: st.DataObject) -> None:
        key = data.draw(st.sampled_from(sorted(self.state.reminders)))
        self.now = max(self.now, self.state.reminders[key].due)
        before = len(self.events)
        self.took(step(self.state, Due(key=key), self.now))
        assert len(self.events) > before

    @rule()
    def restarts(self) -> None:
        self.state = State.model_validate_json(self.state.model_dump_json())

    @invariant()
    def is_legal(self) -> None:
        state = self.state
        numbers = [batch.id for batch in state.batches]
        assert len(set(numbers)) == len(numbers)
        assert state.current is None or state.current in numbers
        assert all(batch.stage in stages() for batch in state.batches)
        for key, reminder in state.reminders.items():
            assert key == reminder.key
            assert reminder.due.tzinfo is not None
            assert reminder.batch is None or reminder.batch in numbers
        ids = [reading.id for batch in state.batches for reading in batch.readings]
        assert len(set(ids)) == len(ids)
        assert all(number < state.next_id for number in ids + numbers)

    def teardown(self) -> None:
        assert fold(EMPTY, self.events) == self.state
        stored = [Event.model_validate_json(event.model_dump_json()) for event in self.events]
        assert fold(EMPTY, stored) == self.state
        text = self.state.model_dump_json()
        assert State.model_validate_json(text) == self.state
        json.dumps(json.loads(text), allow_nan=False)


TestEvening = Evening.TestCase
TestEvening.settings = settings(
    max_examples=25, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck)
)


@pytest.mark.slow
class TestLongEvening(Evening.TestCase):
    settings = settings(
        max_examples=120, stateful_step_count=50, deadline=None, suppress_health_check=list(HealthCheck)
    )


def test_a_zone_name_longer_than_a_file_name_is_refused() -> None:
    # Found by the machine above: a zone is looked up as a file.
    turn = Turn(EMPTY, START)
    handle(turn, Intent(name="settings.zone", slots={"zone": "x" * 300}))
    assert "I do not know the zone" in turn.lines[0]


def test_a_recipe_that_cannot_be_does_not_silence_the_batch() -> None:
    # Found by the machine above: every message after these ended in a fault.
    turn = Turn(EMPTY, START)
    handle(turn, Intent(name="recipe.size", slots={"volume": {"value": 0.0, "unit": "gallon"}}))
    state = turn.outcome().state
    for text in ("1.2 kg pale malt", "yeast is in", "what's next"):
        outcome = step(state, Heard(text=text), START)
        state = outcome.state
        assert outcome.replies
