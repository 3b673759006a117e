"""What brewing draws from the shelf, and what lies there again when an amount is put right."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.conversations.weeks import Chat

RECIPE = "recipe: Old bitter; 8 litres; 1.6 kg pale malt; 20 g fuggle 5% at 60; dry ale yeast; mash at 66"


def boiling() -> Chat:
    """Everything in stock, and the boil begun."""
    chat = Chat()
    chat.says("bought 2 kg pale malt for 5", "bought 50 g fuggle 5% for 5.00", "bought a sachet of ale yeast for 3.30", RECIPE)
    chat.says("grain is in", "bag out", "9.8 l, 1.035 at 20 C", "it's boiling")
    return chat


def left(chat: Chat, name: str) -> float:
    return sum(item.left.in_unit("gram") for item in chat.state.stock if item.name == name)


def used(chat: Chat, name: str) -> tuple[float, Decimal]:
    rows = [row for row in chat.batch.used if row.name == name]
    return sum(row.amount.in_unit("gram") for row in rows), sum((Decimal(row.cost or "0") for row in rows), Decimal(0))


@pytest.mark.parametrize(("grams", "cost"), [("25 g", "2.50"), ("12 g", "1.20")])
def test_an_amount_put_right_is_put_right_on_the_shelf_and_in_the_cost(grams: str, cost: str) -> None:
    chat = boiling()
    chat.says("hops in")
    chat.says(f"no, {grams}")
    mass = float(grams.removesuffix(" g"))
    assert left(chat, "fuggle") == pytest.approx(50 - mass)
    # Source: 5.00 for 50 g.
    assert used(chat, "fuggle")[0] == pytest.approx(mass)
    assert used(chat, "fuggle")[1] == pytest.approx(Decimal(cost))
    chat.says("undo")
    assert left(chat, "fuggle") == pytest.approx(30)


@pytest.mark.parametrize("pitched", [3.0, 9.0])
def test_yeast_that_was_weighed_is_what_left_the_shelf(pitched: float) -> None:
    chat = boiling()
    chat.says("hops in", "flame out", "chilled", "8 l, 1.041 at 20 C", "transferred", "yeast is in")
    chat.says(f"pitched {pitched:g} g of the yeast")
    assert left(chat, "ale yeast") == pytest.approx(11 - pitched)
    # Source: 3.30 for 11 g.
    assert float(used(chat, "ale yeast")[1]) == pytest.approx(0.3 * pitched, abs=0.005)


def test_what_is_told_behind_a_purchase_is_of_that_purchase() -> None:
    chat = Chat()
    chat.says("bought 50 g fuggle 5% for 2.50")
    chat.says("bought 50 g fuggle 4% for 3, the fuggle are from 2024")
    packed = {item.alpha_percent: item.packed for item in chat.state.stock}
    assert packed[5] is None
    assert packed[4] is not None


def test_old_yeast_is_weighed_out_by_its_age_and_drawn_so() -> None:
    chat = Chat()
    chat.says("bought a sachet of ale yeast for 3.30", "the ale yeast is two years old", RECIPE)
    chat.says("grain is in", "bag out", "9.8 l", "1.035 at 20 C", "it's boiling")
    chat.waits(60 / 1440)
    chat.says("flame out", "chilled", "7.2 l")
    said = chat.says("transferred")
    # Source: 9.63 l cold at 1.035 hold 337 points; what goes over of 7.5 l is at 1.045. 0.6 g a litre is usual (4.3 g), by 0.92.
    assert "4.7 g dry yeast (92% alive) for 7.2 l at 1.045" in said
    assert "4.7 g" in chat.says("how much yeast")
    chat.says("yeast is in")
    assert left(chat, "ale yeast") == pytest.approx(11 - 4.7, abs=0.06)


def test_the_yeast_of_the_recipe_is_what_is_in_hand() -> None:
    chat = Chat()
    chat.says("bought a sachet of wheat beer yeast for 3.30", "half a sachet of lager yeast left", RECIPE.replace("dry ale yeast", "dry lager yeast"))
    # Source: eight litres of lager want more than half a sachet, whatever else is there.
    assert "5.5 g of yeast is little" in chat.says("plan")
