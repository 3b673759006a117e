"""The lines of a measuring stick: which volumes get a line, how long it is, and at what depth it lies."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal, NamedTuple

from calc.dipstick import Marks, depth_from_marks, depth_from_volume
from calc.errors import OutOfRange
from calc.units import Quantity, magnitude, quantity

ScaleUnit = Literal["litre", "imperial_pint", "US_pint"]
Rank = Literal["whole", "half", "part"]

_LEAST_GAP_MM = 1.6
"""Lines closer than this run together on paper: the finest ones are left out."""
_PARTS = {"litre": (0.1, 0.5), "imperial_pint": (0.25, 0.5), "US_pint": (0.25, 0.5)}


class Line(NamedTuple):
    """One line of the scale; ``number`` is what stands beside it, in the scale's unit."""

    depth_mm: float
    number: float
    rank: Rank


def scale_lines(
    highest: Quantity, diameter: Quantity | None = None, marks: Marks = (), unit: ScaleUnit = "litre"
) -> tuple[Line, ...]:
    """Return the lines of a stick from the bottom of the pot up.

    Args:
        highest: depth at which the stick ends, 10 to 2000 mm; with marks at most a quarter above the
            highest mark, and what lies beyond is left off.
        diameter: of a straight pot, 1 to 200 cm; used where there are no marks.
        marks: measured pairs of depth and volume, as in :func:`calc.dipstick.volume_from_marks`.
        unit: ``litre``, ``imperial_pint`` or ``US_pint``.

    Returns:
        A line for every whole, half and finer part (0.1 litre, a quarter of a pint); a rank whose lines
        would lie closer than 1.6 mm somewhere is left out, but never the whole ones.

    Raises:
        OutOfRange: an argument outside its range, neither diameter nor marks, or a scale with no line.

    Source: :mod:`calc.dipstick`.

    >>> lines = scale_lines(quantity(60, "mm"), diameter=quantity(24, "cm"))
    >>> [(round(line.depth_mm, 1), line.number) for line in lines if line.rank == "whole"]
    [(22.1, 1.0), (44.2, 2.0)]
    """
    if unit not in _PARTS:
        raise OutOfRange("unit", None, "", reason=f"must be one of {', '.join(_PARTS)}")
    top_mm = magnitude(highest, "mm", "highest", 10.0, 2000.0)
    if not marks and diameter is None:
        raise OutOfRange("diameter", None, "cm", reason="is needed where there are no marks")
    fine, half = _PARTS[unit]

    def depth_mm(number: float) -> float | None:
        volume = quantity(number, unit)
        try:
            depth = depth_from_marks(volume, marks) if marks else depth_from_volume(volume, diameter or quantity(0, "cm"))
        except OutOfRange as error:
            if error.argument != "volume":
                raise
            return None
        found = float(depth.to("mm").magnitude)
        return found if found <= top_mm + 1e-9 else None

    lines: list[Line] = []
    count = 1
    while (depth := depth_mm(count * fine)) is not None:
        number = count * fine
        rank: Rank = "whole" if _is_multiple(number, 1.0) else ("half" if _is_multiple(number, half) else "part")
        lines.append(Line(depth, round(number, 6), rank))
        count += 1
    if not any(line.rank == "whole" for line in lines):
        raise OutOfRange("highest", top_mm, "mm", reason=f"is below the first {unit.replace('_', ' ')}")
    for kept in (("whole", "half", "part"), ("whole", "half"), ("whole",)):
        chosen = tuple(line for line in lines if line.rank in kept)
        if all(b.depth_mm - a.depth_mm >= _LEAST_GAP_MM for a, b in pairwise(chosen)):
            return chosen
    return chosen


def _is_multiple(number: float, step: float) -> bool:
    return abs(number / step - round(number / step)) < 1e-6


def pieces(length_mm: float, room_mm: float, overlap_mm: float) -> tuple[tuple[float, float], ...]:
    """Cut a scale into pieces that fit the paper: pairs of lower and upper depth in mm, from the bottom up.

    Args:
        length_mm: of the scale, above 0.
        room_mm: that one piece may be long, more than twice ``overlap_mm``.
        overlap_mm: that each piece shares with the one below, for gluing, 0 or more.

    Raises:
        OutOfRange: an argument outside its range.

    >>> pieces(300.0, 200.0, 10.0)
    ((0.0, 200.0), (190.0, 300.0))
    """
    if length_mm <= 0:
        raise OutOfRange("length_mm", length_mm, "mm", 0)
    if overlap_mm < 0 or room_mm <= 2 * overlap_mm:
        raise OutOfRange("overlap_mm", overlap_mm, "mm", 0, room_mm / 2)
    found, low = [], 0.0
    while low + room_mm < length_mm - 1e-9:
        found.append((low, low + room_mm))
        low += room_mm - overlap_mm
    found.append((low, length_mm))
    return tuple(found)
