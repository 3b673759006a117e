"""A card of one batch to share: its name, its glass, its numbers, what is in it."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from bot.batch_record import Record
from bot.pictures import look
from bot.pictures.glass import both_scales, draw_glass, on_screen
from conversations.session import wording
from conversations.session.predictions import colour_word

HEIGHT_IN = 6.75


def facts(record: Record) -> list[tuple[str, str]]:
    """The numbers of the batch as (what, how much), those that are known."""
    found = []
    if record.strength is not None:
        found.append(("alcohol by volume", f"{record.strength.magnitude:.1f} %"))
    original, planned = record.original_gravity, record.planned_gravity
    if original is not None:
        found.append(("original gravity", wording.gravity(original)))
    elif planned is not None:
        found.append(("original gravity, planned", wording.gravity(planned)))
    if record.gravity_now is not None:
        done = record.batch.stage in ("bottle", "condition")
        found.append(("final gravity" if done else "gravity now", wording.gravity(record.gravity_now)))
    if record.bitterness:
        found.append(("bitterness, predicted", f"{record.bitterness:.0f} IBU"))
    if record.colour is not None:
        found.append(("colour, predicted", both_scales(record.colour, record.units == "us")))
    if record.volume is not None:
        planned_only = record.measured_volume is None
        found.append((f"into the fermenter{', planned' if planned_only else ''}", wording.volume(record.volume, record.units)))
    scores = [note.score for note in record.batch.tastings if note.score is not None]
    if scores:
        found.append(("score at the last tasting", f"{scores[-1]:g} of 10"))
    return found


def in_it(record: Record) -> list[str]:
    """Malts, hops and yeast, one line each kind."""
    recipe, units = record.batch.recipe, record.units
    lines = []
    if recipe.grains:
        lines.append("Malt: " + ", ".join(f"{wording.mass(mass.quantity, units)} {name}" for name, mass in recipe.grains))
    if recipe.hops:
        lines.append(
            "Hops: " + ", ".join(f"{wording.mass(hop.mass.quantity, units)} {hop.name}" for hop in recipe.hops)
        )
    if recipe.yeast:
        lines.append(f"Yeast: {recipe.yeast}")
    return lines


def card(record: Record, theme: look.Theme) -> Figure:
    """Always works: a batch without numbers still has a name and a day."""
    started = record.local(record.batch.started)
    brewed = f"Brewed {started.day} {started:%B %Y}" if record.pitched else f"Begun {started.day} {started:%B %Y}"
    word = f", {colour_word(record.colour)}" if record.colour is not None else ""
    figure, free = look.page(theme, record.batch.name, brewed + word, HEIGHT_IN)
    wide, high = figure.get_size_inches()
    foot = [row for line in in_it(record) for row in look.fitted(line, wide - 2 * look.MARGIN_IN, look.SMALL, lines=2)]
    foot_in = len(foot) * 0.2 + (0.2 if foot else 0.0)
    side = min(free - 0.55 - foot_in, 2.9)
    floor = 0.45 + foot_in
    bottom = floor + (free - floor - side) / 2
    glass: Axes = figure.add_axes((0.0, bottom / high, side / wide, side / high), facecolor="none")
    draw_glass(glass, on_screen(record.colour) if record.colour is not None else None, theme)
    rows = facts(record)
    step = min(0.62, (free - floor) / max(1, len(rows)))
    top = floor + (free - floor + step * len(rows)) / 2 - 0.3
    for row, (what, number) in enumerate(rows):
        y = top - row * step
        look.write(figure, side - 0.1, y, number, theme.ink, look.shrunk(number, wide - side - 0.1, 18.0), bold=True)
        look.write(figure, side - 0.1, y - 0.19, what, theme.quiet, look.SMALL)
    if not rows:
        look.write(figure, side - 0.1, top, "No numbers yet", theme.quiet, look.HEADING)
    for row, line in enumerate(foot):
        look.write(figure, look.MARGIN_IN, 0.45 + foot_in - 0.2 - row * 0.2, line, theme.ink, look.SMALL)
    look.write(figure, look.MARGIN_IN, 0.2, f"Batch {record.code}", theme.quiet, look.SMALL)
    look.write(figure, wide - look.MARGIN_IN, 0.2, "Potside", theme.quiet, look.SMALL, align="right")
    return figure
