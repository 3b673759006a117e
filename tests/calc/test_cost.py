"""Properties of money."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import cost
from calc.errors import OutOfRange
from calc.units import quantity

MONEY = st.decimals(0, 500, places=2)
GRAMS = st.integers(1, 25_000)


@given(MONEY, GRAMS, st.lists(st.integers(1, 100), min_size=1, max_size=5))
def test_parts_of_a_package_add_up_to_its_price(price: Decimal, package_g: int, shares: list[int]) -> None:
    whole = sum(shares)
    parts = [
        cost.cost_of_part(price, quantity(package_g * whole, "gram"), quantity(package_g * share, "gram"))
        for share in shares
    ]
    assert abs(sum(parts, Decimal(0)) - price) <= Decimal("1e-9")


@given(MONEY, GRAMS, GRAMS)
def test_used_and_left_over_add_up_to_packages(price: Decimal, package_g: int, used_g: int) -> None:
    bought = [cost.Purchase(price, quantity(package_g, "gram"), quantity(used_g, "gram"))]
    packages = -(-used_g // package_g)
    total = cost.batch_cost(bought) + cost.left_over_value(bought)
    assert abs(total - packages * price) <= Decimal("1e-9") * max(1, packages)


@given(MONEY, st.floats(1, 100), st.floats(0.1, 3))
def test_bottles_share_the_batch(batch: Decimal, volume_l: float, bottle_l: float) -> None:
    one = cost.cost_per_bottle(batch, quantity(volume_l, "litre"), quantity(bottle_l, "litre"))
    assert float(one) * volume_l / bottle_l == pytest.approx(float(batch), rel=1e-9)


@given(MONEY, st.floats(1, 100))
def test_an_imperial_pint_is_a_fifth_more(batch: Decimal, volume_l: float) -> None:
    volume = quantity(volume_l, "litre")
    if batch:
        ratio = cost.cost_per_pint(batch, volume) / cost.cost_per_pint(batch, volume, "US_pint")
        assert float(ratio) == pytest.approx(1.20095, abs=1e-4)


@given(st.decimals(0, 1000, places=5))
def test_rounding_moves_by_half_a_penny_at_most(amount: Decimal) -> None:
    shown = cost.rounded(amount)
    assert abs(shown - amount) <= Decimal("0.005")
    assert shown.as_tuple().exponent == -2


def test_units_may_differ() -> None:
    by_ounce = cost.cost_of_part(Decimal("3.95"), quantity(100, "gram"), quantity(1, "ounce"))
    assert cost.rounded(by_ounce, 4) == Decimal("1.1198")


@pytest.mark.parametrize(
    ("price", "package", "used", "argument"),
    [
        (Decimal(-1), quantity(1, "kg"), quantity(1, "gram"), "price"),
        (Decimal("NaN"), quantity(1, "kg"), quantity(1, "gram"), "price"),
        (2.5, quantity(1, "kg"), quantity(1, "gram"), "price"),
        (Decimal(1), quantity(0, "kg"), quantity(1, "gram"), "package"),
        (Decimal(1), quantity(1, "kg"), quantity(1, "litre"), "used"),
    ],
)
def test_errors_name_the_argument(price: object, package: object, used: object, argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        cost.cost_of_part(price, package, used)  # type: ignore[arg-type]
    assert caught.value.argument == argument
