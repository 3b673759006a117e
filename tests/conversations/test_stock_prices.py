"""A price for an amount is no amount: what was bought is asked, or the price of all of it is worked out."""

from __future__ import annotations

import pytest

from tests.conversations.weeks import Chat


@pytest.mark.parametrize(
    "said",
    ["bought wheat malt £3 a kilo", "bought wheat malt at 3 pounds a kilo", "paid £3 a kilo for wheat malt", "bought some wheat malt, £3 per kilo", "bought wheat malt £3/kg", "I picked up wheat malt at £3 a kg"],
)
def test_without_an_amount_it_is_asked_and_then_kept(said: str) -> None:
    chat = Chat()
    assert "How much wheat malt, at £3.00 a kilogram?" in chat.says(said)
    assert not chat.state.stock
    chat.says("2 kg")
    (item,) = chat.state.stock
    # By hand: 2 kg at 3 a kilogram.
    assert (item.name, item.left.in_unit("kilogram"), float(item.price or 0)) == ("wheat malt", 2.0, 6.0)


def test_another_message_leaves_the_question() -> None:
    chat = Chat()
    chat.says("brew 5 litres of Stair bitter", "bought wheat malt £3 a kilo", "timer 10 minutes")
    assert (len(chat.state.timers), chat.state.stock) == (1, ())


@pytest.mark.parametrize(
    ("said", "mass_g", "price"),
    [
        ("bought 2 kg wheat malt £3 a kilo", 2000, 6.0), ("bought 50 g fuggles £4 per 100 g", 50, 2.0), ("bought 500 g sugar at 90p a kilo", 500, 0.45),
        ("paid £3 a kilo for 2 kg wheat malt", 2000, 6.0), ("bought a kilo of wheat malt for £3", 1000, 3.0), ("bought 3 pounds of pale malt for 3 pounds", 1360.8, 3.0),
        ("bought 100 g cascade at £3 an ounce", 100, 10.58),
    ],
)  # fmt: skip
def test_with_an_amount_the_price_is_of_all_of_it(said: str, mass_g: float, price: float) -> None:
    chat = Chat()
    chat.says(said)
    (item,) = chat.state.stock
    assert item.left.in_unit("gram") == pytest.approx(mass_g, abs=0.1)
    assert float(item.price or 0) == pytest.approx(price)
    assert not any(event.kind == "reading" for event in chat.events)


def test_a_price_told_later_counts_for_what_was_bought() -> None:
    chat = Chat()
    chat.says("bought 2 kg wheat malt", "wheat malt is £4 a kilo")
    assert float(chat.state.stock[0].price or 0) == 8.0


@pytest.mark.parametrize("said", ["pale malt is 3 quid a kilo at the shop", "they sell wheat malt at £3 a kilo", "wheat malt is £3 a kilo", "is wheat malt £3 a kilo?", "how much is wheat malt a kilo"])
def test_a_price_that_is_heard_of_puts_nothing_into_the_stock(said: str) -> None:
    chat = Chat()
    chat.says(said)
    assert not chat.state.stock
