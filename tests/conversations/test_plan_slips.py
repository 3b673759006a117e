"""Slips of a fresh user while planning: prices, removals, questions and a full pot must not become wrong records."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from conversations.session.events import Heard
from conversations.session.fold import EMPTY
from conversations.session.state import Batch, State
from conversations.session.step import step

START = datetime(2026, 11, 20, 9, tzinfo=UTC)
PLAN = ("plan a 6 litre bitter", "1.2 kg pale malt", "300 g brown malt", "100 g crystal malt", "20 g fuggles at 60")


def talk(*lines: str) -> tuple[State, list[str]]:
    state, now, said = EMPTY, START, []
    for line in lines:
        now += timedelta(minutes=1)
        outcome = step(state, Heard(text=line), now)
        state = outcome.state
        said.append("\n".join(reply.text for reply in outcome.replies))
    return state, said


def batch(state: State) -> Batch:
    return next(each for each in state.batches if each.id == state.current)


def grist(state: State) -> dict[str, float]:
    return {name: round(mass.in_unit("gram")) for name, mass in batch(state).recipe.grains}


PLANNED = {"pale malt": 1200, "brown malt": 300, "crystal malt": 100}


@pytest.mark.parametrize("line", ["bought 100 g crystal 150 for 1.10", "bought 2 kg pale malt for 4.80 and 100 g crystal 150 for 1.10"])
def test_a_colour_belongs_to_the_name_and_a_price_is_no_gravity(line: str) -> None:
    state, said = talk(*PLAN, line, "what's in stock")
    assert "100 g crystal 150" in said[-1]
    assert "1.10" in said[-2]
    assert "1.100" not in said[-2]
    assert not batch(state).readings
    assert grist(state) == PLANNED


def test_a_price_without_a_place_is_no_gravity() -> None:
    state, said = talk(*PLAN, "bought 100 g unobtainium dust for 1.10")
    assert not batch(state).readings
    assert "1.100" not in said[-1]


def test_the_colour_is_kept_in_a_recipe_line() -> None:
    state, _ = talk(*PLAN, "200 g crystal 150")
    assert grist(state)["crystal 150"] == 200


@pytest.mark.parametrize("line", ['take out the "malt"', 'no, 200 g brown malt please, and take out the "malt"', "drop the malt"])
def test_a_word_that_several_share_is_asked_about(line: str) -> None:
    state, said = talk(*PLAN, line)
    assert "pale malt" in grist(state)
    assert "crystal malt" in grist(state)
    assert "which" in said[-1]


def test_a_word_that_fits_one_takes_that_out() -> None:
    state, _ = talk(*PLAN, "take out the crystal")
    assert grist(state) == {"pale malt": 1200, "brown malt": 300}


def test_the_one_that_is_called_just_that_is_meant() -> None:
    state, _ = talk(*PLAN, "add 100 g malt", 'take out the "malt"')
    assert grist(state) == PLANNED


@pytest.mark.parametrize(
    ("line", "left"),
    [
        ("drop the brown malt a bit, say 100 g", 100),
        ("remove 50 g of brown malt", 250),
        ("drop the brown malt a bit", 300),
        ("remove 400 g of brown malt", 300),
    ],
)
def test_less_of_it_is_less_of_it(line: str, left: int) -> None:
    state, _ = talk(*PLAN, line)
    assert grist(state) == {**PLANNED, "brown malt": left}


@pytest.mark.parametrize("line", ["remove the 100 g malt", "remove the 300 g brown malt", "please take out 70 g of that dusty malt"])
def test_words_of_removal_never_add(line: str) -> None:
    state, _ = talk(*PLAN, line)
    assert sum(grist(state).values()) <= sum(PLANNED.values())


MASHED = ("plan a 6 litre bitter", "2.5 kg pale malt", "20 g fuggle at 60")


def test_no_water_is_added_to_a_full_pot() -> None:
    state, said = talk("my pot is 11 litres", *MASHED, "mashed in", "mash 63")
    assert "Stir in" not in said[-1]
    assert "does not fit" in said[-1]
    assert "heat gently" in said[-1]
    assert "Take out" in said[-1]
    assert batch(state).readings


@pytest.mark.parametrize("pot", ["my pot is 30 litres", "pale malt is fine"])
def test_water_is_added_where_it_fits_or_the_pot_is_not_known(pot: str) -> None:
    assert "Stir in" in talk(pot, *MASHED, "mashed in", "mash 63")[1][-1]


@pytest.mark.parametrize("line", ["top up with a litre of cold water after the boil, would that let me make 7?", "can I make it stronger?"])
def test_what_is_only_asked_changes_nothing(line: str) -> None:
    before, after = talk(*PLAN)[0], talk(*PLAN, line)[0]
    assert batch(after).recipe == batch(before).recipe


def test_an_order_to_top_up_is_still_taken() -> None:
    state, _ = talk(*PLAN, "top up with a litre of cold water after the boil")
    assert batch(state).recipe.late_water is not None


def test_a_size_that_the_grain_cannot_reach_is_said_in_plain_words() -> None:
    state, said = talk("recipe: bitter, 6 litres, og 1.045, 1.3 kg pale malt, 100 g crystal malt, 20 g fuggles 5% at 60", "drop the pale malt", "make it 7 litres")
    assert "dimensionless" not in said[-1]
    assert "Nothing is changed" in said[-1]
    assert batch(state).recipe.volume is not None
    assert batch(state).recipe.volume.in_unit("litre") == 6


def test_what_cannot_be_kept_is_not_told_as_done() -> None:
    state, said = talk("recipe: bitter, 6 litres, og 1.045, 1.3 kg pale malt, 10 g crystal malt, 20 g fuggles 5% at 60", "drop the pale malt")
    assert "pale malt" in grist(state)
    assert "No pale malt" not in said[-1]
    assert "Nothing is changed" in said[-1]
    assert "dimensionless" not in said[-1]


def test_a_question_offers_the_order() -> None:
    _, said = talk(*PLAN, "can I make it stronger?")
    assert "nothing is changed" in said[-1]
    assert "make it stronger" in said[-1]


def test_a_swap_of_what_several_share_is_asked_about() -> None:
    state, said = talk(*PLAN, "swap the malt for wheat malt")
    assert grist(state) == PLANNED
    assert "which" in said[-1]
