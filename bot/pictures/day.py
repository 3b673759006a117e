"""The brew day as planned against as done: two bars for each stage on one clock."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import NamedTuple

from matplotlib.figure import Figure

from bot.batch_record import NothingToShow, Record
from bot.pictures import look, timeline
from conversations.session import wording
from conversations.session.rests import mash_length
from conversations.session.stages import stages

USUAL_MINUTES = {"prepare": 20.0, "heat": 35.0, "drain": 15.0, "top_up": 20.0, "steep": 20.0, "chill": 40.0, "transfer": 20.0, "pitch": 10.0}
"""Minutes of the stages whose length no recipe tells, for a pot of some ten litres. Common practice, no source."""
DAY_STAGES = ("prepare", "heat", "mash", "drain", "top_up", "boil", "steep", "chill", "transfer", "pitch")
ROW_IN = 0.5


class Span(NamedTuple):
    """A stage with its planned and its real minutes, each from the start of the day."""

    name: str
    planned: tuple[float, float]
    done: tuple[float, float] | None
    running: bool


def planned_minutes(record: Record) -> dict[str, float]:
    """How long each stage of the day should take: mash and boil by the recipe, the others as usual."""
    recipe = record.batch.recipe
    return {
        name: {"mash": mash_length(recipe, record.kit), "boil": recipe.boil_minutes}.get(name) or USUAL_MINUTES[name]
        for name in DAY_STAGES
    }


def day_spans(record: Record) -> tuple[datetime, list[Span]]:
    """When the day began, and its stages; raises NothingToShow before the day has begun.

    A stage that was entered twice counts from its first entry to the last leaving of it. The plan begins
    with the first stage of the day that was really entered. The boil counts from when it boiled.
    """
    entered: dict[str, datetime] = {}
    left: dict[str, datetime] = {}
    times = record.stage_times
    for (name, at), following in zip(times, [*times[1:], None], strict=True):
        entered.setdefault(name, at)
        if following is not None:
            left[name] = following[1]
        else:
            left.pop(name, None)
    boiled = record.batch.boil_started
    if boiled is not None and "boil" in entered:
        # Waiting for the boil is heating up, whatever was said first.
        if "top_up" in entered:
            left["top_up"] = max(boiled, left.get("top_up", boiled))
        entered["boil"] = max(entered["boil"], boiled)
    names = [name for name in DAY_STAGES if name in entered]
    if not names:
        raise NothingToShow(f'The brew day of {record.batch.name} has not begun. Say "next" to begin it.')
    start = entered[names[0]]

    def minute(at: datetime) -> float:
        return (at - start).total_seconds() / 60

    minutes, clock, spans = planned_minutes(record), 0.0, []
    for name in DAY_STAGES[DAY_STAGES.index(names[0]) :]:
        planned = (clock, clock + minutes[name])
        clock = planned[1]
        done = None
        if name in entered:
            done = (minute(entered[name]), minute(left.get(name, record.now)))
        spans.append(Span(name, planned, done, name in entered and name not in left))
    return start, spans


def day_chart(record: Record, theme: look.Theme) -> Figure:
    """Stages from top to bottom, time from left to right."""
    start, spans = day_spans(record)
    last = max((span.done[1] for span in spans if span.done), default=0.0)
    planned_end = spans[-1].planned[1]
    over = last - planned_end
    finished = record.entered("ferment") is not None
    took = f"{wording.duration(last * 60)} so far" if not finished else f"{wording.duration(last * 60)} as done"
    timed = [span for span in spans if span.done is not None and (span.running or span.done[1] - span.done[0] >= 1)]
    if finished and len(timed) * 2 < sum(span.done is not None for span in spans):
        # Told in one go afterwards: nothing can be said of how long it took.
        took = "Told in one go, so not timed"
    figure, free = look.page(
        theme,
        record.batch.name,
        f"{took}, {wording.duration(planned_end * 60)} as planned",
        2.3 + ROW_IN * len(spans),
    )
    left = 1.22
    drawn = look.axes(
        figure,
        theme,
        (left, 0.95, look.WIDTH_IN - left - look.MARGIN_IN - 0.05, free - 0.95),
        f"Time of day, {record.local(start).day} {record.local(start):%B %Y} ({look.zone_name(record.zone)})",
        "",
    )

    def number(minute: float) -> float:
        return timeline.number(start + timedelta(minutes=minute))

    for row, span in enumerate(spans):
        y = len(spans) - 1 - row
        begin, end = (number(each) for each in span.planned)
        drawn.barh(y + 0.2, end - begin, left=begin, height=0.22, color="none", edgecolor=theme.plan, hatch="////", lw=1.2)
        if span.done is not None:
            begin, end = (number(each) for each in span.done)
            drawn.barh(y - 0.12, max(end - begin, number(1) - number(0)), left=begin, height=0.36, color=theme.done)
    drawn.set_yticks(range(len(spans)), [_short(span.name) for span in reversed(spans)])
    drawn.tick_params(axis="y", length=0)
    drawn.grid(False, axis="y")
    drawn.set_ylim(-0.6, len(spans) - 0.4)
    end = max(last, planned_end)
    drawn.set_xlim(number(-0.02 * end), number(end * 1.03 + 1))
    timeline.ticks(drawn, record.zone, 3, 6, lambda at: f"{at:%H:%M}")
    look.settle(drawn)
    _key(figure, theme, over if finished and not took.startswith("Told") else None)
    return figure


def _short(name: str) -> str:
    """The stage's title as it fits beside the bars."""
    return {"heat": "Heat water", "drain": "Drain bag", "steep": "Steep", "top_up": "Top up, heat"}.get(
        name, stages()[name].title
    )


def _key(figure: Figure, theme: look.Theme, over: float | None) -> None:
    from matplotlib.patches import Rectangle

    wide, high = figure.get_size_inches()
    y = 0.24
    for x, fill, edge, hatch, text in (
        (0.34, "none", theme.plan, "////", "planned"),
        (1.5, theme.done, theme.done, None, "done"),
    ):
        patch = Rectangle((x / wide, (y - 0.01) / high), 0.26 / wide, 0.13 / high, fc=fill, ec=edge, hatch=hatch)
        patch.set_transform(figure.transFigure)
        figure.add_artist(patch)
        look.write(figure, x + 0.34, y, text, theme.quiet, look.SMALL)
    if over is not None and abs(over) >= 1:
        text = f"{wording.duration(abs(over) * 60)} {'longer' if over > 0 else 'shorter'} than planned"
        look.write(figure, look.WIDTH_IN - look.MARGIN_IN, y, text, theme.ink, look.SMALL, align="right")
