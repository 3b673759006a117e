"""Cooling: the fit gives back what made the readings, and uncertainties behave."""

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.cold_bath import chill_forecast
from calc.cooling import Reading, forecast, resting_temperature, temperature_after
from calc.errors import OutOfRange
from calc.units import quantity

START = quantity(90, "degC")
ROOM = quantity(20, "degC")


def readings(
    constant_min: float, minutes: list[float], around_c: float = 20.0, start_c: float = 90.0
) -> list[Reading]:
    return [
        (
            quantity(minute, "minute"),
            quantity(around_c + (start_c - around_c) * math.exp(-minute / constant_min), "degC"),
        )
        for minute in minutes
    ]


# No deadline: the first fit pays for loading scipy.
@settings(deadline=None)
@given(st.floats(5.0, 600.0), st.lists(st.floats(1.0, 30.0), min_size=1, max_size=4), st.floats(25.0, 60.0))
def test_fit_gives_back_the_time_constant(constant_min: float, gaps: list[float], target_c: float) -> None:
    minutes = [0.0]
    for gap in gaps:
        minutes.append(minutes[-1] + gap)
    result = forecast(readings(constant_min, minutes), ROOM, quantity(target_c, "degC"))
    assert result.time_constant.magnitude == pytest.approx(constant_min, rel=1e-4)
    due = constant_min * math.log(70.0 / (target_c - 20.0)) - minutes[-1]
    assert result.time_to_target.magnitude == pytest.approx(max(due, 0.0), rel=1e-3, abs=0.01)
    assert result.time_constant_uncertainty.magnitude > 0.0
    assert result.time_to_target_uncertainty.magnitude > 0.0
    assert result.temperature_now.magnitude == pytest.approx(
        20.0 + 70.0 * math.exp(-minutes[-1] / constant_min), abs=1e-3
    )


@given(st.floats(5.0, 500.0), st.floats(0.0, 300.0), st.floats(0.0, 300.0))
def test_cooling_in_two_legs_is_cooling_in_one(constant_min: float, first: float, second: float) -> None:
    constant = quantity(constant_min, "minute")
    halfway = temperature_after(START, ROOM, constant, quantity(first, "minute"))
    twice = temperature_after(halfway, ROOM, constant, quantity(second, "minute"))
    once = temperature_after(START, ROOM, constant, quantity(first + second, "minute"))
    assert twice.magnitude == pytest.approx(once.magnitude, abs=1e-9)
    assert 20.0 <= once.magnitude <= 90.0


def test_something_cold_warms_by_the_same_law() -> None:
    cold = readings(60.0, [0.0, 15.0], around_c=21.0, start_c=4.0)
    result = forecast(cold, quantity(21, "degC"), quantity(18, "degC"))
    assert result.time_constant.magnitude == pytest.approx(60.0)
    assert result.time_to_target.magnitude == pytest.approx(60.0 * math.log(17.0 / 3.0) - 15.0)


def test_clock_may_start_anywhere() -> None:
    late = [
        (quantity(minute.to("minute").magnitude + 100.0, "minute"), c) for minute, c in readings(30.0, [0, 9])
    ]
    result = forecast(late, ROOM, quantity(30, "degC"))
    assert result.time_constant.magnitude == pytest.approx(30.0)
    rest = resting_temperature(late, ROOM, quantity(130, "minute"))
    assert rest.temperature.magnitude == pytest.approx(20.0 + 70.0 * math.exp(-1.0))


def test_looking_further_ahead_is_less_certain_for_a_mash() -> None:
    mash = readings(1200.0, [0.0, 20.0], start_c=67.0)
    near = resting_temperature(mash, ROOM, quantity(30, "minute")).uncertainty.magnitude
    far = resting_temperature(mash, ROOM, quantity(60, "minute")).uncertainty.magnitude
    assert near < far


def test_more_readings_are_more_certain_and_a_poor_thermometer_less() -> None:
    target = quantity(30, "degC")
    exact = quantity(0, "delta_degC")
    two = forecast(readings(40.0, [0, 20]), ROOM, target, surroundings_uncertainty=exact)
    five = forecast(readings(40.0, [0, 5, 10, 15, 20]), ROOM, target, surroundings_uncertainty=exact)
    poor = forecast(readings(40.0, [0, 20]), ROOM, target, quantity(1, "delta_degC"), exact)
    assert five.time_constant_uncertainty < two.time_constant_uncertainty < poor.time_constant_uncertainty


def test_scatter_widens_the_uncertainty() -> None:
    smooth = readings(40.0, [0, 5, 10, 15, 20])
    rough = [(m, quantity(c.magnitude + (2.0 if i % 2 else -2.0), "degC")) for i, (m, c) in enumerate(smooth)]
    target = quantity(30, "degC")
    wide, narrow = forecast(rough, ROOM, target), forecast(smooth, ROOM, target)
    assert wide.time_constant_uncertainty.magnitude > 2.0 * narrow.time_constant_uncertainty.magnitude


def test_near_the_end_the_room_decides() -> None:
    args = (readings(40.0, [0, 20]), ROOM, quantity(21, "degC"))
    sure = forecast(*args, surroundings_uncertainty=quantity(0, "delta_degC"))
    unsure = forecast(*args, surroundings_uncertainty=quantity(1, "delta_degC"))
    assert unsure.time_to_target_uncertainty.magnitude > 3.0 * sure.time_to_target_uncertainty.magnitude


@pytest.mark.parametrize(
    ("argument", "pairs", "target_c"),
    [
        ("readings", [(0, 90)], 30),
        ("readings", [(0, 60), (10, 61)], 30),
        ("readings", [(0, 60), (10, 60)], 30),
        ("readings", [(10, 90), (0, 60)], 30),
        ("readings", [(0, 90), (10, 15)], 30),
        ("target", [(0, 90), (10, 60)], 20),
        ("target", [(0, 90), (10, 60)], 12),
    ],
)
def test_errors_name_the_argument(argument: str, pairs: list[tuple[float, float]], target_c: float) -> None:
    with pytest.raises(OutOfRange) as caught:
        forecast(
            [(quantity(m, "minute"), quantity(c, "degC")) for m, c in pairs], ROOM, quantity(target_c, "degC")
        )
    assert caught.value.argument == argument


def test_bath_says_when_its_water_must_be_changed() -> None:
    pot, bath = quantity(5, "litre"), quantity(10, "litre")
    with pytest.raises(OutOfRange) as caught:
        chill_forecast(readings(9.0, [0, 5]), quantity(12, "degC"), quantity(22, "degC"), pot, bath)
    assert caught.value.argument == "target"
    assert caught.value.low == pytest.approx((5.0 * 90.0 + 10.0 * 12.0) / 15.0)


def test_small_bath_takes_longer_than_running_water() -> None:
    seen = readings(9.0, [0, 5])
    args = (seen, quantity(12, "degC"), quantity(40, "degC"))
    running = chill_forecast(*args).time_to_target
    standing = chill_forecast(*args, quantity(5, "litre"), quantity(20, "litre")).time_to_target
    assert standing > running


def test_two_readings_do_not_load_the_fit() -> None:
    # pint itself loads parts of numpy and scipy where they are installed; the fit must not be among them.
    code = (
        "import sys; from calc.cooling import forecast; from calc.units import quantity as q;"
        "forecast([(q(0,'minute'),q(90,'degC')),(q(9,'minute'),q(60,'degC'))],q(20,'degC'),q(30,'degC'));"
        "sys.exit('scipy.optimize' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
