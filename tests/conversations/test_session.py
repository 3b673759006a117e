"""The session without its language: intents in, outcome out, on an invented 8 litre batch."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversations.intents import Intent, Measured
from conversations.session.events import Due, Event, Heard
from conversations.session.fold import EMPTY, fold
from conversations.session.outcome import Outcome
from conversations.session.stages import cautions, opened_by, stages
from conversations.session.state import State
from conversations.session.step import handle, step
from conversations.session.turn import Turn

START = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def m(value: float, unit: str) -> Measured:
    return Measured(value=value, unit=unit)


class Kitchen:
    """A chat driven by intents, with a clock that a test moves."""

    def __init__(self, now: datetime = START, state: State = EMPTY) -> None:
        self.now, self.state = now, state
        self.events: list[Event] = []

    def _took(self, outcome: Outcome) -> str:
        self.state = outcome.state
        self.events += outcome.events
        return "\n".join(reply.text for reply in outcome.replies)

    def does(self, intent: str, **slots: Any) -> str:
        turn = Turn(self.state, self.now)
        handle(turn, Intent(name=intent, slots=slots, text=intent))
        return self._took(turn.outcome())

    def waits(self, minutes: float) -> list[str]:
        said, end = [], self.now + timedelta(minutes=minutes)
        while True:
            due = min(self.state.reminders.values(), key=lambda each: each.due, default=None)
            if due is None or due.due > end:
                break
            self.now = max(self.now, due.due)
            said.append(self._took(step(self.state, Due(key=due.key), self.now)))
        self.now = end
        return said


@pytest.fixture
def kitchen() -> Kitchen:
    kitchen = Kitchen()
    kitchen.does("brew.start", volume=m(8, "litre"), name="amber ale")
    kitchen.does("recipe.grain", mass=m(1.6, "kilogram"), name="pale malt")
    kitchen.does("recipe.hop", mass=m(12, "gram"), name="Fuggle", percent=m(5, "percent"), duration_s=3600.0)
    kitchen.does("recipe.hop", mass=m(6, "gram"), name="Goldings", duration_s=600.0)
    return kitchen


def to_boil(kitchen: Kitchen) -> Kitchen:
    kitchen.does("done.grain_in")
    kitchen.waits(61)
    kitchen.does("done.bag_out")
    kitchen.does("done.boiling")
    return kitchen


def test_mash_stir_and_end_fall_due_in_order(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    said = kitchen.waits(61)
    assert len(said) == 2
    assert "stir" in said[0]
    assert "bag out" in said[1]


def test_hop_alarms_come_from_the_recipe_with_a_heads_up(kitchen: Kitchen) -> None:
    to_boil(kitchen)
    said = kitchen.waits(61)
    hops = [line for line in said if "Goldings" in line or "Fuggle" in line]
    assert [line.split(":")[0] for line in hops] == ["Hops now", "In 1 min", "Hops now"]
    assert "Flame-out" in said[-1]


def test_hops_that_go_in_late_are_said_to_be_late(kitchen: Kitchen) -> None:
    to_boil(kitchen)
    kitchen.waits(14)
    assert "14 min late" in kitchen.does("done.hops", name="fuggle")


def test_a_reminder_after_downtime_says_how_late_it_is(kitchen: Kitchen) -> None:
    to_boil(kitchen)
    key = next(key for key, each in kitchen.state.reminders.items() if each.kind == "hop")
    outcome = step(kitchen.state, Due(key=key), kitchen.now + timedelta(minutes=12))
    assert "12 min late" in outcome.replies[0].text
    assert "less bitter" in outcome.replies[0].text
    assert step(outcome.state, Due(key=key), kitchen.now).events == ()


def test_longer_boil_moves_the_later_hops(kitchen: Kitchen) -> None:
    to_boil(kitchen)
    goldings = next(each for key, each in kitchen.state.reminders.items() if ":hop:" in key and "Goldings" in each.text)
    kitchen.does("timer.extend", duration_s=300.0, name="boil")
    assert kitchen.state.reminders[goldings.key].due == goldings.due + timedelta(minutes=5)


@pytest.mark.parametrize(("kind", "value"), [("temperature", m(670, "degC")), ("gravity", m(1.5, "dimensionless"))])
def test_implausible_values_are_questioned_and_not_stored(kitchen: Kitchen, kind: str, value: Measured) -> None:
    kitchen.does("done.grain_in")
    assert "?" in kitchen.does(f"reading.{kind}", **{kind: value})
    assert kitchen.state.batches[0].readings == ()
    kitchen.does("yes")
    assert kitchen.state.batches[0].readings == (), "what is impossible is not stored even on a yes"


def test_a_gravity_far_from_the_recipe_is_questioned(kitchen: Kitchen) -> None:
    to_boil(kitchen)
    assert "recipe makes about" in kitchen.does("reading.gravity", gravity=m(1.105, "dimensionless"))
    assert kitchen.state.batches[0].readings == ()


def test_unlikely_but_possible_value_is_stored_on_a_yes(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    kitchen.does("reading.temperature", temperature=m(30, "degC"))
    assert kitchen.state.batches[0].readings == ()
    kitchen.does("yes")
    assert [reading.value.value for reading in kitchen.state.batches[0].readings] == [30]


def test_undo_takes_back_a_message_with_its_reminders(kitchen: Kitchen) -> None:
    before = kitchen.state
    kitchen.does("done.grain_in")
    assert kitchen.state.reminders
    kitchen.does("undo")
    assert kitchen.state.reminders == before.reminders
    assert kitchen.state.batches == before.batches


def test_undo_names_what_it_takes_back(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    kitchen.does("done.bag_out")
    assert "drain the bag" in kitchen.does("undo")


def test_hops_in_after_flame_out_are_the_steeped_ones(kitchen: Kitchen) -> None:
    kitchen.does("recipe.hop", mass=m(5, "gram"), name="Saaz", duration_s=0.0)
    to_boil(kitchen)
    kitchen.does("done.flame_out")
    assert "Saaz" in kitchen.does("done.hops")


def test_undo_does_not_bring_back_a_reminder_that_was_said(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    kitchen.does("note", text="smells of toast")
    kitchen.waits(31)
    kitchen.does("undo")
    assert not any("stir" in each.text for each in kitchen.state.reminders.values())


def test_correction_replaces_the_last_reading(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    kitchen.does("done.bag_out")
    kitchen.does("reading.gravity", gravity=m(1.025, "dimensionless"))
    kitchen.does("correct", value=1.052)
    assert [reading.value.value for reading in kitchen.state.batches[0].readings] == [1.052]
    assert sum(event.kind == "reading" for event in kitchen.events) == 2, "the diary keeps both"


def test_undo_of_a_correction_brings_the_first_value_back(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    kitchen.does("done.bag_out")
    kitchen.does("reading.gravity", gravity=m(1.025, "dimensionless"))
    kitchen.does("correct", value=1.052)
    kitchen.does("undo")
    assert [reading.value.value for reading in kitchen.state.batches[0].readings] == [1.025]


def test_a_correction_leaves_the_rest_of_the_message_alone() -> None:
    state = step(EMPTY, Heard(text="brew 8 litres of amber ale"), START).state
    for text in ("grain is in", "bag out", "6.2 l, gravity 1.045", "no, 1.052"):
        state = step(state, Heard(text=text), START).state
    assert [reading.value.value for reading in state.batches[0].readings] == [6.2, 1.052]


def test_an_implausible_correction_keeps_the_first_value_until_it_is_sure(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    kitchen.does("reading.temperature", temperature=m(67, "degC"))
    kitchen.does("correct", value=30.0)
    assert [reading.value.value for reading in kitchen.state.batches[0].readings] == [67]
    kitchen.does("yes")
    assert [reading.value.value for reading in kitchen.state.batches[0].readings] == [30]


def test_pause_holds_the_clock_and_resume_moves_it(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    end = kitchen.state.reminders["1:mash_end"].due
    kitchen.waits(10)
    kitchen.does("stage.pause")
    kitchen.now += timedelta(minutes=7)
    kitchen.does("stage.resume")
    assert kitchen.state.reminders["1:mash_end"].due == end + timedelta(minutes=7)


def test_cautions_come_once_per_batch(kitchen: Kitchen) -> None:
    kitchen.does("stage.next")
    first = kitchen.does("stage.next")
    kitchen.does("stage.back")
    again = kitchen.does("stage.next")
    assert cautions()["scald"] in first
    assert cautions()["scald"] not in again


def test_a_check_days_later_keeps_its_wall_clock_across_the_spring_change() -> None:
    # Source: IANA time zone database, Europe/Lisbon springs forward on 2026-03-29.
    lisbon = ZoneInfo("Europe/Lisbon")
    kitchen = Kitchen(datetime(2026, 3, 27, 14, 0, tzinfo=lisbon), State(zone="Europe/Lisbon"))
    kitchen.does("brew.start")
    kitchen.does("done.pitched")
    due = {each.name: each.due.astimezone(lisbon) for each in kitchen.state.reminders.values()}
    assert (due["first_night"].day, due["first_night"].hour) == (27, 20)
    assert due["temperature_2"].utcoffset() == timedelta(hours=1)
    assert (due["temperature_2"].day, due["temperature_2"].hour) == (29, 20)


def test_an_hour_is_an_hour_across_the_spring_change() -> None:
    lisbon = ZoneInfo("Europe/Lisbon")
    kitchen = Kitchen(datetime(2026, 3, 29, 0, 30, tzinfo=lisbon), State(zone="Europe/Lisbon"))
    kitchen.does("timer.start", duration_s=3600.0)
    assert next(iter(kitchen.state.reminders.values())).due == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)


def test_a_refused_sum_keeps_what_is_recorded(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    kitchen.does("done.bag_out")
    kitchen.does("reading.volume", volume=m(8, "litre"))
    before = kitchen.state.batches
    assert kitchen.does("ask.alcohol", original=m(1.010, "dimensionless"), final=m(1.050, "dimensionless"))
    assert kitchen.state.batches == before


def test_a_gravity_that_cannot_be_corrected_says_so(kitchen: Kitchen) -> None:
    kitchen.does("done.grain_in")
    hot = kitchen.does("reading.gravity", gravity=m(1.03, "dimensionless"), temperature=m(95, "degC"))
    assert "too hot to correct" in hot
    absurd = kitchen.does("reading.gravity", gravity=m(1.03, "dimensionless"), temperature=m(400, "degC"))
    assert "Nothing is recorded" in absurd
    assert len(kitchen.state.batches[0].readings) == 1


def test_control_characters_are_not_shown_again() -> None:
    assert "\x1b" not in step(EMPTY, Heard(text="blah \x1b[31m blah"), START).replies[0].text


def test_clock_set_back_is_said_and_nothing_is_lost(kitchen: Kitchen) -> None:
    outcome = step(kitchen.state, Heard(text=""), kitchen.now - timedelta(hours=1))
    assert "clock went back" in outcome.replies[0].text
    assert outcome.state.batches == kitchen.state.batches


def test_readings_go_to_the_batch_that_they_fit(kitchen: Kitchen) -> None:
    kitchen.does("done.pitched")
    kitchen.does("brew.start", name="porter")
    kitchen.does("done.grain_in")
    kitchen.does("reading.temperature", temperature=m(67, "degC"))
    assert "For amber ale" in kitchen.does("reading.temperature", temperature=m(19, "degC"))
    amber, porter = kitchen.state.batches
    assert [each.value.value for each in amber.readings] == [19]
    assert [each.value.value for each in porter.readings] == [67]
    assert kitchen.state.current == porter.id


def test_a_low_gravity_beside_a_mash_belongs_to_the_fermenter(kitchen: Kitchen) -> None:
    kitchen.does("done.pitched")
    kitchen.does("brew.start", name="porter")
    kitchen.does("recipe.grain", mass=m(1, "kilogram"), name="pale malt")
    kitchen.does("done.grain_in")
    assert "For amber ale" in kitchen.does("reading.gravity", gravity=m(1.012, "dimensionless"))
    assert not kitchen.state.batches[1].readings
    kitchen.does("reading.gravity", gravity=m(1.048, "dimensionless"))
    assert [each.value.value for each in kitchen.state.batches[1].readings] == [1.048]


def test_it_tells_what_it_understood() -> None:
    first = step(EMPTY, Heard(text="6.2 l and 98 degrees"), START)
    told = step(first.state, Heard(text="what did you understand?"), START).replies[0].text
    assert "reading, volume" in told
    assert "reading, temperature" in told


def test_unclear_batch_is_asked_once(kitchen: Kitchen) -> None:
    kitchen.does("done.pitched")
    kitchen.does("brew.start", name="porter")
    kitchen.does("done.pitched")
    assert "which batch" in kitchen.does("reading.gravity", gravity=m(1.012, "dimensionless"))
    assert not any(batch.readings for batch in kitchen.state.batches)
    assert "1.012" in kitchen.does("batch.switch", name="amber")
    assert [each.value.value for each in kitchen.state.batches[0].readings] == [1.012]
    kitchen.does("reading.temperature", temperature=m(19, "degC"))
    assert len(kitchen.state.batches[0].readings) == 2


def test_state_survives_json_and_equals_the_fold(kitchen: Kitchen) -> None:
    to_boil(kitchen)
    kitchen.waits(30)
    kitchen.does("undo")
    assert fold(EMPTY, kitchen.events) == kitchen.state
    assert State.model_validate_json(kitchen.state.model_dump_json()) == kitchen.state


def test_the_table_of_stages_is_whole() -> None:
    table = stages()
    for stage in table.values():
        assert stage.next in table
        assert all(key in cautions() for key in stage.caution)
    assert set(opened_by().values()) <= set(table)


MOVES = st.sampled_from(
    ["stage.next", "stage.back", "stage.skip", "stage.pause", "stage.resume", "undo", "done.hops", "done.boiling",
     "done.grain_in", "done.bag_out", "done.flame_out", "done.generic", "snooze", "timer.cancel_all", "ask.next", "yes"]
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(MOVES, st.integers(0, 40)), max_size=12))
def test_any_order_of_moves_leaves_a_legal_state_equal_to_its_fold(moves: list[tuple[str, int]]) -> None:
    kitchen = Kitchen()
    kitchen.does("brew.start", volume=m(8, "litre"))
    kitchen.does("recipe.hop", mass=m(12, "gram"), name="Fuggle", duration_s=1800.0)
    for move, minutes in moves:
        kitchen.does(move)
        kitchen.waits(minutes)
    assert fold(EMPTY, kitchen.events) == kitchen.state
    assert all(batch.stage in stages() for batch in kitchen.state.batches)
    assert all(reminder.due >= kitchen.now for reminder in kitchen.state.reminders.values())


def test_a_question_about_the_trade_is_answered_and_its_source_told() -> None:
    outcome = step(EMPTY, Heard(text="can I squeeze the bag?"), START)
    assert "squeeze" in outcome.replies[0].text
    why = step(outcome.state, Heard(text="why?"), START)
    assert "no source" in why.replies[0].text

