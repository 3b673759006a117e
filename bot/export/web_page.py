"""One batch as a page for the browser that needs nothing but itself."""

from __future__ import annotations

import base64
from importlib.resources import files

from jinja2 import Environment, StrictUndefined

from bot.attachments import Diary, File
from bot.batch_record import NothingToShow
from bot.export.content import Page, page_of
from bot.export.qr import qr_svg_path
from bot.pictures import look
from conversations.session.events import Attachment


def as_html(page: Page) -> bytes:
    """The page; every word of the person is escaped."""
    environment = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters["base64"] = lambda data: base64.b64encode(data).decode()
    source = files("bot.export").joinpath("templates", "batch.html").read_text(encoding="utf-8")
    path, side = qr_svg_path(page.code)
    made = environment.from_string(source).render(
        page=page, day=look.DAY, night=look.NIGHT, qr_path=path, qr_side=side
    )
    return made.encode()


def batch_html(diary: Diary, attachment: Attachment) -> File | str:
    """Maker of ``batch_html``."""
    try:
        page = page_of(diary, attachment.batch, night=True)
    except NothingToShow as nothing:
        return str(nothing)
    return File(f"{page.title}.html", "text/html", as_html(page))
