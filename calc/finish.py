"""Has fermentation finished? The test on readings, before anything is bottled.

Two readings that agree say only that the gravity changed by less than the scale can show. The test asks
what the readings still allow: taking each to be right within half a scale division, and fermentation to
slow down as it ends, how far could gravity fall in the next three days? Only when that is below 0.002
(about one volume of carbon dioxide in a bottle) does it say stable.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from calc.density import read_gravity
from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity

LEAST_SPAN_DAYS = 2.0
AHEAD_DAYS = 3.0
MOST_FALL_AHEAD = 0.002
"""Stable: over at least this span, readings leave room for less than this fall in the days ahead."""

_LOOK_BACK_DAYS = 7.0
_NOT_STARTED_ABOVE = 1.020
_ATTENUATED_AT_LEAST = 0.4
_ROUNDING = 1e-9

Verdict = Literal["stable", "falling", "rising", "unknown"]
Reason = Literal[
    "no_change",
    "still_falling",
    "rising",
    "too_few_readings",
    "too_short",
    "within_resolution",
    "no_fall_seen",
]


@dataclass(frozen=True, slots=True)
class Stability:
    """Answer of :func:`is_stable`.

    Attributes:
        verdict: "stable", "falling", "rising" or "unknown".
        reason: why; "too_few_readings" (needs two), "too_short" (needs readings two days apart),
            "within_resolution" (the change is too small for the scale to tell: wait and read again) and
            "no_fall_seen" (gravity is high and has not fallen: not started, or stuck) go with "unknown".
        change: last reading less the one it was compared with; None without a comparison.
        span: time between the two; None without a comparison.
        fall_ahead: the furthest that gravity can still fall in three days as the readings go; None
            without a comparison.
    """

    verdict: Verdict
    reason: Reason
    change: Quantity | None = None
    span: Quantity | None = None
    fall_ahead: Quantity | None = None

    @property
    def stable(self) -> bool:
        """True only for the verdict "stable"."""
        return self.verdict == "stable"


def read_readings(readings: Sequence[tuple[Quantity, Quantity]]) -> list[tuple[float, float]]:
    """Readings as (days, gravity), in order of time."""
    return sorted(
        (magnitude(elapsed, "day", "readings", 0), read_gravity(gravity, "readings"))
        for elapsed, gravity in readings
    )


def _judge(
    points: list[tuple[float, float]], resolution: float
) -> tuple[Verdict, Reason, float, float, float]:
    """Verdict, reason, change, span in days and furthest fall ahead, from at least two points.

    Each earlier reading two days or more back is a comparison; the best one is the one that leaves the
    least room. A reading in between that strays by more than a division spoils it.
    """
    last_day, last = points[-1]
    recent = [(day, sg) for day, sg in points if last_day - day <= _LOOK_BACK_DAYS + _ROUNDING]
    tolerance = resolution + _ROUNDING
    best: tuple[float, float, float] | None = None
    for index, (day, sg) in enumerate(recent):
        span = last_day - day
        if span < LEAST_SPAN_DAYS - _ROUNDING:
            break
        window = [s for _, s in recent[index:]]
        if max(window) - min(window) > tolerance:
            continue
        # As fermentation slows down, the fall per day ahead is at most that of the span behind.
        ahead = max(0.0, sg - last + resolution) / span * AHEAD_DAYS
        if best is None or ahead < best[0]:
            best = ahead, last - sg, span
    first_day, first = recent[0]
    if best is None:
        earlier = [(d, s) for d, s in recent[:-1] if last_day - d >= LEAST_SPAN_DAYS - _ROUNDING]
        day, sg = earlier[-1] if earlier else (first_day, first)
        span = last_day - day
        best = max(0.0, sg - last + resolution) / max(span, _ROUNDING) * AHEAD_DAYS, last - sg, span
    ahead, change, span = best
    fell, rose = max(s for _, s in recent) - last, last - min(s for _, s in recent)
    if abs(change) <= tolerance and span >= LEAST_SPAN_DAYS - _ROUNDING and ahead < MOST_FALL_AHEAD:
        return "stable", "no_change", change, span, ahead
    if change < -tolerance or (fell > tolerance and fell >= rose):
        return "falling", "still_falling", change, span, ahead
    if change > tolerance or rose > tolerance:
        return "rising", "rising", change, span, ahead
    short = span < LEAST_SPAN_DAYS - _ROUNDING
    return "unknown", "too_short" if short else "within_resolution", change, span, ahead


def is_stable(
    readings: Sequence[tuple[Quantity, Quantity]],
    resolution: float = 0.001,
    original_gravity: Quantity | None = None,
) -> Stability:
    """Is gravity stable, so that what is left to ferment is too little to matter in a bottle?

    Args:
        readings: (time since pitching or any other start, specific gravity 20/20), in any order.
        resolution: smallest division of the instrument, 0.0001 to 0.01; with 0.002 or more two days are
            too short for two equal readings to prove anything.
        original_gravity: where known; a gravity that is high against it is not called stable.

    Returns:
        :class:`Stability`; "stable" needs two readings two days or more apart that agree within a division.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Common practice, no source, for readings two or three days apart; the bound on the fall ahead
    follows from a fall that slows down.

    >>> day = lambda d: quantity(d, "day")
    >>> sg = lambda s: quantity(s, "dimensionless")
    >>> is_stable([(day(9), sg(1.010)), (day(11), sg(1.010))]).verdict
    'stable'
    >>> is_stable([(day(5), sg(1.016)), (day(7), sg(1.013))]).verdict
    'falling'
    >>> is_stable([(day(9), sg(1.010)), (day(10), sg(1.010))]).reason
    'too_short'
    """
    if not 0.0001 <= resolution <= 0.01:
        raise OutOfRange("resolution", resolution, "dimensionless", 0.0001, 0.01)
    points = read_readings(readings)
    original = None if original_gravity is None else read_gravity(original_gravity, "original_gravity")
    if len(points) < 2:
        return Stability("unknown", "too_few_readings")
    verdict, reason, change, span, ahead = _judge(points, resolution)
    if verdict == "stable" and not _has_fermented(points, original, resolution):
        verdict, reason = "unknown", "no_fall_seen"
    return Stability(
        verdict,
        reason,
        quantity(change, "dimensionless"),
        quantity(span, "day"),
        quantity(ahead, "dimensionless"),
    )


def _has_fermented(points: list[tuple[float, float]], original: float | None, resolution: float) -> bool:
    """Guard against the quiet hours before fermentation starts, when gravity is constant too."""
    last = points[-1][1]
    if original is not None:
        return original - last >= _ATTENUATED_AT_LEAST * (original - 1)
    start = max(sg for _, sg in points)
    seen_to_fall = start - last > max(3 * resolution, _ATTENUATED_AT_LEAST * (start - 1))
    return seen_to_fall or last <= _NOT_STARTED_ABOVE
