"""Stable, falling, rising or not known: by hand-made readings and by properties."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import OutOfRange
from calc.finish import is_stable, is_stuck
from calc.units import Quantity, quantity


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def readings(*points: tuple[float, float]) -> list[tuple[Quantity, Quantity]]:
    return [(quantity(day, "day"), sg(gravity)) for day, gravity in points]


@pytest.mark.parametrize(
    ("points", "resolution", "verdict", "reason"),
    [
        ([], 0.001, "unknown", "too_few_readings"),
        ([(9, 1.010)], 0.001, "unknown", "too_few_readings"),
        ([(9, 1.010), (11, 1.010)], 0.001, "stable", "no_change"),
        ([(9, 1.010), (20, 1.010)], 0.001, "stable", "no_change"),
        ([(0, 1.050), (10, 1.010)], 0.001, "unknown", "too_short"),
        ([(9, 1.010), (10.5, 1.010)], 0.001, "unknown", "too_short"),
        ([(9, 1.010), (11, 1.009)], 0.001, "unknown", "within_resolution"),
        ([(9, 1.010), (13, 1.009)], 0.001, "stable", "no_change"),
        ([(9, 1.010), (11, 1.008)], 0.001, "falling", "still_falling"),
        ([(5, 1.020), (6, 1.015), (7, 1.013), (8, 1.012)], 0.001, "falling", "still_falling"),
        ([(9, 1.014), (9.5, 1.011)], 0.001, "falling", "still_falling"),
        ([(9, 1.010), (11, 1.013)], 0.001, "rising", "rising"),
        # A coarse scale proves less: two days are too short for it.
        ([(9, 1.010), (11, 1.010)], 0.002, "unknown", "within_resolution"),
        ([(9, 1.010), (13, 1.010)], 0.002, "stable", "no_change"),
        # A reading in between that does not fit spoils the comparison.
        ([(9, 1.010), (10, 1.014), (11, 1.010)], 0.001, "falling", "still_falling"),
        # Wort before fermentation starts is constant as well.
        ([(0, 1.050), (2, 1.050)], 0.001, "unknown", "no_fall_seen"),
        ([(0, 1.050), (6, 1.022), (8, 1.022)], 0.001, "stable", "no_change"),
    ],
)
def test_verdicts(points: list[tuple[float, float]], resolution: float, verdict: str, reason: str) -> None:
    answer = is_stable(readings(*points), resolution)
    assert (answer.verdict, answer.reason) == (verdict, reason)
    assert answer.stable == (verdict == "stable")


def test_original_gravity_tells_a_strong_beer_from_wort() -> None:
    points = readings((10, 1.024), (13, 1.024))
    assert is_stable(points).reason == "no_fall_seen"
    assert is_stable(points, original_gravity=sg(1.090)).stable
    assert not is_stable(points, original_gravity=sg(1.026)).stable


GRAVITIES = st.integers(990, 1060).map(lambda n: n / 1000)
POINTS = st.lists(st.tuples(st.floats(0, 30), GRAVITIES), max_size=8)


@given(POINTS)
def test_stable_means_two_days_and_one_division(points: list[tuple[float, float]]) -> None:
    answer = is_stable(readings(*points))
    if answer.stable:
        assert answer.span is not None
        assert answer.change is not None
        assert answer.fall_ahead is not None
        assert answer.span.magnitude >= 2 - 1e-6
        assert abs(answer.change.magnitude) <= 0.001 + 1e-6
        assert answer.fall_ahead.magnitude < 0.002


@given(POINTS)
def test_order_of_the_readings_does_not_matter(points: list[tuple[float, float]]) -> None:
    assert is_stable(readings(*points)) == is_stable(readings(*reversed(points)))


@given(POINTS, st.floats(0.003, 0.02))
def test_a_further_drop_is_never_stable(points: list[tuple[float, float]], drop: float) -> None:
    last_day, last = max(points, default=(0.0, 1.010))
    lower = max(0.981, last - drop)
    assert not is_stable(readings(*points, (last_day, last), (last_day + 2, lower))).stable


def test_stuck_is_stable_and_too_high() -> None:
    og, least = sg(1.050), quantity(72, "percent")
    assert is_stuck(readings((0, 1.050), (7, 1.024), (10, 1.024)), og, least)
    assert is_stuck(readings((3, 1.046), (6, 1.046)), og, least)
    assert not is_stuck(readings((7, 1.013), (10, 1.013)), og, least)
    assert not is_stuck(readings((4, 1.030), (6, 1.024)), og, least)


def test_errors_name_the_argument() -> None:
    with pytest.raises(OutOfRange) as caught:
        is_stable(readings((1, 1.010), (4, 1.010)), 0.5)
    assert caught.value.argument == "resolution"
    with pytest.raises(OutOfRange) as caught:
        is_stable(readings((-1, 1.010)))
    assert caught.value.argument == "readings"
