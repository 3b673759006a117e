from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.errors import OutOfRange
from calc.hydrometer import correct_gravity, correct_gravity_by_polynomial, correction_uncertainty
from calc.units import Quantity, quantity

READINGS = st.floats(0.990, 1.150)
SAMPLES_C = st.floats(0, 80)
CALIBRATIONS = st.sampled_from([quantity(60, "degF"), quantity(20, "degC")])


def sg(value: float) -> Quantity:
    return quantity(value, "dimensionless")


def celsius(value: float) -> Quantity:
    return quantity(value, "degC")


@given(READINGS)
def test_nothing_to_correct_at_20(reading: float) -> None:
    assert correct_gravity(sg(reading), celsius(20)).magnitude == pytest.approx(reading, abs=1e-9)


@given(st.floats(0.95, 1.25), SAMPLES_C, SAMPLES_C)
def test_always_a_number(reading: float, sample_c: float, calibration_c: float) -> None:
    corrected = correct_gravity(sg(reading), celsius(sample_c), celsius(calibration_c)).magnitude
    assert math.isfinite(corrected)
    assert abs(corrected - reading) < 0.06


# Below about 7 degC the glass shrinks as fast as the water does, and the order is lost.
@given(READINGS, st.floats(10, 79), CALIBRATIONS)
def test_a_warmer_sample_means_more_gravity(reading: float, sample_c: float, calibration: Quantity) -> None:
    here = correct_gravity(sg(reading), celsius(sample_c), calibration)
    warmer = correct_gravity(sg(reading), celsius(sample_c + 1), calibration)
    assert warmer > here


@given(st.floats(0.990, 1.149), SAMPLES_C, CALIBRATIONS)
def test_a_higher_reading_means_more_gravity(reading: float, sample_c: float, calibration: Quantity) -> None:
    assert correct_gravity(sg(reading + 0.001), celsius(sample_c), calibration) > correct_gravity(
        sg(reading), celsius(sample_c), calibration
    )


@given(READINGS)
def test_an_old_instrument_reads_a_little_low_at_20(reading: float) -> None:
    corrected = correct_gravity(sg(reading), celsius(20), quantity(60, "degF")).magnitude
    assert 0.0005 < corrected - reading < 0.0015


@given(READINGS, SAMPLES_C)
def test_uncertainty_is_never_below_the_reading(reading: float, sample_c: float) -> None:
    # The correction stretches the scale by a few per cent either way.
    assert 0.00045 < correction_uncertainty(sg(reading), celsius(sample_c)).magnitude < 0.004


def test_a_hot_sample_is_less_certain() -> None:
    steps = [correction_uncertainty(sg(1.05), celsius(t)).magnitude for t in (20, 30, 40, 60, 80)]
    assert steps == sorted(steps)
    assert steps[-1] > 3 * steps[0]


@given(READINGS)
def test_polynomial_does_nothing_at_its_calibration(reading: float) -> None:
    at = quantity(60, "degF")
    assert correct_gravity_by_polynomial(sg(reading), at, at).magnitude == pytest.approx(reading)


@pytest.mark.parametrize(
    ("argument", "reading", "sample_c", "calibration_c"),
    [
        ("reading", 1.5, 20, 20),
        ("reading", 57, 20, 20),
        ("temperature", 1.05, 95, 20),
        ("calibration", 1.05, 20, -4),
    ],
)
def test_refusals_name_the_argument(
    argument: str, reading: float, sample_c: float, calibration_c: float
) -> None:
    for function in (correct_gravity, correct_gravity_by_polynomial, correction_uncertainty):
        with pytest.raises(OutOfRange) as caught:
            function(sg(reading), celsius(sample_c), celsius(calibration_c))
        assert caught.value.argument == argument
