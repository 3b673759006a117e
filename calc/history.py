"""Temperature over time, built up leg by leg: heating up, boiling, steeping while it cools, chilling."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity

_STEP_K = 0.5  # a step of the solution sees the temperature change by no more than this


@dataclass(frozen=True)
class History:
    """Corners of a temperature curve, straight in between. Each method returns a longer history.

    Attributes:
        times_min: minutes since the start, rising, the first one 0.
        temperatures_c: temperature at each, -10 to 105 degC.

    >>> day = History.starting_at(quantity(67, "degC")).heating(quantity(100, "degC"), quantity(20, "minute"))
    >>> day = day.holding(quantity(60, "minute"))
    >>> day.times_min, day.temperatures_c
    ((0.0, 20.0, 80.0), (67.0, 100.0, 100.0))
    """

    times_min: tuple[float, ...]
    temperatures_c: tuple[float, ...]

    @classmethod
    def starting_at(cls, temperature: Quantity) -> History:
        """Start at a temperature, -10 to 105 degC.

        >>> print(History.starting_at(quantity(67, "degC")).duration)
        0.0 minute
        """
        return cls((0.0,), (magnitude(temperature, "degC", "temperature", -10.0, 105.0),))

    @classmethod
    def boiling(cls, duration: Quantity, temperature: Quantity) -> History:
        """Return a boil alone: one temperature for 0 to 24 hour.

        >>> History.boiling(quantity(1, "hour"), quantity(100, "degC")).temperatures_c
        (100.0, 100.0)
        """
        return cls.starting_at(temperature).holding(duration)

    @classmethod
    def from_readings(cls, readings: Sequence[tuple[Quantity, Quantity]]) -> History:
        """Return the curve through a thermometer's readings: pairs of elapsed time and temperature.

        Raises:
            OutOfRange: no readings, times that do not rise, or temperatures outside -10 to 105 degC.

        >>> History.from_readings([(quantity(5, "minute"), quantity(95, "degC")),
        ...                        (quantity(15, "minute"), quantity(85, "degC"))]).times_min
        (0.0, 10.0)
        """
        if not readings:
            raise OutOfRange("readings", 0.0, "", 1.0, None, "need at least one reading")
        times_min = [magnitude(elapsed, "minute", "readings", 0.0) for elapsed, _ in readings]
        if any(later <= earlier for earlier, later in pairwise(times_min)):
            raise OutOfRange("readings", None, "minute", reason="must be in order of time")
        return cls(
            tuple(time_min - times_min[0] for time_min in times_min),
            tuple(magnitude(t, "degC", "readings", -10.0, 105.0) for _, t in readings),
        )

    @property
    def duration(self) -> Quantity:
        """Whole length, in minute."""
        return quantity(self.times_min[-1], "minute")

    def _with(self, leg_min: float, temperature_c: float) -> History:
        end_min = self.times_min[-1] + leg_min
        return History((*self.times_min, end_min), (*self.temperatures_c, temperature_c))

    def holding(self, duration: Quantity) -> History:
        """Stay at the last temperature for 0 to 24 hour."""
        return self._with(magnitude(duration, "minute", "duration", 0.0, 1440.0), self.temperatures_c[-1])

    def heating(self, temperature: Quantity, duration: Quantity) -> History:
        """Go evenly to a temperature (-10 to 105 degC) in 0 to 24 hour; a burner heats evenly."""
        return self._with(
            magnitude(duration, "minute", "duration", 0.0, 1440.0),
            magnitude(temperature, "degC", "temperature", -10.0, 105.0),
        )

    def cooling(self, surroundings: Quantity, time_constant: Quantity, duration: Quantity) -> History:
        """Cool by Newton's law towards the surroundings (-30 to 105 degC) for 0 to 24 hour.

        The time constant, 0.1 minute to 1000 hour, comes from :func:`calc.cooling.forecast`.

        >>> steep = History.starting_at(quantity(98, "degC")).cooling(
        ...     quantity(20, "degC"), quantity(90, "minute"), quantity(20, "minute"))
        >>> print(f"{steep.temperatures_c[-1]:.1f}")
        82.5
        """
        around_c = magnitude(surroundings, "degC", "surroundings", -30.0, 105.0)
        constant_min = magnitude(time_constant, "minute", "time_constant", 0.1, 60000.0)
        duration_min = magnitude(duration, "minute", "duration", 0.0, 1440.0)
        start_min, start_k = self.times_min[-1], self.temperatures_c[-1] - around_c
        fall_k = abs(start_k) * -math.expm1(-duration_min / constant_min)
        # Corners at equal falls of temperature, two kelvin apart at most, lie close to the true curve.
        corners = max(1, math.ceil(fall_k / 2.0))
        times_min = list(self.times_min)
        temperatures_c = list(self.temperatures_c)
        for corner in range(1, corners):
            share_left = 1.0 - corner / corners * -math.expm1(-duration_min / constant_min)
            times_min.append(start_min - constant_min * math.log(share_left))
            temperatures_c.append(around_c + start_k * share_left)
        times_min.append(start_min + duration_min)
        temperatures_c.append(around_c + start_k * math.exp(-duration_min / constant_min))
        return History(tuple(times_min), tuple(temperatures_c))

    def then(self, other: History) -> History:
        """Append another history; where the temperatures differ it jumps, as when wort is poured over.

        >>> boil = History.boiling(quantity(10, "minute"), quantity(100, "degC"))
        >>> print(boil.then(History.boiling(quantity(5, "minute"), quantity(80, "degC"))).duration)
        15.0 minute
        """
        end_min = self.times_min[-1]
        return History(
            self.times_min + tuple(end_min + time_min for time_min in other.times_min),
            self.temperatures_c + other.temperatures_c,
        )

    def steps(self) -> Iterator[tuple[float, float]]:
        """Yield pairs of mean temperature (degC) and length (minute), short enough to take as constant."""
        for i in range(1, len(self.times_min)):
            leg_min = self.times_min[i] - self.times_min[i - 1]
            if leg_min <= 0.0:
                continue
            from_c = self.temperatures_c[i - 1]
            rise_k = self.temperatures_c[i] - from_c
            parts = max(1, math.ceil(abs(rise_k) / _STEP_K))
            for part in range(parts):
                yield from_c + rise_k * (part + 0.5) / parts, leg_min / parts
