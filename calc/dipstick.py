"""Depth on a dipstick to volume in the pot, and back.

Either from the diameter of a straight pot, or from marks that the brewer measured by pouring in known
volumes. Between marks a monotone cubic runs through them, so a rounded pot is followed and the volume
never falls as the depth rises. The stick is taken to stand on the bottom: no depth is no volume.

The cubic is a few lines here because a dipstick is read in ordinary chat, where importing scipy would be
the slowest step; the tests check it against scipy's.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity

EXTRAPOLATION_SHARE = 0.25
"""How far above the highest mark a depth is still read: this share of its depth, straight on."""

_BISECTIONS = 60

Marks = Sequence[tuple[Quantity, Quantity]]
"""Pairs of depth and volume, in any order."""


def volume_from_depth(depth: Quantity, diameter: Quantity) -> Quantity:
    """Volume in a straight round pot.

    Args:
        depth: of the liquid, 0 to 200 cm.
        diameter: of the pot inside, 1 to 200 cm.

    Returns:
        litres.

    Raises:
        OutOfRange: an argument outside its range.

    Source: geometry of a cylinder.

    >>> round(volume_from_depth(quantity(10, "cm"), quantity(24, "cm")).magnitude, 2)
    4.52
    """
    depth_cm = magnitude(depth, "cm", "depth", 0, 200)
    return quantity(depth_cm * _area_cm2(diameter) / 1000, "litre")


def depth_from_volume(volume: Quantity, diameter: Quantity) -> Quantity:
    """Depth that a volume fills in a straight round pot.

    Args:
        volume: 0 litres or more.
        diameter: of the pot inside, 1 to 200 cm.

    Returns:
        cm.

    Raises:
        OutOfRange: an argument outside its range.

    Source: geometry of a cylinder.

    >>> round(depth_from_volume(quantity(6, "litre"), quantity(24, "cm")).magnitude, 1)
    13.3
    """
    return quantity(1000 * magnitude(volume, "litre", "volume", 0) / _area_cm2(diameter), "cm")


def _area_cm2(diameter: Quantity) -> float:
    return math.pi / 4 * magnitude(diameter, "cm", "diameter", 1, 200) ** 2


class _Curve:
    """The marks, from the bottom of the pot up, with the slope of the curve at each."""

    def __init__(self, marks: Marks) -> None:
        points = sorted(
            (magnitude(depth, "cm", "marks", 0, 200), magnitude(volume, "litre", "marks", 0))
            for depth, volume in marks
        )
        if not points:
            raise OutOfRange("marks", None, "cm", reason="needs at least one measured mark")
        if points[0] != (0.0, 0.0):
            points.insert(0, (0.0, 0.0))
        if len(points) < 2 or any(d1 <= d0 or v1 <= v0 for (d0, v0), (d1, v1) in pairwise(points)):
            raise OutOfRange("marks", None, "cm", reason="volume must rise with depth from mark to mark")
        self.depths_cm = [depth for depth, _ in points]
        self.volumes_l = [volume for _, volume in points]
        self.slopes = _monotone_slopes(self.depths_cm, self.volumes_l)

    @property
    def highest_cm(self) -> float:
        return self.depths_cm[-1] * (1 + EXTRAPOLATION_SHARE)

    def volume_l(self, depth_cm: float) -> float:
        depths, volumes, slopes = self.depths_cm, self.volumes_l, self.slopes
        if depth_cm >= depths[-1]:
            secant = (volumes[-1] - volumes[-2]) / (depths[-1] - depths[-2])
            return volumes[-1] + (depth_cm - depths[-1]) * secant
        i = max(bisect_right(depths, depth_cm) - 1, 0)
        width = depths[i + 1] - depths[i]
        t = (depth_cm - depths[i]) / width
        rise = volumes[i + 1] - volumes[i]
        # Cubic Hermite polynomial in Horner form, measured from the mark below.
        start, end = slopes[i] * width, slopes[i + 1] * width
        return volumes[i] + t * (start + t * ((3 * rise - 2 * start - end) + t * (start + end - 2 * rise)))


def _monotone_slopes(x: Sequence[float], y: Sequence[float]) -> list[float]:
    """Slopes at the points that keep the cubic between them monotone.

    Source: F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300: weighted harmonic mean
    inside, three-point formula at the ends, limited there after C. Moler, Numerical Computing (2004), 3.6.
    """
    widths = [b - a for a, b in pairwise(x)]
    secants = [(b - a) / width for (a, b), width in zip(pairwise(y), widths, strict=True)]
    if len(secants) == 1:
        return [secants[0], secants[0]]
    inner = []
    for (h0, h1), (d0, d1) in zip(pairwise(widths), pairwise(secants), strict=True):
        w0, w1 = 2 * h1 + h0, h1 + 2 * h0
        inner.append((w0 + w1) / (w0 / d0 + w1 / d1))
    return [
        _end_slope(widths[0], widths[1], secants[0], secants[1]),
        *inner,
        _end_slope(widths[-1], widths[-2], secants[-1], secants[-2]),
    ]


def _end_slope(width: float, next_width: float, secant: float, next_secant: float) -> float:
    slope = ((2 * width + next_width) * secant - width * next_secant) / (width + next_width)
    # All secants are positive here, so keeping the slope between these bounds keeps the end monotone.
    return min(max(slope, 0.0), 3 * secant)


def volume_from_marks(depth: Quantity, marks: Marks) -> Quantity:
    """Volume in the pot, read between the brewer's own marks.

    Args:
        depth: of the liquid, from 0 to a quarter above the highest mark's depth; above that mark the
            reading goes straight on (:func:`beyond_marks` says so).
        marks: measured pairs of depth and volume, in any order, at least one; volume rises with depth. One
            mark alone is taken as a straight pot.

    Returns:
        litres.

    Raises:
        OutOfRange: depth outside its range, no marks, or marks that do not rise.

    Source: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300, for the curve.

    >>> marks = [(quantity(5, "cm"), quantity(2, "litre")), (quantity(10, "cm"), quantity(4.4, "litre"))]
    >>> round(volume_from_marks(quantity(7.5, "cm"), marks).magnitude, 2)
    3.15
    """
    curve = _Curve(marks)
    return quantity(curve.volume_l(magnitude(depth, "cm", "depth", 0, curve.highest_cm)), "litre")


def depth_from_marks(volume: Quantity, marks: Marks) -> Quantity:
    """Depth at which the pot holds a volume: the inverse of :func:`volume_from_marks`.

    Args:
        volume: from 0 to what the pot would hold a quarter above the highest mark's depth.
        marks: measured pairs of depth and volume, in any order, at least one; volume rises with depth.

    Returns:
        cm.

    Raises:
        OutOfRange: volume outside its range, no marks, or marks that do not rise.

    Source: numeric inverse of :func:`volume_from_marks`.

    >>> marks = [(quantity(5, "cm"), quantity(2, "litre")), (quantity(10, "cm"), quantity(4.4, "litre"))]
    >>> round(depth_from_marks(quantity(4.4, "litre"), marks).magnitude, 1)
    10.0
    """
    curve = _Curve(marks)
    volume_l = magnitude(volume, "litre", "volume", 0, curve.volume_l(curve.highest_cm))
    low, high = 0.0, curve.highest_cm
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        if curve.volume_l(middle) < volume_l:
            low = middle
        else:
            high = middle
    return quantity((low + high) / 2, "cm")


def beyond_marks(depth: Quantity, marks: Marks) -> bool:
    """Whether a reading at this depth would lie outside the measured marks, and is a guess.

    Args:
        depth: of the liquid, 0 to 200 cm.
        marks: as in :func:`volume_from_marks`.

    Raises:
        OutOfRange: an argument outside its range, no marks, or marks that do not rise.

    Source: none needed, a comparison.

    >>> marks = [(quantity(5, "cm"), quantity(2, "litre")), (quantity(10, "cm"), quantity(4.4, "litre"))]
    >>> beyond_marks(quantity(11, "cm"), marks), beyond_marks(quantity(6, "cm"), marks)
    (True, False)
    """
    _Curve(marks)
    depth_cm = magnitude(depth, "cm", "depth", 0, 200)
    measured_cm = [magnitude(mark, "cm", "marks", 0, 200) for mark, _ in marks]
    return not min(measured_cm) <= depth_cm <= max(measured_cm)
