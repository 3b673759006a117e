"""Mash temperature against the minutes since the grain went in, with the temperature that was wanted."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from bot.batch_record import NothingToShow, Record
from bot.pictures import look
from bot.pictures.units import degree_sign, degrees
from conversations.session import wording
from conversations.session.rests import rest_at, steps

LABEL_ROOM = 0.16
"""Share of the axis that a number beside its point takes."""
NEAR_C = 1.0
"""What the session calls on target."""


def _told(minutes: list[float], values: list[float], end: float) -> set[int]:
    """Readings whose number has room: the last, the first, the highest and the lowest before any other."""
    order = [len(values) - 1, 0, values.index(max(values)), values.index(min(values)), *range(len(values))]
    told: list[int] = []
    for k in order:
        if all(abs(minutes[k] - minutes[other]) >= LABEL_ROOM * end for other in told if other != k):
            told.append(k)
    return set(told)


def mash_chart(record: Record, theme: look.Theme) -> Figure:
    """Readings of the mash and the band round the wanted temperature; raises NothingToShow without a reading."""
    found, units, recipe = record.readings("temperature", "mash"), record.units, record.batch.recipe
    began = record.entered("mash")
    if not found or began is None:
        raise NothingToShow(
            f"No mash temperature of {record.batch.name} has been sent. In the mash, send one like "
            + ('"66.5 C".' if units == "metric" else '"152 F".')
        )
    minutes = [(each.at - began).total_seconds() / 60 for each in found]
    values = [degrees(each.best, units) for each in found]
    meant = rest_at(recipe, record.kit, minutes[-1]).temperature.quantity
    wanted = degrees(meant, units)
    near = NEAR_C if units == "metric" else NEAR_C * 1.8
    shown = wording.temperature(found[-1].best, units)
    figure, free = look.page(
        theme,
        record.batch.name,
        f"Mash: {shown} last, wanted {wording.temperature(meant, units)}",
        5.4,
    )
    box = (look.LEFT_IN, 0.62, look.WIDTH_IN - look.LEFT_IN - look.MARGIN_IN, free - 0.62)
    drawn = look.axes(
        figure,
        theme,
        box,
        f"Minutes since the grain went in ({record.local(began):%H:%M}, {look.zone_name(record.zone)})",
        f"Temperature ({degree_sign(units)})",
    )
    row = steps(recipe, record.kit)
    length = row[-1].ends
    if len(row) > 1:
        # The rests as planned, with the climbs between.
        times = [at for step in row for at in (step.begins, step.ends)]
        heats = [degrees(step.rest.temperature.quantity, units) for step in row for _ in range(2)]
        drawn.fill_between(times, [h - near for h in heats], [h + near for h in heats], color=theme.done, alpha=0.2, linewidth=0)
        drawn.plot(times, heats, color=theme.done, linewidth=1.4)
        wanted = heats[-1]
    else:
        heats = [wanted]
        drawn.axhspan(wanted - near, wanted + near, color=theme.done, alpha=0.2, linewidth=0)
        drawn.axhline(wanted, color=theme.done, linewidth=1.4)
    drawn.axvline(length, color=theme.plan, linewidth=1.4, linestyle=(0, (4, 3)))
    many = len(found) > 14
    drawn.plot(
        minutes, values, color=theme.temperature, linewidth=2.2, marker="s", markersize=4 if many else 7, zorder=5
    )
    end = max(*minutes, length)
    low, high = min(*heats, *values) - near, max(*heats, *values) + near
    if len(row) == 1:
        low, high = min(wanted - 3 * near, *values), max(wanted + 3 * near, *values)
    drawn.set_xlim(-0.04 * end, end * 1.06)
    drawn.set_ylim(low - near, high + near * (2.5 if len(row) > 1 else 1))
    drawn.xaxis.set_major_locator(MaxNLocator(7, integer=True, steps=[1, 1.5, 2, 3, 5, 10]))
    drawn.yaxis.set_major_locator(MaxNLocator(7, integer=True))
    drawn.yaxis.set_major_formatter(FuncFormatter(lambda y, _: f"{y:.0f}"))
    side = "bottom" if len(row) > 1 else "top" if sum(values) / len(values) < wanted else "bottom"
    drawn.annotate(
        "end of the mash as planned",
        (length, 0.97 if side == "top" else 0.03),
        xycoords=("data", "axes fraction"),
        xytext=(-5, 0),
        textcoords="offset points",
        ha="right",
        va=side,
        color=theme.quiet,
        fontproperties=look.font(look.SMALL),
    )
    if len(row) > 1:
        # Below the last rest: above it the reading has its number.
        look.label(drawn, (end * 1.05, wanted - near), "wanted", theme, theme.done, (0, -9), "right")
    else:
        look.label(drawn, (end * 1.05, wanted + near), "wanted", theme, theme.done, (0, 8), "right")
    if not many:
        for k, (at, value) in enumerate(zip(minutes, values, strict=True)):
            if k not in _told(minutes, values, end):
                continue
            above = k == 0 or value >= values[k - 1]
            shift = (8, 11) if above else (8, -12)
            look.label(drawn, (at, value), f"{value:.1f}", theme, theme.temperature, shift, "left", bold=True)
    look.settle(drawn)
    return figure
