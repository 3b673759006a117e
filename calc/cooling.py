"""Cooling in a room or in a bath: Newton's law, fitted to what the thermometer showed.

The difference to the surroundings falls by the same share in equal times:
``T = T_s + (T_0 - T_s) exp(-t / tau)``. The same law warms a cold mash or a bottle from the fridge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity

Reading = tuple[Quantity, Quantity]
"""Elapsed time and the temperature at that time."""

THERMOMETER = quantity(0.3, "delta_degC")
"""Standard uncertainty of a kitchen thermometer in stirred wort. Common practice, no source."""

ROOM = quantity(0.5, "delta_degC")
"""Standard uncertainty of the temperature of a room or a bath. Common practice, no source."""


@dataclass(frozen=True)
class Forecast:
    """What a fitted cooling says of the time to come.

    Attributes:
        time_constant: in minute: the difference to the surroundings falls to 37 % in this time.
        time_to_target: in minute, from the last reading; 0 where the target is passed already.
        time_constant_uncertainty: standard uncertainty of ``time_constant``, in minute.
        time_to_target_uncertainty: standard uncertainty of ``time_to_target``, in minute.
        temperature_now: fitted temperature at the last reading, in degC.
    """

    time_constant: Quantity
    time_to_target: Quantity
    time_constant_uncertainty: Quantity
    time_to_target_uncertainty: Quantity
    temperature_now: Quantity


@dataclass(frozen=True)
class Resting:
    """A temperature to come: ``temperature`` in degC, its standard ``uncertainty`` in kelvin."""

    temperature: Quantity
    uncertainty: Quantity


@dataclass(frozen=True)
class _Fit:
    """Newton's law through readings; times in minute from the first reading, temperatures in degC."""

    surroundings_c: float
    start_difference_k: float
    time_constant_min: float
    last_min: float
    # Covariance of start difference and time constant.
    variance_start: float
    covariance: float
    variance_constant: float

    def difference_k(self, elapsed_min: float) -> float:
        return self.start_difference_k * math.exp(-elapsed_min / self.time_constant_min)

    def elapsed_min(self, temperature_c: float) -> float:
        return self.time_constant_min * math.log(
            self.start_difference_k / (temperature_c - self.surroundings_c)
        )

    def standard_uncertainty(self, by_start: float, by_constant: float) -> float:
        """Propagate to a result with these derivatives by start difference and time constant."""
        variance = (
            by_start**2 * self.variance_start
            + 2.0 * by_start * by_constant * self.covariance
            + by_constant**2 * self.variance_constant
        )
        return math.sqrt(max(variance, 0.0))


def temperature_after(
    start: Quantity, surroundings: Quantity, time_constant: Quantity, elapsed: Quantity
) -> Quantity:
    """Return the temperature, in degC, that something left to itself reaches after a time.

    Args:
        start: -30 to 120 degC.
        surroundings: room or bath, held at one temperature, -30 to 120 degC.
        time_constant: 0.1 minute to 1000 hour.
        elapsed: 0 to 10000 hour.

    Raises:
        OutOfRange: an argument outside its range.

    Errors: a lidded pot follows within about 1 kelvin; an open one in the first minutes cools faster by
    steaming.
    Source: Newton's law of cooling.

    >>> rested = temperature_after(quantity(67, "degC"), quantity(20, "degC"), quantity(20, "hour"),
    ...                            quantity(60, "minute"))
    >>> print(f"{rested:.1f}")
    64.7 degree_Celsius
    """
    start_c = magnitude(start, "degC", "start", -30.0, 120.0)
    around_c = magnitude(surroundings, "degC", "surroundings", -30.0, 120.0)
    constant_min = magnitude(time_constant, "minute", "time_constant", 0.1, 60000.0)
    elapsed_min = magnitude(elapsed, "minute", "elapsed", 0.0, 600000.0)
    return quantity(around_c + (start_c - around_c) * math.exp(-elapsed_min / constant_min), "degC")


def forecast(
    readings: Sequence[Reading],
    surroundings: Quantity,
    target: Quantity,
    reading_uncertainty: Quantity = THERMOMETER,
    surroundings_uncertainty: Quantity = ROOM,
) -> Forecast:
    """Fit Newton's law to two or more readings and say when a target temperature is reached.

    Args:
        readings: two or more pairs of elapsed time and temperature, in order of time, -30 to 120 degC.
        surroundings: room or bath, held at one temperature, -30 to 120 degC.
        target: wanted temperature, -30 to 120 degC, between the surroundings and the first reading.
        reading_uncertainty: standard uncertainty of one reading, 0.001 to 20 kelvin.
        surroundings_uncertainty: standard uncertainty of ``surroundings``, 0 to 20 kelvin; near the end it
            is what counts.

    Raises:
        OutOfRange: an argument outside its range; ``readings`` that do not approach the surroundings;
            ``target`` that is never reached.

    Errors: standard uncertainties come with the result. Two readings are solved, more are fitted by least
    squares; where they scatter more than ``reading_uncertainty`` says, the scatter counts.
    Source: Newton's law of cooling; propagation after JCGM 100:2008 (GUM).

    >>> f = forecast([(quantity(0, "minute"), quantity(90, "degC")), (quantity(10, "minute"),
    ...               quantity(55, "degC"))], quantity(20, "degC"), quantity(37.5, "degC"))
    >>> print(f"{f.time_constant:.2f}, {f.time_to_target:.2f}")
    14.43 minute, 10.00 minute
    """
    around_c = magnitude(surroundings, "degC", "surroundings", -30.0, 120.0)
    shift_k = magnitude(surroundings_uncertainty, "delta_degC", "surroundings_uncertainty", 0.0, 20.0)
    fit = _fit(readings, around_c, reading_uncertainty)
    target_c = magnitude(target, "degC", "target", -30.0, 120.0)
    if (target_c - around_c) / fit.start_difference_k <= 0.0:
        raise OutOfRange("target", target_c, "degC", reason="is never reached with these surroundings")
    at_min = fit.elapsed_min(target_c)
    logarithm = at_min / fit.time_constant_min
    spread_min = fit.standard_uncertainty(fit.time_constant_min / fit.start_difference_k, logarithm)
    if shift_k > 0.0:
        # Moving the surroundings away from the readings is the direction in which a fit always exists.
        moved = _fit(readings, around_c - math.copysign(shift_k, fit.start_difference_k), reading_uncertainty)
        spread_min = math.hypot(spread_min, moved.elapsed_min(target_c) - at_min)
        constant_shift_min = moved.time_constant_min - fit.time_constant_min
    else:
        constant_shift_min = 0.0
    return Forecast(
        time_constant=quantity(fit.time_constant_min, "minute"),
        time_to_target=quantity(max(at_min - fit.last_min, 0.0), "minute"),
        time_constant_uncertainty=quantity(
            math.hypot(math.sqrt(fit.variance_constant), constant_shift_min), "minute"
        ),
        time_to_target_uncertainty=quantity(spread_min, "minute"),
        temperature_now=quantity(fit.surroundings_c + fit.difference_k(fit.last_min), "degC"),
    )


def resting_temperature(
    readings: Sequence[Reading],
    surroundings: Quantity,
    elapsed: Quantity,
    reading_uncertainty: Quantity = THERMOMETER,
) -> Resting:
    """Fit Newton's law to two or more readings and say how warm it will be at a later time.

    Args:
        readings: as in :func:`forecast`.
        surroundings: room or bath, held at one temperature, -30 to 120 degC.
        elapsed: on the clock of the readings, 0 to 1000 hour.
        reading_uncertainty: standard uncertainty of one reading, 0.001 to 20 kelvin.

    Raises:
        OutOfRange: an argument outside its range; ``readings`` that do not approach the surroundings.

    Errors: the standard uncertainty comes with the result; it grows with the time looked ahead.
    Source: as :func:`forecast`.

    >>> rest = resting_temperature([(quantity(0, "minute"), quantity(67, "degC")), (quantity(30, "minute"),
    ...                             quantity(65.5, "degC"))], quantity(20, "degC"), quantity(60, "minute"))
    >>> print(f"{rest.temperature:.1f}, give or take {rest.uncertainty.magnitude:.1f}")
    64.0 degree_Celsius, give or take 0.6
    """
    around_c = magnitude(surroundings, "degC", "surroundings", -30.0, 120.0)
    fit = _fit(readings, around_c, reading_uncertainty)
    first_min = magnitude(readings[0][0], "minute", "readings", 0.0)
    at_min = magnitude(elapsed, "minute", "elapsed", 0.0, 60000.0) - first_min
    difference_k = fit.difference_k(at_min)
    spread_k = fit.standard_uncertainty(
        difference_k / fit.start_difference_k, difference_k * at_min / fit.time_constant_min**2
    )
    return Resting(quantity(fit.surroundings_c + difference_k, "degC"), quantity(spread_k, "delta_degC"))


def _fit(readings: Sequence[Reading], around_c: float, reading_uncertainty: Quantity) -> _Fit:
    sigma_k = magnitude(reading_uncertainty, "delta_degC", "reading_uncertainty", 0.001, 20.0)
    if len(readings) < 2:
        raise OutOfRange("readings", float(len(readings)), "", 2.0, None, "need at least two readings")
    first_min = magnitude(readings[0][0], "minute", "readings", 0.0)
    times_min = [magnitude(elapsed, "minute", "readings", 0.0) - first_min for elapsed, _ in readings]
    differences_k = [magnitude(t, "degC", "readings", -30.0, 120.0) - around_c for _, t in readings]
    if any(later <= earlier for earlier, later in pairwise(times_min)):
        raise OutOfRange("readings", None, "minute", reason="must be in order of time")
    first_k, last_k = differences_k[0], differences_k[-1]
    if first_k == 0.0 or not 0.0 < last_k / first_k < 1.0:
        raise OutOfRange("readings", None, "degC", reason="do not approach the surroundings")
    if any(difference_k / first_k <= 0.0 for difference_k in differences_k):
        raise OutOfRange("readings", None, "degC", reason="must lie on one side of the surroundings")
    constant_min = times_min[-1] / math.log(first_k / last_k)
    if len(readings) == 2:
        # tau = t / ln(D0 / D1): by D0 it changes by -tau^2/(t D0), by D1 by tau^2/(t D1).
        by_first = -(constant_min**2) / (times_min[-1] * first_k)
        by_last = constant_min**2 / (times_min[-1] * last_k)
        return _Fit(
            around_c,
            first_k,
            constant_min,
            times_min[-1],
            sigma_k**2,
            by_first * sigma_k**2,
            (by_first**2 + by_last**2) * sigma_k**2,
        )
    return _least_squares(around_c, times_min, differences_k, constant_min, sigma_k)


def _least_squares(
    around_c: float, times_min: list[float], differences_k: list[float], guess_min: float, sigma_k: float
) -> _Fit:
    """Fit start difference and time constant; scipy is loaded only here."""
    import numpy as np
    from scipy.optimize import curve_fit

    times = np.asarray(times_min)

    # A fit of ln(tau) keeps the time constant positive without bounds.
    def model(t: object, start_k: float, log_constant: float) -> object:
        return start_k * np.exp(-np.asarray(t) * math.exp(-log_constant))

    try:
        best, covariance = curve_fit(
            model,
            times,
            differences_k,
            p0=(differences_k[0], math.log(guess_min)),
            sigma=[sigma_k] * len(times),
            absolute_sigma=True,
        )
    except RuntimeError as error:
        raise OutOfRange("readings", None, "degC", reason="do not follow Newton's law of cooling") from error
    start_k, constant_min = float(best[0]), math.exp(float(best[1]))
    residuals_k = [
        d - start_k * math.exp(-t / constant_min) for t, d in zip(times_min, differences_k, strict=True)
    ]
    scatter = sum((r / sigma_k) ** 2 for r in residuals_k) / (len(times_min) - 2)
    widen = max(scatter, 1.0)
    return _Fit(
        around_c,
        start_k,
        constant_min,
        times_min[-1],
        widen * float(covariance[0, 0]),
        widen * float(covariance[0, 1]) * constant_min,
        widen * float(covariance[1, 1]) * constant_min**2,
    )
