"""The kit told in conversation: what is kept, where it comes from, what is refused, and that undo gives it back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from conversations.session.events import Heard
from conversations.session.fold import EMPTY
from conversations.session.kit_values import boils_at, origin, true_temperature
from conversations.session.state import State
from conversations.session.step import step

START = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


class Chat:
    """A chat in plain words."""

    def __init__(self) -> None:
        self.state: State = EMPTY
        self.now = START

    def says(self, text: str) -> str:
        self.now += timedelta(seconds=20)
        outcome = step(self.state, Heard(text=text), self.now)
        self.state = outcome.state
        return "\n".join(reply.text for reply in outcome.replies)


@pytest.fixture
def chat() -> Chat:
    return Chat()


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("my pot is 28 cm across", "pot_diameter", 28.0),
        ("pot is 11 inches across", "pot_diameter", 11.0),
        ("my pot is 25 cm high", "pot_height", 25.0),
        ("the pot holds 12 litres", "pot_capacity", 12.0),
        ("the fermenter holds 10 litres", "fermenter_volume", 10.0),
        ("I live at 1500 feet", "altitude", 1500.0),
        ("altitude 600 m", "altitude", 600.0),
        ("boil off 2.5 litres per hour", "boil_off", 2.5),
        ("hydrometer is calibrated at 15 C", "calibration", 15.0),
        ("0.4 litres stays behind in the pot", "dead_space", 0.4),
    ],
)
def test_a_value_told_is_kept_and_marked(chat: Chat, text: str, field: str, value: float) -> None:
    assert origin(chat.state.kit, field) == "assumed"
    chat.says(text)
    assert getattr(chat.state.kit, field).value == pytest.approx(value)
    assert origin(chat.state.kit, field) == "told"
    chat.says("undo")
    assert origin(chat.state.kit, field) == "assumed"


@pytest.mark.parametrize(
    "text", ["my pot is 3 cm across", "the pot holds 900 litres", "altitude 9000 m", "hob is 90 kW", "pot is 400 cm high"]
)
def test_what_no_kitchen_has_is_refused_and_nothing_changes(chat: Chat, text: str) -> None:
    before = chat.state.kit
    assert chat.says(text)
    assert chat.state.kit == before


def test_power_from_the_time_of_a_boil(chat: Chat) -> None:
    said = chat.says("it takes 25 minutes to boil 8 litres")
    # Common practice, no source: 4.19 kJ a litre and kelvin, the pot of 1.5 kg steel a few per cent more.
    assert chat.state.kit.hob_power is not None
    assert chat.state.kit.hob_power.in_unit("watt") == pytest.approx(8 * 4190 * 85 / 1500, rel=0.05)
    assert "kW reaches the pot" in said


def test_guided_check_corrects_what_comes_after(chat: Chat) -> None:
    chat.says("altitude 600 m")
    assert "ice" in chat.says("check my thermometer").lower()
    assert "0.8" in chat.says("0.8")
    chat.says("check boiling water")
    chat.says("98.5")
    kit = chat.state.kit
    assert true_temperature(kit.thermometer_boiling.quantity, kit).magnitude == pytest.approx(boils_at(kit).magnitude, abs=0.01)  # type: ignore[union-attr]
    chat.says("brew 8 litres of alder bitter")
    chat.says("1.6 kg pale malt")
    chat.says("grain is in")
    assert "your thermometer shows 67" in chat.says("67 C")
    reading = chat.state.batches[0].readings[-1]
    assert reading.value.value == 67
    assert reading.best.to("degC").magnitude == pytest.approx(66.4, abs=0.1)


def test_a_hopeless_thermometer_is_asked_about_again(chat: Chat) -> None:
    chat.says("check my thermometer")
    assert "Nothing changed" in chat.says("7")
    assert chat.state.kit.thermometer_ice is None
    chat.says("0.4")
    assert chat.state.kit.thermometer_ice is not None


def test_guided_marks(chat: Chat) -> None:
    chat.says("mark my stick")
    chat.says("6.3")
    said = chat.says("5 cm")
    assert "above" in said
    chat.says("12.5 cm")
    chat.says("stick is done")
    marks = [(depth.in_unit("cm"), volume.in_unit("litre")) for depth, volume in chat.state.kit.marks]
    assert marks == [(6.3, 2.0), (12.5, 4.0)]


def test_water_report(chat: Chat) -> None:
    said = chat.says("calcium 95, magnesium 6, sodium 12, chloride 20, sulphate 45, bicarbonate 260")
    assert "complete" in said
    assert chat.state.kit.water.sulphate == 45
    # Source: 1 mmol/l of charge is 50.04 mg/l as calcium carbonate and 61.02 mg/l of bicarbonate.
    chat.says("alkalinity 180 mg/l")
    assert chat.state.kit.water.bicarbonate == pytest.approx(180 * 61.017 / 50.043, abs=0.1)
    chat.says("calcium 9000")
    assert chat.state.kit.water.calcium == 95


def test_several_kits(chat: Chat) -> None:
    chat.says("my pot is 24 cm across")
    chat.says("altitude 600 m")
    chat.says("new kit called big pot")
    assert chat.state.kit.pot_diameter.value == 24
    assert origin(chat.state.kit, "pot_diameter") == "assumed"
    assert chat.state.kit.altitude is not None
    chat.says("a 36 cm pot")
    chat.says("use kit kit")
    assert chat.state.kit.pot_diameter.value == 24
    chat.says("use the big pot")
    assert chat.state.kit.pot_diameter.value == 36
    assert len(chat.state.kits) == 1
    chat.says("undo")
    assert chat.state.kit.name == "kit"


def test_every_value_says_where_it_is_from(chat: Chat) -> None:
    said = chat.says("my kit in full").splitlines()
    rows = [line for line in said if line.endswith(")")]
    assert len(rows) >= 15
    assert all(line.rsplit("(", 1)[1].rstrip(")") in ("assumed", "told", "learned") for line in rows)
    assert len(chat.says("what's my kit").splitlines()) <= 4


@pytest.mark.parametrize(
    ("text", "hours"),
    [("quiet from 10pm to 7am", ("22:00", "07:00")), ("quiet hours 22:30 to 06:45", ("22:30", "06:45")), ("quiet from 10 to 7", ("22:00", "07:00"))],
)
def test_quiet_hours(chat: Chat, text: str, hours: tuple[str, str]) -> None:
    chat.says(text)
    assert (chat.state.quiet_from, chat.state.quiet_to) == hours
