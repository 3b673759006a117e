"""The brew day as a picture for a phone: one bar a stage, times at both ends."""

from __future__ import annotations

import io
from zoneinfo import ZoneInfo

from bot.attachments import Diary, File
from conversations.session.events import Attachment
from conversations.session.timeline import Step, in_quiet
from conversations.session.timetable import unpacked

_COLOUR = {"heat": "#c8553d", "top_up": "#c8553d", "boil": "#c8553d", "mash": "#d9a441", "chill": "#4a7fa5"}
_OTHER = "#7d8a7a"
_QUIET = "#2f2f4f"


def picture(name: str, steps: tuple[Step, ...], zone: str, quiet_from: str, quiet_to: str) -> bytes:
    """A PNG, 1080 dots wide; stages in quiet hours are hatched."""
    from matplotlib.figure import Figure

    here = ZoneInfo(zone)
    figure = Figure(figsize=(7.2, 1.4 + 0.55 * len(steps)), dpi=150, facecolor="white")
    axes = figure.add_axes((0.03, 0.09, 0.94, 0.80))
    first = steps[0].begins
    length = (steps[-1].ends - first).total_seconds() / 60
    quiet = False
    for row, step in enumerate(steps):
        begin = (step.begins - first).total_seconds() / 60
        minutes = (step.ends - step.begins).total_seconds() / 60
        loud = in_quiet(step, zone, quiet_from, quiet_to)
        quiet = quiet or loud
        axes.barh(
            row,
            max(minutes, length / 200),
            left=begin,
            height=0.46,
            color=_COLOUR.get(step.name, _OTHER),
            hatch="///" if loud else None,
            edgecolor=_QUIET if loud else "none",
        )
        words = f"{step.begins.astimezone(here):%H:%M}  {step.title}, {minutes:.0f} min"
        left = begin < 0.55 * length
        axes.text(
            begin if left else begin + minutes, row - 0.32, words, ha="left" if left else "right", va="bottom", fontsize=11
        )
    axes.set_ylim(len(steps) - 0.5, -0.9)
    axes.set_xlim(-0.01 * length, 1.02 * length)
    axes.set_yticks([])
    ticks = [60 * hour for hour in range(int(length // 60) + 1)]
    axes.set_xticks(ticks, [f"+{tick // 60} h" for tick in ticks])
    for side in ("top", "left", "right"):
        axes.spines[side].set_visible(False)
    end = f"done {steps[-1].ends.astimezone(here):%H:%M}"
    note = f"; hatched: quiet hours {quiet_from} to {quiet_to}" if quiet else ""
    axes.set_title(f"{name}, {end}{note}", fontsize=13, loc="left")
    made = io.BytesIO()
    figure.savefig(made, format="png")
    return made.getvalue()


def make(diary: Diary, attachment: Attachment) -> File:
    """The picture that "timeline picture" asks for."""
    state = diary.state
    batch = next((each for each in state.batches if each.id == attachment.batch), None)
    steps = unpacked(attachment.options["steps"])
    data = picture(batch.name if batch else "Brew day", steps, state.zone, state.quiet_from, state.quiet_to)
    return File("timeline.png", "image/png", data)
