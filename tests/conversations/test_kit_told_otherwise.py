"""The kit as people tell it who did not read how: found by playing issue 6 by hand, each a wrong record or no answer before."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from conversations.session.events import Heard
from conversations.session.fold import EMPTY
from conversations.session.kit_values import boils_at, origin, true_temperature
from conversations.session.state import Kit, State
from conversations.session.step import step
from conversations.session.water_report import read

START = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)


class Chat:
    def __init__(self, *said: str) -> None:
        self.state: State = EMPTY
        self.now = START
        for text in said:
            self.says(text)

    def says(self, text: str, photo: str = "") -> str:
        self.now += timedelta(seconds=20)
        outcome = step(self.state, Heard(text=text, photo=photo), self.now)
        self.state = outcome.state
        return "\n".join(reply.text for reply in outcome.replies)

    @property
    def kit(self) -> Kit:
        return self.state.kit

    def mash(self) -> float:
        """What 67 degC shown really is."""
        from calc.units import quantity

        return float(true_temperature(quantity(67.0, "degC"), self.kit).to("degC").magnitude)


@pytest.mark.parametrize("pot", ["enamel pot", "cast iron pot", "copper kettle", "my pot is aluminium", "it's stainless"])
def test_a_plan_stands_whatever_the_pot_is_made_of(pot: str) -> None:
    chat = Chat(pot, "recipe: 1.6 kg pale malt, 12 g Fuggle 5% at 60, 8 litres")
    assert "kW reaches the pot" in chat.says("it takes 25 minutes to boil 8 litres")
    assert "before the boil" in chat.says("plan")
    assert "°C" in chat.says("strike temperature")


@pytest.mark.parametrize(
    ("text", "metres"),
    [("we're at 800 metres", 800.0), ("I'm at 1500 feet", 457.2), ("our house is at 450 metres", 450.0)],
)
def test_where_the_kitchen_lies(text: str, metres: float) -> None:
    chat = Chat(text)
    assert chat.kit.altitude is not None
    assert chat.kit.altitude.in_unit("metre") == pytest.approx(metres)


@pytest.mark.parametrize("text", ["at what temperature does water boil here", "where does water boil for me", "what's the boiling point at my altitude"])
def test_where_water_boils_is_answered_with_what_it_hangs_on(text: str) -> None:
    assert "sea level assumed" in Chat().says(text)
    assert "97.3 °C" in Chat("altitude 800 m").says(text)


def test_a_boiling_point_asked_of_another_place_records_nothing() -> None:
    chat = Chat()
    assert "96" in chat.says("boiling point at 1200 m")
    assert origin(chat.kit, "altitude") == "assumed"


def test_a_check_in_boiling_water_counts_by_the_altitude_told_after_it() -> None:
    chat = Chat("check my thermometer", "0.8")
    assert "Sea level" in chat.says("97.9")
    assert "counts by that now" in chat.says("we're at 800 metres")
    told_before = Chat("altitude 800 m", "ice water 0.8", "boiling water 97.9")
    assert chat.mash() == pytest.approx(told_before.mash(), abs=0.01)
    assert float(boils_at(chat.kit).magnitude) == pytest.approx(97.3, abs=0.05)


def test_ice_is_followed_by_boiling_water_without_another_word() -> None:
    chat = Chat("check my thermometer", "0.8")
    chat.says("99.4")
    assert chat.kit.thermometer_boiling is not None
    assert chat.kit.thermometer_boiling.value == 99.4


@pytest.mark.parametrize(
    ("said", "mash"),
    [
        (("my thermometer reads 2 degrees too high",), 65.0),
        (("thermometer reads half a degree low",), 67.5),
        (("my thermometer is off by 2 degrees", "too high"), 65.0),
        (("the thermometer is 1 degree out", "low"), 68.0),
        (("us units", "my thermometer reads 3.6 degrees too high"), 65.0),
    ],
)
def test_a_thermometer_that_is_off_by_so_much(said: tuple[str, ...], mash: float) -> None:
    chat = Chat("brew 8 litres of mild", *said)
    assert chat.mash() == pytest.approx(mash, abs=0.01)
    assert not chat.state.batches[0].readings


def test_off_by_without_a_direction_changes_nothing() -> None:
    chat = Chat("brew 8 litres of mild")
    before = chat.kit
    assert "too high or too low" in chat.says("my thermometer is off by 2 degrees")
    assert chat.kit == before
    chat.says("my thermometer reads 67 C")
    assert chat.kit == before


@pytest.mark.parametrize("text", ["24 cm by 20 cm pot", "pot 24x20", "my pot is 24 by 20 cm", "pot diameter 24, height 20"])
def test_both_sizes_of_a_pot_at_once(text: str) -> None:
    chat = Chat(text)
    assert chat.kit.pot_diameter.in_unit("centimetre") == pytest.approx(24)
    assert chat.kit.pot_height is not None
    assert chat.kit.pot_height.in_unit("centimetre") == pytest.approx(20)


@pytest.mark.parametrize("text", ["pot 20 cm at the bottom and 26 cm at the top", "24 cm bottom 28 cm top 22 cm high", "my pot widens towards the top"])
def test_a_pot_that_widens_is_measured_by_marks(text: str) -> None:
    chat = Chat()
    assert "Pour in" in chat.says(text)
    assert chat.kit == Kit()
    chat.says("3.1 cm")
    assert len(chat.kit.marks) == 1


def test_a_pot_by_its_girth() -> None:
    assert Chat("pot circumference is 80 cm").kit.pot_diameter.in_unit("centimetre") == pytest.approx(25.46, abs=0.06)


def test_several_fermenters_hold_together() -> None:
    chat = Chat("two demijohns of 4.5 litres")
    assert chat.kit.fermenter_volume is not None
    assert chat.kit.fermenter_volume.in_unit("litre") == pytest.approx(9)
    assert not chat.kit.bottles


def test_a_label_does_not_replace_a_measured_time() -> None:
    chat = Chat("it takes 25 minutes to boil 8 litres")
    timed = chat.kit.hob_power
    assert "I keep" in chat.says("my hob is 2 kW")
    assert chat.kit.hob_power == timed
    chat.says("new hob, 2 kW")
    assert chat.kit.hob_power is not None
    assert chat.kit.hob_power.value == 1300
    chat.says("my hob is 1 kW")
    assert chat.kit.hob_power.value == 650


def test_a_hob_without_a_figure_asks_for_one() -> None:
    chat = Chat()
    assert "25 minutes" in chat.says("I cook on gas")
    assert chat.kit == Kit()


def test_a_boil_off_that_nobody_measured_is_within_what_the_hob_can() -> None:
    chat = Chat("it takes 60 minutes to boil 3 litres")
    assert chat.kit.boil_off.in_unit("litre / hour") == pytest.approx(0.52, abs=0.02)
    assert origin(chat.kit, "boil_off") == "assumed"
    chat.says("forget the hob")
    assert chat.kit.hob_power is None
    assert chat.kit.boil_off == Kit().boil_off
    assert Chat("boil off 2 litres per hour", "it takes 60 minutes to boil 3 litres").kit.boil_off.value == 2


def test_gallons_of_a_metric_kitchen_say_which() -> None:
    assert "2 imperial gallons" in Chat().says("pot holds 2 gallons")


def test_a_capacity_that_its_sizes_contradict_is_said() -> None:
    assert "which holds?" in Chat("pot holds 12 litres").says("pot is 24 cm across and 20 cm high")


def test_every_line_of_the_kit_says_where_it_comes_from() -> None:
    chat = Chat("altitude 800 m", "use imperial units", "hydrometer reads 1.002 in water")
    rows = chat.says("show me everything about my kit").splitlines()[1:]
    assert len(rows) > 15
    assert all(row.endswith(("(assumed)", "(told)", "(learned)")) for row in rows)
    assert any(row.startswith("units") and row.endswith("(told)") for row in rows)
    assert any("+0.002" in row for row in rows)


def test_a_kit_is_taken_with_the_brew_and_removed() -> None:
    chat = Chat("new kit called big pot", "pot is 32 cm across", "use kit kit")
    chat.says("brew 20 litres of stout in the big pot")
    assert chat.kit.name == "big pot"
    chat.says("delete the big pot")
    assert chat.kit.name == "big pot"
    chat.says("use kit kit")
    chat.says("remove kit big pot")
    assert not chat.state.kits
    chat.says("undo")
    assert [kit.name for kit in chat.state.kits] == ["big pot"]


@pytest.mark.parametrize("text", ["where is 5 litres on the stick", "how deep is 5 litres", "what depth is 5 litres", "how many cm is 5 litres"])
def test_the_depth_of_a_volume(text: str) -> None:
    assert "11.1 cm" in Chat().says(text)
    assert "assumed" not in Chat("pot is 26 cm across").says(text)


@pytest.mark.parametrize(
    ("text", "ions"),
    [
        ("the water report says Ca 95 mg/l Mg 4 Na 9 Cl 16 SO4 32 HCO3 270", (95, 4, 9, 16, 32, 270)),
        ("Calcium (Ca)\t95\tmg/l\nMagnesium (Mg)\t4\tmg/l\nSodium\t9\nChloride\t16\nSulphate\t32\nHCO3\t270\nNitrate\t12\npH\t7.4", (95, 4, 9, 16, 32, 270)),
        ("our water has 95 mg/l calcium, 4 magnesium, 9 sodium, 16 chloride, 32 sulphate and 270 bicarbonate", (95, 4, 9, 16, 32, 270)),
        ("Ca 82,5 mg/l; K 2,3 mg/l; Mg 11 mg/l; Na 21 mg/l; Cl 33 mg/l; SO4 40 mg/l; HCO3 275 mg/l; NO3 12 mg/l", (82.5, 11, 21, 33, 40, 275)),
    ],
)
def test_a_report_on_the_water_as_it_is_pasted(text: str, ions: tuple[float, ...]) -> None:
    chat = Chat()
    assert chat.says(text).count("The report is complete") == 1
    water = chat.kit.water
    assert (water.calcium, water.magnesium, water.sodium, water.chloride, water.sulphate, water.bicarbonate) == pytest.approx(ions)


@pytest.mark.parametrize(
    ("text", "bicarbonate"),
    [("alkalinity is 3.2 mmol/l", 195.3), ("carbonate hardness 12 dH", 261.1), ("alkalinity 160 mg/l CaCO3", 195.1), ("alkalinity 3.2 meq/l", 195.3)],
)
def test_alkalinity_in_any_unit(text: str, bicarbonate: float) -> None:
    water = Chat(text).kit.water
    assert water.bicarbonate == pytest.approx(bicarbonate, abs=0.3)


def test_hardness_alone_is_explained_and_not_recorded() -> None:
    chat = Chat()
    assert "2.7 mmol/l" in chat.says("water hardness 15 dH")
    assert chat.kit == Kit()


@pytest.mark.parametrize("text", ["water report", "the water report is here"])
def test_naming_a_report_does_not_wipe_what_is_known(text: str) -> None:
    chat = Chat("calcium 60, bicarbonate 180")
    chat.says(text)
    chat.says(text, photo="photos/report.jpg")
    assert chat.kit.water.calcium == 60


@pytest.mark.parametrize("text", ["temperature 66 C, gravity 1.045, volume 8 l", "10 g calcium chloride", "hops in, 98 degrees, six litres", "2 g gypsum, 1 g calcium chloride and 5 g magnesium sulphate"])
def test_what_is_no_report(text: str) -> None:
    assert Chat(text).kit.water == Kit().water


def test_figures_of_a_report_in_their_order() -> None:
    assert [(row.name, row.value, row.unit) for row in read("total hardness 14,1 °dH, Ca 82")] == [("hardness", 14.1, "German degree"), ("calcium", 82.0, "mg/l")]


@pytest.mark.parametrize("caption", ["recipe", "here's the recipe", "can you read this recipe?", "the label"])
def test_a_picture_of_writing_says_that_it_cannot_be_read(caption: str) -> None:
    chat = Chat("recipe: 1.6 kg pale malt, 12 g Fuggle 5% at 60, 8 litres")
    said = chat.says(caption, photo="photos/x.jpg")
    assert "cannot read" in said
    assert "pale malt" not in said
    assert len(chat.state.batches[0].photos) == 1


def test_a_stick_says_from_where_on_it_is_a_guess() -> None:
    chat = Chat("mark my stick", "3.1", "5.4", "7.6", "stick is done")
    assert "Above 6.0 l" in chat.says("print my stick")
    assert "Above" not in Chat("pot is 24 cm across").says("print my stick")


def test_a_depth_of_a_marking_that_leaps_is_doubted_and_a_slip_put_right() -> None:
    chat = Chat("mark my stick every 1 litre", "2.2", "4.3")
    assert "Nothing is changed" in chat.says("64")
    assert len(chat.kit.marks) == 2
    chat.says("6.6")
    assert "put right" in chat.says("oops, 6.4")
    chat.says("8.5")
    assert [mark[0].value for mark in chat.kit.marks] == [2.2, 4.3, 6.4, 8.5]
    assert [mark[1].value for mark in chat.kit.marks] == [1, 2, 3, 4]
