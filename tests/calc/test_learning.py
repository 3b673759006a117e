"""Learning from few batches: shrinkage, outliers, and what must hold for any numbers."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import OutOfRange
from calc.learning import Prior, estimate

USUAL = Prior(1.5, 0.6, 0.05)
values = st.floats(0.2, 6.0)
observation = st.tuples(values, st.floats(0.01, 0.5))


def test_without_observations_the_usual_stands() -> None:
    found = estimate([], USUAL)
    assert (found.value, found.spread, found.count) == (1.5, 0.6, 0)


@given(observation)
def test_one_batch_moves_part_of_the_way(seen: tuple[float, float]) -> None:
    found = estimate([seen], USUAL)
    low, high = sorted((seen[0], USUAL.mean))
    assert low - 1e-9 <= found.value <= high + 1e-9
    assert found.spread < USUAL.spread


@given(st.lists(observation, min_size=1, max_size=9))
def test_lies_within_what_was_seen_and_what_is_usual(seen: list[tuple[float, float]]) -> None:
    found = estimate(seen, USUAL)
    everything = [value for value, _ in seen] + [USUAL.mean]
    assert min(everything) - 1e-6 <= found.value <= max(everything) + 1e-6
    assert 0 < found.spread <= USUAL.spread
    assert found.count == len(seen)


@given(st.lists(observation, min_size=1, max_size=7), st.randoms())
def test_order_does_not_matter(seen: list[tuple[float, float]], chance: object) -> None:
    mixed = list(seen)
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    assert estimate(mixed, USUAL).value == pytest.approx(estimate(seen, USUAL).value, abs=1e-6)


@given(st.floats(1.0, 3.0), st.floats(6.0, 400.0))
def test_a_wild_one_among_many_hardly_moves_it(truth: float, wild: float) -> None:
    good = [(truth + d, 0.05) for d in (-0.05, 0.0, 0.05, 0.02)]
    plain, spoilt = estimate(good, USUAL), estimate([*good, (wild, 0.05)], USUAL)
    assert abs(spoilt.value - plain.value) < 0.02
    assert spoilt.outliers == (4,)


def test_more_batches_leave_less_of_the_usual() -> None:
    misses = [abs(estimate([(2.4, 0.2)] * n, USUAL).value - 2.4) for n in (1, 2, 4, 8, 16)]
    assert misses == sorted(misses, reverse=True)
    assert misses[-1] < 0.02


@pytest.mark.parametrize("bad", [(math.nan, 0.1), (1.0, -0.1), (1.0, math.inf), (math.inf, 0.1)])
def test_what_is_no_number_is_refused(bad: tuple[float, float]) -> None:
    with pytest.raises(OutOfRange):
        estimate([bad], USUAL)
    with pytest.raises(OutOfRange):
        estimate([], Prior(1.0, 0.0, 0.1))
