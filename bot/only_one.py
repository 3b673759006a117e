"""One server on a data file: a lock that the system drops with the program, however it ends."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from bot.store_errors import StoreError, saying


@contextmanager
def only_one(data: Path) -> Iterator[None]:
    """Hold the lock of a data file; raises StoreError where another program serves it."""
    try:
        import fcntl
    except ImportError:
        # Not on this system; there a second server is noticed when both fetch with one token.
        yield
        return
    with saying(data):
        data.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(data.with_name(data.name + ".lock"), os.O_CREAT | os.O_RDWR, 0o600)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise StoreError(f"Another Potside is serving {data}. Stop it first.") from None
        yield
    finally:
        os.close(handle)
