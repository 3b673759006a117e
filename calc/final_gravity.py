"""Where gravity will end and when: a growth curve fitted to readings, with a range.

The curve is the generalised logistic of Richards, which holds the logistic curve that industry fits to
fermentations (method ASBC Yeast-14; Speers et al., J. Inst. Brew. 109 (2003) 229) and the curve of Gompertz
(Zwietering et al., Appl. Environ. Microbiol. 56 (1990) 1875) as its ends. A handful of readings cannot fix
five numbers, so what is usual for beer goes in as wide prior knowledge and gives way as readings come in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from calc.errors import OutOfRange
from calc.finish import read_readings, read_resolution
from calc.units import Quantity, magnitude, quantity

# Mean and standard deviation of what is usual: the logarithms of steepness (per day), of the day of the
# steepest fall and of Richards' shape (1 logistic, towards 0 Gompertz). Common practice, no source.
_LOG_RATE = (math.log(1.25), 0.65)
_LOG_MIDDLE = (math.log(1.4), 0.6)
_LOG_SHAPE = (math.log(0.45), 1.6)
_ATTENUATION = (0.76, 0.07)
# Rounding to a division (0.29) and reading the meniscus, gas and temperature of the sample (0.7) together.
_READING_PER_RESOLUTION = 0.75
# Tails of the posterior cut off on either side, of the end in gravity and in time. The prior lies between the curves
# that real fermentations follow, so 90 % of the posterior held the day less often; both were set on simulated runs
# (seeds 20000 to 20599, 60000 to 60299) and are checked on others (test_final_gravity.py and test_watch_forecast.py
# in tests/references).
_GRAVITY_TAIL = 0.05
_DAY_TAIL = 0.025
# Bounds of original gravity, attenuation and the three logarithms: far out, only so that no number overflows.
_LEAST = (1.001, 0.01, -4.0, -4.0, -8.0)
_MOST = (1.3, 1.3, 4.0, 4.0, 3.0)
_POINTS = 3000
_WIDER = 1.5
_WIDER_THAN_SHEET = 0.75
_DONE_WITHIN = 0.001


@dataclass(frozen=True, slots=True)
class Forecast:
    """Answer of :func:`forecast_finish`; each range holds the truth in at least nine of ten
    batches.

    Attributes:
        final_gravity: where gravity will end; ``final_low`` and ``final_high`` its range.
        final_low: lower end.
        final_high: upper end.
        finished: time since pitching at which gravity is within 0.001 of its end.
        finished_early: earlier end of its range.
        finished_late: later end of its range.
        misfit: root mean square of what the curve misses the readings by, in standard uncertainties of a
            reading; well above 2 the readings do not look like one undisturbed fermentation.
    """

    final_gravity: Quantity
    final_low: Quantity
    final_high: Quantity
    finished: Quantity
    finished_early: Quantity
    finished_late: Quantity
    misfit: float


@cache
def _normal_points(count: int, dimensions: int) -> Any:
    """Standard normal points that fill space evenly and are the same every time: no random numbers here.

    Source: additive recurrence with powers of the generalised golden ratio, a Kronecker sequence.
    """
    from scipy.special import ndtri

    ratio = 2.0
    for _ in range(60):
        ratio = (1 + ratio) ** (1 / (dimensions + 1))
    steps = ratio ** -np.arange(1.0, dimensions + 1)
    return ndtri((0.5 + np.outer(np.arange(1, count + 1), steps)) % 1.0)


def _share(day: Any, log_rate: Any, log_middle: Any, log_shape: Any) -> Any:
    """Richards' curve, 0 before fermentation and 1 after it; floats or arrays."""
    shape = np.exp(log_shape)
    exponent = np.minimum(600.0, -np.exp(log_rate) * (day - np.exp(log_middle)))
    return np.exp(-np.logaddexp(0.0, log_shape + exponent) / shape)


def _finished_day(original: Any, attenuation: Any, log_rate: Any, log_middle: Any, log_shape: Any) -> Any:
    """Time at which the curve is within 0.001 of its end; arrays."""
    shape = np.exp(log_shape)
    share = 1 - np.minimum(0.9, _DONE_WITHIN / ((original - 1) * np.maximum(attenuation, 0.05)))
    left = np.expm1(-shape * np.log(share)) / shape
    return np.maximum(0.05, np.exp(log_middle) - np.log(left) / np.exp(log_rate))


def _quantiles(values: Any, weights: Any, tail: float) -> tuple[float, float, float]:
    """Lower end, median and upper end of weighted values."""
    order = np.argsort(values)
    summed = np.cumsum(weights[order])
    places = np.interp([tail, 0.5, 1 - tail], (summed - 0.5 * weights[order]) / summed[-1], values[order])
    return float(places[0]), float(places[1]), float(places[2])


def forecast_finish(
    readings: Sequence[tuple[Quantity, Quantity]],
    original_gravity: Quantity,
    resolution: float = 0.001,
    attenuation: tuple[Quantity, Quantity] | None = None,
) -> Forecast:
    """Fit gravity against time and say where and when it will end, with ranges.

    Args:
        readings: (time since pitching, specific gravity 20/20), at least one taken after pitching.
        original_gravity: specific gravity 20/20 at pitching, 1.010 to 1.200.
        resolution: smallest division of the instrument, 0.0001 to 0.01.
        attenuation: low and high end of what the yeast usually reaches (apparent, 10 to 110 percent), for
            instance from :func:`calc.yeast.attenuation_range`; without it, what is usual for beer.

    Returns:
        :class:`Forecast`. It knows nothing of a cold night or a dose of sugar to come: for readings of one
        undisturbed fermentation.

    Raises:
        OutOfRange: an argument outside its range, or no reading after pitching.

    Source: curves as named on top of the module; posterior by importance sampling around its maximum
    (JCGM 101:2008 propagates distributions in this way); the ranges leave out 5 % on
    either side for gravity and 2.5 % for the day.

    >>> day = lambda d: quantity(d, "day")
    >>> sg = lambda s: quantity(s, "dimensionless")
    >>> points = [(1, 1.046), (2, 1.030), (3, 1.019), (4, 1.014), (5, 1.012), (6, 1.011)]
    >>> forecast = forecast_finish([(day(d), sg(s)) for d, s in points], sg(1.050))
    >>> round(forecast.final_gravity.magnitude, 3), round(forecast.finished.magnitude)
    (1.011, 5)
    """
    drawn, weights, misfit = _posterior(readings, original_gravity, resolution, attenuation)
    final_low, final, final_high = _quantiles(drawn[:, 0] - (drawn[:, 0] - 1) * drawn[:, 1], weights, _GRAVITY_TAIL)
    early, finished, late = _quantiles(_finished_day(*drawn.T), weights, _DAY_TAIL)
    return Forecast(
        quantity(final, "dimensionless"),
        quantity(final_low, "dimensionless"),
        quantity(final_high, "dimensionless"),
        quantity(finished, "day"),
        quantity(early, "day"),
        quantity(late, "day"),
        misfit,
    )


def _posterior(
    readings: Sequence[tuple[Quantity, Quantity]],
    original_gravity: Quantity,
    resolution: float,
    attenuation: tuple[Quantity, Quantity] | None,
) -> tuple[Any, Any, float]:
    """Curves that the readings allow (one row of parameters each), their weights, and the misfit of the best."""
    from scipy.optimize import leastsq  # costs 0.2 s to load, and only a forecast needs it

    points = [(day, sg) for day, sg in read_readings(readings) if day > 0]
    if not points:
        raise OutOfRange("readings", None, "day", reason="needs one after pitching")
    original = magnitude(original_gravity, "dimensionless", "original_gravity", 1.010, 1.200)
    reading_u = _READING_PER_RESOLUTION * read_resolution(resolution)
    mean, deviation = _ATTENUATION
    if attenuation is not None:
        low, high = (magnitude(a, "dimensionless", "attenuation", 0.1, 1.1) for a in attenuation)
        # Malt, mash and extract move the end further than the sheet of the yeast says.
        mean, deviation = (low + high) / 2, max(0.03, _WIDER_THAN_SHEET * abs(high - low))
    days, gravities = np.array(points).T
    prior = np.array(((original, reading_u), (mean, deviation), _LOG_RATE, _LOG_MIDDLE, _LOG_SHAPE)).T

    def parameters(z: Any) -> Any:
        return np.clip(prior[0] + prior[1] * z, _LEAST, _MOST)

    def miss(z: Any) -> Any:
        """Misses of the readings and the prior in standard deviations, one row per parameter set.

        Parameters are counted in standard deviations of the prior, which keeps the fit well conditioned.
        """
        og, share, *curve = parameters(np.atleast_2d(z)).T[..., np.newaxis]
        readings_miss = (og - (og - 1) * share * _share(days, *curve) - gravities) / reading_u
        return np.concatenate((readings_miss, np.atleast_2d(z)), axis=1)

    fitted = leastsq(lambda z: miss(z)[0], np.zeros(prior.shape[1]), full_output=True)[0]
    misfit = math.sqrt(float(np.mean(miss(fitted)[0, : len(points)] ** 2)))
    steps = 1e-4 * np.eye(len(fitted))
    slopes = (miss(fitted + steps) - miss(fitted - steps)) / 2e-4
    # More misfit than the instrument explains makes every range wider by as much.
    trust = np.ones(len(slopes[0]))
    trust[: len(points)] = 1 / max(1.0, misfit)
    slopes = slopes * trust
    covariance = np.linalg.inv(slopes @ slopes.T)

    # The posterior is skewed, so it is weighed point by point around the fit instead of taken as normal.
    normal = _normal_points(_POINTS, len(fitted))
    z = fitted + _WIDER * normal @ np.linalg.cholesky(covariance).T
    drawn = parameters(z)
    log_weight = 0.5 * np.sum(normal**2, axis=1) - 0.5 * np.sum((miss(z) * trust) ** 2, axis=1)
    weights = np.exp(log_weight - log_weight.max())
    return drawn, weights, misfit


def forecast_curve(
    readings: Sequence[tuple[Quantity, Quantity]],
    original_gravity: Quantity,
    days: Sequence[Quantity],
    resolution: float = 0.001,
    attenuation: tuple[Quantity, Quantity] | None = None,
) -> list[tuple[Quantity, Quantity, Quantity]]:
    """Low, middle and high gravity at times since pitching: the band in which nine of ten curves lie.

    Arguments, errors and source as in :func:`forecast_finish`, whose end the band comes to; ``days`` are 0 or more.

    >>> sg = lambda s: quantity(s, "dimensionless")
    >>> points = [(quantity(d, "day"), sg(s)) for d, s in [(1, 1.046), (2, 1.030), (3, 1.019), (4, 1.014)]]
    >>> low, middle, high = forecast_curve(points, sg(1.050), [quantity(9, "day")])[0]
    >>> low < middle < high, round(middle.magnitude, 3)
    (True, 1.013)
    """
    drawn, weights, _ = _posterior(readings, original_gravity, resolution, attenuation)
    original, share, *curve = drawn.T
    band = []
    for time in days:
        gone = _share(magnitude(time, "day", "days", 0), *curve)
        low, middle, high = _quantiles(original - (original - 1) * share * gone, weights, _GRAVITY_TAIL)
        band.append((quantity(low, "dimensionless"), quantity(middle, "dimensionless"), quantity(high, "dimensionless")))
    return band
