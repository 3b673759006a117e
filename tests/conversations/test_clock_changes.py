"""The night on which the clocks change: what is counted is real time, in memory as after a restart."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from conversations.session.events import Event, Heard
from conversations.session.fold import EMPTY, fold
from conversations.session.state import State
from conversations.session.step import step


@pytest.mark.parametrize("change", [datetime(2026, 10, 25, 1, 0, tzinfo=UTC), datetime(2026, 3, 29, 1, 0, tzinfo=UTC)])
@pytest.mark.parametrize("reload", [False, True])
def test_left_of_a_boil_across_the_change(change: datetime, reload: bool) -> None:
    # Source: EU summer time ends and begins at 01:00 UTC (Directive 2000/84/EC, articles 2 and 3).
    state = fold(EMPTY, [Event(kind="settings_told", at=change, data={"zone": "Europe/Lisbon"})])
    begin = (change - timedelta(minutes=10)).astimezone(ZoneInfo("Europe/Lisbon"))
    for text in ("brew 5 litres of night ale", "boil for 60 minutes", "it's boiling"):
        state = step(state, Heard(text=text), begin).state
    if reload:
        state = State.model_validate_json(state.model_dump_json())
    outcome = step(state, Heard(text="it's boiling"), begin.astimezone(UTC) + timedelta(minutes=25))
    assert outcome.replies[0].text.startswith("35 min left of the boil, until ")


def test_an_event_in_memory_is_the_event_read_back() -> None:
    at = datetime(2026, 10, 25, 1, 30, fold=1, tzinfo=ZoneInfo("Europe/Lisbon"))
    event = Event(kind="said", at=at)
    assert event.at == at.astimezone(UTC)
    assert Event.model_validate_json(event.model_dump_json()) == event
