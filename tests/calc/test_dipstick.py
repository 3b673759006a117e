from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.dipstick import (
    beyond_marks,
    depth_from_marks,
    depth_from_volume,
    volume_from_depth,
    volume_from_marks,
)
from calc.errors import OutOfRange
from calc.units import Quantity, quantity

Marks = list[tuple[Quantity, Quantity]]


def cm(value: float) -> Quantity:
    return quantity(value, "cm")


def litre(value: float) -> Quantity:
    return quantity(value, "litre")


def climb(steps: list[tuple[float, float]]) -> Marks:
    marks, depth, volume = [], 0.0, 0.0
    for deeper, more in steps:
        depth, volume = depth + deeper, volume + more
        marks.append((cm(depth), litre(volume)))
    return marks


MARKS = st.lists(st.tuples(st.floats(0.5, 10), st.floats(0.1, 8)), min_size=1, max_size=8).map(climb)


@given(st.floats(0, 200), st.floats(1, 200))
def test_straight_pot_there_and_back(depth: float, diameter: float) -> None:
    volume = volume_from_depth(cm(depth), cm(diameter))
    assert depth_from_volume(volume, cm(diameter)).m_as("cm") == pytest.approx(depth)


@given(MARKS)
def test_the_curve_runs_through_the_marks(marks: Marks) -> None:
    for depth, volume in marks:
        assert volume_from_marks(depth, marks).m_as("litre") == pytest.approx(volume.magnitude)
        assert not beyond_marks(depth, marks)


@given(MARKS, st.floats(0, 1.25))
def test_marks_there_and_back(marks: Marks, share: float) -> None:
    depth = share * marks[-1][0].magnitude
    volume = volume_from_marks(cm(depth), marks)
    again = volume_from_marks(depth_from_marks(volume, marks), marks)
    assert again.m_as("litre") == pytest.approx(volume.m_as("litre"), abs=1e-9)


@given(MARKS, st.floats(0, 1.25), st.floats(0, 1.25))
def test_more_depth_is_never_less_volume(marks: Marks, first: float, second: float) -> None:
    low, high = sorted((first, second))
    top = marks[-1][0].magnitude
    assert (
        volume_from_marks(cm(low * top), marks).magnitude
        <= volume_from_marks(cm(high * top), marks).magnitude + 1e-9
    )


@given(MARKS)
def test_order_of_marks_does_not_matter(marks: Marks) -> None:
    depth = cm(0.6 * marks[-1][0].magnitude)
    assert volume_from_marks(depth, marks) == volume_from_marks(depth, marks[::-1])


@given(st.floats(10, 50), st.lists(st.floats(0.5, 5), min_size=1, max_size=6), st.floats(0, 1.25))
def test_marks_of_a_straight_pot_give_a_straight_pot(
    diameter: float, steps: list[float], share: float
) -> None:
    depths = [sum(steps[: i + 1]) for i in range(len(steps))]
    marks = [(cm(depth), volume_from_depth(cm(depth), cm(diameter))) for depth in depths]
    depth = cm(share * depths[-1])
    assert volume_from_marks(depth, marks).m_as("litre") == pytest.approx(
        volume_from_depth(depth, cm(diameter)).m_as("litre"), abs=1e-9
    )


def test_no_depth_is_no_volume() -> None:
    assert volume_from_marks(cm(0), [(cm(10), litre(4))]).magnitude == 0


def test_a_reading_outside_the_marks_is_flagged() -> None:
    marks = [(cm(5), litre(2)), (cm(10), litre(4.4))]
    assert beyond_marks(cm(4), marks)
    assert beyond_marks(cm(12), marks)
    assert not beyond_marks(cm(10), marks)


@pytest.mark.parametrize(
    ("argument", "call"),
    [
        ("depth", lambda: volume_from_marks(cm(13), [(cm(5), litre(2)), (cm(10), litre(4))])),
        ("volume", lambda: depth_from_marks(litre(6), [(cm(5), litre(2)), (cm(10), litre(4))])),
        ("marks", lambda: volume_from_marks(cm(3), [])),
        ("marks", lambda: volume_from_marks(cm(3), [(cm(0), litre(0))])),
        ("marks", lambda: volume_from_marks(cm(3), [(cm(5), litre(2)), (cm(10), litre(1.9))])),
        ("marks", lambda: volume_from_marks(cm(3), [(cm(5), litre(2)), (cm(5), litre(2.2))])),
        ("depth", lambda: volume_from_depth(cm(-1), cm(24))),
        ("diameter", lambda: volume_from_depth(cm(5), cm(0))),
        ("depth", lambda: volume_from_depth(litre(5), cm(20))),
    ],
)
def test_refusals_name_the_argument(argument: str, call: object) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()  # type: ignore[operator]
    assert caught.value.argument == argument
