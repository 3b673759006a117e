"""Gravity and temperature since pitching, with the band in which gravity is expected to go on."""

from __future__ import annotations

from datetime import datetime, timedelta

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from bot.batch_record import BEER_STAGES, NothingToShow, Record, days
from bot.pictures import look, timeline
from bot.pictures.units import degree_sign, degrees, gravity
from calc.errors import OutOfRange
from calc.final_gravity import forecast_curve, forecast_finish
from calc.finish import is_stable
from calc.units import quantity
from conversations.session import wording

Ahead = tuple[datetime, float, float, float]
"""Time, low, middle and high gravity."""
_AHEAD = 24
"""Points along the forecast band."""


def gravity_chart(record: Record, theme: look.Theme) -> Figure:
    """Gravity over time, temperature below it; raises NothingToShow without a gravity."""
    points = [(each.at, gravity(each.best)) for each in record.fermenting]
    first = record.pitched
    if record.original_gravity is not None and (first or points):
        points.insert(0, (first or points[0][0] - timedelta(hours=1), gravity(record.original_gravity)))
    if not points:
        raise NothingToShow(
            f'No gravity of {record.batch.name} has been sent yet. Send one like "gravity 1.012 at 20 C".'
        )
    warm = record.readings("temperature", *BEER_STAGES)
    figure, free = look.page(theme, record.batch.name, _summary(record), 7.0 if warm else 5.6)
    bottom, wide = 0.72, look.WIDTH_IN - look.LEFT_IN - look.MARGIN_IN
    low = 1.5 if warm else 0.0
    gap = 0.42 if warm else 0.0
    top = look.axes(
        figure,
        theme,
        (look.LEFT_IN, bottom + low + gap, wide, free - bottom - low - gap),
        "" if warm else _time_label(record),
        "Specific gravity at 20 °C" if record.units == "metric" else "Specific gravity at 68 °F",
    )
    ahead = _ahead(record)
    end = _gravity(top, theme, points, ahead)
    start = points[0][0]
    both = [top]
    for hop in record.batch.recipe.hops:
        if hop.dry_days and hop.added_at is not None and hop.added_at >= points[0][0]:
            x = timeline.number(hop.added_at)
            top.axvline(x, color=theme.done, linewidth=1.6, linestyle=(0, (2, 2)))
            look.label(top, (x, max(sg for _, sg in points)), "dry hops", theme, theme.done, (4, 4), "left")
            end = max(end, hop.added_at)
    if warm:
        under = look.axes(
            figure,
            theme,
            (look.LEFT_IN, bottom, wide, low),
            _time_label(record),
            f"Temp. ({degree_sign(record.units)})",
        )
        _temperature(under, record, theme)
        both.append(under)
        start, end = min(start, warm[0].at), max(end, warm[-1].at)
        top.tick_params(labelbottom=False)
    room = max((end - start) * 0.06, timedelta(hours=3) if end > start else timedelta(days=1))
    for each in both:
        # Where nothing is ahead, the last number stands to the right of its point.
        each.set_xlim(timeline.number(start - room), timeline.number(end + room * (1 if ahead else 2.5)))
        timeline.ticks(each, record.zone, 2, 5, _day)
        look.settle(each)
    return figure


def _summary(record: Record) -> str:
    parts = []
    if record.gravity_now is not None:
        parts.append(f"{wording.gravity(record.gravity_now)} now")
    if record.original_gravity is not None:
        parts.append(f"from {wording.gravity(record.original_gravity)}")
    if record.strength is not None:
        parts.append(f"{record.strength.magnitude:.1f} % alcohol")
    return ", ".join(parts)


def _day(at: datetime) -> str:
    return f"{at.day} {at:%b}" if not at.hour else f"{at.day} {at:%b}\n{at:%H:%M}"


def _time_label(record: Record) -> str:
    return f"Date, {record.local(record.now).year} ({look.zone_name(record.zone)})"


def _gravity(top: Axes, theme: look.Theme, points: list[tuple[datetime, float]], ahead: list[Ahead]) -> datetime:
    """Draw the readings and what is ahead; returns where the picture ends in time."""
    times = [timeline.number(at) for at, _ in points]
    values = [sg for _, sg in points]
    few = len(points) <= 14
    top.plot(
        times, values, color=theme.gravity, linewidth=2.2, marker="o", markersize=7 if few else 4, zorder=5
    )
    lowest, end = min(values), points[-1][0]
    if ahead:
        when = [timeline.number(at) for at, *_ in ahead]
        top.fill_between(
            when, [low for _, low, _, _ in ahead], [high for *_, high in ahead], color=theme.gravity, alpha=0.22, lw=0
        )
        top.plot(when, [mid for _, _, mid, _ in ahead], color=theme.gravity, linewidth=1.8, linestyle=(0, (4, 3)))
        end, low, _, high = ahead[-1]
        lowest = min(lowest, low)
        look.label(
            top, (timeline.number(end), low), f"likely {low:.3f} to {high:.3f}", theme, theme.gravity, (0, -12), "right"
        )
    room = max(0.004, (max(values) - lowest) * 0.12)
    top.set_ylim(lowest - room * (1.7 if ahead else 1), max(values) + room * 1.2)
    top.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    top.yaxis.set_major_formatter(FuncFormatter(lambda y, _: f"{y:.3f}"))
    look.label(top, (times[0], values[0]), f"{values[0]:.3f}", theme, theme.gravity, (9, 6), "left", bold=True)
    if len(points) > 1:
        look.label(top, (times[-1], values[-1]), f"{values[-1]:.3f}", theme, theme.gravity, (4, 12), "left", bold=True)
    return end


def _ahead(record: Record) -> list[Ahead]:
    """The band from the last reading on; empty where nothing is left to forecast."""
    since, original, found = record.pitched, record.original_gravity, record.fermenting
    if since is None or original is None or not found or record.batch.stage != "ferment":
        return []
    curve = [(days(since, each.at), each.best) for each in found if each.at > since]
    try:
        if not curve or is_stable(curve, original_gravity=original).stable:
            return []
        usual = record.usual_attenuation
        finish = forecast_finish(curve, original, attenuation=usual)
        last = float(curve[-1][0].magnitude)
        stop = max(last + 2.0, min(float(finish.finished_late.to("day").magnitude), last + 21.0))
        at = [last + (stop - last) * k / _AHEAD for k in range(_AHEAD + 1)]
        band = forecast_curve(curve, original, [quantity(day, "day") for day in at], attenuation=usual)
    except OutOfRange:
        return []
    return [
        (since + timedelta(days=day), gravity(low), gravity(mid), gravity(high))
        for day, (low, mid, high) in zip(at, band, strict=True)
    ]


def _temperature(under: Axes, record: Record, theme: look.Theme) -> None:
    units = record.units
    found = record.readings("temperature", *BEER_STAGES)
    values = [degrees(each.best, units) for each in found]
    low, high = (degrees(each, units) for each in record.yeast_temperatures)
    under.axhspan(low, high, color=theme.done, alpha=0.2, linewidth=0)
    under.plot(
        [timeline.number(each.at) for each in found],
        values,
        color=theme.temperature,
        linewidth=2,
        marker="s",
        markersize=6 if len(found) <= 14 else 3.5,
        zorder=5,
    )
    room = 2 if units == "metric" else 3.6
    under.set_ylim(min(low, *values) - room, max(high, *values) + room)
    under.yaxis.set_major_locator(MaxNLocator(4, integer=True))
    kind = record.yeast_type.replace("_", " ")
    under.annotate(
        look.plain(f"suits {kind} yeast"),
        (0.98, low),
        xycoords=("axes fraction", "data"),
        xytext=(0, 8),
        textcoords="offset points",
        ha="right",
        va="center",
        color=theme.done,
        fontproperties=look.font(look.SMALL),
    )
