"""Cooling forecasts against scipy and the uncertainties library."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares
from uncertainties import ufloat, umath

from calc.cold_bath import chill_forecast
from calc.cooling import forecast, resting_temperature, temperature_after
from calc.units import Quantity, quantity
from tests.references.conftest import Agree

NO_SPREAD = quantity(0, "delta_degC")


def readings(*pairs: tuple[float, float]) -> list[tuple[Quantity, Quantity]]:
    return [(quantity(minute, "minute"), quantity(celsius, "degC")) for minute, celsius in pairs]


def test_temperature_after(agree: Agree) -> None:
    # Source: the differential equation of Newton's law, solved by scipy.
    solution = solve_ivp(lambda _, t: -(t - 19.0) / 85.0, (0.0, 40.0), [98.0], rtol=1e-10, atol=1e-10)
    ours = temperature_after(
        quantity(98, "degC"), quantity(19, "degC"), quantity(85, "minute"), quantity(40, "minute")
    )
    agree(
        "98 degC after 40 min at 19 degC", ours.magnitude, solution.y[0, -1], 1e-6, "scipy solve_ivp", "degC"
    )


def test_two_readings(agree: Agree) -> None:
    # Source: first-order propagation by the uncertainties library (JCGM 100:2008) of the solved equation.
    first, last = ufloat(90.0, 0.3), ufloat(61.0, 0.3)
    constant = 8.0 / umath.log((first - 15.0) / (last - 15.0))
    wait = constant * umath.log((first - 15.0) / (22.0 - 15.0)) - 8.0
    ours = forecast(
        readings((0, 90), (8, 61)),
        quantity(15, "degC"),
        quantity(22, "degC"),
        surroundings_uncertainty=NO_SPREAD,
    )
    source = "uncertainties library, solved equation"
    agree("time constant, two readings", ours.time_constant.magnitude, constant.n, 1e-9, source, "min")
    agree(
        "uncertainty of the time constant, two readings",
        ours.time_constant_uncertainty.magnitude,
        constant.s,
        1e-6,
        source,
        "min",
    )
    agree("time to 22 degC, two readings", ours.time_to_target.magnitude, wait.n, 1e-9, source, "min")
    agree(
        "uncertainty of the time to 22 degC, two readings",
        ours.time_to_target_uncertainty.magnitude,
        wait.s,
        1e-6,
        source,
        "min",
    )
    later = 15.0 + (first - 15.0) * umath.exp(-20.0 / constant)
    rest = resting_temperature(readings((0, 90), (8, 61)), quantity(15, "degC"), quantity(20, "minute"))
    agree(
        "resting temperature after 20 min, two readings",
        rest.temperature.magnitude,
        later.n,
        1e-9,
        source,
        "degC",
    )
    agree(
        "uncertainty of the resting temperature, two readings",
        rest.uncertainty.magnitude,
        later.s,
        1e-6,
        source,
        "K",
    )


def test_many_readings(agree: Agree) -> None:
    # Source: scipy least_squares with the rate instead of the logarithm of the time constant as parameter.
    minutes = np.array([0.0, 4.0, 9.0, 15.0, 22.0])
    celsius = np.array([92.1, 75.3, 60.2, 46.4, 35.9])
    fit = least_squares(lambda p: 14.0 + p[0] * np.exp(-p[1] * minutes) - celsius, (80.0, 0.05), xtol=1e-14)
    covariance = np.linalg.inv(fit.jac.T @ fit.jac) * max(2.0 * fit.cost / 3.0, 0.3**2)
    ours = forecast(
        readings(*zip(minutes, celsius, strict=True)),
        quantity(14, "degC"),
        quantity(25, "degC"),
        surroundings_uncertainty=NO_SPREAD,
    )
    source = "scipy least_squares, other parametrisation"
    agree("time constant, five readings", ours.time_constant.magnitude, 1.0 / fit.x[1], 1e-4, source, "min")
    spread = math.sqrt(covariance[1, 1]) / fit.x[1] ** 2
    agree(
        "uncertainty of the time constant, five readings",
        ours.time_constant_uncertainty.magnitude,
        spread,
        1e-3,
        source,
        "min",
    )
    wait = math.log(fit.x[0] / 11.0) / fit.x[1] - 22.0
    agree("time to 25 degC, five readings", ours.time_to_target.magnitude, wait, 1e-3, source, "min")


@pytest.mark.parametrize("bath_l", [10.0, 25.0])
def test_bath_that_warms(agree: Agree, bath_l: float) -> None:
    # Source: both heat balances as coupled differential equations, solved by scipy. 5 l of wort at 95 degC,
    # bath at 10 degC, 0.4 litre-kelvin per minute and kelvin through the wall.
    def rates(_: float, state: list[float]) -> list[float]:
        flow = 0.4 * (state[0] - state[1])
        return [-flow / 5.0, flow / bath_l]

    target_c = (5.0 * 95.0 + bath_l * 10.0) / (5.0 + bath_l) + 3.0

    def reached(_: float, state: list[float]) -> float:
        return state[0] - target_c

    solution = solve_ivp(
        rates, (0.0, 300.0), [95.0, 10.0], rtol=1e-10, atol=1e-10, dense_output=True, events=reached
    )
    seen_c = float(solution.sol(6.0)[0])
    ours = chill_forecast(
        readings((0, 95), (6, seen_c)),
        quantity(10, "degC"),
        quantity(target_c, "degC"),
        quantity(5, "litre"),
        quantity(bath_l, "litre"),
    )
    agree(
        f"time to {target_c:.1f} degC in a bath of {bath_l:.0f} l",
        ours.time_to_target.magnitude,
        float(solution.t_events[0][0]) - 6.0,
        1e-3,
        "scipy solve_ivp, wort and bath coupled",
        "min",
    )
