"""Properties of yeast amounts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc import yeast
from calc.errors import OutOfRange
from calc.units import Quantity, quantity


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


STYLES = st.sampled_from(yeast.yeast_types())
VOLUME = st.floats(0.5, 100)
GRAVITY = st.floats(1.0, 1.2)


@given(VOLUME, GRAVITY, STYLES)
def test_doses_are_ordered_and_finite(volume_l: float, gravity: float, style: str) -> None:
    dose = yeast.dry_yeast_range(quantity(volume_l, "litre"), sg(gravity), style)
    assert 0 < dose.low.magnitude < dose.usual.magnitude < dose.high.magnitude < math.inf
    assert dose.usual == yeast.dry_yeast_mass(quantity(volume_l, "litre"), sg(gravity), style)


@given(VOLUME, GRAVITY, STYLES)
def test_twice_the_volume_needs_twice_the_yeast(volume_l: float, gravity: float, style: str) -> None:
    for function in (yeast.dry_yeast_mass, yeast.cells_needed):
        one = function(quantity(volume_l, "litre"), sg(gravity), style).magnitude
        two = function(quantity(2 * volume_l, "litre"), sg(gravity), style).magnitude
        assert two == pytest.approx(2 * one)


@given(VOLUME, st.tuples(GRAVITY, GRAVITY))
def test_stronger_wort_never_needs_less(volume_l: float, gravities: tuple[float, float]) -> None:
    weak, strong = sorted(gravities)
    volume = quantity(volume_l, "litre")
    assert yeast.dry_yeast_mass(volume, sg(strong)) >= yeast.dry_yeast_mass(volume, sg(weak))
    assert yeast.cells_needed(volume, sg(strong)) >= yeast.cells_needed(volume, sg(weak))


@given(st.floats(1, 500), st.floats(0, 1))
def test_a_sachet_loses_what_is_taken(sachet_g: float, share: float) -> None:
    left = yeast.sachet_left(quantity(sachet_g, "gram"), quantity(share * sachet_g, "gram"))
    assert left.magnitude + share * sachet_g == pytest.approx(sachet_g)


@given(st.floats(0, 1000), st.floats(0, 1000), st.floats(-20, 40), st.floats(0, 1))
def test_yeast_only_dies(age_a: float, age_b: float, storage_c: float, opened: float) -> None:
    young, old = sorted((age_a, age_b))
    storage = quantity(storage_c, "degC")
    fresh = yeast.viability(quantity(young, "day"), storage).magnitude
    aged = yeast.viability(quantity(old, "day"), storage).magnitude
    assert 0 < aged <= fresh <= 100
    if storage_c <= 24:
        open_one = yeast.viability(quantity(old, "day"), storage, quantity(opened * old, "day")).magnitude
        assert open_one <= aged + 1e-9


@given(st.floats(1, 100))
def test_cells_and_grams_are_inverses(mass_g: float) -> None:
    cells = yeast.cells_in_dry_yeast(quantity(mass_g, "gram"))
    assert yeast.dry_yeast_for_cells(cells.usual).usual.magnitude == pytest.approx(mass_g)
    assert yeast.dry_yeast_for_cells(cells.low).high.magnitude == pytest.approx(mass_g)
    assert yeast.dry_yeast_for_cells(cells.high).low.magnitude == pytest.approx(mass_g)


@pytest.mark.parametrize("style", yeast.yeast_types())
def test_ranges_in_the_data_file_make_sense(style: str) -> None:
    low, usual, high = (t.magnitude for t in yeast.temperature_range(style))
    assert 4 <= low < usual < high <= 42
    low, usual, high = (a.magnitude for a in yeast.attenuation_range(style))
    assert 50 <= low < usual < high <= 100


def test_errors_name_the_argument() -> None:
    with pytest.raises(OutOfRange) as caught:
        yeast.dry_yeast_mass(quantity(5, "litre"), sg(1.05), "brandy")
    assert caught.value.argument == "style"
    with pytest.raises(OutOfRange) as caught:
        yeast.sachet_left(quantity(11, "gram"), quantity(12, "gram"))
    assert caught.value.argument == "used"
    with pytest.raises(OutOfRange) as caught:
        yeast.cells_needed(quantity(5, "litre"), sg(0.99))
    assert caught.value.argument == "gravity"
    with pytest.raises(OutOfRange) as caught:
        yeast.mass_with_age(quantity(3, "gram"), quantity(5, "percent"))
    assert caught.value.argument == "viable"
