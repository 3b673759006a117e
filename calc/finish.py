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

from calc.alcohol import gravity_at_attenuation
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
_STUCK_ABOVE = 0.003
_ROUNDING = 5e-5
"""Correction for temperature moves two equal differences apart by less than this."""

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
        reason: why; "too_few_readings" (needs two), "too_short" (needs a second reading two days apart),
            "within_resolution" (the change is too small for the scale to tell: wait and read again) and
            "no_fall_seen" (gravity is high and has not fallen: not started, or stuck) go with "unknown".
        change: last reading less the one it was compared with; None without a comparison.
        span: time between the two; None without a comparison.
        fall_ahead: the furthest that gravity can still fall in three days as the readings go; None
            without a comparison over two days or more.
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


def read_resolution(resolution: float) -> float:
    """Check an instrument's smallest division of specific gravity, 0.0001 to 0.01."""
    if not 0.0001 <= resolution <= 0.01:
        raise OutOfRange("resolution", resolution, "dimensionless", 0.0001, 0.01)
    return resolution


def _fall_ahead(fall: float, span_days: float, resolution: float) -> float:
    """Furthest fall in the days ahead: as fermentation slows down, no faster per day than behind."""
    return max(0.0, fall + resolution) / span_days * AHEAD_DAYS


def _judge(
    points: list[tuple[float, float]], resolution: float
) -> tuple[Verdict, Reason, float, float, float | None]:
    """Verdict, reason, change, span in days and furthest fall ahead, from at least two points.

    Each earlier reading two days or more back is a comparison; the best one is the one that leaves the
    least room. A reading in between that strays by more than a division spoils it.
    """
    last_day, last = points[-1]
    tolerance = resolution + _ROUNDING
    best: tuple[float, float, float] | None = None
    compared = points[-2]
    for index, (day, sg) in enumerate(points[:-1]):
        span = last_day - day
        if span < LEAST_SPAN_DAYS - _ROUNDING:
            break
        compared = day, sg
        later = [s for _, s in points[index:]]
        ahead = _fall_ahead(sg - last, span, resolution)
        if max(later) - min(later) <= tolerance and (best is None or ahead < best[0]):
            best = ahead, last - sg, span
    if best is not None and best[0] < MOST_FALL_AHEAD:
        return "stable", "no_change", best[1], best[2], best[0]

    span, change = last_day - compared[0], last - compared[1]
    long_enough = span >= LEAST_SPAN_DAYS - _ROUNDING
    ahead_at_most = _fall_ahead(-change, span, resolution) if long_enough else None
    recent = [sg for day, sg in points if last_day - day <= _LOOK_BACK_DAYS]
    fell, rose = max(recent) - last, last - min(recent)
    if fell > tolerance and fell >= rose:
        return "falling", "still_falling", change, span, ahead_at_most
    if rose > tolerance:
        return "rising", "rising", change, span, ahead_at_most
    recent_enough = span <= _LOOK_BACK_DAYS and long_enough
    return "unknown", "within_resolution" if recent_enough else "too_short", change, span, ahead_at_most


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
    read_resolution(resolution)
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
        None if ahead is None else quantity(ahead, "dimensionless"),
    )


def is_stuck(
    readings: Sequence[tuple[Quantity, Quantity]],
    original_gravity: Quantity,
    least_attenuation: Quantity,
    resolution: float = 0.001,
) -> bool:
    """Has gravity stopped well above where the yeast should have taken it?

    Args:
        readings: as in :func:`is_stable`.
        original_gravity: specific gravity 20/20 at pitching, 1.002 to 1.200.
        least_attenuation: low end of what the yeast usually reaches, apparent, 0 to 110 percent; for
            instance ``attenuation_range(style).low`` of :mod:`calc.yeast`.
        resolution: smallest division of the instrument, 0.0001 to 0.01.

    Returns:
        True where the readings no longer fall and the last one is more than 0.003 and two divisions above
        the gravity of that attenuation. Wort of malt extract or a hot mash ends higher by nature.

    Raises:
        OutOfRange: an argument outside its range.

    Source: Common practice, no source.

    >>> day = lambda d: quantity(d, "day")
    >>> sg = lambda s: quantity(s, "dimensionless")
    >>> is_stuck([(day(7), sg(1.022)), (day(10), sg(1.022))], sg(1.050), quantity(72, "percent"))
    True
    """
    answer = is_stable(readings, resolution, original_gravity)
    if not (answer.stable or answer.reason == "no_fall_seen"):
        return False
    expected = float(gravity_at_attenuation(original_gravity, least_attenuation).magnitude)
    last = read_readings(readings)[-1][1]
    return last > expected + max(_STUCK_ABOVE, 2 * resolution)


def _has_fermented(points: list[tuple[float, float]], original: float | None, resolution: float) -> bool:
    """Guard against the quiet hours before fermentation starts, when gravity is constant too."""
    last = points[-1][1]
    if original is not None:
        return original - last >= _ATTENUATED_AT_LEAST * (original - 1)
    start = max(sg for _, sg in points)
    seen_to_fall = start - last > max(3 * resolution, _ATTENUATED_AT_LEAST * (start - 1))
    return seen_to_fall or last <= _NOT_STARTED_ABOVE
