"""Our look: two palettes (daylight and night), type sizes, and the page that every picture is drawn on.

A picture is 1080 pixels wide and shown about 390 points wide on a phone, so one point here is one point there:
nothing is set smaller than 11. Colours differ in lightness as well as in hue, and shapes repeat what they say.
Figures are made without pyplot, so that pictures can be drawn in several threads.
"""

from __future__ import annotations

import io
import textwrap
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, get_font

WIDTH_IN, DPI = 5.4, 200
TITLE, HEADING, BODY, SMALL = 20.0, 14.0, 13.0, 11.5
MARGIN_IN, LEFT_IN = 0.3, 0.95
DAYLIGHT_HOURS = range(7, 19)


@dataclass(frozen=True)
class Theme:
    """Colours of one palette; each pair of neighbours is told apart by lightness too."""

    name: str
    paper: str
    card: str
    ink: str
    quiet: str
    grid: str
    gravity: str
    temperature: str
    plan: str
    done: str
    warn: str


DAY = Theme(
    name="day",
    paper="#f7f1e5",
    card="#fffdf8",
    ink="#20242b",
    quiet="#575d66",
    grid="#d9d0bf",
    gravity="#1d4f8c",
    temperature="#c4500a",
    plan="#868a91",
    done="#065a54",
    warn="#9c1c3c",
)
NIGHT = Theme(
    name="night",
    paper="#14171c",
    card="#1d2128",
    ink="#f2ece0",
    quiet="#b0b5bd",
    grid="#373d46",
    gravity="#8cc0f7",
    temperature="#f08c3c",
    plan="#7b828c",
    done="#74e3cf",
    warn="#f58aa4",
)


def theme_at(local: datetime, wanted: str = "") -> Theme:
    """The palette that was asked for ("day", "night"), else the one of the hour."""
    if wanted in (DAY.name, NIGHT.name):
        return DAY if wanted == DAY.name else NIGHT
    return DAY if local.hour in DAYLIGHT_HOURS else NIGHT


@lru_cache(maxsize=4)
def font_file(bold: bool = False) -> Path:
    """The font that comes with matplotlib, so that pictures look the same on every machine."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name


def font(size: float = BODY, bold: bool = False) -> FontProperties:
    """The font at a size in points."""
    return FontProperties(fname=str(font_file(bold)), size=size)


def drawable(text: str) -> str:
    """The text without letters that the font does not have and without line breaks."""
    known = get_font(str(font_file()))
    kept = "".join(letter if letter.isprintable() else " " for letter in text)
    return " ".join("".join(letter for letter in kept if known.get_char_index(ord(letter))).split())


def plain(text: str) -> str:
    """As :func:`drawable`, and a dollar sign begins no formula."""
    return drawable(text).replace("$", r"\$")


@lru_cache(maxsize=512)
def width_of(text: str, size: float, bold: bool = False) -> float:
    """How wide a line is, in inches."""
    measured = get_font(str(font_file(bold)))
    measured.set_size(size, 72)
    measured.set_text(text, 0.0)
    # FreeType counts in 64ths of a point here.
    return float(measured.get_width_height()[0]) / 64 / 72


def fitted(text: str, width_in: float, size: float, lines: int = 1, bold: bool = False) -> list[str]:
    """The text in at most so many lines of that width; what does not fit ends in an ellipsis."""
    text = drawable(text)
    if not text:
        return []
    letters = max(4, int(len(text) * width_in / max(width_of(text, size, bold), 1e-6)))
    while True:
        rows = textwrap.wrap(text, letters, max_lines=lines, placeholder="…", break_long_words=True)
        if letters <= 4 or all(width_of(row, size, bold) <= width_in for row in rows):
            return rows
        letters -= 1


def shrunk(text: str, width_in: float, size: float, bold: bool = True) -> float:
    """The size, or the smaller one at which a line is no wider than that; not below the smallest."""
    return max(SMALL, min(size, size * width_in / max(width_of(drawable(text), size, bold), 1e-6)))


def page(theme: Theme, title: str, subtitle: str = "", height_in: float = 6.0) -> tuple[Figure, float]:
    """An empty page with its heading; returns it and how much height below the heading is free, in inches."""
    figure = Figure(figsize=(WIDTH_IN, height_in), dpi=DPI, facecolor=theme.paper)
    FigureCanvasAgg(figure)
    free = height_in - MARGIN_IN
    wide = WIDTH_IN - 2 * MARGIN_IN
    for row in fitted(title, wide, TITLE, lines=2, bold=True):
        free -= TITLE * 1.25 / 72
        write(figure, MARGIN_IN, free + 0.05, row, theme.ink, TITLE, bold=True)
    for row in fitted(subtitle, wide, BODY, lines=2):
        free -= BODY * 1.4 / 72
        write(figure, MARGIN_IN, free, row, theme.quiet, BODY)
    return figure, free - 0.12


def write(
    figure: Figure,
    x_in: float,
    y_in: float,
    text: str,
    colour: str,
    size: float = BODY,
    bold: bool = False,
    align: str = "left",
) -> None:
    """A line of text at a place in inches from the lower left corner."""
    wide, high = figure.get_size_inches()
    figure.text(x_in / wide, y_in / high, plain(text), color=colour, fontproperties=font(size, bold), ha=align)


def axes(
    figure: Figure,
    theme: Theme,
    box_in: tuple[float, float, float, float],
    x_label: str,
    y_label: str,
) -> Axes:
    """Axes in a box (left, bottom, width, height in inches), with labels that carry their units."""
    wide, high = figure.get_size_inches()
    left, bottom, width, height = box_in
    found: Axes = figure.add_axes((left / wide, bottom / high, width / wide, height / high), facecolor=theme.card)
    for side, spine in found.spines.items():
        spine.set_visible(side in ("left", "bottom"))
        spine.set_color(theme.quiet)
    found.grid(True, color=theme.grid, linewidth=0.8)
    found.set_axisbelow(True)
    found.tick_params(colors=theme.quiet, labelcolor=theme.ink, labelsize=SMALL, length=3)
    if x_label:
        found.set_xlabel(plain(x_label), color=theme.quiet, fontproperties=font(SMALL))
    if y_label:
        found.set_ylabel(plain(y_label), color=theme.quiet, fontproperties=font(SMALL))
    return found


def settle(found: Axes) -> None:
    """Give the tick labels our font, once the ticks are set."""
    for label in (*found.get_xticklabels(), *found.get_yticklabels()):
        label.set_fontproperties(font(SMALL))


def label(
    found: Axes,
    at: tuple[Any, Any],
    text: str,
    theme: Theme,
    colour: str,
    offset: tuple[float, float] = (0, 8),
    align: str = "center",
    bold: bool = False,
    size: float = SMALL,
    patch: float = 0.8,
) -> None:
    """A label beside a point; a patch of the card's colour, opaque by ``patch``, keeps lines from running through it."""
    found.annotate(
        plain(text),
        at,
        xytext=offset,
        textcoords="offset points",
        ha=align,
        va="center",
        color=colour,
        fontproperties=font(size, bold),
        bbox={"boxstyle": "square,pad=0.12", "facecolor": theme.card, "edgecolor": "none", "alpha": patch},
        annotation_clip=False,
        zorder=9,
    )


def zone_name(zone: ZoneInfo) -> str:
    """How a time zone is named under an axis.

    >>> zone_name(ZoneInfo("America/New_York"))
    'New York time'
    """
    return f"{zone.key.rpartition('/')[2].replace('_', ' ')} time" if "/" in zone.key else zone.key


def as_png(figure: Figure) -> bytes:
    """The picture as PNG."""
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=DPI, facecolor=figure.get_facecolor(), metadata={"Software": None})
    return out.getvalue()


def as_svg(figure: Figure) -> bytes:
    """The picture as SVG whose text is outlines, so that it needs no font."""
    out = io.BytesIO()
    figure.savefig(out, format="svg", facecolor=figure.get_facecolor(), metadata={"Date": None, "Creator": None})
    return out.getvalue()
