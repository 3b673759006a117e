"""The boil as a line of time: each addition where it was planned, and where it went in."""

from __future__ import annotations

from datetime import datetime

from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from bot.batch_record import NothingToShow, Record
from bot.pictures import look
from conversations.session import wording
from conversations.session.state import Hop

ROW_IN = 0.62
MOST_ROWS = 14
AFTER_BOIL = ("chill", "transfer", "pitch", "ferment", "bottle", "condition")


def boil_chart(record: Record, theme: look.Theme) -> Figure:
    """Additions one below the other, planned and done; raises NothingToShow without hops."""
    recipe, began = record.batch.recipe, record.batch.boil_started
    hops = sorted((hop for hop in recipe.hops if not hop.dry_days), key=lambda hop: -_before_end(hop, recipe.boil_minutes))
    if not hops:
        raise NothingToShow(f'{record.batch.name} has no hops yet. Tell me one like "12 g Fuggle 5% at 60".')
    left_out, hops = len(hops) - MOST_ROWS, hops[:MOST_ROWS]
    when = f"Boil: {recipe.boil_minutes:.0f} min"
    if began is not None:
        when += f" from {record.local(began):%H:%M}"
    if left_out > 0:
        when += f", first {MOST_ROWS} additions"
    height = 2.55 + ROW_IN * len(hops)
    figure, free = look.page(theme, record.batch.name, when, height)
    wide = look.WIDTH_IN - 2 * look.MARGIN_IN
    bottom = 0.95
    drawn = look.axes(
        figure, theme, (look.MARGIN_IN + 0.1, bottom, wide - 0.2, free - bottom), "Minutes since the boil began", ""
    )
    drawn.set_yticks([])
    drawn.spines["left"].set_visible(False)
    ends = [recipe.boil_minutes] + [_minute(hop.added_at, began) for hop in hops if hop.added_at and began]
    end = max(ends)
    drawn.set_xlim(-0.04 * end - 0.5, end * 1.06 + 0.5)
    drawn.set_ylim(-0.65, len(hops) - 0.1)
    drawn.axvline(recipe.boil_minutes, color=theme.temperature, linewidth=2)
    drawn.axvline(0, color=theme.temperature, linewidth=2)
    for row, hop in enumerate(hops):
        y = len(hops) - 1 - row
        planned = max(0.0, recipe.boil_minutes - _before_end(hop, recipe.boil_minutes))
        drawn.plot([planned], [y], "D", markersize=11, markerfacecolor="none", markeredgecolor=theme.plan, mew=1.8)
        done = _minute(hop.added_at, began) if hop.added_at and began else None
        if done is not None:
            drawn.plot([planned, done], [y, y], color=theme.done, linewidth=2.4)
            drawn.plot([done], [y], "o", markersize=8, color=theme.done, zorder=6)
        _name(drawn, record, theme, hop, (planned + (done if done is not None else planned)) / 2, y, end)
    drawn.xaxis.set_major_locator(MaxNLocator(7, integer=True, steps=[1, 1.5, 2, 3, 5, 10]))
    look.settle(drawn)
    _key(figure, theme)
    return figure


def _before_end(hop: Hop, boil_minutes: float) -> float:
    return boil_minutes if hop.first_wort else hop.boil_minutes


def _minute(at: datetime | None, began: datetime | None) -> float:
    return (at - began).total_seconds() / 60 if at is not None and began is not None else 0.0


def _name(drawn: object, record: Record, theme: look.Theme, hop: Hop, x: float, y: float, end: float) -> None:
    from matplotlib.axes import Axes

    assert isinstance(drawn, Axes)
    text = f"{wording.mass(hop.mass.quantity, record.units)} {hop.name}"
    if hop.skipped:
        text += ", left out"
    elif hop.added_at is not None:
        text += f", in at {record.local(hop.added_at):%H:%M}"
    elif record.batch.stage in AFTER_BOIL:
        text += ", going in was not noted"
    else:
        text += f", {hop.boil_minutes:.0f} min before the end" if hop.boil_minutes else ", at flame-out"
    left = x < end / 2
    rows = look.fitted(text, 3.9, look.BODY)
    look.label(
        drawn,
        (x, y),
        rows[0] if rows else "",
        theme,
        theme.ink,
        (-8 if left else 8, 17),
        "left" if left else "right",
        size=look.BODY,
        patch=1.0,
    )


def _key(figure: Figure, theme: look.Theme) -> None:
    """What the two marks and the two lines mean, in one line at the foot."""
    wide, high = figure.get_size_inches()
    y = 0.24
    from matplotlib.lines import Line2D

    for x, mark in (
        (0.42, Line2D([0.42 / wide], [(y + 0.05) / high], marker="D", ms=8, mfc="none", mec=theme.plan, mew=1.8)),
        (1.6, Line2D([1.6 / wide], [(y + 0.05) / high], marker="o", ms=8, color=theme.done)),
        (2.55, Line2D([2.5 / wide, 2.5 / wide], [(y - 0.03) / high, (y + 0.14) / high], color=theme.temperature, lw=2)),
    ):
        mark.set_transform(figure.transFigure)
        figure.add_artist(mark)
        text = {0.42: "planned", 1.6: "went in", 2.55: "boil begins, flame-out"}[x]
        look.write(figure, x + 0.14, y, text, theme.quiet, look.SMALL)
