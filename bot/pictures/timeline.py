"""Times on an axis: as numbers, and as ticks in the person's time zone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

from matplotlib import dates
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter


def number(at: datetime) -> float:
    """A time as the axis counts it, in days."""
    return float(dates.date2num(at))  # type: ignore[no-untyped-call]


def ticks(drawn: Axes, zone: ZoneInfo, least: int, most: int, show: Callable[[datetime], str]) -> None:
    """Ticks at round times of the person's clock."""
    locator = dates.AutoDateLocator(tz=zone, minticks=least, maxticks=most)  # type: ignore[no-untyped-call]
    drawn.xaxis.set_major_locator(locator)
    drawn.xaxis.set_major_formatter(
        FuncFormatter(lambda x, _: show(dates.num2date(x, tz=zone)))  # type: ignore[no-untyped-call]
    )
