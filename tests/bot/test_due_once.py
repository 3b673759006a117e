"""Once for each setting: whoever looks at the due times, the terminal or the messenger, whatever the clock does."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.clock import SimulatedClock
from bot.engine import MOST_TIMES, Engine
from bot.store import Incoming, Store
from bot.telegram.places import Places
from bot.telegram.schedule import Schedule
from conversations.session.events import Due, Heard
from conversations.session.outcome import Outcome
from conversations.session.state import State
from conversations.session.turn import Turn
from tests.bot.test_many_reminders import steps

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
RING = NOW + timedelta(minutes=5)
CHAT = "telegram:11"


def step(state: State, message: Heard | Due, now: datetime) -> Outcome:
    """Whatever is heard sets the one reminder of that name, always for the same moment."""
    turn = Turn(state, now)
    if isinstance(message, Heard):
        turn.remind(message.text, RING, "ring")
        return turn.outcome()
    if message.key == "bad":
        raise ValueError
    for key in (message.key, *message.also):
        turn.note_event("fired", key=key)
        turn.say(f"{key} rings")
    return turn.outcome()


class House:
    """One data file; ``look`` is a look at the due times by the one or the other."""

    def __init__(self, data: Path, messenger: bool) -> None:
        self._data, self._messenger, self._said = data, messenger, 0
        self.clock = SimulatedClock(NOW)
        self.start()

    def start(self) -> None:
        self.store = Store.open(self._data)
        self.engine = Engine(self.store, self.clock, lambda chat, reply, at: None, step)
        self.schedule = Schedule(self.engine, Places(self.store), self.clock, lambda *to: None)

    def restart(self) -> None:
        self.store.close()
        self.start()

    def set(self, name: str) -> None:
        self._said += 1
        self.engine.handle(Incoming(f"m{self._said}", CHAT, Heard(text=name), self.clock.now()))

    def look(self) -> list[str]:
        """What a look makes ring; a second look directly after it makes nothing ring."""
        before = self.store.rows("SELECT COALESCE(MAX(id), 0) FROM outbox")[0][0]
        for _ in range(2):
            if self._messenger:
                self.schedule.tick()
            else:
                self.engine.fire_due()
        rows = self.store.rows("SELECT json_extract(reply, '$.text') FROM outbox WHERE id > ? ORDER BY id", before)
        return [line for row in rows for line in row[0].splitlines()]


@pytest.fixture(params=[False, True], ids=["engine", "messenger"])
def house(request: pytest.FixtureRequest, tmp_path: Path) -> House:
    return House(tmp_path / "diary.db", request.param)


@pytest.mark.parametrize("restarts", [False, True])
def test_set_anew_after_the_clock_went_back(house: House, restarts: bool) -> None:
    house.set("stir")
    house.clock.move_to(RING)
    assert house.look() == ["stir rings"]
    for _ in range(MOST_TIMES - 1):
        house.clock.move_to(NOW)
        if restarts:
            house.restart()
        assert house.look() == []
        house.set("stir")
        if restarts:
            house.restart()
        house.clock.move_to(RING)
        assert house.look() == ["stir rings"]
    assert house.store.due(RING) == []
    house.restart()
    assert house.look() == []


@pytest.mark.parametrize("restarts", [False, True])
def test_one_that_fails_is_told_once_and_hides_nothing(house: House, restarts: bool) -> None:
    house.set("bad")
    house.set("stir")
    house.clock.move_to(RING)
    told = house.look()
    assert [line for line in told if "rings" in line] == ["stir rings"]
    assert sum("A reminder fell due: ring" in line for line in told) == 1
    if restarts:
        house.restart()
    assert house.look() == []
    # It stays at the head of the table, as does one of another program on this file; neither holds up a new one.
    house.store.rows("INSERT INTO reminders (chat, key, due_utc, data) VALUES ('a', 'b', '2026-01-01', '{}')")
    house.store._connection.commit()
    house.engine._only = CHAT
    house.set("drain")
    assert house.look() == ["drain rings"]


def test_many_due_at_once_cost_one_row_each(tmp_path: Path) -> None:
    """Reading the whole table after each would cost the square of their number."""
    costs = []
    for count in (20, 100):
        house = House(tmp_path / f"{count}.db", messenger=False)
        for number in range(count):
            house.set(f"r{number}")
        house.clock.move_to(RING)
        costs.append(steps(house.store, house.engine.fire_due))
        assert house.store.due(RING) == []
        house.store.close()
    assert costs[1] < 6.5 * costs[0]
