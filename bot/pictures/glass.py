"""The beer's colour as it will look in a glass, and where it lies between straw and stout."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon

from bot.batch_record import NothingToShow, Record
from bot.pictures import look
from calc.colour import swatch
from calc.errors import OutOfRange
from calc.units import Quantity, quantity
from conversations.session.predictions import colour_word

GLASS_CM = 6.0
DARKEST_EBC = 80.0
FOAM, FOAM_EDGE = "#f6e6bd", "#a8905a"


def both_scales(colour: Quantity, american_first: bool = False) -> str:
    """The number on both scales.

    >>> both_scales(quantity(19.7, "ebc"))
    '20 EBC (10 SRM)'
    """
    ebc, srm = (float(colour.to(unit).magnitude) for unit in ("ebc", "srm"))
    return f"{srm:.0f} SRM ({ebc:.0f} EBC)" if american_first else f"{ebc:.0f} EBC ({srm:.0f} SRM)"


def on_screen(colour: Quantity) -> str:
    """The colour on a screen, seen through a glass; beyond the table's end the darkest it knows."""
    try:
        return swatch(colour, quantity(GLASS_CM, "cm")).code
    except OutOfRange:
        return "#000000"


def draw_glass(drawn: Axes, colour: str | None, theme: look.Theme) -> None:
    """A straight glass, full, with foam, and empty where the colour is not known; in a square of 1 by 1."""
    drawn.set_xlim(0, 1)
    drawn.set_ylim(0, 1)
    drawn.axis("off")
    low, high, slope = 0.05, 0.84, 0.07

    def edge(y: float) -> float:
        return 0.30 - slope * y

    outline = [(edge(0.99), 0.99), (edge(0.0), 0.0), (1 - edge(0.0), 0.0), (1 - edge(0.99), 0.99)]
    drawn.add_patch(Polygon(outline, closed=False, fc="none", ec=theme.quiet, lw=2.5, zorder=4, joinstyle="round"))
    if colour is None:
        return
    red, green, blue = to_rgb(colour)
    body = Polygon([(edge(low), low), (1 - edge(low), low), (1 - edge(high), high), (edge(high), high)], fc="none", ec="none")
    drawn.add_patch(body)
    across = np.linspace(-1, 1, 120)
    # Light goes a shorter way through the edge of a round glass, so the beer is paler there.
    depth = np.sqrt(np.clip(1 - across**2, 0.05, 1))[None, :, None]
    shade = np.clip(np.power(np.array([[[red, green, blue]]]), depth), 0, 1) * np.ones((2, 1, 1))
    picture = drawn.imshow(shade, extent=(0.2, 0.8, low, high), aspect="auto", zorder=2, interpolation="bilinear")
    picture.set_clip_path(body)
    foam = [(edge(high), high), (1 - edge(high), high), (1 - edge(0.95), 0.95), (edge(0.95), 0.95)]
    drawn.add_patch(Polygon(foam, fc=FOAM, ec=FOAM_EDGE, lw=1.2, zorder=3))
    # Bubbles, so that the foam is told from the paper behind it in daylight.
    for k in range(18):
        x, y = (k + 0.5) / 18, (0.25, 0.7, 0.45)[k % 3]
        place = (edge(high) + 0.02 + x * (1 - 2 * edge(high) - 0.04), high + 0.015 + y * (0.95 - high - 0.03))
        drawn.add_patch(Circle(place, (0.009, 0.013, 0.006, 0.011)[k % 4], fc="none", ec=FOAM_EDGE, lw=1, zorder=3))



def colour_chart(record: Record, theme: look.Theme) -> Figure:
    """The glass, and a strip of colours with this beer marked; raises NothingToShow without a known malt."""
    colour = record.colour
    if colour is None:
        raise NothingToShow(
            f'The colour of {record.batch.name} needs its malts. Tell me one like "1.6 kg pale malt".'
        )
    american = record.units == "us"
    figure, free = look.page(
        theme, record.batch.name, f"{colour_word(colour).capitalize()}, about {both_scales(colour, american)}", 6.4
    )
    wide, high = figure.get_size_inches()
    strip = 1.1
    side = free - strip - 0.75
    glass: Axes = figure.add_axes(
        ((wide - side) / 2 / wide, (strip + 0.55) / high, side / wide, side / high), facecolor="none"
    )
    draw_glass(glass, on_screen(colour), theme)
    unit = "srm" if american else "ebc"
    most = DARKEST_EBC if unit == "ebc" else 40.0
    scale = look.axes(
        figure,
        theme,
        (look.MARGIN_IN + 0.1, 0.72, wide - 2 * look.MARGIN_IN - 0.2, 0.5),
        f"Colour ({unit.upper()}), predicted from the malts, through {GLASS_CM:.0f} cm of beer",
        "",
    )
    steps = np.linspace(1, most, 160)
    row = np.array([[to_rgb(on_screen(quantity(float(each), unit))) for each in steps]])
    scale.imshow(row, extent=(0, most, 0, 1), aspect="auto", interpolation="bilinear")
    scale.set_yticks([])
    scale.grid(False)
    scale.set_xlim(0, most)
    here = min(float(colour.to(unit).magnitude), most)
    scale.annotate(
        "",
        (here, 1.0),
        xytext=(0, 15),
        textcoords="offset points",
        arrowprops={"arrowstyle": "-|>", "color": theme.ink, "lw": 2, "mutation_scale": 18},
        annotation_clip=False,
    )
    look.settle(scale)
    return figure
