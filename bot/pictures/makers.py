"""From an attachment to a PNG: finds the batch, picks the palette, draws, and names the file."""

from __future__ import annotations

from collections.abc import Callable

from matplotlib.figure import Figure

from bot.attachments import Diary, File
from bot.batch_record import NothingToShow, Record, record_of
from bot.pictures import boil as boil_page
from bot.pictures import card as card_page
from bot.pictures import costs as costs_page
from bot.pictures import day as day_page
from bot.pictures import ferment, glass, look
from bot.pictures import mash as mash_page
from conversations.session.events import Attachment

Chart = Callable[[Record, look.Theme], Figure]


def _made(diary: Diary, attachment: Attachment, chart: Chart, what: str) -> File | str:
    try:
        record = record_of(diary, attachment.batch)
        theme = look.theme_at(record.local(record.now), str(attachment.options.get("theme", "")))
        figure = chart(record, theme)
    except NothingToShow as nothing:
        return str(nothing)
    return File(f"{record.batch.name} {what}.png", "image/png", look.as_png(figure))


def gravity(diary: Diary, attachment: Attachment) -> File | str:
    """Gravity and temperature of a batch."""
    return _made(diary, attachment, ferment.gravity_chart, "gravity")


def mash(diary: Diary, attachment: Attachment) -> File | str:
    """Mash temperature of a batch."""
    return _made(diary, attachment, mash_page.mash_chart, "mash")


def boil(diary: Diary, attachment: Attachment) -> File | str:
    """The boil's additions, planned and done."""
    return _made(diary, attachment, boil_page.boil_chart, "boil")


def day(diary: Diary, attachment: Attachment) -> File | str:
    """The brew day as planned against as done."""
    return _made(diary, attachment, day_page.day_chart, "day")


def colour(diary: Diary, attachment: Attachment) -> File | str:
    """The beer's colour in a glass."""
    return _made(diary, attachment, glass.colour_chart, "colour")


def costs(diary: Diary, attachment: Attachment) -> File | str:
    """What the batch cost."""
    return _made(diary, attachment, costs_page.cost_chart, "costs")


def card(diary: Diary, attachment: Attachment) -> File | str:
    """A card of the batch to share."""
    return _made(diary, attachment, card_page.card, "card")
