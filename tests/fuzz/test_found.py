"""What the attacks found, each as the shortest input that showed it."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from bot.export.diary_file import as_json
from bot.export.restore import CannotRestore, read_bytes, state_of
from bot.store import Store
from bot.telegram.buttons import NOT_HERE, Buttons
from conversations.session.events import Heard
from conversations.session.fold import EMPTY
from conversations.session.state import State
from conversations.session.step import step
from conversations.understanding.words import MOST_PIECES
from tests.bot.played_days import whole_day

NOW = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


def after(*texts: str) -> tuple[State, str]:
    state, said = EMPTY, ""
    for text in texts:
        out = step(state, Heard(text=text), NOW)
        state, said = out.state, "\n".join(reply.text for reply in out.replies)
    return state, said


def test_a_second_amount_without_a_name_is_of_the_same_hop() -> None:
    state, _ = after("10 g goldings at 60 and 5 g at 10")
    assert [(hop.name, hop.mass.value, hop.boil_minutes) for hop in state.batches[0].recipe.hops] == [
        ("goldings", 10, 60),
        ("goldings", 5, 10),
    ]


def test_an_amount_without_any_hop_is_asked_about() -> None:
    state, said = after("brew 5 litres of ale", "5 g at 10")
    assert "Which hop" in said
    assert state.batches[0].recipe.hops == ()


def test_one_line_of_hundreds_of_ingredients_is_refused() -> None:
    state, said = after("x;" * 400)
    assert "too much at once" in said
    assert state.batches == ()


def test_more_than_a_page_is_refused_whole() -> None:
    state, said = after("gravity 1.050, " * (MOST_PIECES // 3 + 1))
    assert said.startswith("That is too much at once")
    assert state.batches == ()
    assert state.undo == ()


def test_a_long_note_is_kept() -> None:
    state, _ = after("brew 5 litres of ale", "note: " + "a b " * 400)
    assert state.batches[0].notes[0].startswith("a b a b")


def changed(**data: Any) -> bytes:
    diary = json.loads(as_json(whole_day()))
    diary["entries"].append({"events": [{"kind": "note", "at": "2026-03-14T09:30:00+00:00", "batch": None, "data": data}]})
    return json.dumps(diary).encode()


@pytest.mark.parametrize("unit", ["9**9**9**9", "gram**-1", "1/0", "a" * 40, "gram-litre", "os.system"])
def test_no_sum_is_worked_out_in_place_of_a_unit(unit: str) -> None:
    with pytest.raises(CannotRestore, match="unit"):
        read_bytes(changed(text="x", amount={"value": 1.0, "unit": unit}))


@pytest.mark.parametrize("at", ["9999-12-31T23:59:59-23:59", "0001-01-01T00:00:00+23:59"])
def test_a_time_that_no_zone_can_show_is_refused(at: str) -> None:
    diary = json.loads(as_json(whole_day()))
    diary["entries"][-1]["events"][-1]["at"] = at
    with pytest.raises(CannotRestore):
        state_of(read_bytes(json.dumps(diary).encode()))


def test_half_a_letter_in_a_button_is_refused(tmp_path: Path) -> None:
    assert Buttons(Store.open(tmp_path / "d.db")).read("1.0.\ud800", "telegram:1", "telegram:1") == NOT_HERE


@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("stage_entered", {"stage": "where are we"}),
        ("reading", {"reading": {"id": 99, "kind": "gravity", "stage": "ferment", "at": NOW.isoformat(), "value": {"value": 4514.9, "unit": "dimensionless"}}}),
        ("reading", {"reading": {"id": 99, "kind": "gravity", "stage": "ferment", "at": NOW.isoformat(), "value": {"value": 1.05, "unit": "gram"}}}),
        ("reading", {"reading": {"id": 99, "kind": "gravity", "stage": "ferment", "at": NOW.isoformat(), "value": {"value": 1.05, "unit": "recipe"}}}),
        ("reading", {"reading": {"id": 99, "kind": "temperature", "stage": "ferment", "at": NOW.isoformat(), "value": {"value": -300, "unit": "degC"}}}),
    ],
)  # fmt: skip
def test_what_no_message_could_have_said_is_not_restored(kind: str, data: dict[str, Any]) -> None:
    diary = json.loads(as_json(whole_day()))
    batch = whole_day().state.batches[0].id
    diary["entries"].append({"events": [{"kind": kind, "at": "2026-04-01T09:30:00+00:00", "batch": batch, "data": data}]})
    with pytest.raises(CannotRestore, match="do not make a whole"):
        state_of(read_bytes(json.dumps(diary).encode()))
