"""The other way in: Telegram calls us. An update is on the disk before the call is answered."""

from __future__ import annotations

import hmac
import json
import logging
from collections.abc import Callable
from urllib.parse import urlsplit

from telegram import Bot
from tornado.httpserver import HTTPServer
from tornado.web import Application, RequestHandler

from bot.telegram.polling import read_raw
from bot.telegram.settings import Settings
from bot.telegram.updates import TYPES, Arrived

MOST_BYTES = 1_000_000
_log = logging.getLogger(__name__)


class _Update(RequestHandler):
    def initialize(self, secret: str, take: Callable[[object], None]) -> None:
        self._secret = secret
        self._take = take

    def post(self) -> None:
        """Whoever does not know the secret gets nothing but a refusal."""
        given = self.request.headers.get("X-Telegram-Bot-Api-Secret-Token", "")
        if not hmac.compare_digest(given.encode(), self._secret.encode()):
            self.set_status(403)
            return
        try:
            update = json.loads(self.request.body)
        except ValueError:
            self.set_status(400)
            return
        try:
            self._take(update)
        # Not taken: the service keeps it and calls again.
        except Exception:
            _log.exception("webhook")
            self.set_status(500)

    def write_error(self, status_code: int, **kwargs: object) -> None:
        """No page about what went wrong."""
        self.finish()


class Webhook:
    """A small HTTP server behind the person's own TLS proxy."""

    def __init__(
        self, bot: Bot, settings: Settings, take: Callable[[list[Arrived]], None]
    ) -> None:
        """``take`` has everything on the disk when it returns."""
        self._bot = bot
        self._settings = settings
        self._keep = take
        path = urlsplit(settings.telegram_webhook_url).path or "/"
        secret = settings.telegram_webhook_secret.get_secret_value()
        handler = (path, _Update, {"secret": secret, "take": self._take})
        self._server = HTTPServer(
            Application([handler], log_function=lambda request: None), max_body_size=MOST_BYTES
        )

    def _take(self, update: object) -> None:
        arrived = read_raw(update, self._bot) if isinstance(update, dict) else None
        if arrived is not None:
            self._keep([arrived])

    async def start(self) -> None:
        """Listen, then tell the service where; updates that wait there are kept."""
        self._server.listen(self._settings.telegram_webhook_port, self._settings.telegram_webhook_listen)
        await self._bot.set_webhook(
            self._settings.telegram_webhook_url,
            secret_token=self._settings.telegram_webhook_secret.get_secret_value(),
            allowed_updates=TYPES,
            max_connections=4,
        )

    def stop(self) -> None:
        """Take no more calls."""
        self._server.stop()
