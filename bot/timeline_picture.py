"""The brew day as a picture for a phone: one bar a stage on the person's clock, and what it is above the bar."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from bot.attachments import Diary, File
from conversations.session.events import Attachment
from conversations.session.timeline import Step, in_quiet
from conversations.session.timetable import unpacked

if TYPE_CHECKING:
    from bot.pictures.look import Theme

_ROW_IN = 0.52
_HOT = frozenset({"heat", "top_up", "boil"})


def picture(name: str, steps: tuple[Step, ...], zone: str, quiet_from: str, quiet_to: str, wanted: str = "") -> bytes:
    """A PNG, 1080 dots wide; stages in quiet hours are hatched. ``wanted`` is a palette, else that of the first hour."""
    from bot.pictures import look, timeline

    here = ZoneInfo(zone)
    begins, ends = steps[0].begins, steps[-1].ends
    theme = look.theme_at(begins.astimezone(here), wanted)
    loud = [in_quiet(step, zone, quiet_from, quiet_to) for step in steps]
    end = f"Done {ends.astimezone(here):%H:%M}"
    under = f"{end}; hatched: quiet hours {quiet_from} to {quiet_to}" if any(loud) else end
    figure, free = look.page(theme, name, under, 2.3 + _ROW_IN * len(steps))
    box = (look.MARGIN_IN, 0.85, look.WIDTH_IN - 2 * look.MARGIN_IN, free - 0.85)
    day = begins.astimezone(here)
    drawn = look.axes(figure, theme, box, f"Time of day, {day.day} {day:%B %Y} ({look.zone_name(here)})", "")
    length = ends - begins
    for row, (step, hatched) in enumerate(zip(steps, loud, strict=True)):
        begin = timeline.number(step.begins)
        least = timeline.number(begins + length / 200) - timeline.number(begins)
        drawn.barh(
            row,
            max(timeline.number(step.ends) - begin, least),
            left=begin,
            height=0.4,
            color=_colour(step.name, theme),
            hatch="////" if hatched else None,
            edgecolor=theme.card,
            lw=0,
        )
        minutes = (step.ends - step.begins) / timedelta(minutes=1)
        words = f"{step.begins.astimezone(here):%H:%M}  {step.title}, {minutes:.0f} min"
        early = step.begins - begins < 0.5 * length
        at = (timeline.number(step.begins if early else step.ends), row - 0.42)
        look.label(drawn, at, words, theme, theme.ink, (0, 1), "left" if early else "right")
    drawn.set_ylim(len(steps) - 0.5, -0.9)
    drawn.set_xlim(timeline.number(begins - length / 50), timeline.number(ends + length / 25))
    drawn.set_yticks([])
    drawn.grid(False, axis="y")
    timeline.ticks(drawn, here, 3, 6, lambda at: f"{at:%H:%M}")
    look.settle(drawn)
    return look.as_png(figure)


def _colour(stage: str, theme: Theme) -> str:
    """Warm where the hob is on, cold where it is cooled, and plain for the rest."""
    if stage in _HOT:
        return theme.temperature
    return {"mash": theme.done, "chill": theme.gravity}.get(stage, theme.plan)


def make(diary: Diary, attachment: Attachment) -> File:
    """The picture that "timeline picture" asks for."""
    state = diary.state
    batch = next((each for each in state.batches if each.id == attachment.batch), None)
    steps = unpacked(attachment.options["steps"])
    wanted = str(attachment.options.get("theme", ""))
    name = batch.name if batch else "Brew day"
    return File("timeline.png", "image/png", picture(name, steps, state.zone, state.quiet_from, state.quiet_to, wanted))
