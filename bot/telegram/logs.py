"""Log lines as JSON on standard error: no token, no text of a message and no name ever, unless at debug level."""

from __future__ import annotations

import json
import logging
import re
import sys
import traceback
from datetime import UTC, datetime
from typing import TextIO

_TOKEN = re.compile(r"\d{3,}:[A-Za-z0-9_-]{6,}")
_STANDARD = frozenset(vars(logging.makeLogRecord({}))) | {"message", "taskName", "asctime"}


def scrub(text: str, token: str = "") -> str:
    """The text without the token, and without anything that looks like one.

    >>> scrub("GET /bot123456:AAbbCCddEEff_-x/getMe")
    'GET /bot[token]/getMe'
    """
    if token:
        text = text.replace(token, "[token]")
    return _TOKEN.sub("[token]", text)


class JsonLines(logging.Formatter):
    """One JSON object a line: time, level, where, what, and the fields given as ``extra``."""

    def __init__(self, token: str = "", details: bool = False) -> None:
        """With ``details`` the text of exceptions is shown, which can hold words of a message."""
        super().__init__()
        self._token = token
        self._details = details

    def format(self, record: logging.LogRecord) -> str:
        """The line, scrubbed as a whole."""
        line: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "part": record.name,
            "said": record.getMessage(),
        }
        line.update({key: value for key, value in vars(record).items() if key not in _STANDARD})
        if record.exc_info and record.exc_info[0] is not None:
            line["fault"] = record.exc_info[0].__name__
            frames = traceback.extract_tb(record.exc_info[2])[-4:]
            line["where"] = " < ".join(f"{frame.name}:{frame.lineno}" for frame in reversed(frames))
            if self._details:
                line["traceback"] = "".join(traceback.format_exception(*record.exc_info))
        return scrub(json.dumps(line, ensure_ascii=False, default=str), self._token)


def start(token: str, level: str, out: TextIO | None = None) -> None:
    """Send everything that is logged to ``out`` as JSON lines, and uncaught errors with it."""
    handler = logging.StreamHandler(out or sys.stderr)
    handler.setFormatter(JsonLines(token, details=level == "DEBUG"))
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(level)
    # These name the address of each call, and with it the token; the scrubbing is the second line of defence.
    for chatty in ("httpx", "httpcore", "telegram", "tornado.access", "asyncio"):
        logging.getLogger(chatty).setLevel(logging.WARNING)
    log = logging.getLogger("bot.telegram")
    sys.excepthook = lambda kind, error, trace: log.critical("stopped", exc_info=(kind, error, trace))
