"""The assistant on Telegram: fetching, who may talk, order, delivery, reminders and operations."""

import os

# Waiting times as timedelta, which the library will have from its next major version on, and no warning about it.
os.environ.setdefault("PTB_TIMEDELTA", "1")
