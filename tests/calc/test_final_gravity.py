"""Properties of the forecast of the finish."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.errors import OutOfRange
from calc.final_gravity import forecast_curve, forecast_finish
from calc.units import Quantity, quantity


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def readings(*points: tuple[float, float]) -> list[tuple[Quantity, Quantity]]:
    return [(quantity(day, "day"), sg(gravity)) for day, gravity in points]


FALL = readings((1, 1.046), (2, 1.030), (3, 1.019), (4, 1.014), (5, 1.012), (6, 1.011), (7, 1.011))


@pytest.mark.slow
@settings(deadline=None, max_examples=300)
@given(
    st.lists(st.tuples(st.floats(0.05, 30), st.floats(0.985, 1.08)), min_size=1, max_size=10),
    st.floats(1.02, 1.12),
)
def test_any_readings_give_ordered_numbers(points: list[tuple[float, float]], original: float) -> None:
    answer = forecast_finish(readings(*points), sg(original))
    low, middle, high = (q.magnitude for q in (answer.final_low, answer.final_gravity, answer.final_high))
    assert low <= middle <= high
    early, day, late = (q.magnitude for q in (answer.finished_early, answer.finished, answer.finished_late))
    assert 0 < early <= day <= late
    assert all(map(math.isfinite, (low, middle, high, early, day, late, answer.misfit)))


def test_more_readings_narrow_the_range() -> None:
    widths = [
        f.final_high.magnitude - f.final_low.magnitude
        for f in (forecast_finish(FALL[:count], sg(1.050)) for count in (1, 3, 5, 7))
    ]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.003


def test_the_same_readings_give_the_same_forecast() -> None:
    assert forecast_finish(FALL, sg(1.050)) == forecast_finish(list(reversed(FALL)), sg(1.050))


def test_a_finer_instrument_says_more() -> None:
    coarse, fine = (forecast_finish(FALL[:4], sg(1.050), r) for r in (0.002, 0.001))
    assert (
        fine.final_high.magnitude - fine.final_low.magnitude
        < coarse.final_high.magnitude - coarse.final_low.magnitude
    )


def test_what_the_yeast_usually_does_counts_early_on() -> None:
    low, high = (
        forecast_finish(
            FALL[:1], sg(1.050), attenuation=(quantity(a, "percent"), quantity(a + 4, "percent"))
        ).final_gravity.magnitude
        for a in (82, 68)
    )
    assert low < high


def test_two_fermentations_in_one_show_as_misfit() -> None:
    assert forecast_finish(FALL, sg(1.050)).misfit < 2
    odd = readings((1, 1.046), (2, 1.020), (3, 1.040), (4, 1.012), (5, 1.030))
    assert forecast_finish(odd, sg(1.050)).misfit > 2


def test_needs_a_reading_after_pitching() -> None:
    for points in ([], readings((0, 1.050))):
        with pytest.raises(OutOfRange) as caught:
            forecast_finish(points, sg(1.050))
        assert caught.value.argument == "readings"


def test_scipy_is_loaded_only_for_a_forecast() -> None:
    code = "import sys, calc.final_gravity, calc.finish; print('scipy.optimize' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "False"


def test_the_band_narrows_to_the_forecast_end() -> None:
    readings = [(quantity(d, "day"), quantity(s, "dimensionless")) for d, s in [(1, 1.046), (2, 1.03), (3, 1.019), (5, 1.012)]]
    original = quantity(1.050, "dimensionless")
    end = forecast_finish(readings, original)
    band = forecast_curve(readings, original, [quantity(d, "day") for d in (0, 3, 5, 9, 200)])
    assert all(low <= middle <= high for low, middle, high in band)
    assert [middle for _, middle, _ in band] == sorted((middle for _, middle, _ in band), reverse=True)
    for got, wanted in zip(band[-1], (end.final_low, end.final_gravity, end.final_high), strict=True):
        assert abs(float((got - wanted).magnitude)) < 1e-6
